/* vet_conditions.c -- conditions, and parts of them, that no set of answers makes
 * true, or that every answer makes true; and rules that wait for a question which
 * their own condition keeps from being asked.
 */
#include <string.h>

#include "vet_deep.h"

static const char *sentence(const fen_base *base, fen_id cond)
{
    return base->conds[cond].text ? base->conds[cond].text : "this condition";
}

#define SENTENCE(v, cond) FEN_QUOTE(sentence((v)->base, (cond)), strlen(sentence((v)->base, (cond))))
#define MARK(v, cond) ((v)->base->conds[cond].text ? "'" : "")

/* A single comparison is judged while it is read. */
static bool told_already(const fen_vetting *v, fen_id cond)
{
    const fen_cond *c = &v->base->conds[cond];
    return c->op == FEN_COND_TEST && v->base->tests[c->test].op == FEN_TEST_RANGE;
}

static bool tell_if_never(fen_vetting *v, fen_id cond, bool negated)
{
    const fen_region r = fen_region_of(&v->boxes, cond, negated);
    if (!r.whole || r.n)
        return false;
    if (!told_already(v, cond))
        fen_vet_tell(v, negated ? FEN_CODE_ALWAYS_TRUE : FEN_CODE_NEVER_TRUE, v->base->conds[cond].place,
                     negated ? "leave it out, or name the answers that matter" : "correct the answers or thresholds that exclude each other",
                     "%s%.*s%s %s", MARK(v, cond), SENTENCE(v, cond), MARK(v, cond),
                     negated ? "holds for every answer" : "holds for no answer");
    return true;
}

/* The smallest part that is at fault is told, and what it spoils is not. */
static bool walk(fen_vetting *v, fen_id cond)
{
    const fen_list parts = v->base->conds[cond].parts;
    bool told = false;
    for (uint32_t i = 0; i < parts.count; i++)
        told |= walk(v, parts.at[i]);
    return told || tell_if_never(v, cond, false) || tell_if_never(v, cond, true);
}

/* ---- questions that the rule itself keeps away ---- */

static bool can_be_asked(fen_vetting *v, const fen_box *box, fen_id finding)
{
    const fen_id when = v->base->findings[finding].ask_when;
    if (when == FEN_NONE)
        return true;
    const fen_region asked = fen_region_of(&v->boxes, when, false);
    for (uint32_t i = 0; i < asked.n; i++)
        if (fen_box_meets(&v->boxes, box, &asked.at[i]))
            return true;
    return !asked.whole || !asked.n; /* that it is never asked is told where it stands */
}

static fen_id never_asked(fen_vetting *v, const fen_box *box)
{
    for (uint32_t i = 0; i < box->n; i++)
        if (box->at[i].var < v->base->n_findings && box->at[i].states == FEN_IS_KNOWN && !can_be_asked(v, box, box->at[i].var))
            return box->at[i].var;
    return FEN_NONE;
}

static void tell_unasked(fen_vetting *v, fen_id rule)
{
    const fen_region r = v->rule[rule];
    fen_id f = FEN_NONE;
    if (!r.whole || !r.n)
        return;
    for (uint32_t i = 0; i < r.n; i++)
        if ((f = never_asked(v, &r.at[i])) == FEN_NONE)
            return;
    fen_vet_tell(v, FEN_CODE_NOT_ASKED, v->base->rules[rule].place, "correct the rule, or the 'ask when' of the finding",
                 "the rule '%s' needs '%s', which is not asked for the answers that the rule is about", v->base->rules[rule].id,
                 v->base->findings[f].id);
}

static void walk_if(fen_vetting *v, fen_id cond)
{
    if (cond != FEN_NONE && !v->nomem)
        (void)walk(v, cond);
}

void fen_vet_conditions(fen_vetting *v)
{
    const fen_base *b = v->base;
    for (fen_id r = 0; r < b->n_rules; r++) {
        walk_if(v, b->rules[r].cond);
        tell_unasked(v, r);
    }
    for (fen_id f = 0; f < b->n_findings; f++)
        walk_if(v, b->findings[f].ask_when);
    for (fen_id r = 0; r < b->n_remedies; r++)
        for (uint32_t i = 0; i < b->remedies[r].n_steps; i++)
            walk_if(v, b->remedies[r].steps[i].when);
    for (fen_id t = 0; t < b->n_tasks; t++)
        walk_if(v, b->tasks[t].when);
}
