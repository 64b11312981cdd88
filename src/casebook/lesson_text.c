/* lesson_text.c -- a rule in the making as it will stand in the pack.
 *
 * A rule that goes over others says again all that they said, but for what misled: hazards
 * and derived findings shall not be lost because a weight was wrong. It goes over what they
 * went over, which would otherwise come back. One that adds to a rule has its condition, and
 * says what is more or less.
 */
#include <stdio.h>
#include <string.h>

#include "lesson_own.h"
#include "model/quantity.h"
#include "text/yaml_write.h"
#include "util/date.h"
#include "util/limits.h"

typedef struct writer {
    const fen_lesson *l;
    const fen_base *base;
    const fen_sketch *s;
    fen_yaml_out *out;
    fen_str text; /* a sentence */
    size_t size;  /* tests and effects so far */
} writer;

/* ---- sentences -------------------------------------------------------------------------------- */

void fen_lesson_sentence(fen_str *out, const fen_base *base, const fen_lesson_test *t)
{
    static const char *const words[] = {
        [FEN_LESSON_IS] = "is", [FEN_LESSON_INCLUDES] = "includes", [FEN_LESSON_EXCLUDES] = "excludes", [FEN_LESSON_LESS] = "<",
        [FEN_LESSON_AT_MOST] = "<=", [FEN_LESSON_AT_LEAST] = ">=", [FEN_LESSON_MORE] = ">",
    };
    const fen_finding *f = fen_base_finding(base, t->finding);
    char bound[FEN_QUANTITY_TEXT];
    fen_str_printf(out, "%s %s ", t->finding == FEN_KIND_FINDING ? "kind" : f->id, words[t->op]);
    if (t->op == FEN_LESSON_IS || t->op == FEN_LESSON_INCLUDES || t->op == FEN_LESSON_EXCLUDES) {
        fen_str_puts(out, f->options[t->option].id);
        return;
    }
    fen_quantity_write(bound, (fen_quantity){ t->bound, f->type == FEN_DATE ? FEN_DIM_TIME_SPAN : f->dim });
    fen_str_puts(out, bound);
}

/* The decimal digits of W in dBan, all of them. */
static void put_dban(fen_str *out, fen_weight w)
{
    const uint64_t size = (uint64_t)(w < 0 ? -w : w);
    uint64_t rest = size % (uint64_t)FEN_DBAN;
    fen_str_printf(out, "%llu", (unsigned long long)(size / (uint64_t)FEN_DBAN));
    if (!rest)
        return;
    fen_str_putc(out, '.');
    for (uint64_t unit = (uint64_t)FEN_DBAN / 10; rest; rest %= unit, unit /= 10)
        fen_str_putc(out, (char)('0' + rest / unit));
}

/* "strong for crown-rot", "7 dBan against crown-rot" */
static void put_weight(fen_str *out, fen_weight w, const char *cause)
{
    static const struct { int dban; const char *word; } strengths[] = { { 2, "slight" }, { 5, "fair" }, { 10, "strong" }, { 20, "decisive" } };
    const char *word = NULL;
    for (size_t i = 0; i < FEN_COUNT(strengths); i++)
        if (w == strengths[i].dban * FEN_DBAN || w == -strengths[i].dban * FEN_DBAN)
            word = strengths[i].word;
    if (word) {
        fen_str_puts(out, word);
    } else {
        put_dban(out, w);
        fen_str_puts(out, " dBan");
    }
    fen_str_printf(out, " %s %s", w < 0 ? "against" : "for", cause);
}

/* ---- parts -------------------------------------------------------------------------------------- */

static void put_sentence(writer *w)
{
    fen_yaml_out_text(w->out, w->text.at);
    fen_str_clear(&w->text);
}

/* A test or an effect. */
static void put_counted(writer *w)
{
    put_sentence(w);
    w->size++;
}

static void put_pair(writer *w, const char *key, const char *value)
{
    fen_yaml_out_text(w->out, key);
    fen_yaml_out_text(w->out, value);
}

static void put_kinds(writer *w)
{
    const fen_list kinds = w->s->n_misled ? fen_base_rule(w->base, w->s->misled[0])->kinds : (fen_list){ 0 };
    fen_id only = FEN_NONE;
    for (uint32_t i = 0; i < w->s->n_tests; i++)
        if (w->s->tests[i].finding == FEN_KIND_FINDING)
            only = w->s->tests[i].option;
    if (!kinds.count && only == FEN_NONE)
        return;
    fen_yaml_out_text(w->out, "kinds");
    fen_yaml_out_list(w->out, true);
    w->size++;
    for (uint32_t i = 0; i < kinds.count && only == FEN_NONE; i++)
        fen_yaml_out_text(w->out, fen_base_kind(w->base, kinds.at[i])->id);
    if (only != FEN_NONE) /* within those, or it would be no test */
        fen_yaml_out_text(w->out, fen_base_kind(w->base, only)->id);
    fen_yaml_out_end(w->out);
}

