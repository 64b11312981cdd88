/* session.c -- making a session, and its door: every change comes in here.
 */
#include "fenmend/session.h"

#include <assert.h>
#include <math.h>
#include <stdalign.h>
#include <stdint.h>
#include <string.h>

#include "scratch.h"
#include "util/limits.h"

#define FEN_FRESH_MAX ((size_t)256 << 10) /* more is copied only when sixty answers are taken back at once */

/* -- memory: one block, laid out twice with the same code ------------------ */

typedef struct layout {
    unsigned char *block; /* NULL while only measuring */
    size_t used;
    bool overflow;
} layout;

static void *lay(layout *l, size_t count, size_t size)
{
    const size_t align = alignof(max_align_t);
    if (size && count > (SIZE_MAX / 4 - l->used) / size) {
        l->overflow = true;
        return NULL;
    }
    void *p = l->block ? l->block + l->used : NULL;
    l->used += (count * size + align - 1) / align * align;
    return p;
}

#define LAY(field, n) ((field) = lay(l, (n), sizeof *(field)))

static void lay_state(layout *l, fen_session *s)
{
    const fen_base *b = s->base;
    const fen_net *net = &b->net;
    const size_t from = l->used;
    LAY(s->given, b->n_findings);
    LAY(s->skipped, b->n_findings);
    LAY(s->truth, b->n_tests);
    LAY(s->left, net->n_nodes);
    LAY(s->score, b->n_causes);
    LAY(s->excluded, b->n_causes);
    LAY(s->raised, b->n_hazards);
    s->plain_size = l->used - from;
    LAY(s->rule, b->n_rules);
    LAY(s->atom, net->n_atoms);
    s->fresh_size = l->used - from;
    s->fresh = s->fresh_size <= FEN_FRESH_MAX ? lay(l, s->fresh_size, 1) : NULL;
    LAY(s->log, b->n_rules);
    LAY(s->set_by, b->n_findings);
    LAY(s->ready, b->n_rules);
    LAY(s->fire_head, net->n_strata);
    LAY(s->unfire_head, net->n_strata);
    LAY(s->settle_head, net->n_strata);
    LAY(s->settle_next, b->n_findings);
    LAY(s->in_settle, b->n_findings);
    LAY(s->again_next, net->n_atoms);
    LAY(s->again_head, net->n_strata);
    LAY(s->pending, (net->n_strata + 63) / 64);
    LAY(s->touched, b->n_causes);
    LAY(s->is_touched, b->n_causes);
}

static void lay_scratch(layout *l, const fen_base *b, struct fen_scratch *x)
{
    uint32_t all_answers = 0;
    LAY(x->listing, b->n_findings);
    for (fen_id f = 0; f < b->n_findings; f++) {
        const uint32_t most = fen_most_answers(b, f);
        x->max_answers = most > x->max_answers ? most : x->max_answers;
        if (l->block)
            x->listing[f].at = all_answers;
        all_answers += most;
    }
    x->words = (b->net.n_signs + 63) / 64;
    x->words = x->words ? x->words : 1;
    LAY(x->p, b->n_causes);
    LAY(x->score0, b->n_causes);
    LAY(x->out0, b->n_causes);
    LAY(x->excluded0, b->n_causes);
    LAY(x->applies, b->n_causes);
    LAY(x->ranking, b->n_causes);
    LAY(x->sorted[0], fen_ranking_room(b->n_causes));
    LAY(x->sorted[1], fen_ranking_room(b->n_causes));
    LAY(x->odds, FEN_ODDS);
    LAY(x->possible, all_answers);
    LAY(x->held, FEN_PEEK_MAX);
    LAY(x->reached, FEN_PEEK_MAX);
    LAY(x->change, b->n_causes);
    LAY(x->change_out, b->n_causes);
    LAY(x->hit, b->n_causes);
    LAY(x->is_hit, b->n_causes);
    LAY(x->heard, b->n_rules);
    LAY(x->is_told, b->n_findings);
    LAY(x->parts, b->net.n_nodes);
    LAY(x->shift, (size_t)b->n_causes + FEN_SHIFTS_KEPT);
    LAY(x->ends, x->max_answers + 1);
    LAY(x->norm, b->n_causes);
    LAY(x->moved, b->n_causes);
    LAY(x->told, b->n_causes);
    LAY(x->causes, b->n_causes);
    LAY(x->by, b->n_causes);
    LAY(x->phi, b->n_causes);
    LAY(x->unpacked, b->n_causes);
    LAY(x->share, b->n_causes);
    LAY(x->askable, b->n_findings);
    LAY(x->most, b->n_findings);
    LAY(x->gain, b->n_findings);
    LAY(x->cuts, x->max_answers);
    LAY(x->plan_finding, FEN_PLAN_MAX);
    LAY(x->plan_answer, FEN_PLAN_MAX);
    LAY(x->plan_usual, FEN_PLAN_MAX);
    LAY(x->chosen, 2 * (size_t)b->n_tests);
    LAY(x->plan_at, FEN_PLAN_MAX);
    LAY(x->outlook_of, b->n_findings);
    LAY(x->lines, b->n_rules);
    x->max_companions = 16 * (b->n_rules < FEN_COMPANION_RULES ? b->n_rules : FEN_COMPANION_RULES);
    LAY(x->companions, x->max_companions);
    LAY(x->by_rule, b->n_rules);
    LAY(x->by_finding, b->n_findings);
    LAY(x->limits, b->n_causes);
    LAY(x->present, b->net.n_signs);
    LAY(x->sign_at, b->n_tests);
    LAY(x->coverers, b->net.n_signs);
    LAY(x->cover_by, b->n_causes);
    LAY(x->accounts, (size_t)b->n_causes * x->words);
    LAY(x->need, x->words);
    LAY(x->have, x->words);
    LAY(x->levels, (size_t)x->words * (FEN_COVER_MAX + 1));
    LAY(x->trying, FEN_COVER_MAX + 1);
    LAY(x->best, FEN_COVER_MAX + 1);
    LAY(x->shown, FEN_COVER_MAX + 2);
    LAY(x->rule_seen, b->n_rules);
    LAY(x->rule_stack, b->n_rules);
    LAY(x->unexplained, b->net.n_signs);
    LAY(x->hazards, b->n_hazards);
    LAY(x->clashes, b->n_findings);
}

