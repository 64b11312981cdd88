/* lesson_judge.c -- a rule in the making, judged: does it load, is this case right with it, and
 * which settled verdicts does it change. By the loader, the checks and the batch that
 * every other command uses.
 */
#include <errno.h>
#include <string.h>

#include "fenmend/impact.h"
#include "fenmend/vet.h"
#include "lesson_own.h"
#include "util/limits.h"
#include "util/problem_text.h"

void fen_drafted_free(fen_drafted *d)
{
    fen_arena_free(d->arena);
    *d = (fen_drafted){ .arena = NULL };
}

/* ---- settled verdicts ------------------------------------------------------------------------- */

typedef struct holding {
    const fen_lesson *l;
    const fen_impact *impact;
    fen_arena *arena;
    FEN_VEC(fen_lesson_flip) flips;
    size_t seen;
    bool lost, moved_on; /* no memory; the file has changed since it was read */
} holding;

/* In a worker: what changed as it lies in memory, then the case's name. */
static void note_change(void *ctx, fen_judged *j, fen_str *out)
{
    const holding *h = ctx;
    fen_impact_case c;
    if (!j->c)
        return;
    fen_impact_compare(h->impact, j, &c);
    fen_str_put(out, (const char *)&c, sizeof c);
    fen_str_puts(out, j->id);
}

static fen_id known_as(const holding *h, fen_id after)
{
    if (after == FEN_NONE)
        return FEN_NONE;
    return fen_base_find_cause(h->l->set.base, fen_base_cause(fen_impact_after(h->impact), after)->id);
}

static void take_change(holding *h, const fen_impact_case *c, const char *id, size_t len)
{
    const fen_lesson *l = h->l;
    const size_t nth = h->seen++;
    const fen_case *known = nth < l->store.cases.count ? l->store.cases.at[nth].c : NULL;
    if (!known || strlen(known->id) != len || memcmp(known->id, id, len) != 0) {
        h->moved_on = true;
        return;
    }
    if (nth == l->self || !(c->what & (FEN_IMPACT_VERDICT | FEN_IMPACT_UNREADABLE)))
        return;
    fen_lesson_flip flip = { .id = known->id, .was = c->before.cause, .now = known_as(h, c->after.cause),
                             .settled = fen_case_settled(known), .right_now = c->settled && c->after.rank == 1 && c->before.rank != 1, .nth = nth };
    h->lost |= !FEN_VEC_PUSH(&h->flips, flip);
}

static bool take_part(void *ctx, const fen_part *part)
{
    holding *h = ctx;
    size_t from = 0;
    h->moved_on |= part->unusable;
    for (size_t i = 0; i < part->n_marks; i++) {
        fen_impact_case c;
        const size_t end = part->marks[i].out_end;
        if (part->marks[i].broken) {
            h->moved_on = true;
            return false;
        }
        memcpy(&c, part->out + from, sizeof c);
        take_change(h, &c, part->out + from + sizeof c, end - from - sizeof c);
        from = end;
    }
    return !h->lost && !h->moved_on;
}

static fen_status tell_moved_on(const fen_lesson *l, fen_problems *problems)
{
    fen_place place = { 0, 0, 0, 1 };
    const fen_status st = fen_problems_file(problems, l->set.store, &place.file);
    if (!st)
        fen_problems_add(problems, FEN_ERROR, FEN_CODE_BUSY, place, NULL, "ask for the lesson again", "the settled cases have changed meanwhile");
    return st ? st : FEN_EINPUT;
}

static fen_status hold_to_settled(const fen_lesson *l, const fen_base *after, fen_problems *problems, holding *h)
{
    fen_impact *impact = NULL;
    const char *paths[] = { l->set.store };
    if (!l->store.cases.count)
        return FEN_OK;
    fen_status st = fen_impact_new(l->set.base, after, &impact);
    if (st)
        return st;
    h->impact = impact;
    const fen_batch batch = { .base = l->set.base, .other = after, .today = l->set.today, .input = FEN_INPUT_YAML, .jobs = l->set.jobs ? l->set.jobs : 1,
                              .ctx = h, .judge = note_change, .deliver = take_part };
    st = fen_batch_run(&batch, paths, 1);
    if (!st && h->lost)
        st = FEN_ENOMEM;
    if (!st && (h->moved_on || h->seen != l->store.cases.count))
        st = tell_moved_on(l, problems);
    fen_impact_free(impact);
    return st;
}