/* A condition as its author wrote it. TOP: as items of the list that is open, if it is an `all`. */
static void put_cond(writer *w, fen_id cond, bool top)
{
    static const char *const words[] = { [FEN_COND_ALL] = "all", [FEN_COND_ANY] = "any", [FEN_COND_NONE] = "none" };
    const fen_cond *c = fen_base_cond(w->base, cond);
    if (c->text) {
        fen_yaml_out_text(w->out, c->text);
        return;
    }
    const bool spread = top && c->op == FEN_COND_ALL;
    if (!spread) {
        fen_yaml_out_map(w->out, false);
        fen_yaml_out_text(w->out, words[c->op]);
        fen_yaml_out_list(w->out, false);
    }
    for (uint32_t i = 0; i < c->parts.count; i++)
        put_cond(w, c->parts.at[i], spread);
    if (!spread) {
        fen_yaml_out_end(w->out);
        fen_yaml_out_end(w->out);
    }
}

static size_t count_tests(const fen_base *base, fen_id cond)
{
    const fen_cond *c = fen_base_cond(base, cond);
    size_t n = c->op == FEN_COND_TEST;
    for (uint32_t i = 0; i < c->parts.count; i++)
        n += count_tests(base, c->parts.at[i]);
    return n;
}

static void put_when(writer *w)
{
    uint32_t n = 0;
    for (uint32_t i = 0; i < w->s->n_misled; i++)
        n += fen_base_rule(w->base, w->s->misled[i])->cond != FEN_NONE;
    for (uint32_t i = 0; i < w->s->n_tests; i++)
        n += w->s->tests[i].finding != FEN_KIND_FINDING;
    if (!n)
        return;
    fen_yaml_out_text(w->out, "when");
    fen_yaml_out_list(w->out, false);
    for (uint32_t i = 0; i < w->s->n_misled; i++)
        if (fen_base_rule(w->base, w->s->misled[i])->cond != FEN_NONE) {
            put_cond(w, fen_base_rule(w->base, w->s->misled[i])->cond, true);
            w->size += count_tests(w->base, fen_base_rule(w->base, w->s->misled[i])->cond);
        }
    for (uint32_t i = 0; i < w->s->n_tests; i++)
        if (w->s->tests[i].finding != FEN_KIND_FINDING) {
            fen_lesson_sentence(&w->text, w->base, &w->s->tests[i]);
            put_counted(w);
        }
    fen_yaml_out_end(w->out);
}

static const fen_lesson_move *move_for(const fen_sketch *s, fen_id cause)
{
    for (uint32_t i = 0; i < s->n_moves; i++)
        if (s->moves[i].cause == cause)
            return &s->moves[i];
    return NULL;
}

/* Was TARGET of OP said by a rule before the Nth that is gone over? */
static bool said_before(const writer *w, uint32_t nth, fen_effect_op op, fen_id target)
{
    for (uint32_t i = 0; i < nth; i++) {
        const fen_rule *r = fen_base_rule(w->base, w->s->misled[i]);
        for (uint32_t e = 0; e < r->n_effects; e++)
            if (r->effects[e].op == op && r->effects[e].target == target)
                return true;
    }
    return false;
}

static fen_weight all_for(const writer *w, fen_id cause)
{
    fen_weight sum = 0;
    for (uint32_t i = 0; i < w->s->n_misled; i++)
        sum += fen_base_rule_weight(w->base, w->s->misled[i], cause);
    return sum;
}

/* What a rule that is gone over said, said again; false: nothing. */
static bool repeat(writer *w, uint32_t nth, const fen_effect *e)
{
    if (said_before(w, nth, e->op, e->target))
        return false;
    switch (e->op) {
    case FEN_WEIGH:
        if (move_for(w->s, e->target) || !all_for(w, e->target))
            return false;
        put_weight(&w->text, all_for(w, e->target), fen_base_cause(w->base, e->target)->id);
        break;
    case FEN_EXCLUDE:
        if (e->target == w->l->right)
            return false;
        fen_str_printf(&w->text, "excludes %s", fen_base_cause(w->base, e->target)->id);
        break;
    case FEN_RAISE:
        fen_str_printf(&w->text, "hazard %s", fen_base_hazard(w->base, e->target)->id);
        break;
    case FEN_DERIVE: {
        const fen_test *t = fen_base_test(w->base, e->target);
        const fen_finding *f = fen_base_finding(w->base, t->finding);
        fen_str_printf(&w->text, "%s %s %s", f->id, f->type == FEN_SEVERAL ? "includes" : "is", f->options[t->option].id);
        break;
    }
    }
    put_counted(w);
    return true;
}

