/* vet_words.c -- texts that do not fit where they are shown, and quantities in a unit
 * that nobody would use for them.
 */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "model/quantity.h"
#include "util/number.h"
#include "util/utf8.h"
#include "vet.h"
#include "vet_deep.h"

/* Columns of a terminal of 80: a question has two lines, an answer one without its
 * number, a name stands in a sentence; longer advice is no longer read. */
enum { ASK_MAX = 160, SAY_MAX = 72, NAME_MAX_COLUMNS = 48, HOW_MAX = 480, STEP_MAX = 480, WHY_MAX = 320 };

static void check(fen_vetting *v, fen_place at, const char *what, const char *id, const char *text, size_t most)
{
    const size_t columns = text ? fen_utf8_width(text, strlen(text)) : 0;
    char right[64];
    if (columns <= most)
        return;
    snprintf(right, sizeof right, "say it in %zu columns", most);
    fen_vet_tell(v, FEN_CODE_LONG_TEXT, at, right, "%s of '%s' takes %zu columns", what, id, columns);
}

static void check_texts(fen_vetting *v)
{
    const fen_base *b = v->base;
    for (fen_id i = 1; i < b->n_findings; i++) {
        const fen_finding *f = &b->findings[i];
        check(v, f->place, "the name", f->id, f->name, NAME_MAX_COLUMNS);
        check(v, f->place, "the question", f->id, f->ask, ASK_MAX);
        check(v, f->place, "'how'", f->id, f->how, HOW_MAX);
        for (uint32_t o = 0; !f->derived && o < f->n_options; o++)
            check(v, f->place, "an answer", f->id, f->options[o].say, SAY_MAX);
    }
    for (fen_id i = 0; i + 1 < b->n_causes; i++)
        check(v, b->causes[i].place, "the name", b->causes[i].id, b->causes[i].name, NAME_MAX_COLUMNS);
    for (fen_id i = 0; i < b->n_hazards; i++)
        check(v, b->hazards[i].place, "the name", b->hazards[i].id, b->hazards[i].name, NAME_MAX_COLUMNS);
    for (fen_id i = 0; i < b->n_rules; i++)
        check(v, b->rules[i].place, "'why'", b->rules[i].id, b->rules[i].why, WHY_MAX);
    for (fen_id i = 0; i < b->n_remedies; i++)
        for (uint32_t k = 0; k < b->remedies[i].n_steps; k++)
            check(v, b->remedies[i].steps[k].place, "the step", b->remedies[i].steps[k].id, b->remedies[i].steps[k].text, STEP_MAX);
}

/* ---- units ---- */

/* Full sun has more than a hundred thousand lux, and people say it so. */
#define LARGEST 200000.0
#define SMALLEST 0.01

static bool is_odd(double x)
{
    return fabs(x) >= LARGEST || (x != 0 && fabs(x) < SMALLEST);
}

/* Q in a unit in which it is a plain number with few digits, and is the same. */
static bool plainer(fen_quantity q, char buf[FEN_QUANTITY_TEXT])
{
    const char *units = fen_dim_units(q.dim);
    while (*units) {
        char unit[24];
        double x;
        const size_t n = strcspn(units, ",");
        snprintf(unit, sizeof unit, "%.*s", (int)(n < sizeof unit ? n : sizeof unit - 1), units);
        char number[FEN_NUMBER_MAX];
        if (fen_quantity_in(q, unit, &x) && fabs(x) >= 1 && fabs(x) < 1000 && fen_number_show(number, x, 6) <= 4) {
            fen_quantity again;
            size_t bad;
            snprintf(buf, FEN_QUANTITY_TEXT, "%s %s", number, unit);
            if (!fen_quantity_parse(buf, strlen(buf), q.dim, &again, &bad) && fabs(again.value - q.value) <= 1e-12 * fabs(q.value))
                return true;
        }
        units += n + (units[n] == ',');
        units += strspn(units, " ");
    }
    return false;
}

static bool in_name(char c)
{
    return (c >= 'a' && c <= 'z') || (c >= '0' && c <= '9') || c == '-' || c == '.';
}

/* A quantity that is a plainer one in another unit: is one at the start of TEXT? */
static bool is_unwieldy(const char *text, fen_dim dim, size_t *ret_len, char better[FEN_QUANTITY_TEXT])
{
    const size_t left = strlen(text);
    fen_quantity q;
    size_t digits;
    double x;
    return fen_number_read(text, left, &x, &digits) && is_odd(x) && !fen_quantity_scan(text, left, dim, &q, ret_len) && q.dim == dim &&
           plainer(q, better);
}

/* EXACT: PLACE is that of the quantity alone, so it can be mended. */
static void tell_unwieldy(fen_loader *l, const fen_source *s, fen_place place, const char *text, size_t len, const char *better, bool exact)
{
    char right[FEN_QUANTITY_TEXT + 16];
    snprintf(right, sizeof right, "write '%s'", better);
    fen_source_problem(s, l->problems, fen_code_severity(FEN_CODE_ODD_UNIT), FEN_CODE_ODD_UNIT, place, right, "nobody says '%.*s'", (int)len, text);
    if (exact)
        fen_problems_instead(l->problems, place, better);
}

void fen_vet_written(fen_loader *l, const fen_node *node, fen_dim dim)
{
    char better[FEN_QUANTITY_TEXT];
    size_t len;
    if (is_unwieldy(node->text, dim, &len, better))
        tell_unwieldy(l, l->source, node->place, node->text, len, better, node->plain);
}

/* The quantity that may begin at AT of the sentence. */
static void check_quantity(fen_vetting *v, const fen_cond *c, size_t at, fen_dim dim)
{
    char better[FEN_QUANTITY_TEXT];
    size_t len;
    if (!is_unwieldy(c->text + at, dim, &len, better))
        return;
    fen_place place = c->place;
    const bool one_line = place.width == fen_utf8_width(c->text, strlen(c->text));
    if (one_line) {
        place.column += (uint32_t)fen_utf8_count(c->text, at);
        place.width = (uint32_t)fen_utf8_count(c->text + at, len);
    }
    tell_unwieldy(v->l, fen_vet_source(v, place), place, c->text + at, len, better, one_line);
}

static fen_dim dim_of(const fen_base *b, const fen_test *t)
{
    if (t->op == FEN_TEST_EXPR)
        return b->exprs[t->expr].dim;
    return t->op != FEN_TEST_RANGE ? FEN_DIM_NONE : b->findings[t->finding].type == FEN_DATE ? FEN_DIM_TIME_SPAN : b->findings[t->finding].dim;
}

static void check_units(fen_vetting *v)
{
    for (fen_id i = 0; i < v->base->n_conds; i++) {
        const fen_cond *c = &v->base->conds[i];
        if (c->op != FEN_COND_TEST || !c->text)
            continue;
        const fen_dim dim = dim_of(v->base, &v->base->tests[c->test]);
        for (size_t at = 0; dim != FEN_DIM_NONE && c->text[at]; at++)
            if (c->text[at] >= '0' && c->text[at] <= '9' && (at == 0 || !in_name(c->text[at - 1])))
                check_quantity(v, c, at, dim);
    }
}

void fen_vet_words(fen_vetting *v)
{
    check_texts(v);
    check_units(v);
}
