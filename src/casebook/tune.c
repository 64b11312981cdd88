/* tune.c -- settled cases against a base: what fired in each, the fit, and what comes of it.
 *
 * Which rules fire does not depend on weights, so one pass over the cases is
 * enough: each becomes a list of parameters. Workers write these lists as they lie in
 * memory; in order, they are put together.
 */
#include "tune.h"

#include <math.h>
#include <string.h>

#include "tune_score.h"
#include "util/alloc.h"

/* ---- parameters --------------------------------------------------------------------- */

static void number_weights(fen_tuning *t)
{
    uint32_t j = 0;
    for (uint32_t r = 0; r < fen_base_rules(t->base); r++) {
        const fen_rule *rule = fen_base_rule(t->base, r);
        t->first[r] = j;
        for (uint32_t e = 0; e < rule->n_effects; e++)
            if (rule->effects[e].op == FEN_WEIGH) {
                t->cause[j] = rule->effects[e].target;
                t->centre[j++] = (double)rule->effects[e].weight / (double)FEN_DBAN * FEN_NAT;
            }
    }
    t->first[fen_base_rules(t->base)] = j;
    for (uint32_t c = 0; c + 1 < t->n_causes; c++, j++) {
        t->cause[j] = c;
        t->centre[j] = log(fen_base_cause(t->base, c)->usual);
    }
    const double rest = fen_base_cause(t->base, t->n_causes - 1)->usual;
    t->offset[t->n_causes - 1] = rest > 0 ? log(rest) : 0; /* 0: it is never possible */
}

static fen_status begin(fen_tuning *t)
{
    t->n_causes = fen_base_causes(t->base);
    for (uint32_t r = 0; r < fen_base_rules(t->base); r++)
        for (uint32_t e = 0; e < fen_base_rule(t->base, r)->n_effects; e++)
            t->n_weights += fen_base_rule(t->base, r)->effects[e].op == FEN_WEIGH;
    const uint32_t n = t->n_weights + t->n_causes - 1;
    t->first = fen_calloc((size_t)fen_base_rules(t->base) + 1, sizeof *t->first);
    t->cause = fen_calloc((size_t)n + 1, sizeof *t->cause);
    t->offset = fen_calloc(t->n_causes, sizeof *t->offset);
    t->centre = fen_calloc((size_t)n + 1, sizeof *t->centre);
    t->w = fen_calloc((size_t)n + 1, sizeof *t->w);
    if (!t->first || !t->cause || !t->offset || !t->centre || !t->w || !FEN_VEC_PUSH(&t->active_at, 0))
        return FEN_ENOMEM;
    number_weights(t);
    t->fit = (fen_fit){ .n_params = n, .n_causes = t->n_causes, .copies = 1, .cause = t->cause, .offset = t->offset };
    return FEN_OK;
}

static void end(fen_tuning *t)
{
    fen_free(t->first);
    fen_free(t->cause);
    fen_free(t->offset);
    fen_free(t->centre);
    fen_free(t->w);
    FEN_VEC_FREE(&t->active);
    FEN_VEC_FREE(&t->active_at);
    FEN_VEC_FREE(&t->role);
    FEN_VEC_FREE(&t->group);
}

/* ---- cases --------------------------------------------------------------------------- */

typedef struct gathering {
    fen_tuning *t;
    const fen_tune_plan *plan;
    fen_tune_report *report;
    fen_status status;
} gathering;

/* In a worker: the first settled cause, the roles, the parameters. Nothing if the case
 * is not settled. */
