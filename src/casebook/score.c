/* score.c -- see fenmend/score.h. Only sums are kept, so memory does not grow with
 * the cases; the table of settled against judged is one row and column a cause.
 */
#include "fenmend/score.h"

#include <math.h>
#include <stdlib.h>

#include "stats.h"
#include "util/alloc.h"
#include "util/vec.h"

struct fen_score {
    uint32_t n_causes;
    uint64_t seen, cases, top1, top3, missed, late, urgent;
    uint64_t asked, answered, asked_right, only_asked, only_all;
    double brier, log_loss;
    fen_bin bin[FEN_SCORE_BINS];
    uint64_t *table; /* [(n_causes + 1)^2]: was, judged; the last column is "nothing" */
    FEN_VEC(fen_confusion) pairs;
    fen_score_sums sums;
};

fen_status fen_score_new(const fen_base *base, fen_score **ret_score)
{
    fen_score *s = fen_calloc(1, sizeof *s);
    if (!s)
        return FEN_ENOMEM;
    s->n_causes = fen_base_causes(base);
    s->table = fen_calloc((size_t)(s->n_causes + 1) * (s->n_causes + 1), sizeof *s->table);
    if (!s->table) {
        fen_score_free(s);
        return FEN_ENOMEM;
    }
    *ret_score = s;
    return FEN_OK;
}

void fen_score_free(fen_score *s)
{
    if (!s)
        return;
    FEN_VEC_FREE(&s->pairs);
    fen_free(s->table);
    fen_free(s);
}

void fen_score_add(fen_score *s, const fen_grade *g)
{
    s->seen++;
    if (!g->settled)
        return;
    const bool right = g->rank == 1;
    const fen_id judged = g->judged == FEN_NONE ? s->n_causes : g->judged;
    fen_bin *bin = &s->bin[fen_bin_of(g->p_top, FEN_SCORE_BINS)];
    s->cases++;
    s->top1 += right;
    s->top3 += g->rank >= 1 && g->rank <= 3;
    s->brier += g->brier;
    s->log_loss += g->log_loss;
    s->missed += g->missed;
    s->late += g->late;
    s->urgent += g->urgent;
    bin->n++;
    bin->right += right;
    bin->confidence += g->p_top;
    s->table[(size_t)g->was * (s->n_causes + 1) + judged]++;
    s->asked += g->asked;
    s->answered += g->answered;
    s->asked_right += g->right_when_asked;
    s->only_asked += g->right_when_asked && !right;
    s->only_all += right && !g->right_when_asked;
}

static fen_share share(uint64_t k, uint64_t n)
{
    fen_share s = { .k = k, .n = n, .p = NAN, .lo = NAN, .hi = NAN };
    if (n) {
        s.p = (double)k / (double)n;
        fen_wilson(k, n, FEN_Z95, &s.lo, &s.hi);
    }
    return s;
}

static double mean(double sum, uint64_t n)
{
    return n ? sum / (double)n : NAN;
}

static int most_first(const void *a, const void *b)
{
    const fen_confusion *x = a, *y = b;
    if (x->n != y->n)
        return x->n > y->n ? -1 : 1;
    if (x->was != y->was)
        return x->was < y->was ? -1 : 1;
    return (x->judged > y->judged) - (x->judged < y->judged);
}

static fen_status list_pairs(fen_score *s)
{
    const size_t side = s->n_causes + 1;
    s->pairs.count = 0;
    for (size_t i = 0; i < side * side; i++) {
        const fen_id judged = (fen_id)(i % side);
        const fen_confusion c = { (fen_id)(i / side), judged == s->n_causes ? FEN_NONE : judged, s->table[i] };
        if (c.n && !FEN_VEC_PUSH(&s->pairs, c))
            return FEN_ENOMEM;
    }
    if (s->pairs.count)
        qsort(s->pairs.at, s->pairs.count, sizeof *s->pairs.at, most_first);
    return FEN_OK;
}

static void sum_bins(const fen_score *s, fen_score_sums *r)
{
    r->calibration = fen_calibration_error(s->bin, FEN_SCORE_BINS, &r->largest_gap);
    if (!s->cases)
        r->calibration = r->largest_gap = NAN;
    for (size_t i = 0; i < FEN_SCORE_BINS; i++)
        r->bin[i] = (fen_score_bin){ s->bin[i].n, mean(s->bin[i].confidence, s->bin[i].n),
                                     mean((double)s->bin[i].right, s->bin[i].n) };
}

fen_status fen_score_sum(fen_score *s, const fen_score_sums **ret_sums)
{
    const fen_status st = list_pairs(s);
    if (st)
        return st;
    fen_score_sums *r = &s->sums;
    *r = (fen_score_sums){
        .seen = s->seen, .cases = s->cases, .top1 = share(s->top1, s->cases), .top3 = share(s->top3, s->cases),
        .brier = mean(s->brier, s->cases), .log_loss = mean(s->log_loss, s->cases),
        .mean_recall = fen_mean_recall(s->table, s->n_causes + 1),
        .missed = s->missed, .late = s->late, .urgent = s->urgent,
        .asked = mean((double)s->asked, s->cases), .answered = mean((double)s->answered, s->cases),
        .asked_top1 = share(s->asked_right, s->cases), .only_asked = s->only_asked, .only_all = s->only_all,
        .asked_p = s->cases ? fen_mcnemar_exact(s->only_asked, s->only_all) : NAN,
        .confusion = s->pairs.at, .n_confusion = s->pairs.count,
    };
    r->kappa = fen_kappa(s->table, s->n_causes + 1, &r->kappa_se);
    sum_bins(s, r);
    *ret_sums = r;
    return FEN_OK;
}
