/* case.c -- a case in memory: who owns it, into a session and out of one.
 */
#include "fenmend/case.h"

#include <assert.h>
#include <math.h>
#include <string.h>

#include "case_own.h"
#include "util/limits.h"
#include "util/utf8.h"

typedef struct owned_case {
    fen_case c; /* first, so that a fen_case * is an owned_case * */
    fen_arena *arena;
} owned_case;

fen_case *fen_case_own(fen_arena *arena, const fen_case *c)
{
    owned_case *o = fen_arena_take(arena, 1, sizeof *o);
    if (!o) {
        fen_arena_free(arena);
        return NULL;
    }
    o->c = *c;
    o->arena = arena;
    return &o->c;
}

void fen_case_free(fen_case *c)
{
    if (c)
        fen_arena_free(((owned_case *)(void *)c)->arena);
}

static void give(fen_session *s, const fen_given *given, size_t n)
{
    const fen_status st = fen_session_answer_all(s, given, n);
    assert(st == FEN_OK); /* the reader has checked all that a session checks */
    (void)st;
}

void fen_case_answer(const fen_case *c, size_t visit, fen_session *s)
{
    assert(visit < c->n_visits);
    const fen_visit *v = &c->visits[visit];
    const bool known = c->kind != FEN_NONE;
    const fen_given kind = { FEN_KIND_FINDING, { known ? FEN_KNOWN : FEN_UNSURE, known ? UINT64_C(1) << c->kind : 0, 0.0 } };
    if (known || c->kind_unsure)
        give(s, &kind, 1);
    give(s, v->given, v->n_given);
}

/* A case being made from a session; every part goes into the arena. */
typedef struct maker {
    fen_arena *arena;
    fen_session *s;
    bool lost; /* an allocation failed */
} maker;

/* What a person typed elsewhere may hold anything; a case holds clean text. */
static const char *keep_text(maker *m, const char *text)
{
    fen_str clean;
    if (!text)
        return NULL;
    fen_str_init(&clean, FEN_CASE_MAX);
    fen_utf8_clean(&clean, text, strlen(text), true, false);
    const char *copy = fen_arena_text(m->arena, clean.at, clean.len);
    m->lost = m->lost || !copy || fen_str_status(&clean);
    fen_str_free(&clean);
    return copy;
}

static fen_list keep_list(maker *m, fen_list list)
{
    const fen_id *at = list.count ? fen_arena_copy(m->arena, list.at, list.count, sizeof *at) : NULL;
    m->lost = m->lost || (list.count && !at);
    return (fen_list){ at, at ? list.count : 0 };
}

static fen_visit keep_visit(maker *m, const fen_visit *v)
{
    fen_visit copy = *v;
    copy.given = v->n_given ? fen_arena_copy(m->arena, v->given, v->n_given, sizeof *v->given) : NULL;
    m->lost = m->lost || (v->n_given && !copy.given);
    copy.note = keep_text(m, v->note);
    copy.settled = keep_list(m, v->settled);
    return copy;
}

/* Equal answers shall be equal in every bit, and a date is a whole day. */
static fen_answer normal(const fen_finding *f, fen_answer a)
{
    a.value = f->type == FEN_DATE ? floor(a.value) : a.value + 0.0;
    if (a.state == FEN_UNSURE || f->type == FEN_CHOICE || f->type == FEN_SEVERAL || f->type == FEN_YES_NO)
        a.value = 0.0;
    if (a.state == FEN_UNSURE || f->type == FEN_QUANTITY || f->type == FEN_DATE)
        a.picks = 0;
    return a;
}

static void take_given(maker *m, fen_id finding, bool *taken, fen_given *given, size_t *n)
{
    const fen_answer a = fen_session_given(m->s, finding);
    if (finding == FEN_KIND_FINDING || taken[finding] || a.state == FEN_OPEN)
        return;
    taken[finding] = true;
    given[(*n)++] = (fen_given){ finding, normal(fen_base_finding(fen_session_base(m->s), finding), a) };
}

static void take_answers(maker *m, fen_list order, fen_visit *v)
{
    const uint32_t n_findings = fen_base_findings(fen_session_base(m->s));
    bool *taken = fen_arena_zeroed(m->arena, n_findings, sizeof *taken);
    fen_given *given = fen_arena_take(m->arena, n_findings, sizeof *given);
    if (!taken || !given) {
        m->lost = true;
        return;
    }
    for (uint32_t i = 0; i < order.count; i++)
        take_given(m, order.at[i], taken, given, &v->n_given);
    for (fen_id i = 0; i < n_findings; i++)
        take_given(m, i, taken, given, &v->n_given);
    v->given = given;
}

