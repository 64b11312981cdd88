/* text_verdict_causes.c -- what it most likely is, how sure that is, and the few
 * answers that say so most strongly.
 */
#include "say.h"
#include "text_verdict.h"

enum { REASONS = 3, OTHERS = 3 };
#define OTHER_WORTH 0.05

static bool in_list(fen_list list, fen_id id)
{
    for (uint32_t i = 0; i < list.count; i++)
        if (list.at[i] == id)
            return true;
    return false;
}

/* The covering set; where nothing wants explaining, what leads. */
static fen_list causes_shown(const fen_verdict *v)
{
    if (v->covering.count)
        return v->covering;
    return (fen_list){ v->ranking.at, v->ranking.count ? 1 : 0 };
}

static void show_reasons(fen_page *page, fen_session *s, const fen_because *b)
{
    const fen_base *base = fen_session_base(s);
    size_t shown = 0;
    for (size_t i = 0; i < b->n_pro && shown < REASONS; i += fen_chain_span(b->pro + i, b->n_pro - i), shown++) {
        if (!shown)
            fen_page_line(page, 2, FEN_TONE_PLAIN, "You said:");
        fen_page_open_mark(page, 2, "+");
        fen_say_answers_of(page, s, b->pro + i, fen_chain_span(b->pro + i, b->n_pro - i));
        fen_page_sayf(page, FEN_TONE_PLAIN, " (%s). ", fen_words_strength(b->pro[i].weight));
        fen_page_say(page, FEN_TONE_DIM, fen_base_rule(base, b->pro[i].rule)->why);
        fen_page_close(page);
    }
    if (b->n_contra && b->contra[0].weight < 0) {
        fen_page_line(page, 2, FEN_TONE_PLAIN, "Against it:");
        fen_page_open_mark(page, 2, "-");
        fen_say_answers_of(page, s, b->contra, fen_chain_span(b->contra, b->n_contra));
        fen_page_sayf(page, FEN_TONE_PLAIN, " (%s). ", fen_words_strength(b->contra[0].weight));
        fen_page_close(page);
    }
}

static void show_why(fen_page *page, fen_session *s, fen_id cause)
{
    fen_because *b = NULL;
    const fen_status st = fen_why_because(s, cause, &b);
    if (st)
        fen_page_fail(page, st);
    else
        show_reasons(page, s, b);
    fen_because_free(b);
}

static void show_accounts_for(fen_page *page, fen_session *s, const fen_verdict *v, fen_id cause)
{
    bool any = false;
    fen_page_open(page, 2, 2);
    for (uint32_t i = 0; i < v->signs.count; i++)
        if (fen_session_accounts(s, cause, v->signs.at[i])) {
            fen_page_say(page, FEN_TONE_PLAIN, any ? "; " : "It explains: ");
            fen_say_test(page, fen_session_base(s), v->signs.at[i], false);
            any = true;
        }
    if (any) {
        fen_page_say(page, FEN_TONE_PLAIN, ".");
        fen_page_close(page);
    }
}

static void show_cause(fen_page *page, fen_session *s, fen_id cause, bool with_signs)
{
    const fen_cause *c = fen_base_cause(fen_session_base(s), cause);
    const fen_verdict *v = fen_session_verdict(s);
    char percent[FEN_WORDS_MAX];
    fen_page_open(page, 0, 2);
    fen_page_sayf(page, c->harmless ? FEN_TONE_GOOD : FEN_TONE_STRONG, "%s", c->name);
    fen_page_sayf(page, FEN_TONE_PLAIN, ": %s, %s", fen_words_percent(percent, v->p[cause]), fen_words_for(v->p[cause]));
    fen_page_close(page);
    if (c->about)
        fen_page_line(page, 2, FEN_TONE_PLAIN, "%s", c->about);
    if (with_signs)
        show_accounts_for(page, s, v, cause);
    show_why(page, s, cause);
    if (c->outlook)
        fen_page_line(page, 2, FEN_TONE_PLAIN, "Outlook: %s", c->outlook);
}

static void show_others(fen_page *page, fen_session *s, fen_list shown)
{
    const fen_verdict *v = fen_session_verdict(s);
    char percent[FEN_WORDS_MAX];
    unsigned n = 0;
    fen_page_open(page, 0, 2);
    for (uint32_t i = 0; i < v->ranking.count && n < OTHERS; i++) {
        const fen_id cause = v->ranking.at[i];
        if (in_list(shown, cause) || v->p[cause] < OTHER_WORTH)
            continue;
        fen_page_sayf(page, FEN_TONE_PLAIN, "%s%s (%s)", n++ ? ", " : "It could also be: ",
                      fen_say_name_of_cause(fen_session_base(s), cause), fen_words_percent(percent, v->p[cause]));
    }
    if (n) {
        fen_page_say(page, FEN_TONE_PLAIN, ".");
        fen_page_close(page);
    }
}

void fen_show_verdict_causes(fen_page *page, fen_session *s)
{
    const fen_verdict *v = fen_session_verdict(s);
    const fen_list shown = causes_shown(v);
    if (!shown.count) {
        fen_page_gap(page);
        fen_page_line(page, 0, FEN_TONE_PLAIN, "Every cause the rules know is ruled out.");
        return;
    }
    fen_page_title(page, shown.count > 1 ? "More than one thing is wrong" : "What it most likely is");
    for (uint32_t i = 0; i < shown.count; i++)
        show_cause(page, s, shown.at[i], shown.count > 1);
    if (v->covering.count > 1 && !v->covering_exact)
        fen_page_line(page, 0, FEN_TONE_DIM, "There were too many ways to combine causes to try them all; fewer may do.");
    show_others(page, s, shown);
}