/* ---- this case ----------------------------------------------------------------------------------- */

static bool is_settled_as(const fen_lesson *l, const fen_base *base, fen_id cause)
{
    const fen_list settled = fen_case_settled(l->set.c);
    for (uint32_t i = 0; cause != FEN_NONE && i < settled.count; i++)
        if (strcmp(fen_base_cause(l->set.base, settled.at[i])->id, fen_base_cause(base, cause)->id) == 0)
            return true;
    return false;
}

/* Packs that differ by a rule alone give findings and causes the same numbers. */
static bool same_names(const fen_base *a, const fen_base *b)
{
    if (fen_base_findings(a) != fen_base_findings(b) || fen_base_causes(a) != fen_base_causes(b))
        return false;
    for (fen_id i = 0; i < fen_base_findings(a); i++)
        if (strcmp(fen_base_finding(a, i)->id, fen_base_finding(b, i)->id) != 0)
            return false;
    for (fen_id i = 0; i < fen_base_causes(a); i++)
        if (strcmp(fen_base_cause(a, i)->id, fen_base_cause(b, i)->id) != 0)
            return false;
    return true;
}

static fen_status judge_this(const fen_lesson *l, const fen_base *after, bool *ret_right, double *ret_p)
{
    fen_session *s;
    *ret_right = false;
    if (!same_names(l->set.base, after))
        return FEN_OK;
    const fen_status st = fen_session_new(after, l->visit->date, &s);
    if (st)
        return st;
    fen_case_answer(l->set.c, l->set.c->n_visits - 1, s);
    const fen_verdict *v = fen_session_verdict(s);
    *ret_right = v->ranking.count && is_settled_as(l, after, v->ranking.at[0]);
    *ret_p = v->p[l->right];
    fen_session_free(s);
    return FEN_OK;
}

/* ---- what the checks say -------------------------------------------------------------------------- */

static fen_status know(fen_lesson *l)
{
    fen_base *base = NULL;
    if (l->vetted)
        return FEN_OK;
    fen_status st = fen_problems_new(&l->known);
    if (!st)
        st = fen_vet(l->set.packs, l->set.n_packs, l->known, &base);
    fen_base_free(base);
    l->vetted = st == FEN_OK;
    if (st == FEN_OK)
        return st;
    fen_problems_free(l->known);
    l->known = NULL;
    return st;
}

static bool is_known(const fen_problems *known, const fen_problem *p)
{
    for (size_t i = 0; i < fen_problems_count(known); i++) {
        const fen_problem *k = fen_problems_at(known, i);
        if (k->code == p->code && strcmp(k->text, p->text) == 0)
            return true;
    }
    return false;
}

static void put_new(const fen_lesson *l, const fen_problems *said, fen_str *out)
{
    for (size_t i = 0; i < fen_problems_count(said); i++) {
        const fen_problem *p = fen_problems_at(said, i);
        if (p->severity == FEN_NOTE || is_known(l->known, p))
            continue;
        fen_str_printf(out, "%s: %s%s%s [%s]\n", fen_severity_name(p->severity), p->text, p->right ? "; " : "", p->right ? p->right : "",
                       fen_code_name(p->code));
    }
}

/* ---- all of it -------------------------------------------------------------------------------------- */

