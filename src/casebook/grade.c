/* grade.c -- see grade.h; the sums over many are score.c's.
 */
#include "grade.h"

#include <math.h>

#include "stats.h"

static bool is_in(fen_list list, fen_id id)
{
    for (uint32_t i = 0; i < list.count; i++)
        if (list.at[i] == id)
            return true;
    return false;
}

static double p_of(const fen_verdict *v, fen_list causes)
{
    double p = 0;
    for (uint32_t i = 0; i < causes.count; i++)
        p += v->p[causes.at[i]];
    return p;
}

static uint32_t rank_of(const fen_verdict *v, fen_list settled)
{
    for (uint32_t i = 0; i < v->ranking.count; i++)
        if (is_in(settled, v->ranking.at[i]))
            return i + 1;
    return 0;
}

/* The settled cause that stands for the case where only one can. The ranking is by chance,
 * ties by id, so its first is the likeliest. */
static fen_id stand_in(const fen_verdict *v, fen_list settled, uint32_t rank)
{
    if (rank)
        return v->ranking.at[rank - 1];
    fen_id first = settled.at[0];
    for (uint32_t i = 1; i < settled.count; i++)
        first = settled.at[i] < first ? settled.at[i] : first;
    return first;
}

static bool is_urgent(const fen_base *base, fen_list causes)
{
    for (uint32_t i = 0; i < causes.count; i++)
        if (fen_base_cause(base, causes.at[i])->urgency >= FEN_DAYS)
            return true;
    return false;
}

static fen_id leader(const fen_verdict *v)
{
    return v->ranking.count ? v->ranking.at[0] : FEN_NONE;
}

void fen_grade_case(const fen_case *c, fen_list settled, fen_session *s, fen_session *user, fen_grade *ret)
{
    const fen_verdict *v = fen_session_verdict(s);
    fen_grade g = { .settled = settled.count > 0, .was = FEN_NONE, .judged = leader(v), .found = FEN_NONE };
    if (g.settled) {
        g.rank = rank_of(v, settled);
        g.was = stand_in(v, settled, g.rank);
        g.p = p_of(v, settled);
        g.p_top = g.judged == FEN_NONE ? 0 : v->p[g.judged];
        g.brier = fen_brier(v->p, fen_base_causes(fen_session_base(s)), settled.at, settled.count);
        g.log_loss = fen_log_loss(g.p);
        g.urgent = is_urgent(fen_session_base(s), settled);
        g.missed = g.urgent && v->urgency == FEN_NO_URGENCY;
        g.late = g.urgent && v->urgency == FEN_WEEKS;
        fen_simulate(c, c->n_visits - 1, user, &g.asked, &g.answered);
        g.found = leader(fen_session_verdict(user));
        g.right_when_asked = is_in(settled, g.found);
    }
    *ret = g;
}