static void note_case(void *ctx, fen_judged *j, struct fen_str *out)
{
    const fen_tuning *t = ((const gathering *)ctx)->t;
    if (!j->c || !j->settled.count)
        return;
    const fen_verdict *v = fen_session_verdict(j->session);
    fen_str_put(out, (const char *)&j->settled.at[0], sizeof j->settled.at[0]);
    for (fen_id c = 0; c < t->n_causes; c++) {
        uint8_t role = v->p[c] > 0 ? FEN_ROLE_POSSIBLE : FEN_ROLE_OUT;
        for (uint32_t i = 0; role && i < j->settled.count; i++)
            role = j->settled.at[i] == c ? FEN_ROLE_SETTLED : role;
        fen_str_putc(out, (char)role);
    }
    for (fen_id r = 0; r < fen_base_rules(t->base); r++)
        if (t->first[r] < t->first[r + 1] && fen_session_rule(j->session, r) == FEN_FIRED)
            for (uint32_t w = t->first[r]; w < t->first[r + 1]; w++)
                fen_str_put(out, (const char *)&w, sizeof w);
    for (uint32_t c = 0; c + 1 < t->n_causes; c++) {
        const uint32_t w = t->n_weights + c;
        fen_str_put(out, (const char *)&w, sizeof w);
    }
}

static fen_status take_case(gathering *g, const char *note, size_t len)
{
    fen_tuning *t = g->t;
    uint32_t group;
    const uint8_t *role = (const uint8_t *)note + sizeof group;
    const size_t head = sizeof group + t->n_causes;
    if (!memchr(role, FEN_ROLE_SETTLED, t->n_causes)) {
        g->report->impossible++;
        return FEN_OK;
    }
    memcpy(&group, note, sizeof group);
    const uint32_t n = (uint32_t)((len - head) / sizeof(uint32_t));
    if (!FEN_VEC_ROOM(&t->role, t->n_causes) || !FEN_VEC_ROOM(&t->active, n + 1) || !FEN_VEC_PUSH(&t->group, group) ||
        !FEN_VEC_PUSH(&t->active_at, (size_t)t->active.count + n))
        return FEN_ENOMEM;
    memcpy(t->role.at + t->role.count, role, t->n_causes);
    t->role.count += t->n_causes;
    memcpy(t->active.at + t->active.count, note + head, n * sizeof(uint32_t));
    t->active.count += n;
    g->report->settled++;
    return FEN_OK;
}

static bool take(void *ctx, const fen_part *part)
{
    gathering *g = ctx;
    size_t from = 0;
    g->report->broken += part->unusable;
    if (part->err_len && g->plan->tell)
        g->plan->tell(g->plan->ctx, part->err, part->err_len);
    for (size_t i = 0; i < part->n_marks && !g->status; i++) {
        const size_t len = part->marks[i].out_end - from;
        g->report->broken += part->marks[i].broken;
        g->report->cases += !part->marks[i].broken;
        if (len)
            g->status = take_case(g, part->out + from, len);
        from = part->marks[i].out_end;
    }
    return !g->status;
}

static fen_status gather(fen_tuning *t, const fen_tune_plan *plan, fen_tune_report *report)
{
    gathering g = { t, plan, report, FEN_OK };
    const fen_batch b = { .base = t->base, .today = plan->today, .input = plan->input, .jobs = 1, .ctx = &g, .judge = note_case, .deliver = take };
    const fen_status st = fen_batch_run(&b, plan->paths, plan->n_paths);
    t->fit.n_cases = t->group.count;
    t->fit.active_at = t->active_at.at;
    t->fit.active = t->active.at;
    t->fit.role = t->role.at;
    t->fit.group = t->group.at;
    if (st || g.status)
        return st ? st : g.status;
    return t->fit.n_cases < FEN_TUNE_LEAST ? FEN_EINPUT : FEN_OK;
}

/* ---- the fit ---------------------------------------------------------------------------- */

/* The authored weights, whatever cases are at hand. */
static void authored(void *ctx, const bool *use, double *ret_centre)
{
    const fen_tuning *t = ctx;
    (void)use;
    memcpy(ret_centre, t->centre, t->fit.n_params * sizeof *ret_centre);
}

static const double strengths[] = { 300, 100, 30, 10, 3, 1, 0.3 };

