#include "fenmend/base.h"

#include <assert.h>
#include <string.h>

#include "net.h"
#include "util/intern.h"

void fen_base_free(fen_base *base)
{
    if (!base)
        return;
    for (size_t i = 0; i < FEN_COUNT(base->names); i++)
        fen_intern_free(base->names[i]);
    fen_arena_free(base->arena);
    fen_free(base);
}

/* One line each: the counts and the items of every array of the base. */
#define ARRAY(count_fn, item_fn, type, field)                                                       \
    uint32_t count_fn(const fen_base *base) { return base->n_##field; }                             \
    const type *item_fn(const fen_base *base, fen_id i)                                             \
    {                                                                                               \
        assert(i < base->n_##field);                                                                \
        return &base->field[i];                                                                     \
    }
#define ITEM(item_fn, type, field)                                                                  \
    const type *item_fn(const fen_base *base, fen_id i)                                             \
    {                                                                                               \
        assert(i < base->n_##field);                                                                \
        return &base->field[i];                                                                     \
    }


ARRAY(fen_base_kinds, fen_base_kind, fen_kind, kinds)
ARRAY(fen_base_findings, fen_base_finding, fen_finding, findings)
ARRAY(fen_base_causes, fen_base_cause, fen_cause, causes)
ARRAY(fen_base_hazards, fen_base_hazard, fen_hazard, hazards)
ARRAY(fen_base_rules, fen_base_rule, fen_rule, rules)
ARRAY(fen_base_remedies, fen_base_remedy, fen_remedy, remedies)
ARRAY(fen_base_tasks, fen_base_task, fen_task, tasks)
ITEM(fen_base_cond, fen_cond, conds)
ITEM(fen_base_test, fen_test, tests)
ITEM(fen_base_expr, fen_expr, exprs)

const fen_settings *fen_base_settings(const fen_base *base)
{
    return &base->settings;
}

static fen_id find_named(const struct fen_intern *names, const char *id, size_t len)
{
    const uint32_t i = fen_intern_find(names, id, len);
    return i == FEN_INTERN_NONE ? FEN_NONE : i;
}

static fen_id find(const struct fen_intern *names, const char *id)
{
    return find_named(names, id, strlen(id));
}

fen_id fen_base_find_kind(const fen_base *base, const char *id) { return find(base->names[0], id); }
fen_id fen_base_find_finding(const fen_base *base, const char *id) { return find(base->names[1], id); }
fen_id fen_base_find_cause(const fen_base *base, const char *id) { return find(base->names[2], id); }
fen_id fen_base_find_hazard(const fen_base *base, const char *id) { return find(base->names[3], id); }

fen_id fen_base_finding_named(const fen_base *base, const char *id, size_t len)
{
    return find_named(base->names[1], id, len);
}

/* A finding's hashes lie side by side, its options and their names do not. */
fen_id fen_base_find_option(const fen_base *base, fen_id finding, const char *id, size_t len)
{
    const fen_finding *f = &base->findings[finding];
    const uint32_t *have = base->option_hash + f->first_atom, hash = fen_intern_hash(id, len);
    for (fen_id o = 0; o < f->n_options; o++)
        if (have[o] == hash && strncmp(f->options[o].id, id, len) == 0 && !f->options[o].id[len])
            return o;
    return FEN_NONE;
}

static uint64_t alone_of(const fen_finding *f)
{
    uint64_t alone = 0;
    for (uint32_t o = 0; o < f->n_options; o++)
        alone |= (uint64_t)f->options[o].alone << o;
    return alone;
}

static bool is_one(uint64_t picks)
{
    return picks && !(picks & (picks - 1));
}

bool fen_finding_fits(const fen_finding *f, uint64_t picks)
{
    const uint64_t all = f->n_options == 64 ? UINT64_MAX : (UINT64_C(1) << f->n_options) - 1;
    if (picks & ~all || (!picks && fen_finding_without(f)))
        return false;
    return is_one(picks) || (f->type == FEN_SEVERAL && !(picks & alone_of(f)));
}

uint64_t fen_finding_with(const fen_finding *f, uint64_t picks, fen_id option)
{
    const uint64_t bit = UINT64_C(1) << option;
    return f->type != FEN_SEVERAL || f->options[option].alone ? bit : (picks & ~alone_of(f)) | bit;
}

uint64_t fen_finding_without(const fen_finding *f)
{
    const uint64_t alone = alone_of(f);
    return is_one(alone) ? alone : 0;
}

/* Seldom asked for, and there may be a hundred thousand: no table is kept. */
fen_id fen_base_find_rule(const fen_base *base, const char *id)
{
    for (fen_id r = 0; r < base->n_rules; r++)
        if (strcmp(base->rules[r].id, id) == 0)
            return r;
    return FEN_NONE;
}

bool fen_base_rule_excludes(const fen_base *base, fen_id rule, fen_id cause)
{
    const fen_rule *r = &base->rules[rule];
    for (uint32_t i = 0; i < r->n_effects; i++)
        if (r->effects[i].op == FEN_EXCLUDE && r->effects[i].target == cause)
            return true;
    return false;
}

fen_weight fen_base_rule_weight(const fen_base *base, fen_id rule, fen_id cause)
{
    const fen_rule *r = &base->rules[rule];
    fen_weight sum = 0;
    for (uint32_t i = 0; i < r->n_effects; i++)
        if (r->effects[i].op == FEN_WEIGH && r->effects[i].target == cause)
            sum += r->effects[i].weight;
    return sum;
}

uint32_t fen_base_kind_choices(const fen_base *base, fen_id within, fen_id out[FEN_KINDS_MAX])
{
    uint32_t n = 0;
    for (fen_id k = 0; k < base->n_kinds; k++) {
        if (base->kinds[k].parent != within)
            continue;
        if (base->kinds[k].group && !base->kinds[k].latin)
            n += fen_base_kind_choices(base, k, out + n); /* the tree has at most 64 kinds */
        else
            out[n++] = k;
    }
    return n;
}

bool fen_base_kind_within(const fen_base *base, fen_id kind, fen_list kinds)
{
    if (!kinds.count)
        return true;
    for (fen_id k = kind; k != FEN_NONE; k = base->kinds[k].parent)
        for (uint32_t i = 0; i < kinds.count; i++)
            if (kinds.at[i] == k)
                return true;
    return false;
}
