/* read_tasks.c -- tasks: what is due in a season, or some time after a date.
 */
#include <stdio.h>
#include <string.h>

#include "advise.h"
#include "resolve.h"
#include "shape.h"

enum { DO, CAUTION, KINDS, NORTH, SOUTH, SINCE, IN, WHEN, WHY, SOURCE };
static const fen_key keys[] = {
    { "do", true },     { "caution", false }, { "kinds", false }, { "north", false }, { "south", false },
    { "since", false }, { "in", false },      { "when", false },  { "why", false },   { "source", false },
};

static const char *const months[] = { "january", "february", "march",     "april",   "may",      "june",
                                      "july",    "august",   "september", "october", "november", "december" };

static uint8_t month_of(const char *text, size_t len)
{
    for (uint8_t i = 0; i < FEN_COUNT(months); i++)
        if (strlen(months[i]) == len && memcmp(months[i], text, len) == 0)
            return (uint8_t)(i + 1);
    return 0;
}

/* "february to march", or one month. */
static bool read_months(fen_loader *l, const fen_node *key, const fen_node *value, uint8_t *ret_from, uint8_t *ret_to)
{
    const char *text;
    if (!value)
        return true;
    if (!fen_shape_text(l, key, value, &text))
        return false;
    const char *to = strstr(value->text, " to ");
    const size_t first = to ? (size_t)(to - value->text) : value->len;
    *ret_from = month_of(value->text, first);
    *ret_to = to ? month_of(to + 4, value->len - first - 4) : *ret_from;
    if (*ret_from && *ret_to)
        return true;
    const size_t bad = *ret_from ? first + 4 : 0;
    fen_loader_error(l, FEN_CODE_BAD_VALUE, fen_node_place_at(l->source, value, bad, *ret_from ? value->len - bad : first),
                     "write 'february to march', or one month", "'%.*s' is no month", FEN_QUOTE(value->text + bad, *ret_from ? value->len - bad : first));
    return false;
}

static bool read_since(fen_loader *l, const fen_fields *f, fen_task *t)
{
    char buf[FEN_SUGGEST_MAX];
    const fen_node *since = f->value[SINCE];
    const char *text;
    if (!since)
        return true;
    if (!fen_shape_text(l, f->key[SINCE], since, &text) || !fen_shape_quantity(l, f->key[IN], f->value[IN], FEN_DIM_TIME_SPAN, &t->in))
        return false;
    t->since = fen_loader_find_finding(l, since->text, since->len);
    if (t->since == FEN_NONE) {
        fen_loader_error(l, FEN_CODE_UNKNOWN_NAME, since->place,
                         fen_loader_suggest(l, FEN_PART_FINDINGS, since->text, since->len, "declare it in a pack, or correct the name", buf),
                         "there is no finding '%.*s'", FEN_QUOTE(since->text, since->len));
        return false;
    }
    if (fen_loader_broken_finding(l, t->since))
        return false;
    if (l->draft->findings.at[t->since].type == FEN_DATE && t->in >= 0 && t->in <= 3653)
        return true;
    if (l->draft->findings.at[t->since].type == FEN_DATE)
        fen_loader_error(l, FEN_CODE_NUMBER, f->value[IN]->place, "write a time of up to ten years", "'in' cannot be '%.*s'", FEN_QUOTE(f->value[IN]->text, f->value[IN]->len));
    else
        fen_loader_error(l, FEN_CODE_BAD_VALUE, since->place, "name a finding with 'date: yes'", "the finding '%s' is not a date", since->text);
    return false;
}

/* A season or a date, and not both. */
static bool check_time(fen_loader *l, const fen_item *item, const fen_fields *f)
{
    const bool season = f->value[NORTH] || f->value[SOUTH];
    if (f->value[SINCE] && season)
        fen_loader_error(l, FEN_CODE_BAD_VALUE, f->key[SINCE]->place, "make two tasks of it", "a task is due in a season or after a date, not both");
    else if (f->value[SOUTH] && !f->value[NORTH])
        fen_loader_error(l, FEN_CODE_MISSING, f->key[SOUTH]->place, "add 'north'; 'south' may be left out if it is six months apart", "a season needs 'north'");
    else if (!f->value[SINCE] != !f->value[IN])
        fen_loader_error(l, FEN_CODE_MISSING, item->key->place, "write both", "'since' and 'in' go together");
    else if (!season && !f->value[SINCE])
        fen_loader_error(l, FEN_CODE_MISSING, item->key->place, "add 'north: february to march', or 'since' and 'in'", "it is not said when the task '%s' is due", item->key->text);
    else
        return true;
    return false;
}

static uint8_t half_a_year_on(uint8_t month)
{
    return (uint8_t)((month + 5) % 12 + 1);
}

static bool read_fields(fen_loader *l, const fen_item *item, const fen_fields *f, fen_task *t)
{
    bool ok = fen_shape_text(l, f->key[DO], f->value[DO], &t->text);
    const bool cautions = fen_read_cautions(l, f->key[CAUTION], f->value[CAUTION], &t->cautions);
    if (ok && cautions && f->clean)
        ok = fen_check_cautions(l, f->value[DO], t->cautions, f->key[DO], f->value[CAUTION], "task", t->id);
    ok &= fen_shape_names(l, f->key[KINDS], f->value[KINDS], FEN_PART_KINDS, &t->kinds);
    ok &= fen_shape_text(l, f->key[WHY], f->value[WHY], &t->why);
    ok &= fen_shape_text(l, f->key[SOURCE], f->value[SOURCE], &t->source);
    if (!cautions || !f->clean || !check_time(l, item, f))
        return false;
    ok &= read_months(l, f->key[NORTH], f->value[NORTH], &t->north_from, &t->north_to);
    t->south_from = t->north_from ? half_a_year_on(t->north_from) : 0;
    t->south_to = t->north_to ? half_a_year_on(t->north_to) : 0;
    ok &= read_months(l, f->key[SOUTH], f->value[SOUTH], &t->south_from, &t->south_to);
    ok &= read_since(l, f, t);
    if (f->value[WHEN])
        ok &= fen_resolve_condition(l, f->key[WHEN], f->value[WHEN], &t->when);
    return ok;
}

void fen_read_tasks(fen_loader *l)
{
    for (uint32_t i = 0; i < l->part[FEN_PART_TASKS].items.count && !l->nomem; i++) {
        fen_item *item = &l->part[FEN_PART_TASKS].items.at[i];
        fen_task t = { .id = fen_shape_keep(l, item->key), .since = FEN_NONE, .when = FEN_NONE, .place = item->key->place };
        fen_fields f;
        if (!t.id)
            return;
        if (fen_shape_item(l, FEN_PART_TASKS, item, keys, FEN_COUNT(keys), &f))
            item->broken |= !read_fields(l, item, &f, &t);
        if (!FEN_VEC_PUSH(&l->draft->tasks, t))
            fen_loader_nomem(l);
    }
}
