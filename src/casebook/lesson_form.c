/* lesson_form.c -- weights that put the true cause ahead: computed, not guessed.
 *
 * A score is a sum, so what a rule must move is known before it is written: how far each
 * cause is ahead of the true one, and a margin. Weights are whole numbers of dBan,
 * rounded up; or tenths, and a hair for a margin, where the least is asked for.
 *
 * An exception goes over the rule that misled and says again what else that said. Of one that says
 * much else it would be a copy: there it stands beside the rule, in the same place, and says the
 * difference.
 */
#include <string.h>

#include "lesson_own.h"

/* ---- what misled ------------------------------------------------------------------------- */

static fen_weight for_the_wrong(const fen_lesson *l, fen_id rule)
{
    const fen_weight wrong = fen_base_rule_weight(l->set.base, rule, l->wrong), right = fen_base_rule_weight(l->set.base, rule, l->right);
    return (wrong > 0 ? wrong : 0) - (right < 0 ? right : 0);
}

uint32_t fen_lesson_misled(const fen_lesson *l, fen_id *ret, uint32_t most)
{
    uint32_t n = 0;
    for (fen_id r = 0; r < fen_base_rules(l->set.base); r++) {
        const fen_weight w = for_the_wrong(l, r);
        if (w <= 0 || fen_session_rule(l->session, r) != FEN_FIRED)
            continue;
        uint32_t at = n < most ? n++ : most;
        for (; at && for_the_wrong(l, ret[at - 1]) < w; at--)
            if (at < most)
                ret[at] = ret[at - 1];
        if (at < most)
            ret[at] = r;
    }
    return n;
}

/* ---- how far ------------------------------------------------------------------------------ */

static fen_weight margin_of(const fen_sketch *s)
{
    return s->light ? FEN_LESSON_HAIR : FEN_LESSON_MARGIN;
}

static fen_weight rounded_up(const fen_sketch *s, fen_weight w)
{
    const fen_weight unit = s->light ? FEN_DBAN / 10 : FEN_DBAN;
    return (w + unit - 1) / unit * unit;
}

static fen_lesson_move *move_of(fen_sketch *s, fen_id cause, fen_weight before)
{
    for (uint32_t i = 0; i < s->n_moves; i++)
        if (s->moves[i].cause == cause)
            return &s->moves[i];
    if (s->n_moves == FEN_LESSON_MOVES)
        return NULL;
    s->moves[s->n_moves] = (fen_lesson_move){ cause, before, before };
    return &s->moves[s->n_moves++];
}

/* The score of CAUSE with the moves so far. */
static fen_weight score_of(const fen_lesson *l, const fen_sketch *s, fen_id cause)
{
    fen_weight score = fen_session_verdict(l->session)->score[cause];
    for (uint32_t i = 0; i < s->n_moves; i++)
        if (s->moves[i].cause == cause)
            score += s->moves[i].after - s->moves[i].before;
    return score;
}

/* What the true cause lacks to be ahead of CAUSE; 0 or less: nothing. One that was behind it
 * already is none of this lesson's business. */
static fen_weight lacks(const fen_lesson *l, const fen_sketch *s, fen_id cause)
{
    const fen_weight apart = score_of(l, s, cause) - score_of(l, s, l->right);
    const fen_weight *before = fen_session_verdict(l->session)->score;
    return before[cause] >= before[l->right] || apart >= 0 ? apart + margin_of(s) : apart;
}

static bool is_rival(const fen_lesson *l, fen_id cause)
{
    return cause != l->right && fen_session_verdict(l->session)->p[cause] > 0;
}

static fen_weight most_lacking(const fen_lesson *l, const fen_sketch *s)
{
    fen_weight most = 0;
    for (fen_id c = 0; c < fen_base_causes(l->set.base); c++)
        if (is_rival(l, c) && lacks(l, s, c) > most)
            most = lacks(l, s, c);
    return most;
}

static bool is_nameless(const fen_lesson *l, fen_id cause)
{
    return cause == fen_base_causes(l->set.base) - 1; /* "something else": no evidence speaks for it */
}

/* Raise the true cause over all that is ahead. */
static bool raise(const fen_lesson *l, fen_sketch *s, fen_weight before)
{
    const fen_weight lack = most_lacking(l, s);
    if (lack <= 0)
        return true;
    fen_lesson_move *m = is_nameless(l, l->right) ? NULL : move_of(s, l->right, before);
    if (!m)
        return false;
    m->after += rounded_up(s, lack);
    return (s->adds ? m->after - m->before : m->after) <= FEN_LESSON_WEIGHT_MAX;
}

/* Lower each that is ahead. */
static bool lower_all(const fen_lesson *l, fen_sketch *s)
{
    for (fen_id c = 0; c < fen_base_causes(l->set.base); c++) {
        const fen_weight lack = is_rival(l, c) ? lacks(l, s, c) : 0;
        if (lack <= 0)
            continue;
        fen_lesson_move *m = is_nameless(l, c) ? NULL : move_of(s, c, 0);
        if (!m)
            return false;
        m->after -= rounded_up(s, lack);
        if (m->after < -FEN_LESSON_WEIGHT_MAX)
            return false;
    }
    return true;
}