static bool copy_out(const fen_sketch *s, holding *h, const fen_str *yaml, const fen_str *warnings, fen_drafted *d)
{
    fen_proposal *p = &d->shown;
    d->sketch = *s;
    p->form = s->form;
    p->light = s->light;
    p->adds = s->adds;
    const fen_id *misled = fen_arena_copy(d->arena, s->misled, s->n_misled, sizeof *misled);
    p->misled = (fen_list){ misled, s->n_misled };
    p->tests = fen_arena_copy(d->arena, s->tests, s->n_tests, sizeof *s->tests);
    p->n_tests = s->n_tests;
    p->moves = fen_arena_copy(d->arena, s->moves, s->n_moves, sizeof *s->moves);
    p->n_moves = s->n_moves;
    p->flips = fen_arena_copy(d->arena, h->flips.at, h->flips.count, sizeof *h->flips.at);
    p->n_flips = h->flips.count;
    p->yaml = fen_arena_text(d->arena, yaml->at, yaml->len);
    p->warnings = fen_arena_text(d->arena, warnings->at, warnings->len);
    for (uint32_t i = 0; i < s->n_moves; i++)
        p->moved += s->moves[i].after > s->moves[i].before ? s->moves[i].after - s->moves[i].before : s->moves[i].before - s->moves[i].after;
    for (size_t i = 0; i < p->n_flips; i++)
        p->n_changed += !h->flips.at[i].right_now;
    return misled && p->tests && p->moves && p->flips && p->yaml && p->warnings;
}

typedef struct attempt {
    fen_str yaml, pack, warnings;
    size_t size;
    fen_problems *said;
    fen_base *after;
} attempt;

/* ST of a load: what does not load is no proposal. A pack that did not load before does not come here. */
static fen_status load(fen_lesson *l, const fen_sketch *s, attempt *a, fen_problems *problems, bool *ret_loads)
{
    fen_status st = fen_lesson_write(l, s, &a->yaml, &a->size);
    if (!st)
        st = fen_own_with(&l->own, a->yaml.at, problems, &a->pack);
    if (!st)
        st = fen_problems_new(&a->said);
    if (st)
        return st;
    const fen_pack_text edited = { l->set.pack, a->pack.at, a->pack.len };
    st = fen_vet_edited(l->set.packs, l->set.n_packs, &edited, a->said, &a->after);
    *ret_loads = st == FEN_OK;
    return st == FEN_EINPUT ? FEN_OK : st;
}

static fen_status measure(fen_lesson *l, const fen_sketch *s, attempt *a, fen_problems *problems, fen_drafted *d, bool *ret_good)
{
    holding h = { .l = l };
    fen_status st = judge_this(l, a->after, ret_good, &d->shown.p);
    if (st || !*ret_good)
        return st;
    st = hold_to_settled(l, a->after, problems, &h);
    if (!st)
        put_new(l, a->said, &a->warnings);
    if (!st && fen_str_status(&a->warnings))
        st = FEN_ENOMEM;
    if (!st && (!(d->arena = fen_arena_new()) || !copy_out(s, &h, &a->yaml, &a->warnings, d)))
        st = FEN_ENOMEM;
    d->shown.size = a->size;
    FEN_VEC_FREE(&h.flips);
    return st;
}

fen_status fen_lesson_try(fen_lesson *l, const fen_sketch *s, fen_problems *problems, fen_drafted *ret_draft, bool *ret_good)
{
    attempt a = { .said = NULL };
    fen_drafted d = { .arena = NULL };
    *ret_good = false;
    fen_str_init(&a.yaml, FEN_SCALAR_MAX * 4);
    fen_str_init(&a.pack, (size_t)FEN_PACK_MAX + FEN_SCALAR_MAX * 8);
    fen_str_init(&a.warnings, FEN_SCALAR_MAX * 4);
    fen_status st = know(l);
    if (!st)
        st = load(l, s, &a, problems, ret_good);
    if (!st && *ret_good)
        st = measure(l, s, &a, problems, &d, ret_good);
    if (!st && *ret_good)
        *ret_draft = d;
    else
        fen_drafted_free(&d);
    const int error = errno;
    fen_base_free(a.after);
    fen_problems_free(a.said);
    fen_str_free(&a.yaml);
    fen_str_free(&a.pack);
    fen_str_free(&a.warnings);
    errno = error;
    return st;
}
