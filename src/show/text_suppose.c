/* text_suppose.c -- the verdict as if one thing were otherwise; nothing is kept.
 */
#include <math.h>

#include "say.h"
#include "util/alloc.h"

enum { ROWS = 6 };

/* What is compared: copied, since a verdict is gone with the next answer. */
typedef struct before {
    double *p;
    fen_id leader;
    fen_urgency urgency;
    fen_id *hazards;
    uint32_t n_hazards;
} before;

static bool copy_verdict(const fen_base *base, const fen_verdict *v, before *b)
{
    const uint32_t n = fen_base_causes(base);
    *b = (before){ fen_alloc(n * sizeof *b->p), v->ranking.count ? v->ranking.at[0] : FEN_NONE, v->urgency,
                   fen_alloc((v->hazards.count + 1) * sizeof *b->hazards), v->hazards.count };
    if (!b->p || !b->hazards)
        return false;
    for (uint32_t i = 0; i < n; i++)
        b->p[i] = v->p[i];
    for (uint32_t i = 0; i < v->hazards.count; i++)
        b->hazards[i] = v->hazards.at[i];
    return true;
}

static void free_verdict(before *b)
{
    fen_free(b->p);
    fen_free(b->hazards);
}

static bool in_ids(const fen_id *at, uint32_t n, fen_id id)
{
    for (uint32_t i = 0; i < n; i++)
        if (at[i] == id)
            return true;
    return false;
}

static void show_row(fen_page *page, const fen_base *base, fen_id cause, double p_was, double p)
{
    char from[FEN_WORDS_MAX], to[FEN_WORDS_MAX];
    fen_page_open(page, 2, 4);
    fen_page_sayf(page, FEN_TONE_PLAIN, "%s: %s %s %s", fen_say_name_of_cause(base, cause),
                  p_was > 0 ? fen_words_percent(from, p_was) : "ruled out", fen_page_glyph(page, FEN_GLYPH_TO),
                  p > 0 ? fen_words_percent(to, p) : "ruled out");
    fen_page_close(page);
}

static void show_ranking(fen_page *page, const fen_base *base, const before *b, const fen_verdict *v)
{
    bool leader_shown = b->leader == FEN_NONE;
    for (uint32_t i = 0; i < v->ranking.count && i < ROWS; i++) {
        const fen_id cause = v->ranking.at[i];
        if (i >= 3 && v->p[cause] < 0.01 && b->p[cause] < 0.01)
            continue;
        show_row(page, base, cause, b->p[cause], v->p[cause]);
        leader_shown = leader_shown || cause == b->leader;
    }
    if (!leader_shown)
        show_row(page, base, b->leader, b->p[b->leader], v->p[b->leader]);
}

static void show_hazards(fen_page *page, const fen_base *base, const before *b, const fen_verdict *v)
{
    for (uint32_t i = 0; i < v->hazards.count; i++)
        if (!in_ids(b->hazards, b->n_hazards, v->hazards.at[i]))
            fen_page_line(page, 2, FEN_TONE_PLAIN, "bad for the plant then: %s", fen_base_hazard(base, v->hazards.at[i])->name);
    for (uint32_t i = 0; i < b->n_hazards; i++)
        if (!in_ids(v->hazards.at, v->hazards.count, b->hazards[i]))
            fen_page_line(page, 2, FEN_TONE_PLAIN, "no longer: %s", fen_base_hazard(base, b->hazards[i])->name);
}

static void show_change(fen_page *page, const fen_base *base, const before *b, const fen_verdict *v)
{
    show_ranking(page, base, b, v);
    show_hazards(page, base, b, v);
    if (v->urgency != b->urgency)
        fen_page_line(page, 2, FEN_TONE_PLAIN, "how soon to act: %s %s %s", fen_words_urgency(b->urgency),
                      fen_page_glyph(page, FEN_GLYPH_TO), fen_words_urgency(v->urgency));
    fen_page_line(page, 0, FEN_TONE_DIM, "Nothing of this was recorded.");
}

static void show_head(fen_page *page, fen_session *s, fen_id finding, fen_answer a)
{
    const fen_finding *f = fen_base_finding(fen_session_base(s), finding);
    fen_page_open(page, 0, 2);
    fen_page_sayf(page, FEN_TONE_STRONG, "Suppose %s: ", f->name);
    fen_say_answer(page, f, a, fen_session_today(s));
    fen_page_close(page);
}

void fen_show_suppose(fen_page *page, fen_session *s, fen_id finding, fen_answer a)
{
    const fen_base *base = fen_session_base(s);
    const fen_answer given = fen_session_given(s, finding);
    before b;
    if (!copy_verdict(base, fen_session_verdict(s), &b)) {
        fen_page_fail(page, FEN_ENOMEM);
    } else if (fen_session_answer(s, finding, a)) {
        fen_page_line(page, 0, FEN_TONE_PLAIN, "That answer is not possible.");
    } else {
        show_head(page, s, finding, a);
        show_change(page, base, &b, fen_session_verdict(s));
        /* What was given before was taken once, so it is taken again. */
        if (fen_session_answer(s, finding, given))
            fen_page_fail(page, FEN_EINPUT);
    }
    free_verdict(&b);
}
