#include "vet.h"

#include <stdio.h>
#include <string.h>

#include "util/limits.h"
#include "util/str.h"

void fen_vet_go_to(fen_loader *l, fen_part part, uint32_t i)
{
    l->source = l->files.at[l->part[part].items.at[i].file].source;
}

static bool walk_test(const fen_draft *d, fen_id cond, bool (*f)(void *, fen_id, fen_id), void *ctx)
{
    const fen_test *t = &d->tests.at[d->conds.at[cond].test];
    if (t->op != FEN_TEST_EXPR)
        return f(ctx, t->finding, cond);
    const fen_list in = d->exprs.at[t->expr].findings;
    for (uint32_t i = 0; i < in.count; i++)
        if (!f(ctx, in.at[i], cond))
            return false;
    return true;
}

bool fen_vet_walk(const fen_draft *d, fen_id cond, bool (*f)(void *ctx, fen_id finding, fen_id cond), void *ctx)
{
    if (cond == FEN_NONE)
        return true;
    const fen_cond *c = &d->conds.at[cond];
    if (c->op == FEN_COND_TEST)
        return walk_test(d, cond, f, ctx);
    for (uint32_t i = 0; i < c->parts.count; i++)
        if (!fen_vet_walk(d, c->parts.at[i], f, ctx))
            return false;
    return true;
}

/* ---- what could not be finished ---- */

/* "'a' waits for 'b' waits for 'a'": every rule of the cycle, the first again. */
static void tell_rules(fen_loader *l, const fen_list rules)
{
    fen_str s;
    fen_str_init(&s, FEN_SCALAR_MAX);
    for (uint32_t i = 0; i <= rules.count; i++)
        fen_str_printf(&s, "%s'%s'", i ? " waits for " : "", l->draft->rules.at[rules.at[i % rules.count]].id);
    const fen_status st = fen_str_status(&s);
    fen_vet_go_to(l, FEN_PART_RULES, rules.at[0]);
    fen_loader_error(l, FEN_CODE_CYCLE, l->draft->rules.at[rules.at[0]].place,
                     "take out one 'over', 'none' or 'default' among them", "rules depend on their own absence: %s",
                     st ? "too many to name" : s.at);
    fen_str_free(&s);
}

void fen_vet_cycle(fen_loader *l, const fen_cycle *cycle)
{
    if (cycle->rules.count) {
        tell_rules(l, cycle->rules);
    } else if (cycle->too_many_strata) {
        fen_place nowhere = { 0, 0, 0, 1 };
        if (l->files.count)
            nowhere.file = l->files.at[0].source->file;
        fen_problems_add(l->problems, FEN_ERROR, FEN_CODE_TOO_LARGE, nowhere, NULL, "let fewer rules wait for each other",
                         "rules wait for each other more than %u deep", FEN_STRATA_MAX);
    } else if (cycle->overflow_cause != FEN_NONE) {
        const fen_cause *c = &l->draft->causes.at[cycle->overflow_cause];
        fen_vet_go_to(l, FEN_PART_CAUSES, cycle->overflow_cause);
        fen_loader_error(l, FEN_CODE_TOO_LARGE, c->place, "use fewer rules or smaller weights",
                         "all weights for '%s' together are too large to add up", c->id);
    }
}

/* ---- what is idle ---- */

typedef struct uses { /* by id: 1 if something looks at it, raises it, sets it, speaks for it */
    uint8_t *finding, *set, *hazard, *cause;
} uses;

static void count_effects(const fen_draft *d, const uses *u)
{
    for (uint32_t r = 0; r < d->rules.count; r++) {
        for (uint32_t e = 0; e < d->rules.at[r].n_effects; e++) {
            const fen_effect *x = &d->rules.at[r].effects[e];
            if (x->op == FEN_DERIVE)
                u->set[d->tests.at[x->target].finding] = 1;
            else if (x->op == FEN_RAISE)
                u->hazard[x->target] = 1;
            else if (x->op == FEN_WEIGH && x->weight > 0)
                u->cause[x->target] = 1;
        }
    }
}

/* Every condition of the draft belongs to something, so all tests count. */
static void count_tests(const fen_draft *d, const uses *u)
{
    for (uint32_t i = 0; i < d->conds.count; i++) {
        if (d->conds.at[i].op != FEN_COND_TEST)
            continue;
        const fen_test *t = &d->tests.at[d->conds.at[i].test];
        if (t->op != FEN_TEST_EXPR)
            u->finding[t->finding] = 1;
        for (uint32_t k = 0; t->op == FEN_TEST_EXPR && k < d->exprs.at[t->expr].findings.count; k++)
            u->finding[d->exprs.at[t->expr].findings.at[k]] = 1;
    }
}

static void count_amount(const fen_amount *a, const uses *u)
{
    for (uint32_t i = 0; i < a->n_bindings; i++) {
        if (a->bindings[i].op == FEN_BIND_FINDING)
            u->finding[a->bindings[i].finding] = 1;
        else if (a->bindings[i].op == FEN_BIND_AMOUNT)
            count_amount(a->bindings[i].amount, u);
    }
}

