/* lines.c -- which rules can need several answers before they fire.
 *
 * Rules on several findings do, and rules on one that makes sense to ask only after
 * another. What a rule that speaks of no cause would tell is nothing.
 */
#include "net.h"

static bool speaks_of_causes(const fen_rule *r)
{
    for (uint32_t i = 0; i < r->n_effects; i++)
        if (r->effects[i].op == FEN_WEIGH || r->effects[i].op == FEN_EXCLUDE)
            return true;
    return false;
}

typedef struct line_walk {
    const fen_base *base;
    fen_id finding; /* the one finding asked, FEN_NONE before the first */
    bool one;       /* so far no other, and nothing derived or summed */
} line_walk;

static void walk_line(void *ctx, fen_id test, bool negated)
{
    line_walk *w = ctx;
    const fen_test *t = &w->base->tests[test];
    (void)negated;
    if (t->op == FEN_TEST_EXPR || w->base->findings[t->finding].derived)
        w->one = false;
    else if (t->finding != FEN_KIND_FINDING && w->finding == FEN_NONE)
        w->finding = t->finding;
    else if (t->finding != w->finding)
        w->one = false;
}

static fen_id line_of(const fen_base *base, const fen_rule *rule)
{
    line_walk w = { base, FEN_NONE, true };
    fen_cond_walk(base, rule->cond, false, walk_line, &w);
    const bool two = !w.one || (w.finding != FEN_NONE && base->findings[w.finding].ask_when != FEN_NONE);
    return !two || !speaks_of_causes(rule) ? FEN_NO_LINE : w.one ? w.finding : FEN_NONE;
}

fen_status fen_lines_find(fen_base *base)
{
    fen_id *line = fen_arena_take(base->arena, base->n_rules, sizeof *line);
    if (!line)
        return FEN_ENOMEM;
    for (fen_id r = 0; r < base->n_rules; r++)
        line[r] = line_of(base, &base->rules[r]);
    base->net.line = line;
    return FEN_OK;
}
