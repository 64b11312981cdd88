/* text_plan_amounts.c -- how the plan's amounts were worked out: formula, inputs,
 * results, and how far to trust them.
 */
#include "advice/plan.h"
#include "fenmend/reckon_view.h"
#include "page.h"

static void show_one(fen_page *page, const fen_base *base, const fen_plan_step *p)
{
    const fen_workings *w = &p->worked;
    fen_page_title(page, fen_base_remedy(base, p->remedy)->steps[p->step].id);
    for (uint32_t i = 0; i < w->count; i++) {
        fen_page_gap(page);
        if (w->at[i].done)
            fen_page_line(page, 0, FEN_TONE_PLAIN, "%s: %s", w->at[i].reckoner->name, w->at[i].reckoner->purpose);
        if (w->at[i].done)
            fen_show_reckoning(page, w->at[i].reckoner, w->at[i].in, w->at[i].out, true);
        else if (w->at[i].error.wrong[0])
            fen_page_line(page, 0, FEN_TONE_PLAIN, "%s: %s; %s.", w->at[i].reckoner->name, w->at[i].error.wrong, w->at[i].error.right);
        else
            fen_page_line(page, 0, FEN_TONE_PLAIN, "%s: waits for what is not known yet.", w->at[i].reckoner->name);
    }
    for (uint32_t i = 0; i < w->missing.count; i++)
        fen_page_line(page, 0, FEN_TONE_PLAIN, "not known: %s", fen_base_finding(base, w->missing.at[i])->name);
}

void fen_show_plan_amounts(fen_page *page, fen_session *s)
{
    fen_plan *plan = NULL;
    size_t n = 0;
    const fen_status st = fen_plan_make(s, &plan);
    if (st) {
        fen_page_fail(page, st);
        return;
    }
    for (size_t i = 0; i < plan->n_steps; i++) {
        if (!plan->steps[i].worked.count || plan->steps[i].ready < 1)
            continue;
        show_one(page, fen_session_base(s), &plan->steps[i]);
        n++;
    }
    if (!n)
        fen_show_text(page, "No step of the plan has an amount to be worked out.");
    fen_plan_free(plan);
}
