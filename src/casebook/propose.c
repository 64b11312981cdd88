/* propose.c -- from a table to a fitted flat pack; see propose.h and fenmend/tune.h. */
#include "propose.h"

#include <math.h>
#include <string.h>

#include "tune_score.h"
#include "util/alloc.h"

/* ---- shape ------------------------------------------------------------------------ */

static fen_status choose_findings(fen_proposal *p)
{
    for (uint32_t i = 0; i < p->t->columns.count; i++) {
        const fen_table_column *c = &p->t->columns.at[i];
        const fen_proposed_finding f = { .column = i, .first = p->n_features, .answers = fen_intern_count(c->answers) };
        if (c->why || f.answers < 2)
            continue;
        if (!FEN_VEC_PUSH(&p->findings, f))
            return FEN_ENOMEM;
        p->n_features += f.answers + p->missing_used;
    }
    return FEN_OK;
}

static void fill_cells(fen_proposal *p)
{
    const uint32_t n = p->findings.count;
    memset(p->cell, FEN_PROPOSE_UNSURE, (size_t)p->t->rows.count * n);
    for (uint32_t r = 0; r < p->t->rows.count; r++)
        for (size_t i = 0; i < p->t->rows.at[r].cells; i++) {
            const fen_table_pair pair = p->t->pairs.at[p->t->rows.at[r].cell_at + i];
            for (uint32_t f = 0; f < n; f++)
                if (p->findings.at[f].column == pair.column)
                    p->cell[(size_t)r * n + f] = (int8_t)pair.answer;
        }
}

/* The feature of row R in finding F; n_features: none. */
static uint32_t feature_of(const fen_proposal *p, uint32_t r, uint32_t f)
{
    const int answer = p->cell[(size_t)r * p->findings.count + f];
    const fen_proposed_finding *at = &p->findings.at[f];
    if (answer != FEN_PROPOSE_UNSURE)
        return at->first + (uint32_t)answer;
    return p->missing_used ? at->first + at->answers : p->n_features;
}

/* Every case is fitted with all its answers, and with some of them, as it stands after a few
 * questions; more than once, for a second draw evens out the luck of the first. Which
 * ones, is dealt by a generator of fixed seed. */
enum { COPIES = 6 };
static const double kept[COPIES] = { 1, 0.5, 0.5, 0.25, 0.25, 0.15 };

static double deal(uint64_t *seed) /* 0..1; the multiplier and increment of Knuth's MMIX */
{
    *seed = *seed * UINT64_C(6364136223846793005) + UINT64_C(1442695040888963407);
    return (double)(*seed >> 11) / 9007199254740992.0;
}

static void fill_copy(fen_proposal *p, uint32_t copy, uint32_t r, uint64_t *seed, size_t *n)
{
    p->active_at[(size_t)copy * p->t->rows.count + r] = *n;
    for (uint32_t f = 0; f < p->findings.count; f++) {
        const bool keep = !copy || deal(seed) < kept[copy];
        const uint32_t g = feature_of(p, r, f);
        for (uint32_t c = 0; keep && g < p->n_features && c < p->n_causes; c++)
            p->active[(*n)++] = g * p->n_causes + c;
    }
    for (uint32_t c = 0; c < p->n_causes; c++)
        p->active[(*n)++] = p->n_features * p->n_causes + c;
}

static void fill_row(fen_proposal *p, uint32_t r, size_t *n)
{
    const fen_table_row *row = &p->t->rows.at[r];
    uint8_t *role = p->role + (size_t)r * p->n_causes;
    memset(role, FEN_ROLE_POSSIBLE, p->n_causes);
    for (size_t i = 0; i < row->settled; i++)
        role[p->t->settled.at[row->settled_at + i]] = FEN_ROLE_SETTLED;
    p->group[r] = p->t->settled.at[row->settled_at];
    fill_copy(p, 0, r, NULL, n);
}

