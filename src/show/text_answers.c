/* text_answers.c -- answers given so far, one or all.
 */
#include "say.h"

void fen_show_answer(fen_page *page, const fen_base *base, fen_id finding, fen_answer a, int32_t today)
{
    fen_page_open(page, 0, 2);
    fen_say_answer(page, fen_base_finding(base, finding), a, today);
    fen_page_close(page);
}

static bool show_one(fen_page *page, fen_session *s, fen_id finding)
{
    const fen_finding *f = fen_base_finding(fen_session_base(s), finding);
    if (f->derived || fen_session_given(s, finding).state == FEN_OPEN)
        return false;
    fen_page_open(page, 2, 4);
    fen_say_given(page, s, finding);
    fen_page_close(page);
    return true;
}

static bool listed(fen_list order, uint32_t end, fen_id finding)
{
    for (uint32_t i = 0; i < end; i++)
        if (order.at[i] == finding)
            return true;
    return false;
}

void fen_show_answers(fen_page *page, fen_session *s, fen_list order)
{
    bool any = false;
    for (uint32_t i = 0; i < order.count; i++)
        if (!listed(order, i, order.at[i]))
            any = show_one(page, s, order.at[i]) || any;
    for (fen_id i = 0; i < fen_base_findings(fen_session_base(s)); i++)
        if (!listed(order, order.count, i))
            any = show_one(page, s, i) || any;
    if (!any)
        fen_page_line(page, 2, FEN_TONE_PLAIN, "Nothing has been answered yet.");
}
