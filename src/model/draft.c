#include "draft.h"

#include <assert.h>
#include <math.h>
#include <string.h>

#include "net.h"
#include "util/intern.h"
#include "util/limits.h"

static const fen_settings usual_settings = {
    .stop_level = 0.90, .danger_level = 0.05, .least_worth = 0.01, .effort = { 1, 2, 5, 12 }, .latitude = NAN,
};

fen_draft *fen_draft_new(void)
{
    fen_draft *d = fen_calloc(1, sizeof *d);
    if (!d)
        return NULL;
    d->arena = fen_arena_new();
    if (!d->arena) {
        fen_free(d);
        return NULL;
    }
    d->settings = usual_settings;
    d->something_else = 0.05;
    return d;
}

void fen_draft_free(fen_draft *d)
{
    if (!d)
        return;
    FEN_VEC_FREE(&d->kinds);
    FEN_VEC_FREE(&d->findings);
    FEN_VEC_FREE(&d->tests);
    FEN_VEC_FREE(&d->exprs);
    FEN_VEC_FREE(&d->conds);
    FEN_VEC_FREE(&d->causes);
    FEN_VEC_FREE(&d->hazards);
    FEN_VEC_FREE(&d->rules);
    FEN_VEC_FREE(&d->remedies);
    FEN_VEC_FREE(&d->tasks);
    fen_arena_free(d->arena);
    fen_free(d);
}

fen_status fen_draft_seal_kinds(fen_draft *d)
{
    assert(d->findings.count == 0);
    static const fen_kind plant = { .id = "plant", .name = "plant", .parent = FEN_NONE };
    if (!d->kinds.count && !FEN_VEC_PUSH(&d->kinds, plant))
        return FEN_ENOMEM;
    const uint32_t n = d->kinds.count;
    assert(n <= FEN_OPTIONS_MAX);
    for (uint32_t i = 0; i < n; i++)
        if (d->kinds.at[i].parent != FEN_NONE)
            d->kinds.at[d->kinds.at[i].parent].group = true;
    fen_option *options = fen_arena_zeroed(d->arena, n, sizeof *options);
    if (!options)
        return FEN_ENOMEM;
    for (uint32_t i = 0; i < n; i++) {
        const fen_kind *k = &d->kinds.at[i];
        options[i] = (fen_option){ .id = k->id, .say = k->name, .usual = k->group ? 0 : 1, .words = k->called };
    }
    fen_id zero;
    return fen_draft_finding(d, (fen_finding){
        .id = "kind", .name = "kind of plant", .ask = "What kind of plant is it?", .type = FEN_CHOICE,
        .options = options, .n_options = n, .default_option = FEN_NONE, .ask_when = FEN_NONE,
        .from = -INFINITY, .to = INFINITY, .low = NAN, .middle = NAN, .high = NAN,
    }, &zero);
}

/* A choice's shares sum to one; answers nobody gave a share to get none, unless
 * no answer has one. */
static void scale_usual(fen_option *o, uint32_t n)
{
    double sum = 0;
    for (uint32_t i = 0; i < n; i++)
        sum += o[i].usual;
    for (uint32_t i = 0; i < n; i++)
        o[i].usual = sum > 0 ? o[i].usual / sum : 1.0 / n;
}

fen_status fen_draft_finding(fen_draft *d, fen_finding f, fen_id *ret_finding)
{
    assert(f.n_options <= FEN_OPTIONS_MAX);
    const fen_id id = d->findings.count;
    f.first_atom = d->tests.count;
    if (f.n_options) {
        fen_option *o = fen_arena_copy(d->arena, f.options, f.n_options, sizeof *o);
        if (!o || !FEN_VEC_ROOM(&d->tests, f.n_options))
            return FEN_ENOMEM;
        if (f.type != FEN_SEVERAL)
            scale_usual(o, f.n_options);
        f.options = o;
    }
    if (!FEN_VEC_PUSH(&d->findings, f))
        return FEN_ENOMEM;
    for (uint32_t i = 0; i < f.n_options; i++)
        d->tests.at[d->tests.count++] = (fen_test){ .op = FEN_TEST_ATOM, .finding = id, .option = i, .expr = FEN_NONE };
    *ret_finding = id;
    return FEN_OK;
}