static void lay_memory(layout *l, const fen_base *b, struct fen_memory *m)
{
    fen_memory_size(b, m);
    LAY(m->of, (size_t)m->n_kinds * b->n_findings);
    LAY(m->shifts, m->room);
    LAY(m->causes, m->room / FEN_SHIFTS_A_CAUSE);
    LAY(m->by, m->room / FEN_SHIFTS_A_CAUSE);
    LAY(m->told, m->room / FEN_SHIFTS_A_CAUSE);
    LAY(m->odds, (size_t)1 << FEN_ODDS_BITS);
    LAY(m->odds_at, FEN_ODDS_SLOTS);
    LAY(m->ends, m->room / FEN_SHIFTS_AN_END);
    LAY(m->doubts, m->max_doubts);
    LAY(m->variants, m->room / FEN_SHIFTS_A_VARIANT);
}

static void lay_all(layout *l, fen_session *s)
{
    s->scratch = lay(l, 1, sizeof *s->scratch);
    struct fen_scratch measured = { 0 };
    lay_state(l, s);
    lay_scratch(l, s->base, s->scratch ? s->scratch : &measured);
    lay_memory(l, s->base, s->scratch ? &s->scratch->memory : &measured.memory);
}

/* -- its life -------------------------------------------------------------- */

/* With one kind of plant in the base there is nothing to ask about it. */
static fen_answer first_answer(const fen_session *s, fen_id finding)
{
    const fen_id only = s->base->net.only_kind;
    const bool preset = finding == FEN_KIND_FINDING && only != FEN_NONE;
    return preset ? (fen_answer){ FEN_KNOWN, UINT64_C(1) << only, 0 } : (fen_answer){ 0 };
}

static void take_all_back(fen_session *s)
{
    for (fen_id f = s->base->n_findings; f-- > 0;) { /* the kind last: it is dear to change under others */
        const fen_answer a = first_answer(s, f);
        if (s->given[f].state != FEN_OPEN || a.state != FEN_OPEN)
            fen_chain_answer(s, f, a);
        s->skipped[f] = false;
    }
}

static void keep_fresh(fen_session *s)
{
    s->n_log_fresh = s->n_log;
    if (s->fresh)
        memcpy((void *)(uintptr_t)s->fresh, s->given, s->fresh_size);
}

fen_status fen_session_new(const fen_base *base, int32_t today, fen_session **ret_session)
{
    fen_session *s = fen_calloc(1, sizeof *s);
    if (!s)
        return FEN_ENOMEM;
    s->base = base;
    s->today = today;
    layout l = { 0 };
    lay_all(&l, s);
    s->block = l.overflow ? NULL : fen_calloc(1, l.used);
    if (!s->block) {
        fen_free(s);
        return FEN_ENOMEM;
    }
    l = (layout){ .block = s->block };
    lay_all(&l, s);
    for (uint32_t i = 0; i < FEN_ODDS; i++)
        s->scratch->odds[i].factor = 1; /* of weight 0 */
    struct fen_scratch *x = s->scratch;
    memset(x->out0, true, base->n_causes * sizeof *x->out0); /* until they are weighed */
    x->worked_out = (fen_outlook){ .causes = x->causes, .by = x->by, .told = x->phi, .shift = x->shift, .ends = x->ends };
    fen_chain_start(s);
    take_all_back(s);
    keep_fresh(s);
    *ret_session = s;
    return FEN_OK;
}

void fen_session_free(fen_session *s)
{
    if (!s)
        return;
    fen_free(s->block);
    fen_free(s);
}

const fen_base *fen_session_base(const fen_session *s) { return s->base; }
int32_t fen_session_today(const fen_session *s) { return s->today; }