/* ---- in place of rules, or beside them --------------------------------------------------------- */

static fen_weight sum_over(const fen_lesson *l, const fen_sketch *s, fen_id cause)
{
    fen_weight sum = 0;
    for (uint32_t i = 0; i < s->n_misled; i++)
        sum += fen_base_rule_weight(l->set.base, s->misled[i], cause);
    return sum;
}

/* First less of what misled, as little as does; then more for the true cause. */
static bool bend(const fen_lesson *l, fen_sketch *s)
{
    const fen_weight wrong = sum_over(l, s, l->wrong), right = sum_over(l, s, l->right);
    if (s->form == FEN_LESSON_WEIGHT && right > 0 && wrong <= 0)
        return raise(l, s, right);
    fen_weight lack = rounded_up(s, most_lacking(l, s));
    if (wrong > 0 && lack > 0) {
        fen_lesson_move *m = move_of(s, l->wrong, wrong);
        const fen_weight own = lacks(l, s, l->wrong) > 0 ? rounded_up(s, lacks(l, s, l->wrong)) : 0;
        if (!m)
            return false;
        m->after -= own < wrong ? own : wrong;
        lack = rounded_up(s, most_lacking(l, s));
    }
    if (right < 0 && lack > 0) {
        fen_lesson_move *m = move_of(s, l->right, right);
        if (!m)
            return false;
        m->after += lack < -right ? lack : -right;
    }
    return raise(l, s, right);
}

/* A rule that is gone over must not have what cannot be said again in one rule. */
static bool can_stand_in(const fen_lesson *l, const fen_sketch *s)
{
    const fen_base *base = l->set.base;
    for (uint32_t i = 1; i < s->n_misled; i++) {
        const fen_list a = fen_base_rule(base, s->misled[0])->kinds, b = fen_base_rule(base, s->misled[i])->kinds;
        if (a.count != b.count || (a.count && memcmp(a.at, b.at, a.count * sizeof *a.at) != 0))
            return false;
        for (uint32_t e = 0; e < fen_base_rule(base, s->misled[i])->n_effects; e++)
            if (fen_base_rule(base, s->misled[i])->effects[e].op == FEN_DERIVE)
                return false;
    }
    return true;
}

/* One line said again is still read at a glance. With two the copy is longer than the
 * difference, and each line of it goes stale when the rule it was copied from is mended. */
static bool says_much_else(const fen_lesson *l, const fen_sketch *s)
{
    enum { FEW = 1 };
    uint32_t n = 0;
    for (uint32_t i = 0; i < s->n_misled; i++) {
        const fen_rule *r = fen_base_rule(l->set.base, s->misled[i]);
        for (uint32_t e = 0; e < r->n_effects; e++)
            n += r->effects[e].op != FEN_WEIGH || (r->effects[e].target != l->wrong && r->effects[e].target != l->right);
    }
    return n > FEW;
}

/* The difference: less for what was ahead if the rule spoke for it and that alone does it, else more
 * for the true cause; one line either way. */
static bool add_to(const fen_lesson *l, fen_sketch *s)
{
    const fen_weight wrong = sum_over(l, s, l->wrong), own = l->wrong == FEN_NONE ? 0 : rounded_up(s, lacks(l, s, l->wrong));
    if (own > 0 && own <= wrong) {
        move_of(s, l->wrong, wrong)->after -= own;
        if (most_lacking(l, s) <= 0)
            return true;
        s->n_moves = 0;
    }
    return raise(l, s, sum_over(l, s, l->right));
}

static bool excludes_the_true(const fen_lesson *l, const fen_sketch *s)
{
    for (uint32_t i = 0; i < s->n_misled; i++)
        if (fen_base_rule_excludes(l->set.base, s->misled[i], l->right))
            return true;
    return false;
}

static bool mend(const fen_lesson *l, fen_sketch *s)
{
    const bool excluded = excludes_the_true(l, s);
    s->adds = !excluded && says_much_else(l, s);
    if (s->adds)
        return fen_session_verdict(l->session)->p[l->right] > 0 && add_to(l, s) && s->n_moves;
    return can_stand_in(l, s) && bend(l, s) && (excluded || s->n_moves);
}

bool fen_lesson_weigh(const fen_lesson *l, fen_sketch *s)
{
    s->n_moves = 0;
    switch (s->form) {
    case FEN_LESSON_FOR:
        return fen_session_verdict(l->session)->p[l->right] > 0 && raise(l, s, 0) && s->n_moves;
    case FEN_LESSON_AGAINST:
        return fen_session_verdict(l->session)->p[l->right] > 0 && lower_all(l, s) && s->n_moves;
    case FEN_LESSON_EXCEPTION:
    case FEN_LESSON_WEIGHT:
        return mend(l, s);
    }
    return false;
}