fen_status fen_draft_test(fen_draft *d, fen_test t, fen_id *ret_test)
{
    if (!FEN_VEC_PUSH(&d->tests, t))
        return FEN_ENOMEM;
    *ret_test = d->tests.count - 1;
    return FEN_OK;
}

fen_status fen_draft_expr(fen_draft *d, fen_expr e, fen_id *ret_expr)
{
    assert(e.n_steps <= FEN_EXPR_MAX);
    fen_expr_step *steps = fen_arena_copy(d->arena, e.steps, e.n_steps, sizeof *steps);
    fen_id *ids = fen_arena_take(d->arena, e.n_steps, sizeof *ids);
    if (!steps || !ids)
        return FEN_ENOMEM;
    uint32_t n = 0;
    for (uint32_t i = 0; i < e.n_steps; i++) {
        uint32_t j = 0;
        if (steps[i].op != FEN_EXPR_FINDING)
            continue;
        while (j < n && ids[j] != steps[i].finding)
            j++;
        if (j == n)
            ids[n++] = steps[i].finding;
    }
    e.steps = steps;
    e.findings = (fen_list){ ids, n };
    if (!FEN_VEC_PUSH(&d->exprs, e))
        return FEN_ENOMEM;
    *ret_expr = d->exprs.count - 1;
    return FEN_OK;
}

fen_status fen_draft_cond(fen_draft *d, fen_cond_op op, const fen_id *parts, uint32_t n_parts,
                          fen_id test, const char *text, fen_place place, fen_id *ret_cond)
{
    fen_cond c = { .op = op, .test = op == FEN_COND_TEST ? test : FEN_NONE, .text = text, .place = place };
    if (n_parts) {
        c.parts.at = fen_arena_copy(d->arena, parts, n_parts, sizeof *parts);
        c.parts.count = n_parts;
        if (!c.parts.at)
            return FEN_ENOMEM;
    }
    if (!FEN_VEC_PUSH(&d->conds, c))
        return FEN_ENOMEM;
    *ret_cond = d->conds.count - 1;
    return FEN_OK;
}

/* -- finishing ----------------------------------------------------------- */

static fen_status add_something_else(fen_draft *d)
{
    const fen_cause c = {
        .id = "something-else", .name = "something else",
        .about = "None of the causes that the rules know.", .usual = d->something_else, .deciding = FEN_NONE,
    };
    return FEN_VEC_PUSH(&d->causes, c) ? FEN_OK : FEN_ENOMEM;
}

static fen_weight prior_of(double usual)
{
    return usual > 0 ? (fen_weight)llround(10 * log10(usual) * (double)FEN_DBAN) : FEN_NEVER;
}

/* Rules by cause, as one list each; and no sum of weights may overflow. */
static fen_status index_rules(fen_draft *d, fen_cycle *reterr_cycle)
{
    const uint32_t n = d->causes.count;
    uint32_t *count = fen_calloc(n, sizeof *count);
    double *total = fen_calloc(n, sizeof *total);
    fen_status st = count && total ? FEN_OK : FEN_ENOMEM;
    uint32_t **list = NULL;
    for (uint32_t r = 0; !st && r < d->rules.count; r++)
        for (uint32_t e = 0; e < d->rules.at[r].n_effects; e++) {
            const fen_effect *x = &d->rules.at[r].effects[e];
            if (x->op == FEN_WEIGH || x->op == FEN_EXCLUDE) {
                count[x->target]++;
                total[x->target] += fabs((double)x->weight);
            }
        }
    if (!st && !(list = fen_calloc(n, sizeof *list)))
        st = FEN_ENOMEM;
    for (uint32_t c = 0; !st && c < n; c++) {
        d->causes.at[c].prior = prior_of(d->causes.at[c].usual);
        if (total[c] > (double)(INT64_MAX / 2)) {
            reterr_cycle->overflow_cause = c;
            st = FEN_EINPUT;
        } else if (!(list[c] = fen_arena_take(d->arena, count[c], sizeof *list[c]))) {
            st = FEN_ENOMEM;
        } else {
            d->causes.at[c].rules = (fen_list){ list[c], count[c] };
            count[c] = 0;
        }
    }
    for (uint32_t r = 0; !st && r < d->rules.count; r++)
        for (uint32_t e = 0; e < d->rules.at[r].n_effects; e++) {
            const fen_effect *x = &d->rules.at[r].effects[e];
            if (x->op == FEN_WEIGH || x->op == FEN_EXCLUDE)
                list[x->target][count[x->target]++] = r;
        }
    fen_free(list);
    fen_free(count);
    fen_free(total);
    return st;
}

