/* vet_whole.c -- what a cause, hazard or rule should have beside what it must have:
 * evidence on both sides, a finding that decides and that rules look at, something to
 * do, a source.
 */
#include "vet_deep.h"

typedef struct heard { /* by cause: is there evidence for it, against it; is its deciding finding looked at */
    uint8_t *against, *decided;
} heard;

/* Does TEST look at FINDING, be it through what rules derive (one step)? */
static bool looks_at(const fen_base *base, fen_id test, fen_id finding)
{
    const fen_test *t = &base->tests[test];
    if (t->op != FEN_TEST_EXPR)
        return t->finding == finding;
    for (uint32_t i = 0; i < base->exprs[t->expr].findings.count; i++)
        if (base->exprs[t->expr].findings.at[i] == finding)
            return true;
    return false;
}

static bool cond_looks(const fen_base *base, fen_id cond, fen_id finding, unsigned depth);

/* A derived finding tells of what the rules look at that set it. */
static bool derived_looks(const fen_base *base, fen_id test, fen_id finding, unsigned depth)
{
    const fen_test *t = &base->tests[test];
    if (!depth || t->op == FEN_TEST_EXPR || !base->findings[t->finding].derived)
        return false;
    const fen_finding *d = &base->findings[t->finding];
    for (uint32_t o = 0; o < d->n_options; o++)
        for (uint32_t i = base->net.sets_at[d->first_atom + o]; i < base->net.sets_at[d->first_atom + o + 1]; i++)
            if (cond_looks(base, base->rules[base->net.sets[i]].cond, finding, depth - 1))
                return true;
    return false;
}

static bool cond_looks(const fen_base *base, fen_id cond, fen_id finding, unsigned depth)
{
    if (cond == FEN_NONE)
        return false;
    const fen_cond *c = &base->conds[cond];
    if (c->op == FEN_COND_TEST)
        return looks_at(base, c->test, finding) || derived_looks(base, c->test, finding, depth);
    for (uint32_t i = 0; i < c->parts.count; i++)
        if (cond_looks(base, c->parts.at[i], finding, depth))
            return true;
    return false;
}

static void listen(const fen_base *base, const heard *h)
{
    for (fen_id r = 0; r < base->n_rules; r++)
        for (uint32_t e = 0; e < base->rules[r].n_effects; e++) {
            const fen_effect *x = &base->rules[r].effects[e];
            if (x->op != FEN_WEIGH && x->op != FEN_EXCLUDE)
                continue;
            if (x->op == FEN_EXCLUDE || x->weight < 0)
                h->against[x->target] = 1;
            const fen_id deciding = base->causes[x->target].deciding;
            if (deciding != FEN_NONE && !h->decided[x->target])
                h->decided[x->target] = cond_looks(base, base->rules[r].cond, deciding, 2);
        }
}

static void tell_cause(fen_vetting *v, fen_id i, const heard *h)
{
    const fen_cause *c = &v->base->causes[i];
    if (!h->against[i])
        fen_vet_tell(v, FEN_CODE_NONE_AGAINST, c->place, "say which answer speaks against it", "no rule speaks against the cause '%s'", c->id);
    if (c->deciding == FEN_NONE)
        fen_vet_tell(v, FEN_CODE_NO_DECIDING, c->place, "add a line 'deciding: FINDING'", "no finding decides on the cause '%s'", c->id);
    else if (!h->decided[i])
        fen_vet_tell(v, FEN_CODE_NO_DECIDING, c->place, "add a rule that does, or name another finding",
                     "'%s' is to decide on '%s', but no rule for or against it looks at that finding", v->base->findings[c->deciding].id, c->id);
    if (!c->remedies.count)
        fen_vet_tell(v, FEN_CODE_NO_REMEDY, c->place, c->harmless ? "say in a remedy what is better left alone" : "say in a remedy what to do",
                     "no remedy is for the cause '%s'", c->id);
}

static void tell_rest(fen_vetting *v)
{
    const fen_base *b = v->base;
    for (fen_id i = 0; i < b->n_hazards; i++)
        if (!b->hazards[i].remedies.count)
            fen_vet_tell(v, FEN_CODE_NO_REMEDY, b->hazards[i].place, "say in a remedy what to do", "no remedy is for the hazard '%s'", b->hazards[i].id);
    for (fen_id i = 0; i < b->n_rules; i++)
        if (!b->rules[i].source)
            fen_vet_tell(v, FEN_CODE_NO_SOURCE, b->rules[i].place, "add a line 'source: ...', if only 'common practice, no source'",
                         "the rule '%s' does not say where it comes from", b->rules[i].id);
}

void fen_vet_whole(fen_vetting *v)
{
    const uint32_t n = v->base->n_causes;
    uint8_t *all = fen_arena_zeroed(v->arena, (size_t)n * 2, 1);
    if (!all) {
        v->nomem = true;
        return;
    }
    const heard h = { all, all + n };
    listen(v->base, &h);
    for (fen_id i = 0; i + 1 < n; i++) /* the last is something-else */
        tell_cause(v, i, &h);
    tell_rest(v);
}
