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

static void show_reasons(fen_page *page, fen_session *s, const fen_because *b)
{
    const fen_base *base = fen_session_base(s);
    size_t shown = 0;
    for (size_t i = 0; i < b->n_pro && shown < REASONS; i += fen_chain_span(b->pro + i, b->n_pro - i), shown++) {
        if (!shown)
            fen_page_line(page, 2, FEN_TONE_PLAIN, "You said:");
        fen_page_open_mark(page, 2, "+");
        fen_say_answers_of(page, s, b->pro + i, fen_chain_span(b->pro + i, b->n_pro - i));
        fen_page_sayf(page, FEN_TONE_PLAIN, " (%s evidence). ", fen_words_strength(b->pro[i].weight));
        fen_page_say(page, FEN_TONE_DIM, fen_base_rule(base, b->pro[i].rule)->why);
        fen_page_close(page);
    }
    if (b->n_contra && b->contra[0].weight < 0) {
        fen_page_line(page, 2, FEN_TONE_PLAIN, "Against it:");
        fen_page_open_mark(page, 2, "-");
        fen_say_answers_of(page, s, b->contra, fen_chain_span(b->contra, b->n_contra));
        fen_page_sayf(page, FEN_TONE_PLAIN, " (%s evidence).", fen_words_strength(b->contra[0].weight));
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
    if (cause + 1 == fen_base_causes(fen_session_base(s)))
        fen_page_line(page, 2, FEN_TONE_PLAIN, "Nothing the rules know fits well. Show the plant to somebody who can look at it.");
    else if (c->about)
        fen_page_line(page, 2, FEN_TONE_PLAIN, "%s", c->about);
    if (with_signs)
        show_accounts_for(page, s, v, cause);
    show_why(page, s, cause);
    if (c->outlook)
        fen_page_line(page, 2, FEN_TONE_PLAIN, "Outlook: %s", c->outlook);
}

static void show_others(fen_page *page, fen_session *s, fen_id shown)
{
    const fen_verdict *v = fen_session_verdict(s);
    char percent[FEN_WORDS_MAX];
    unsigned n = 0;
    fen_page_open(page, 0, 2);
    for (uint32_t i = 0; i < v->ranking.count && n < OTHERS; i++) {
        const fen_id cause = v->ranking.at[i];
        if (cause == shown || in_list(v->covering, cause) || v->p[cause] < OTHER_WORTH)
            continue;
        fen_page_sayf(page, FEN_TONE_PLAIN, "%s%s (%s)", n++ ? ", " : "It could also be: ",
                      fen_say_name_of_cause(fen_session_base(s), cause), fen_words_percent(percent, v->p[cause]));
    }
    if (n) {
        fen_page_say(page, FEN_TONE_PLAIN, ".");
        fen_page_close(page);
    }
}

/* What the leading cause leaves open, when it is not among those that explain all. */
static void show_left_open(fen_page *page, fen_session *s, fen_id leader)
{
    const fen_verdict *v = fen_session_verdict(s);
    bool any = false;
    fen_page_open(page, 2, 2);
    for (uint32_t i = 0; i < v->signs.count; i++)
        if (!fen_session_accounts(s, leader, v->signs.at[i])) {
            fen_page_say(page, FEN_TONE_PLAIN, any ? "; " : "It does not explain: ");
            fen_say_test(page, fen_session_base(s), v->signs.at[i], false);
            any = true;
        }
    if (any) {
        fen_page_say(page, FEN_TONE_PLAIN, ".");
        fen_page_close(page);
    }
}

static void show_covering(fen_page *page, fen_session *s, const fen_verdict *v, const char *title)
{
    fen_page_title(page, title);
    for (uint32_t i = 0; i < v->covering.count; i++)
        show_cause(page, s, v->covering.at[i], v->covering.count > 1);
    if (v->covering.count > 1 && !v->covering_exact)
        fen_page_line(page, 0, FEN_TONE_DIM, "There were too many ways to combine causes to try them all; fewer may do.");
}

void fen_show_verdict_causes(fen_page *page, fen_session *s)
{
    const fen_verdict *v = fen_session_verdict(s);
    if (!v->ranking.count) {
        fen_page_gap(page);
        fen_page_line(page, 0, FEN_TONE_PLAIN, "Every cause the rules know is ruled out.");
        return;
    }
    const fen_id leader = v->ranking.at[0];
    if (in_list(v->covering, leader)) {
        show_covering(page, s, v, v->covering.count > 1 ? "More than one thing seems to be wrong" : "What it most likely is");
    } else {
        fen_page_title(page, "What it most likely is");
        show_cause(page, s, leader, false);
        if (v->covering.count) {
            show_left_open(page, s, leader);
            show_covering(page, s, v, "What would explain every sign");
        }
    }
    show_others(page, s, leader);
}
