/* snapshot.c -- see snapshot.h. Padding is zeroed by field-wise copying into a
 * cleared struct, so that memcmp is a fair comparison of its members.
 */
#include "support/snapshot.h"

#include <string.h>

static void copy_list(fen_list from, snap_list *ret)
{
    ret->count = from.count;
    for (uint32_t i = 0; i < from.count && i < RB_FINDINGS * RB_OPTIONS; i++)
        ret->at[i] = from.at[i];
}

static void copy_answer(fen_answer from, fen_answer *ret)
{
    ret->state = from.state;
    ret->picks = from.picks;
    ret->value = from.value;
}

static void copy_question(fen_session *s, fen_question *ret)
{
    fen_question q;
    fen_session_next(s, &q);
    ret->finding = q.finding;
    ret->reason = q.reason;
    ret->cause = q.cause;
    ret->rule = q.rule;
    ret->gain = q.gain;
    ret->worth = q.worth;
    ret->stop = q.stop;
}

static void copy_findings(const rb_base *b, fen_session *s, bool gains, snapshot *ret)
{
    const fen_base *base = fen_session_base(s);
    for (fen_id f = 0; f < (fen_id)b->n_findings; f++) {
        const fen_finding *x = fen_base_finding(base, f);
        if (x->derived) {
            bool is_default = false;
            ret->derived[f] = fen_session_derived(s, f, &is_default);
            ret->is_default[f] = is_default;
        }
        for (uint32_t o = 0; o < x->n_options; o++)
            ret->atom[f][o] = fen_session_test(s, x->first_atom + o);
        ret->askable[f] = fen_session_askable(s, f);
        copy_answer(fen_session_given(s, f), &ret->given[f]);
        if (gains)
            ret->gain[f] = fen_session_gain(s, f);
    }
}

static void copy_verdict(const rb_base *b, fen_session *s, snapshot *ret)
{
    const fen_verdict *v = fen_session_verdict(s);
    for (int c = 0; c <= b->n_causes; c++) {
        ret->p[c] = v->p[c];
        ret->score[c] = v->score[c];
    }
    copy_list(v->ranking, &ret->ranking);
    copy_list(v->signs, &ret->signs);
    copy_list(v->covering, &ret->covering);
    copy_list(v->unexplained, &ret->unexplained);
    copy_list(v->hazards, &ret->hazards);
    copy_list(v->clashes, &ret->clashes);
    ret->urgency = v->urgency;
    ret->covering_exact = v->covering_exact;
    for (int c = 0; c < b->n_causes; c++)
        for (uint32_t i = 0; i < v->signs.count; i++)
            ret->accounts[c][i] = fen_session_accounts(s, (fen_id)c, v->signs.at[i]);
}

void snap_take(const rb_base *b, fen_session *s, bool gains, snapshot *ret)
{
    memset(ret, 0, sizeof *ret);
    for (int i = 0; i < b->n_rules; i++)
        ret->rule[i] = fen_session_rule(s, (fen_id)i);
    copy_findings(b, s, gains, ret);
    copy_verdict(b, s, ret);
    copy_question(s, &ret->next);
}

#define DIFFERS(field, what)                                                                                                                \
    if (memcmp(&a->field, &b->field, sizeof a->field) != 0)                                                                                 \
        return what;

const char *snap_differs(const snapshot *a, const snapshot *b)
{
    DIFFERS(given, "the answers")
    DIFFERS(rule, "which rules fire")
    DIFFERS(derived, "the derived findings")
    DIFFERS(is_default, "which findings are at their default")
    DIFFERS(atom, "the truth of an answer")
    DIFFERS(askable, "what can be asked")
    DIFFERS(score, "a score")
    DIFFERS(p, "a probability")
    DIFFERS(ranking, "the ranking")
    DIFFERS(signs, "the signs present")
    DIFFERS(accounts, "what a cause accounts for")
    DIFFERS(covering, "the covering set")
    DIFFERS(unexplained, "the unexplained signs")
    DIFFERS(hazards, "the hazards")
    DIFFERS(clashes, "the clashes")
    DIFFERS(urgency, "the urgency")
    DIFFERS(covering_exact, "whether the covering is exact")
    DIFFERS(gain, "an expected gain")
    DIFFERS(next, "the next question")
    return NULL;
}