static fen_status fill_fit(fen_proposal *p)
{
    const uint32_t rows = p->t->rows.count, params = (p->n_features + 1) * p->n_causes;
    uint64_t seed = 1;
    size_t n = 0;
    p->cell = fen_calloc((size_t)rows * p->findings.count, sizeof *p->cell);
    p->cause = fen_calloc(params, sizeof *p->cause);
    p->active = fen_calloc((size_t)rows * COPIES * (p->findings.count + 1) * p->n_causes, sizeof *p->active);
    p->group = fen_calloc(rows, sizeof *p->group);
    p->active_at = fen_calloc((size_t)rows * COPIES + 1, sizeof *p->active_at);
    p->offset = fen_calloc(p->n_causes, sizeof *p->offset);
    p->role = fen_calloc((size_t)rows * p->n_causes, sizeof *p->role);
    p->count = fen_calloc((size_t)p->n_features * p->n_causes, sizeof *p->count);
    p->known = fen_calloc(p->n_causes, sizeof *p->known);
    p->rate = fen_calloc(p->n_causes, sizeof *p->rate);
    if (!p->cell || !p->cause || !p->active || !p->group || !p->active_at || !p->offset || !p->role || !p->count || !p->known || !p->rate)
        return FEN_ENOMEM;
    fill_cells(p);
    for (uint32_t j = 0; j < params; j++)
        p->cause[j] = j % p->n_causes;
    for (uint32_t r = 0; r < rows; r++)
        fill_row(p, r, &n);
    for (uint32_t k = 1; k < COPIES; k++)
        for (uint32_t r = 0; r < rows; r++)
            fill_copy(p, k, r, &seed, &n);
    p->active_at[(size_t)rows * COPIES] = n;
    p->fit = (fen_fit){ params, p->n_causes, rows, p->cause, p->offset, COPIES, p->active_at, p->active, p->role, p->group };
    return FEN_OK;
}

fen_status fen_proposal_new(const fen_table *t, bool missing_used, fen_proposal **ret)
{
    fen_proposal *p = fen_calloc(1, sizeof *p);
    if (!p)
        return FEN_ENOMEM;
    p->t = t;
    p->missing_used = missing_used;
    p->n_causes = fen_intern_count(t->causes);
    fen_status st = choose_findings(p);
    if (!st && (!p->findings.count || p->n_causes < 2 || t->rows.count < FEN_TUNE_LEAST))
        st = FEN_EINPUT;
    if (!st)
        st = fill_fit(p);
    if (st)
        fen_proposal_free(p);
    else
        *ret = p;
    return st;
}

void fen_proposal_free(fen_proposal *p)
{
    if (!p)
        return;
    FEN_VEC_FREE(&p->findings);
    void *const parts[] = { p->cell, p->cause, p->active, p->group, p->active_at, p->offset, p->role, p->count, p->known, p->rate, p };
    for (size_t i = 0; i < FEN_COUNT(parts); i++)
        fen_free(parts[i]);
}

/* ---- counting ----------------------------------------------------------------------- */

static void count(fen_proposal *p, const bool *use)
{
    const uint32_t n = p->n_causes;
    memset(p->count, 0, (size_t)p->n_features * n * sizeof *p->count);
    for (uint32_t c = 0; c < n; c++)
        p->rate[c] = 1;
    double all = n;
    for (uint32_t r = 0; r < p->t->rows.count; r++) {
        if (use && !use[r])
            continue;
        p->rate[p->group[r]]++;
        all++;
        for (uint32_t f = 0; f < p->findings.count; f++) {
            const uint32_t g = feature_of(p, r, f);
            if (g < p->n_features)
                p->count[(size_t)g * n + p->group[r]]++;
        }
    }
    for (uint32_t c = 0; c < n; c++)
        p->rate[c] /= all;
}

/* P(v|c) = (n_cv + 1) / (n_c + number of answers), and P(v) their mean over the causes. */
static void centre_finding(fen_proposal *p, const fen_proposed_finding *f, double *ret)
{
    const uint32_t n = p->n_causes, end = f->first + f->answers + p->missing_used;
    for (uint32_t c = 0; c < n; c++) {
        p->known[c] = end - f->first;
        for (uint32_t g = f->first; g < end; g++)
            p->known[c] += p->count[(size_t)g * n + c];
    }
    for (uint32_t g = f->first; g < end; g++) {
        double mean = 0;
        for (uint32_t c = 0; c < n; c++)
            mean += p->rate[c] * (p->count[(size_t)g * n + c] + 1) / p->known[c];
        for (uint32_t c = 0; c < n; c++)
            ret[(size_t)g * n + c] = log((p->count[(size_t)g * n + c] + 1) / p->known[c] / mean);
    }
}

void fen_proposal_centre(void *proposal, const bool *use, double *ret_centre)
{
    fen_proposal *p = proposal;
    count(p, use);
    for (uint32_t f = 0; f < p->findings.count; f++)
        centre_finding(p, &p->findings.at[f], ret_centre);
    for (uint32_t c = 0; c < p->n_causes; c++)
        ret_centre[(size_t)p->n_features * p->n_causes + c] = log(p->rate[c]);
}