/* Only what looks at a date's age can change. */
void fen_session_set_today(fen_session *s, int32_t today)
{
    if (s->today == today)
        return;
    s->today = today;
    for (fen_id f = 0; s->n_given && f < s->base->n_findings; f++)
        if (s->base->findings[f].type == FEN_DATE && s->given[f].state == FEN_KNOWN) {
            assert(s->given[f].value <= today);
            fen_chain_answer(s, f, s->given[f]);
        }
    s->scratch->weighed = s->scratch->judged = false;
}

/* -- answers --------------------------------------------------------------- */

fen_status fen_session_answer(fen_session *s, fen_id finding, fen_answer answer)
{
    if (!fen_answer_fits(s, finding, &answer))
        return FEN_EINPUT;
    fen_chain_answer(s, finding, answer);
    s->scratch->weighed = s->scratch->judged = false;
    return FEN_OK;
}

fen_status fen_session_answer_all(fen_session *s, const fen_given *given, size_t n)
{
    for (size_t i = 0; i < n; i++)
        if (!fen_answer_fits(s, given[i].finding, &given[i].answer))
            return FEN_EINPUT;
    fen_chain_answer_all(s, given, n);
    s->scratch->weighed = s->scratch->judged = false;
    return FEN_OK;
}

fen_answer fen_session_given(const fen_session *s, fen_id finding)
{
    return s->given[finding];
}

/* To take an answer back costs about as much as to copy four thousand bytes. */
static bool is_copying_cheaper(const fen_session *s)
{
    const size_t n = s->n_given + (s->given[FEN_KIND_FINDING].state != FEN_OPEN);
    return s->fresh && n * 4096 >= s->plain_size;
}

void fen_session_clear(fen_session *s)
{
    if (is_copying_cheaper(s))
        fen_chain_set_back(s);
    else
        take_all_back(s);
    s->scratch->weighed = s->scratch->judged = false;
}

void fen_session_skip(fen_session *s, fen_id finding, bool skip)
{
    s->skipped[finding] = skip;
}

bool fen_session_skipped(const fen_session *s, fen_id finding)
{
    return s->skipped[finding];
}

void fen_new_stamp(fen_session *s)
{
    struct fen_scratch *x = s->scratch;
    if (!++x->stamp) { /* after four thousand million of them */
        memset(x->rule_seen, 0, s->base->n_rules * sizeof *x->rule_seen);
        x->stamp = 1;
    }
}

/* -- reading --------------------------------------------------------------- */

fen_truth fen_session_test(const fen_session *s, fen_id test)
{
    return fen_truth_now(s, test);
}

fen_truth fen_session_cond(const fen_session *s, fen_id cond)
{
    if (cond == FEN_NONE)
        return 1;
    const fen_cond *c = &s->base->conds[cond];
    if (c->op == FEN_COND_TEST)
        return fen_truth_now(s, c->test);
    const bool any = c->op != FEN_COND_ALL; /* none: not any */
    fen_truth t = any ? -1 : 1;
    for (uint32_t i = 0; i < c->parts.count && t != (any ? 1 : -1); i++) {
        const fen_truth p = fen_session_cond(s, c->parts.at[i]);
        if (any ? p > t : p < t)
            t = p;
    }
    return c->op == FEN_COND_NONE ? (fen_truth)-t : t;
}

fen_firing fen_session_rule(const fen_session *s, fen_id rule)
{
    if (s->rule[rule].fired)
        return FEN_FIRED;
    if (s->left[rule] <= 0)
        return FEN_BEATEN;
    const fen_truth kinds = fen_truth_of_kinds(s, s->base->rules[rule].kinds);
    const fen_truth cond = fen_session_cond(s, s->base->rules[rule].cond);
    return kinds < 0 || cond < 0 ? FEN_REFUTED : FEN_PENDING;
}

uint64_t fen_session_derived(const fen_session *s, fen_id finding, bool *ret_default)
{
    const fen_finding *f = &s->base->findings[finding];
    uint64_t picks = 0;
    *ret_default = f->derived && !fen_values_on(s, finding) && f->default_option != FEN_NONE;
    for (uint32_t o = 0; o < f->n_options; o++)
        if (fen_truth_now(s, f->first_atom + o) > 0)
            picks |= UINT64_C(1) << o;
    return picks;
}

bool fen_session_applies(const fen_session *s, fen_id finding)
{
    return (s->base->net.finding_kinds[finding] & fen_kinds_now(s)) != 0;
}

bool fen_session_cause_applies(const fen_session *s, fen_id cause)
{
    return (s->base->net.cause_kinds[cause] & fen_kinds_now(s)) != 0;
}

bool fen_session_askable(const fen_session *s, fen_id finding)
{
    const fen_finding *f = &s->base->findings[finding];
    return !f->derived && s->given[finding].state == FEN_OPEN && fen_session_applies(s, finding) &&
           fen_session_cond(s, f->ask_when) > 0;
}