/* EARLIER's visits with NOW put where its date belongs. A visit of the same day
 * is replaced, but what was noted and settled on it stays, unless noted anew. */
static void put_visits(maker *m, const fen_case *earlier, fen_visit now, fen_case *c)
{
    const size_t n_earlier = earlier ? earlier->n_visits : 0;
    fen_visit *visits = fen_arena_take(m->arena, n_earlier + 1, sizeof *visits);
    size_t n = 0, i = 0;
    if (!visits) {
        m->lost = true;
        return;
    }
    for (; i < n_earlier && earlier->visits[i].date < now.date; i++)
        visits[n++] = keep_visit(m, &earlier->visits[i]);
    if (i < n_earlier && earlier->visits[i].date == now.date) {
        now.settled = keep_list(m, earlier->visits[i].settled);
        if (!now.note)
            now.note = keep_text(m, earlier->visits[i].note);
        i++;
    }
    visits[n++] = now;
    for (; i < n_earlier; i++)
        visits[n++] = keep_visit(m, &earlier->visits[i]);
    c->visits = visits;
    c->n_visits = n;
}

static void put_tags(maker *m, const fen_case *earlier, fen_case *c)
{
    if (!earlier || !earlier->n_where)
        return;
    fen_tag *tags = fen_arena_take(m->arena, earlier->n_where, sizeof *tags);
    m->lost = m->lost || !tags;
    for (size_t i = 0; tags && i < earlier->n_where; i++)
        tags[i] = (fen_tag){ keep_text(m, earlier->where[i].key), keep_text(m, earlier->where[i].value) };
    c->where = tags;
    c->n_where = tags ? earlier->n_where : 0;
}

fen_list fen_case_settled(const fen_case *c)
{
    for (size_t v = c->n_visits; v-- > 0;)
        if (c->visits[v].settled.count)
            return c->visits[v].settled;
    return (fen_list){ 0 };
}

static void put_kind(fen_session *s, fen_case *c)
{
    const fen_answer a = fen_session_given(s, FEN_KIND_FINDING);
    c->kind_unsure = a.state == FEN_UNSURE;
    c->kind = FEN_NONE;
    for (fen_id i = 0; a.state == FEN_KNOWN && i < 64; i++)
        if (a.picks >> i & 1)
            c->kind = i;
}

fen_status fen_case_from_session(fen_session *s, const char *id, const fen_case *earlier, fen_list order,
                                 const char *note, fen_case **ret_case)
{
    maker m = { fen_arena_new(), s, false };
    fen_case c = { .kind = FEN_NONE };
    if (!m.arena)
        return FEN_ENOMEM;

    fen_visit now = { .date = fen_session_today(s) };
    c.id = keep_text(&m, id);
    if (earlier)
        c.place = earlier->place;
    put_kind(s, &c);
    take_answers(&m, order, &now);
    now.note = keep_text(&m, note);
    put_visits(&m, earlier, now, &c);
    put_tags(&m, earlier, &c);
    if (m.lost) {
        fen_arena_free(m.arena);
        return FEN_ENOMEM;
    }
    fen_case *made = fen_case_own(m.arena, &c);
    if (!made)
        return FEN_ENOMEM;
    *ret_case = made;
    return FEN_OK;
}

fen_status fen_case_settle(const fen_case *c, fen_id cause, const char *lesson, fen_case **ret_case)
{
    maker m = { .arena = fen_arena_new() };
    fen_case copy = *c;
    if (!m.arena)
        return FEN_ENOMEM;
    copy.id = keep_text(&m, c->id);
    copy.lesson = keep_text(&m, lesson);
    fen_visit *visits = fen_arena_take(m.arena, c->n_visits, sizeof *visits);
    for (size_t i = 0; visits && i < c->n_visits; i++)
        visits[i] = keep_visit(&m, &c->visits[i]);
    if (visits && cause != FEN_NONE)
        visits[c->n_visits - 1].settled = keep_list(&m, (fen_list){ &cause, 1 });
    copy.visits = visits;
    copy.where = NULL;
    put_tags(&m, c, &copy);
    if (m.lost || !visits) {
        fen_arena_free(m.arena);
        return FEN_ENOMEM;
    }
    *ret_case = fen_case_own(m.arena, &copy);
    return *ret_case ? FEN_OK : FEN_ENOMEM;
}
