/* outlook.c -- what each answer of an open finding would do, and remembering it.
 *
 * What the answers of a finding do is the same for every plant of the kind for which
 * its doubts (doubts.c) stand the same. So it is worked out once (partial evaluation by
 * the kind) and kept with the norms that go with it, once for each such row of bits.
 * Where there is none, the answers are looked at anew, by the same peek that filled the
 * memory.
 *
 * The memory has a fixed size, given when the session is made; when it is full
 * it is emptied. What is remembered is what would be worked out, to the bit.
 */
#include <assert.h>
#include <string.h>

#include "scratch.h"

/* -- the memory ------------------------------------------------------------- */

/* The kind's answer, as a number: what is remembered holds for one. */
static uint32_t kind_now(const fen_session *s)
{
    const fen_answer *a = &s->given[FEN_KIND_FINDING];
    return a->state == FEN_KNOWN ? (uint32_t)__builtin_ctzll(a->picks) : s->base->n_kinds + (a->state == FEN_UNSURE);
}

static memory_of *memory_at(fen_session *s, fen_id finding, uint32_t kind)
{
    struct fen_memory *m = &s->scratch->memory;
    return &m->of[(size_t)(kind % m->n_kinds) * s->base->n_findings + finding];
}

void fen_memory_size(const fen_base *base, struct fen_memory *ret)
{
    size_t effects = 0;
    for (fen_id r = 0; r < base->n_rules; r++)
        effects += base->rules[r].n_effects;
    const size_t most = 96 * effects + 4096, slots = FEN_MEMORY_SLOTS / base->n_findings;
    ret->n_kinds = slots < 1 ? 1 : slots < base->n_kinds + 2 ? (uint32_t)slots : base->n_kinds + 2;
    ret->room = most < FEN_MEMORY_SHIFTS ? (uint32_t)most : FEN_MEMORY_SHIFTS;
    const size_t doubts = 12 * (size_t)base->n_rules + 4096;
    ret->max_doubts = doubts < FEN_MEMORY_DOUBTS ? (uint32_t)doubts : FEN_MEMORY_DOUBTS;
}

static void forget_all(fen_session *s)
{
    struct fen_memory *m = &s->scratch->memory;
    memset(m->of, 0, (size_t)m->n_kinds * s->base->n_findings * sizeof *m->of);
    memset(s->scratch->outlook_of, 0, s->base->n_findings * sizeof *s->scratch->outlook_of);
    memset(m->odds_at, 0, FEN_ODDS_SLOTS * sizeof *m->odds_at);
    m->n_shifts = m->n_causes = m->n_ends = m->n_doubts = m->n_variants = m->n_odds = 0;
}

/* -- packing ------------------------------------------------------------------ */

/* Where among the odds met those of H are; false: there is no room for more. */
static bool find_odds(struct fen_memory *m, const fen_shift *h, uint32_t *ret)
{
    uint64_t bits;
    memcpy(&bits, &h->factor, sizeof bits);
    uint32_t slot = (uint32_t)(bits * UINT64_C(0x9E3779B97F4A7C15) >> (63 - FEN_ODDS_BITS));
    for (; m->odds_at[slot]; slot = (slot + 1) % FEN_ODDS_SLOTS) {
        const struct odds_met *o = &m->odds[m->odds_at[slot] - 1];
        *ret = m->odds_at[slot] - 1u;
        if (o->factor == h->factor && o->log == h->log)
            return true;
    }
    if (m->n_odds == 1u << FEN_ODDS_BITS)
        return false;
    *ret = m->n_odds;
    m->odds[m->n_odds++] = (struct odds_met){ h->factor, h->log };
    m->odds_at[slot] = (uint16_t)m->n_odds;
    return true;
}

