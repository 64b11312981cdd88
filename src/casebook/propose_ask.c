/* propose_ask.c -- when to stop asking. Cases that a fit has not seen are asked one
 * question at a time, far beyond any stop; each pair of a stop level and a least worth
 * is then read off the course, which does not depend on either.
 */
#include <math.h>
#include <string.h>

#include "fenmend/session.h"
#include "propose.h"
#include "util/alloc.h"

static const double levels[] = { 0.8, 0.85, 0.9, 0.925, 0.95, 0.975, 0.99 };
static const double worths[] = { 0.2, 0.15, 0.1, 0.07, 0.05 };
enum { LEVELS = 7, WORTHS = 5, PAIRS = LEVELS * WORTHS };

/* What is least: questions, and this many for each wrong verdict. One more right verdict
 * in a hundred cases is worth four more questions in each. */
#define A_WRONG_VERDICT 400.0

typedef struct tally {
    uint64_t cases, asked[PAIRS], right[PAIRS];
} tally;

static bool leads_settled(const fen_proposal *p, uint32_t row, fen_session *s, double *ret_top)
{
    const fen_verdict *v = fen_session_verdict(s);
    *ret_top = v->ranking.count ? v->p[v->ranking.at[0]] : 0;
    return v->ranking.count && v->ranking.at[0] < p->n_causes &&
           p->role[(size_t)row * p->n_causes + v->ranking.at[0]] == FEN_ROLE_SETTLED;
}

static fen_answer answer_of(const fen_proposal *p, uint32_t row, uint32_t f)
{
    const int a = p->cell[(size_t)row * p->findings.count + f];
    return a == FEN_PROPOSE_UNSURE ? (fen_answer){ FEN_UNSURE, 0, 0 } : (fen_answer){ FEN_KNOWN, UINT64_C(1) << a, 0 };
}

static fen_status ask_case(const fen_proposal *p, uint32_t row, fen_session *s, tally *t)
{
    bool done[PAIRS] = { false };
    uint32_t asked = 0, open = PAIRS;
    double top;
    fen_session_clear(s);
    while (open) {
        fen_question q;
        fen_session_next(s, &q);
        const bool right = leads_settled(p, row, s, &top);
        for (uint32_t i = 0; i < PAIRS; i++)
            if (!done[i] && (q.reason == FEN_ASK_NOTHING || top >= levels[i / WORTHS] || q.worth < worths[i % WORTHS])) {
                done[i] = true;
                open--;
                t->asked[i] += asked;
                t->right[i] += right;
            }
        if (open && fen_session_answer(s, q.finding, answer_of(p, row, q.finding - 1)))
            return FEN_EINPUT; /* never: the answers are the table's */
        asked++;
    }
    t->cases++;
    return FEN_OK;
}

typedef struct asker {
    fen_proposal *p;
    const fen_fit_choice *choice;
    bool *rest;
    uint8_t *fold;
    uint32_t *counts;
    double *centre, *w, *usual;
    tally t;
} asker;

static fen_status ask_fold(asker *k, uint32_t out)
{
    fen_proposal *p = k->p;
    fen_base *base = NULL;
    fen_session *s = NULL;
    double left;
    for (uint32_t i = 0; i < p->fit.n_cases; i++)
        k->rest[i] = k->fold[i] != out;
    fen_proposal_centre(p, k->rest, k->centre);
    memcpy(k->w, k->centre, p->fit.n_params * sizeof *k->w);
    fen_status st = fen_fit_solve(&p->fit, k->rest, k->choice->strength, k->centre, 1e-6, k->w, &left);
    if (st)
        return st;
    fen_proposal_usual(p, k->rest, k->usual);
    st = fen_proposal_base(p, k->w, k->usual, &base);
    if (!st)
        st = fen_session_new(base, 0, &s);
    for (uint32_t i = 0; i < p->fit.n_cases && !st; i++)
        if (!k->rest[i])
            st = ask_case(p, i, s, &k->t);
    fen_session_free(s);
    fen_base_free(base);
    return st;
}

static double cost(const tally *t, uint32_t i)
{
    return (double)t->asked[i] + A_WRONG_VERDICT * (double)(t->cases - t->right[i]);
}

static uint32_t best_pair(const tally *t)
{
    uint32_t best = 0;
    for (uint32_t i = 1; i < PAIRS; i++)
        if (cost(t, i) < cost(t, best))
            best = i;
    return best;
}

fen_status fen_proposal_stop(fen_proposal *p, const fen_fit_choice *choice, fen_tune_report *report)
{
    asker k = { .p = p, .choice = choice };
    k.rest = fen_calloc(p->fit.n_cases, sizeof *k.rest);
    k.fold = fen_calloc(p->fit.n_cases, sizeof *k.fold);
    k.counts = fen_calloc(p->n_causes, sizeof *k.counts);
    k.centre = fen_calloc(p->fit.n_params, sizeof *k.centre);
    k.w = fen_calloc(p->fit.n_params, sizeof *k.w);
    k.usual = fen_calloc(p->n_features, sizeof *k.usual);
    fen_status st = k.rest && k.fold && k.counts && k.centre && k.w && k.usual ? FEN_OK : FEN_ENOMEM;
    if (!st)
        fen_fit_deal(&p->fit, NULL, FEN_FIT_FOLDS, k.counts, k.fold);
    for (uint32_t out = 0; out < FEN_FIT_FOLDS && !st; out++)
        st = ask_fold(&k, out);
    if (!st) {
        const uint32_t best = best_pair(&k.t);
        report->stop_level = levels[best / WORTHS];
        report->least_worth = worths[best % WORTHS];
        report->asked = (double)k.t.asked[best] / (double)k.t.cases;
        report->asked_right = (double)k.t.right[best] / (double)k.t.cases;
    }
    void *const parts[] = { k.rest, k.fold, k.counts, k.centre, k.w, k.usual };
    for (size_t i = 0; i < FEN_COUNT(parts); i++)
        fen_free(parts[i]);
    return st;
}