/* Plans look at findings too: for their amounts, at a later visit, for a date. */
static void count_plans(const fen_draft *d, const uses *u)
{
    for (uint32_t r = 0; r < d->remedies.count; r++) {
        const fen_remedy *remedy = &d->remedies.at[r];
        for (uint32_t i = 0; i < remedy->n_steps; i++)
            if (remedy->steps[i].amount)
                count_amount(remedy->steps[i].amount, u);
        for (uint32_t i = 0; i < remedy->n_look; i++)
            u->finding[remedy->look[i].finding] = 1;
    }
    for (uint32_t i = 0; i < d->tasks.count; i++)
        if (d->tasks.at[i].since != FEN_NONE)
            u->finding[d->tasks.at[i].since] = 1;
}

static void tell_findings(fen_loader *l, const uses *u)
{
    for (uint32_t i = 1; i < l->draft->findings.count; i++) {
        const fen_finding *f = &l->draft->findings.at[i];
        fen_vet_go_to(l, FEN_PART_FINDINGS, i - 1);
        if (!u->finding[i])
            fen_loader_warn(l, FEN_CODE_NEVER, f->place, "use it in the 'when' of a rule, or leave it out",
                            "no condition looks at the finding '%s'", f->id);
        else if (f->derived && !u->set[i])
            fen_loader_warn(l, FEN_CODE_NEVER, f->place, "set it in the 'then' of a rule, or leave it out",
                            "no rule sets the derived finding '%s'", f->id);
    }
}

static void tell_targets(fen_loader *l, const uses *u)
{
    for (uint32_t i = 0; i < l->draft->hazards.count; i++) {
        fen_vet_go_to(l, FEN_PART_HAZARDS, i);
        if (!u->hazard[i])
            fen_loader_warn(l, FEN_CODE_NEVER, l->draft->hazards.at[i].place, "raise it in the 'then' of a rule, or leave it out",
                            "no rule raises the hazard '%s'", l->draft->hazards.at[i].id);
    }
    for (uint32_t i = 0; i < l->draft->causes.count; i++) {
        fen_vet_go_to(l, FEN_PART_CAUSES, i);
        if (!u->cause[i])
            fen_loader_warn(l, FEN_CODE_NEVER, l->draft->causes.at[i].place, "add a rule with evidence for it, or leave it out",
                            "no rule speaks for the cause '%s'", l->draft->causes.at[i].id);
    }
}

static void tell_idle(fen_loader *l)
{
    const fen_draft *d = l->draft;
    const uint32_t n = d->findings.count;
    uint8_t *all = fen_calloc((size_t)n * 2 + d->hazards.count + d->causes.count, 1);
    if (!all) {
        fen_loader_nomem(l);
        return;
    }
    const uses u = { all, all + n, all + 2 * (size_t)n, all + 2 * (size_t)n + d->hazards.count };
    count_effects(d, &u);
    count_tests(d, &u);
    count_plans(d, &u);
    tell_findings(l, &u);
    tell_targets(l, &u);
    fen_free(all);
}

/* ---- who is never asked ---- */

typedef struct kinds_of {
    fen_loader *l;
    uint64_t kinds; /* of what the condition belongs to */
} kinds_of;

static bool tell_stranger(void *ctx, fen_id finding, fen_id cond)
{
    kinds_of *k = ctx;
    const fen_finding *f = &k->l->draft->findings.at[finding];
    if (!(fen_loader_kinds(k->l, f->kinds) & k->kinds))
        fen_loader_warn(k->l, FEN_CODE_NEVER, k->l->draft->conds.at[cond].place, "correct 'kinds' here or there",
                        "'%s' is never asked of the kinds that this is about", f->id);
    return true;
}

static void tell_strangers(fen_loader *l)
{
    kinds_of k = { l, 0 };
    for (uint32_t i = 0; i < l->draft->rules.count; i++) {
        const fen_rule *r = &l->draft->rules.at[i];
        if (!r->kinds.count)
            continue;
        fen_vet_go_to(l, FEN_PART_RULES, i);
        k.kinds = fen_loader_kinds(l, r->kinds);
        (void)fen_vet_walk(l->draft, r->cond, tell_stranger, &k);
    }
    for (uint32_t i = 1; i < l->draft->findings.count; i++) {
        const fen_finding *f = &l->draft->findings.at[i];
        if (f->ask_when == FEN_NONE || !f->kinds.count)
            continue;
        fen_vet_go_to(l, FEN_PART_FINDINGS, i - 1);
        k.kinds = fen_loader_kinds(l, f->kinds);
        (void)fen_vet_walk(l->draft, f->ask_when, tell_stranger, &k);
    }
}

void fen_vet_draft(fen_loader *l)
{
    tell_idle(l);
    tell_strangers(l);
    fen_vet_asking(l);
}