/* SHIFTS to the end of what is remembered; false: there is no room. */
static bool pack(struct fen_memory *m, const fen_shift *shift, uint32_t n)
{
    for (uint32_t i = 0; i < n; i++) {
        uint32_t at;
        if (!find_odds(m, &shift[i], &at))
            return false;
        m->shifts[m->n_shifts + i] = shift[i].cause << FEN_ODDS_BITS | at;
    }
    return true;
}

static fen_shifts unpack(struct fen_scratch *x, const packed_shift *packed, uint32_t n)
{
    for (uint32_t i = 0; i < n; i++) {
        const struct odds_met *met = &x->memory.odds[packed[i] & ((1u << FEN_ODDS_BITS) - 1)];
        x->unpacked[i] = (fen_shift){ .cause = packed[i] >> FEN_ODDS_BITS, .factor = met->factor, .log = met->log };
    }
    return (fen_shifts){ x->unpacked, n };
}

/* -- working it out --------------------------------------------------------- */

/* Keep, per cause, the sum over the answers of usual * factor: P(answer | cause)
 * is usual * factor divided by it. Sums differ from 1 only for what is shifted; the
 * share of the answers that leave a cause alone is added at the end, so that a
 * cause that no answer leaves possible has a sum of exactly 0. */
static void add_norms(struct fen_scratch *x, double usual, fen_shifts shifts)
{
    for (uint32_t i = 0; i < shifts.n; i++) {
        const fen_id c = shifts.at[i].cause;
        if (!x->is_hit[c]) {
            x->is_hit[c] = true;
            x->causes[x->worked_out.n_causes++] = c;
            x->norm[c] = x->moved[c] = x->told[c] = 0;
        }
        x->told[c] += usual * fen_phi(shifts.at[i].factor, shifts.at[i].log);
        x->norm[c] += usual * shifts.at[i].factor;
        x->moved[c] += usual;
    }
}

static void finish_norms(struct fen_scratch *x)
{
    x->worked_out.most_by = 1;
    for (uint32_t i = 0; i < x->worked_out.n_causes; i++) {
        const fen_id c = x->causes[i];
        const double rest = 1 - x->moved[c];
        const double norm = x->norm[c] + (rest > 1e-12 ? rest : 0); /* shares sum to 1 only within rounding */
        x->by[i] = norm > 0 ? 1 / norm : 0;
        x->phi[i] = x->told[c];
        if (x->by[i] > x->worked_out.most_by)
            x->worked_out.most_by = x->by[i];
        x->is_hit[c] = false;
    }
}

/* Side by side as far as there is room; what has none is looked at again when its
 * turn comes. LASTS: nothing but the kind and the doubts had a part in it. */
static bool look(fen_session *s, fen_id finding)
{
    struct fen_scratch *x = s->scratch;
    uint32_t at = 0;
    bool lasts = true;
    x->worked_out.n_causes = 0;
    x->ends[0] = 0;
    for (uint32_t i = 0; i < x->n_answers; i++) {
        const possible *p = &x->answers[i];
        const fen_shifts shifts = { x->shift + at, fen_peek(s, &finding, &p->answer, 1, x->shift + at, &lasts) };
        if (at + shifts.n <= FEN_SHIFTS_KEPT)
            at += shifts.n;
        else
            lasts = false;
        x->ends[i + 1] = at;
    }
    for (uint32_t i = 0; i < x->n_answers; i++)
        if (x->answers[i].usual > 0)
            add_norms(x, x->answers[i].usual, fen_outlook_shifts(s, finding, &x->worked_out, i));
    finish_norms(x);
    return lasts;
}

fen_shifts fen_outlook_shifts(fen_session *s, fen_id finding, const fen_outlook *o, uint32_t i)
{
    struct fen_scratch *x = s->scratch;
    const uint32_t at = o->ends[i], n = o->ends[i + 1] - at;
    fen_shift *spare = x->shift + FEN_SHIFTS_KEPT;
    bool ignored;
    if (o->packed)
        return unpack(x, o->packed + at, n);
    if (n || o != &x->worked_out || at + s->base->n_causes <= FEN_SHIFTS_KEPT)
        return (fen_shifts){ o->shift + at, n };
    return (fen_shifts){ spare, fen_peek(s, &finding, &x->answers[i].answer, 1, spare, &ignored) };
}

