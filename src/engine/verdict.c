/* verdict.c -- everything that can be read off the present answers.
 */
#include <assert.h>

#include "scratch.h"

/* A cause this likely counts for the urgency of the whole, whatever ranks first; so do
 * causes that are this likely together, though none of them is alone. Rot, mites and thirst
 * at a tenth each are a danger that nobody may call harmless. */
#define WORTH_WORRY 0.15
#define WORTH_WORRY_TOGETHER 0.25
/* A leading cause this likely is acted upon though something else accounts for the signs. */
#define LIKELIER_THAN_NOT 0.5

static void raise_urgency(fen_verdict *v, fen_urgency u)
{
    if (u > v->urgency)
        v->urgency = u;
}

/* The covering set is in order of rank: if the leading cause is in it, it comes first. */
static void list_shown(fen_session *s)
{
    struct fen_scratch *x = s->scratch;
    fen_verdict *v = &x->verdict;
    v->shown = v->held = v->covering;
    if (!x->n_ranking || (v->covering.count && v->covering.at[0] == x->ranking[0]))
        return;
    x->shown[0] = x->ranking[0];
    for (uint32_t i = 0; i < v->covering.count; i++)
        x->shown[i + 1] = v->covering.at[i];
    v->shown = (fen_list){ x->shown, v->covering.count + 1 };
    if (x->p[x->ranking[0]] >= LIKELIER_THAN_NOT)
        v->held = v->shown;
}

static void list_hazards(fen_session *s)
{
    struct fen_scratch *x = s->scratch;
    uint32_t n = 0;
    for (fen_id h = 0; h < s->base->n_hazards; h++)
        if (s->raised[h]) {
            x->hazards[n++] = h;
            raise_urgency(&x->verdict, s->base->hazards[h].urgency);
        }
    x->verdict.hazards = (fen_list){ x->hazards, n };
}

/* Could so much more make any of them worth a worry? Sums are off by far less than a millionth. */
static bool could_matter(const double together[FEN_HOURS + 1], double rest)
{
    bool could = rest > WORTH_WORRY - 1e-6;
    for (unsigned u = 1; u <= FEN_HOURS; u++)
        could |= (together[u] < WORTH_WORRY_TOGETHER) & (together[u] + rest > WORTH_WORRY_TOGETHER - 1e-6);
    return could;
}

static void add_causes(fen_session *s)
{
    struct fen_scratch *x = s->scratch;
    const fen_cause *causes = s->base->causes;
    double together[FEN_HOURS + 1] = { 0 }; /* of all that are at least as urgent */
    double rest = 1;
    for (uint32_t i = 0; i < x->n_ranking && could_matter(together, rest); i++) {
        const fen_id c = x->ranking[i];
        if (!i || x->p[c] >= WORTH_WORRY)
            raise_urgency(&x->verdict, causes[c].urgency);
        for (unsigned u = 1; u <= (unsigned)causes[c].urgency; u++)
            together[u] += x->p[c];
        rest -= x->p[c];
    }
    for (unsigned u = 1; u <= FEN_HOURS; u++)
        if (together[u] >= WORTH_WORRY_TOGETHER)
            raise_urgency(&x->verdict, (fen_urgency)u);
}

static void list_clashes(fen_session *s)
{
    struct fen_scratch *x = s->scratch;
    const fen_list single = s->base->net.single;
    uint32_t n = 0;
    for (uint32_t i = 0; i < single.count; i++)
        if (fen_values_on(s, single.at[i]) > 1)
            x->clashes[n++] = single.at[i];
    x->verdict.clashes = (fen_list){ x->clashes, n };
}

const fen_verdict *fen_session_verdict(fen_session *s)
{
    struct fen_scratch *x = s->scratch;
    fen_verdict *v = &x->verdict;
    if (x->judged)
        return v;
    fen_weigh(s);
    *v = (fen_verdict){ .p = x->p, .score = s->score, .ranking = { x->ranking, x->n_ranking } };
    fen_cover(s);
    list_shown(s);
    list_hazards(s);
    list_clashes(s);
    for (uint32_t i = 0; i < v->covering.count; i++)
        raise_urgency(v, s->base->causes[v->covering.at[i]].urgency);
    v->blank = !s->n_given;
    if (!v->blank)
        add_causes(s);
    x->judged = true;
    return v;
}

bool fen_session_accounts(const fen_session *cs, fen_id cause, fen_id atom)
{
    const struct fen_scratch *x = cs->scratch;
    assert(x->judged); /* asked about a verdict that is at hand */
    for (uint32_t i = 0; i < x->n_present; i++)
        if (x->present[i] == atom)
            return x->accounts[(size_t)cause * x->words_present + i / 64] >> (i % 64) & 1;
    return false;
}