static fen_status fit(fen_tuning *t, fen_tune_report *r)
{
    const fen_fit_prior prior = { t, authored, strengths, FEN_COUNT(strengths) };
    fen_fit_choice choice;
    fen_fit_sums before, after;
    fen_status st = fen_fit_honest(&t->fit, FEN_FIT_FOLDS, &prior, t->centre, &before, &after);
    if (!st)
        st = fen_fit_choose(&t->fit, NULL, &prior, &choice);
    if (st)
        return st;
    r->before = fen_tune_score_of(&before);
    r->after = fen_tune_score_of(&after);
    r->strength = choice.strength;
    memcpy(t->w, t->centre, t->fit.n_params * sizeof *t->w);
    return fen_fit_solve(&t->fit, NULL, choice.strength, t->centre, 1e-9, t->w, &r->gradient);
}

/* ---- what is proposed ---------------------------------------------------------------------- */

bool fen_tuning_weight(const fen_tuning *t, uint32_t j, double *ret_dban)
{
    const double was = t->centre[j] / FEN_NAT, is = round(t->w[j] / FEN_NAT * 10) / 10;
    *ret_dban = fmax(-100, fmin(100, is));
    return fabs(is - was) > 0.1 - 1e-9;
}

bool fen_tuning_rate(const fen_tuning *t, fen_id cause, double *ret_rate)
{
    const double was = fen_base_cause(t->base, cause)->usual;
    const double fitted = cause + 1 < t->n_causes ? t->w[t->n_weights + cause] : log(was);
    *ret_rate = fmin(1, exp(fitted + t->scale));
    return was > 0 && fabs(log(*ret_rate / was)) > 0.1 * FEN_NAT;
}

static void find_scale(fen_tuning *t)
{
    double was = 0, is = fen_base_cause(t->base, t->n_causes - 1)->usual;
    for (fen_id c = 0; c < t->n_causes; c++)
        was += fen_base_cause(t->base, c)->usual;
    for (fen_id c = 0; c + 1 < t->n_causes; c++)
        is += exp(t->w[t->n_weights + c]);
    t->scale = log(was / is);
}

static void write_head(const fen_tune_report *r, fen_str *out)
{
    fen_str_printf(out, "# Fitted to %llu settled cases with a prior of strength ", (unsigned long long)r->settled);
    fen_tune_put_number(out, r->strength, 4);
    fen_str_puts(out, " around the authored weights.\n# On cases that neither the fit nor the choice of that strength has seen:\n");
    fen_tune_put_score(out, "as authored", &r->before);
    fen_tune_put_score(out, "fitted", &r->after);
    if (r->after.log_loss >= r->before.log_loss)
        fen_str_puts(out, "# That is no better: there is no reason to change anything.\n");
    if (r->impossible)
        fen_str_printf(out, "# %llu cases are settled as what the rules exclude, and were left out.\n", (unsigned long long)r->impossible);
    if (r->unplaced)
        fen_str_printf(out, "# %llu changes have no plain place in the files and are not shown.\n", (unsigned long long)r->unplaced);
}

fen_status fen_tune(const fen_base *base, const char *const *packs, size_t n_packs, const fen_tune_plan *plan, struct fen_str *out,
                    fen_tune_report *ret_report)
{
    fen_tuning t = { .base = base };
    fen_tune_report r = { 0 };
    fen_str diff;
    fen_str_init(&diff, (size_t)512 << 20);
    fen_status st = begin(&t);
    if (!st)
        st = gather(&t, plan, &r);
    if (!st)
        st = fit(&t, &r);
    if (!st)
        find_scale(&t);
    if (!st)
        st = fen_tuning_diff(&t, packs, n_packs, &diff, &r);
    if (!st) {
        r.weights = t.n_weights;
        write_head(&r, out);
        fen_str_put(out, diff.at, diff.len);
        st = fen_str_status(&diff);
    }
    fen_str_free(&diff);
    *ret_report = r;
    end(&t);
    return st;
}