/* -- remembering ------------------------------------------------------------ */

/* What has just been worked out; NULL: there is no room. */
static const variant *remember(fen_session *s, memory_of *o, uint64_t bits, bool lasts)
{
    struct fen_scratch *x = s->scratch;
    struct fen_memory *m = &x->memory;
    const uint32_t n = x->n_answers, n_shifts = x->ends[n], n_causes = x->worked_out.n_causes;
    if (n_shifts > m->room - m->n_shifts || n_causes > m->room / FEN_SHIFTS_A_CAUSE - m->n_causes ||
        n + 1 > m->room / FEN_SHIFTS_AN_END - m->n_ends || m->n_variants == m->room / FEN_SHIFTS_A_VARIANT)
        return NULL;
    lasts = lasts && pack(m, x->shift, n_shifts); /* a base may have more odds than that, but then others are few */
    variant *v = &m->variants[m->n_variants++];
    *v = (variant){ .bits = bits, .n_answers = n, .lasts = lasts, .next = o->first };
    o->first = m->n_variants;
    if (!lasts)
        return v;
    v->outlook = (fen_outlook){ .causes = m->causes + m->n_causes, .by = m->by + m->n_causes, .told = m->told + m->n_causes,
                                .n_causes = n_causes, .most_by = x->worked_out.most_by, .packed = m->shifts + m->n_shifts,
                                .ends = m->ends + m->n_ends };
    memcpy(m->causes + m->n_causes, x->causes, n_causes * sizeof *m->causes);
    memcpy(m->by + m->n_causes, x->by, n_causes * sizeof *m->by);
    memcpy(m->told + m->n_causes, x->phi, n_causes * sizeof *m->told);
    memcpy(m->ends + m->n_ends, x->ends, ((size_t)n + 1) * sizeof *m->ends);
    m->n_causes += n_causes;
    m->n_shifts += n_shifts;
    m->n_ends += n + 1;
    return v;
}

static const variant *find_variant(const fen_session *s, const memory_of *o, uint64_t bits)
{
    const variant *all = s->scratch->memory.variants;
    for (uint32_t i = o->first; i; i = all[i - 1].next)
        if (all[i - 1].bits == bits && all[i - 1].n_answers == s->scratch->n_answers)
            return &all[i - 1];
    return NULL;
}

/* Where the answers are remembered, if they could be. */
static memory_of *find_memory(fen_session *s, fen_id finding)
{
    const uint32_t kind = kind_now(s);
    memory_of *o = memory_at(s, finding, kind);
    if (finding == FEN_KIND_FINDING || s->given[finding].state != FEN_OPEN || !s->scratch->listing[finding].lasts)
        return NULL;
    if (o->known && o->kind == kind)
        return o;
    *o = (memory_of){ .known = true, .kind = kind };
    if (fen_doubts_list(s, o, finding))
        return o;
    forget_all(s);
    return NULL;
}

const fen_outlook *fen_outlook_of(fen_session *s, fen_id finding)
{
    struct fen_scratch *x = s->scratch;
    uint64_t bits = 0;
    fen_list_answers(s, finding);
    memory_of *o = find_memory(s, finding);
    const bool settled = o && fen_doubts_settle(s, o, &bits);
    const variant *v = settled ? find_variant(s, o, bits) : NULL;
    if (v && v->lasts) {
        x->n_remembered++;
        return &v->outlook;
    }
    const bool lasts = look(s, finding);
    if (settled && !v) {
        v = remember(s, o, bits, lasts);
        if (!v)
            forget_all(s);
    }
    return v && v->lasts ? &v->outlook : &x->worked_out;
}
