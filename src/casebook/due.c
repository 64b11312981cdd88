/* due.c -- see due.h.
 */
#include "fenmend/due.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "advice/plan.h"
#include "util/alloc.h"
#include "util/arena.h"
#include "util/date.h"
#include "util/vec.h"

struct fen_dues {
    const fen_base *base;
    fen_arena *arena;
    FEN_VEC(fen_due) at;
};

typedef struct adder {
    fen_dues *d;
    const fen_session *s;
    fen_due_span span;
    fen_due proto; /* what all entries of the case share */
    bool lost;
} adder;

fen_status fen_dues_new(const fen_base *base, fen_dues **ret)
{
    fen_dues *d = fen_calloc(1, sizeof *d);
    if (d)
        d->arena = fen_arena_new();
    if (!d || !d->arena) {
        fen_free(d);
        return FEN_ENOMEM;
    }
    d->base = base;
    *ret = d;
    return FEN_OK;
}

void fen_dues_free(fen_dues *d)
{
    if (!d)
        return;
    FEN_VEC_FREE(&d->at);
    fen_arena_free(d->arena);
    fen_free(d);
}

static const char *keep(adder *a, const char *text)
{
    const char *copy = fen_arena_text(a->d->arena, text, strlen(text));
    a->lost = a->lost || !copy;
    return copy;
}

static void put(adder *a, fen_due due)
{
    a->lost = !FEN_VEC_PUSH(&a->d->at, due) || a->lost;
}

/* ---- what the plan leaves ---- */

static void add_look(adder *a, fen_id remedy)
{
    const fen_remedy *r = fen_base_remedy(a->d->base, remedy);
    fen_due due = a->proto;
    if (isnan(r->look_again))
        return;
    due.type = FEN_DUE_LOOK;
    due.day = due.until = due.visit + (int32_t)ceil(r->look_again);
    due.remedy = remedy;
    due.text = r->expect ? r->expect : "Nothing has got worse.";
    put(a, due);
}

static void add_again(adder *a, const fen_plan_step *p)
{
    const fen_step *step = &fen_base_remedy(a->d->base, p->remedy)->steps[p->step];
    fen_due due = a->proto;
    fen_str text;
    if (isnan(step->again) || p->ready < 1)
        return;
    fen_str_init(&text, 1u << 20);
    fen_plan_step_text(&text, a->d->base, p, a->span.us);
    a->lost = a->lost || fen_str_status(&text);
    due.type = FEN_DUE_AGAIN;
    due.remedy = p->remedy;
    due.step = p->step;
    due.text = keep(a, text.at);
    fen_str_free(&text);
    for (uint32_t i = 1; i <= step->times; i++) {
        due.nth = i;
        due.day = due.until = due.visit + (int32_t)ceil(step->again * i);
        if (due.day >= a->span.today) /* whether an earlier one was done is not known */
            put(a, due);
    }
}

/* ---- the season ---- */

/* First day of MONTH in YEAR, months past December in the years after. */
static int32_t first_of(int year, int month)
{
    return fen_date_day(year + (month - 1) / 12, (month - 1) % 12 + 1, 1);
}

void fen_due_season(uint8_t from, uint8_t to, int32_t day, int32_t *ret_first, int32_t *ret_last)
{
    int year, month, of_month;
    const int length = (to - from + 12) % 12 + 1;
    fen_date_parts(day, &year, &month, &of_month);
    for (int y = year - 1;; y++) { /* one that began last year may be under way */
        *ret_first = first_of(y, from);
        *ret_last = first_of(y, from + length) - 1;
        if (*ret_last >= day)
            return;
    }
}

static bool add_season(const adder *a, const fen_task *t, fen_due *due)
{
    if (!t->north_from)
        return false;
    fen_due_season(a->span.south ? t->south_from : t->north_from, a->span.south ? t->south_to : t->north_to, a->span.today, &due->day, &due->until);
    return due->day <= a->span.today + a->span.ahead;
}