#define NAMES(index, vec)                                                                           \
    for (uint32_t i = 0; !st && i < (vec).count; i++) {                                             \
        uint32_t id;                                                                                \
        st = fen_intern_add(base->names[index], (vec).at[i].id, strlen((vec).at[i].id), &id);       \
        assert(st || id == i);                                                                      \
    }

static fen_status name_all(fen_draft *d, fen_base *base)
{
    fen_status st = FEN_OK;
    for (size_t i = 0; i < FEN_COUNT(base->names); i++)
        if (!(base->names[i] = fen_intern_new()))
            return FEN_ENOMEM;
    NAMES(0, d->kinds)
    NAMES(1, d->findings)
    NAMES(2, d->causes)
    NAMES(3, d->hazards)
    return st;
}

static fen_status hash_options(fen_base *base, fen_arena *arena)
{
    uint32_t *hash = fen_arena_take(arena, base->n_tests, sizeof *hash);
    for (uint32_t t = 0; hash && t < base->n_tests; t++) {
        const fen_test *test = &base->tests[t];
        const char *id = test->op == FEN_TEST_ATOM ? base->findings[test->finding].options[test->option].id : "";
        hash[t] = fen_intern_hash(id, strlen(id));
    }
    base->option_hash = hash;
    return hash ? FEN_OK : FEN_ENOMEM;
}

#define MOVE(field)                                                                                 \
    base->field = fen_arena_copy(d->arena, d->field.at, d->field.count, sizeof *d->field.at);       \
    base->n_##field = d->field.count;                                                               \
    if (!base->field)                                                                               \
        return FEN_ENOMEM;

static fen_status copy_arrays(fen_draft *d, fen_base *base)
{
    MOVE(kinds)
    MOVE(findings)
    MOVE(tests)
    MOVE(exprs)
    MOVE(conds)
    MOVE(causes)
    MOVE(hazards)
    MOVE(remedies)
    MOVE(tasks)
    return FEN_OK;
}

fen_status fen_draft_finish(fen_draft *d, fen_base **ret_base, fen_cycle *reterr_cycle)
{
    *reterr_cycle = (fen_cycle){ .overflow_cause = FEN_NONE };
    fen_base *base = fen_calloc(1, sizeof *base);
    if (!base)
        return FEN_ENOMEM;
    const uint32_t authored = d->causes.count;
    fen_status st = add_something_else(d);
    if (!st)
        st = index_rules(d, reterr_cycle);
    if (!st)
        st = copy_arrays(d, base);
    if (!st)
        st = name_all(d, base);
    if (!st)
        st = hash_options(base, d->arena);
    if (!st) {
        base->settings = d->settings;
        base->arena = d->arena;
        /* compiling writes the strata into the rules; nobody else sees them yet */
        fen_rule *rules = fen_arena_copy(d->arena, d->rules.at, d->rules.count, sizeof *rules);
        base->rules = rules;
        base->n_rules = d->rules.count;
        st = rules ? fen_net_compile(base, rules, reterr_cycle) : FEN_ENOMEM;
    }
    if (st) {
        d->causes.count = authored;
        base->arena = NULL;
        for (size_t i = 0; i < FEN_COUNT(base->names); i++)
            fen_intern_free(base->names[i]);
        fen_free(base);
        return st;
    }
    d->arena = NULL;
    fen_draft_free(d);
    *ret_base = base;
    return FEN_OK;
}