static void put_then(writer *w)
{
    bool any = false;
    fen_yaml_out_text(w->out, "then");
    fen_yaml_out_list(w->out, false);
    for (uint32_t i = 0; i < w->s->n_moves; i++) {
        const fen_weight weight = w->s->moves[i].after - (w->s->adds ? w->s->moves[i].before : 0);
        if (!weight)
            continue;
        put_weight(&w->text, weight, fen_base_cause(w->base, w->s->moves[i].cause)->id);
        put_counted(w);
        any = true;
    }
    for (uint32_t i = 0; i < w->s->n_misled && !w->s->adds; i++) {
        const fen_rule *r = fen_base_rule(w->base, w->s->misled[i]);
        for (uint32_t e = 0; e < r->n_effects; e++)
            any |= repeat(w, i, &r->effects[e]);
    }
    if (!any) { /* a rule must say something: that this is no evidence here */
        fen_str_printf(&w->text, "0 dBan for %s", fen_base_cause(w->base, w->s->n_moves ? w->s->moves[0].cause : w->l->wrong)->id);
        put_counted(w);
    }
    fen_yaml_out_end(w->out);
}

static bool goes_over(const writer *w, fen_id rule)
{
    for (uint32_t i = 0; i < w->s->n_misled; i++)
        if (w->s->misled[i] == rule)
            return true;
    return false;
}

static void put_over(writer *w)
{
    if (!w->s->n_misled || w->s->adds)
        return;
    fen_yaml_out_text(w->out, "over");
    fen_yaml_out_list(w->out, true);
    for (uint32_t i = 0; i < w->s->n_misled; i++)
        fen_yaml_out_text(w->out, fen_base_rule(w->base, w->s->misled[i])->id);
    for (uint32_t i = 0; i < w->s->n_misled; i++) {
        const fen_list more = fen_base_rule(w->base, w->s->misled[i])->over;
        for (uint32_t k = 0; k < more.count; k++) {
            bool again = goes_over(w, more.at[k]);
            for (uint32_t j = 0; j < i; j++)
                for (uint32_t m = 0; m < fen_base_rule(w->base, w->s->misled[j])->over.count; m++)
                    again |= fen_base_rule(w->base, w->s->misled[j])->over.at[m] == more.at[k];
            if (!again)
                fen_yaml_out_text(w->out, fen_base_rule(w->base, more.at[k])->id);
        }
    }
    fen_yaml_out_end(w->out);
}

/* Why, whence, and who: names of plants and people are data, and are quoted where they need it. */
static void put_story(writer *w)
{
    const fen_lesson *l = w->l;
    char seen[FEN_DATE_TEXT], now[FEN_DATE_TEXT];
    fen_date_write(seen, l->visit->date);
    fen_date_write(now, l->set.today);
    fen_str_printf(&w->text, "In the case '%s' it was %s, not %s.", l->set.c->id, fen_base_cause(w->base, l->right)->name,
                   fen_base_cause(w->base, l->wrong)->name);
    fen_yaml_out_text(w->out, "why");
    put_sentence(w);
    fen_str_printf(&w->text, "the case '%s' of %s, settled as %s; learnt %s", l->set.c->id, seen, fen_base_cause(w->base, l->right)->id, now);
    if (l->set.author)
        fen_str_printf(&w->text, " by %s", l->set.author);
    fen_yaml_out_text(w->out, "source");
    put_sentence(w);
    fen_yaml_out_text(w->out, "lesson");
    fen_yaml_out_map(w->out, true);
    put_pair(w, "case", l->set.c->id);
    put_pair(w, "date", now);
    if (l->set.author)
        put_pair(w, "author", l->set.author);
    fen_yaml_out_end(w->out);
}

fen_status fen_lesson_write(const fen_lesson *l, const fen_sketch *s, fen_str *out, size_t *ret_size)
{
    writer w = { .l = l, .base = l->set.base, .s = s };
    fen_str_init(&w.text, FEN_SCALAR_MAX);
    fen_status st = fen_yaml_out_new(out, &w.out);
    if (!st) {
        fen_yaml_out_map(w.out, false);
        fen_yaml_out_text(w.out, l->rule);
        fen_yaml_out_map(w.out, false);
        put_kinds(&w);
        put_when(&w);
        put_then(&w);
        put_over(&w);
        put_story(&w);
        fen_yaml_out_end(w.out);
        fen_yaml_out_end(w.out);
        st = fen_yaml_out_finish(w.out);
    }
    if (!st)
        st = fen_str_status(&w.text);
    if (!st)
        *ret_size = w.size;
    fen_yaml_out_free(w.out);
    fen_str_free(&w.text);
    return st;
}