/* Some days after a date; passed over when the plant was looked at since. */
static bool add_since(const adder *a, const fen_task *t, fen_due *due)
{
    const fen_answer given = t->since == FEN_NONE ? (fen_answer){ .state = FEN_OPEN } : fen_session_given(a->s, t->since);
    if (given.state != FEN_KNOWN)
        return false;
    due->day = due->until = (int32_t)given.value + (int32_t)ceil(t->in);
    return due->day > due->visit && due->day <= a->span.today + a->span.ahead;
}

static void add_task(adder *a, fen_id id)
{
    const fen_task *t = fen_base_task(a->d->base, id);
    fen_due due = a->proto;
    due.type = FEN_DUE_TASK;
    due.task = id;
    due.text = t->text;
    if (t->kinds.count && (due.kind == FEN_NONE || !fen_base_kind_within(a->d->base, due.kind, t->kinds)))
        return;
    if (fen_session_cond(a->s, t->when) == 1 && (add_season(a, t, &due) || add_since(a, t, &due)))
        put(a, due);
}

/* What the case says; else the command line, or where the settings say we are. */
static bool is_south(const fen_base *base, const fen_case *c, bool otherwise)
{
    for (size_t i = 0; i < c->n_where; i++)
        if (strcmp(c->where[i].key, "hemisphere") == 0)
            return strcmp(c->where[i].value, "south") == 0;
    return otherwise || fen_base_settings(base)->latitude < 0;
}

fen_status fen_dues_add(fen_dues *d, const fen_case *c, fen_session *s, fen_due_span span)
{
    const size_t last = c->n_visits - 1;
    const uint32_t before = d->at.count;
    fen_plan *plan = NULL;
    adder a = { .d = d, .s = s, .span = span };
    a.span.south = is_south(d->base, c, span.south);
    a.proto = (fen_due){ .kind = c->kind, .visit = c->visits[last].date, .remedy = FEN_NONE, .step = FEN_NONE, .task = FEN_NONE };
    a.proto.case_id = keep(&a, c->id);
    fen_session_clear(s);
    fen_session_set_today(s, c->visits[last].date);
    fen_case_answer(c, last, s);
    const fen_status st = fen_plan_make(s, &plan);
    for (size_t i = 0; !st && i < plan->n_remedies; i++)
        add_look(&a, plan->remedies[i].remedy);
    for (size_t i = 0; !st && i < plan->n_steps; i++)
        add_again(&a, &plan->steps[i]);
    for (fen_id i = 0; !st && i < fen_base_tasks(d->base); i++)
        add_task(&a, i);
    fen_plan_free(plan);
    if (!st && !a.lost)
        return FEN_OK;
    d->at.count = before;
    return FEN_ENOMEM;
}

/* ---- the list ---- */

static int sign_of(int64_t x)
{
    return (x > 0) - (x < 0);
}

static int compare(const void *va, const void *vb)
{
    const fen_due *a = va, *b = vb;
    const int keys[] = {
        sign_of((int64_t)a->day - b->day), sign_of((int64_t)a->type - (int64_t)b->type), sign_of((int64_t)a->task - b->task),
        sign_of((int64_t)a->until - b->until),
        sign_of((int64_t)a->kind - b->kind),
        strcmp(a->case_id, b->case_id),    sign_of((int64_t)a->remedy - b->remedy),      sign_of((int64_t)a->step - b->step),
    };
    for (size_t i = 0; i < FEN_COUNT(keys); i++)
        if (keys[i])
            return keys[i];
    return sign_of((int64_t)a->nth - b->nth);
}

void fen_dues_sort(fen_dues *d)
{
    if (d->at.count)
        qsort(d->at.at, d->at.count, sizeof *d->at.at, compare);
}

size_t fen_dues_count(const fen_dues *d)
{
    return d->at.count;
}

const fen_due *fen_dues_at(const fen_dues *d, size_t i)
{
    return &d->at.at[i];
}

const fen_base *fen_dues_base(const fen_dues *d)
{
    return d->base;
}