void fen_proposal_usual(const fen_proposal *p, const bool *use, double *ret_usual)
{
    for (uint32_t g = 0; g < p->n_features; g++)
        ret_usual[g] = 1;
    for (uint32_t r = 0; r < p->t->rows.count; r++)
        for (uint32_t f = 0; (!use || use[r]) && f < p->findings.count; f++)
            if (p->cell[(size_t)r * p->findings.count + f] != FEN_PROPOSE_UNSURE)
                ret_usual[feature_of(p, r, f)]++;
    for (uint32_t f = 0; f < p->findings.count; f++) {
        const fen_proposed_finding *at = &p->findings.at[f];
        double sum = 0;
        for (uint32_t o = 0; o < at->answers; o++)
            sum += ret_usual[at->first + o];
        for (uint32_t o = 0; o < at->answers; o++)
            ret_usual[at->first + o] /= sum;
    }
}

double fen_proposal_weight(const fen_proposal *p, const double *w, uint32_t feature, uint32_t cause)
{
    const double dban = round(w[(size_t)feature * p->n_causes + cause] / FEN_NAT * 100) / 100;
    return fabs(dban) < FEN_PROPOSE_WEAK ? 0 : fmax(-100, fmin(100, dban));
}

void fen_proposal_rates(const fen_proposal *p, const double *w, double *ret_rates)
{
    const double *rate = w + (size_t)p->n_features * p->n_causes;
    double top = rate[0], sum = 0;
    for (uint32_t c = 1; c < p->n_causes; c++)
        top = fmax(top, rate[c]);
    for (uint32_t c = 0; c < p->n_causes; c++)
        sum += ret_rates[c] = fmax(exp(rate[c] - top), 1e-9);
    for (uint32_t c = 0; c < p->n_causes; c++)
        ret_rates[c] /= sum;
}

/* ---- the whole ------------------------------------------------------------------------ */

static const double strengths[] = { 8, 4, 2, 1, 0.5 };
static const double unmoved[] = { 1e9 };

static fen_status honest(fen_proposal *p, const fen_fit_prior *prior, fen_tune_report *r)
{
    /* naive Bayes on the same folds: the same procedure with a prior that nothing moves */
    const fen_fit_prior counted = { p, fen_proposal_centre, unmoved, 1 };
    fen_fit_sums none, before, after;
    fen_status st = fen_fit_honest(&p->fit, FEN_FIT_FOLDS, &counted, NULL, &none, &before);
    if (!st)
        st = fen_fit_honest(&p->fit, FEN_FIT_FOLDS, prior, NULL, &none, &after);
    if (st)
        return st;
    r->before = fen_tune_score_of(&before);
    r->after = fen_tune_score_of(&after);
    return FEN_OK;
}

static void count_weights(const fen_proposal *p, const double *w, fen_tune_report *r)
{
    for (uint32_t g = 0; g < p->n_features; g++)
        for (uint32_t c = 0; c < p->n_causes; c++)
            fen_proposal_weight(p, w, g, c) != 0 ? r->weights++ : r->changed++;
}

static fen_status fit_and_write(fen_proposal *p, struct fen_str *out, fen_tune_report *r)
{
    const fen_fit_prior prior = { p, fen_proposal_centre, strengths, FEN_COUNT(strengths) };
    fen_fit_choice choice;
    double *centre = fen_calloc(p->fit.n_params, sizeof *centre), *w = fen_calloc(p->fit.n_params, sizeof *w);
    double *usual = fen_calloc(p->n_features, sizeof *usual);
    fen_status st = centre && w && usual ? honest(p, &prior, r) : FEN_ENOMEM;
    if (!st)
        st = fen_fit_choose(&p->fit, NULL, &prior, &choice);
    if (!st)
        st = fen_proposal_stop(p, &choice, r);
    if (!st) {
        fen_proposal_centre(p, NULL, centre);
        memcpy(w, centre, p->fit.n_params * sizeof *w);
        st = fen_fit_solve(&p->fit, NULL, choice.strength, centre, 1e-9, w, &r->gradient);
    }
    if (!st) {
        r->strength = choice.strength;
        fen_proposal_usual(p, NULL, usual);
        count_weights(p, w, r);
        fen_proposal_write(p, w, usual, r, out);
    }
    fen_free(centre);
    fen_free(w);
    fen_free(usual);
    return st;
}

fen_status fen_propose(const fen_tune_plan *plan, struct fen_str *out, fen_tune_report *ret_report)
{
    fen_table *t = NULL;
    fen_proposal *p = NULL;
    fen_tune_report r = { 0 };
    fen_status st = fen_table_new(&t);
    if (!st)
        st = fen_table_read(t, plan);
    if (!st) {
        r = (fen_tune_report){ .cases = t->cases, .settled = t->rows.count, .broken = t->broken };
        st = fen_proposal_new(t, plan->missing_used, &p);
    }
    if (!st) {
        r.findings = p->findings.count;
        r.left_out = t->columns.count - p->findings.count;
        st = fit_and_write(p, out, &r);
    }
    *ret_report = r;
    fen_proposal_free(p);
    fen_table_free(t);
    return st;
}
