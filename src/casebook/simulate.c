/* simulate.c -- see grade.h. */
#include "grade.h"

static fen_answer answer_of(const fen_case *c, const fen_visit *v, fen_id finding)
{
    const fen_answer unsure = { FEN_UNSURE, 0, 0 };
    if (finding == FEN_KIND_FINDING)
        return c->kind == FEN_NONE ? unsure : (fen_answer){ FEN_KNOWN, UINT64_C(1) << c->kind, 0 };
    for (size_t i = 0; i < v->n_given; i++)
        if (v->given[i].finding == finding)
            return v->given[i].answer;
    return unsure;
}

void fen_simulate(const fen_case *c, size_t visit, fen_session *s, uint32_t *ret_asked, uint32_t *ret_answered)
{
    fen_question q;
    *ret_asked = *ret_answered = 0;
    fen_session_clear(s);
    fen_session_set_today(s, c->visits[visit].date);
    for (;;) {
        fen_session_next_or_stop(s, &q);
        if (q.reason == FEN_ASK_NOTHING || q.finding == FEN_NONE)
            return;
        if (q.finding == FEN_KIND_FINDING && fen_session_given(s, FEN_KIND_FINDING).state != FEN_OPEN) {
            fen_session_skip(s, FEN_KIND_FINDING, true); /* the group is all that was said */
            continue;
        }
        const fen_answer a = answer_of(c, &c->visits[visit], q.finding);
        if (fen_session_answer(s, q.finding, a))
            return; /* never: the case's reader has checked it */
        *ret_asked += 1;
        *ret_answered += a.state == FEN_KNOWN;
    }
}
