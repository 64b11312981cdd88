/* reckon.c -- the table of calculators and the one way to run them.
 */
#include "fenmend/reckon.h"

#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include "reckon_rows.h"

static const fen_reckon_family *const families[] = {
    &fen_reckon_meter, &fen_reckon_water, &fen_reckon_salt, &fen_reckon_light, &fen_reckon_air,
    &fen_reckon_climate, &fen_reckon_season, &fen_reckon_warmth, &fen_reckon_pot, &fen_reckon_feed,
};
#define N_FAMILIES (sizeof families / sizeof *families)

size_t fen_reckoners(void)
{
    size_t n = 0;
    for (size_t f = 0; f < N_FAMILIES; f++)
        n += families[f]->count;
    return n;
}

const fen_reckoner *fen_reckoner_at(size_t i)
{
    for (size_t f = 0; f < N_FAMILIES; f++) {
        if (i < families[f]->count)
            return &families[f]->rows[i];
        i -= families[f]->count;
    }
    return NULL;
}

static bool is(const char *name, const char *text, size_t len)
{
    return strlen(name) == len && !memcmp(name, text, len);
}

const fen_reckoner *fen_reckoner_find(const char *name, size_t len)
{
    for (size_t i = 0; i < fen_reckoners(); i++)
        if (is(fen_reckoner_at(i)->name, name, len))
            return fen_reckoner_at(i);
    return NULL;
}

size_t fen_reckon_input_find(const fen_reckoner *r, const char *name, size_t len)
{
    for (size_t i = 0; i < r->n_inputs; i++)
        if (is(r->inputs[i].name, name, len))
            return i;
    return FEN_RECKON_NONE;
}

size_t fen_reckon_output_find(const fen_reckoner *r, const char *name, size_t len)
{
    for (size_t i = 0; i < r->n_outputs; i++)
        if (is(r->outputs[i].name, name, len))
            return i;
    return FEN_RECKON_NONE;
}

void fen_reckon_begin(const fen_reckoner *r, fen_reckon_value ret_in[])
{
    for (size_t i = 0; i < r->n_inputs; i++)
        ret_in[i] = (fen_reckon_value){ .number = (double)NAN };
}

fen_status fen_reckon_refuse(fen_reckon_error *e, fen_code code, size_t input, const char *right, const char *wrong, ...)
{
    va_list args;
    *e = (fen_reckon_error){ .code = code, .input = input };
    va_start(args, wrong);
    vsnprintf(e->wrong, sizeof e->wrong, wrong, args);
    va_end(args);
    snprintf(e->right, sizeof e->right, "%s", right);
    return FEN_EINPUT;
}

fen_shown fen_shown_of(fen_measure m, double number)
{
    fen_shown s;
    fen_reckon_show(s.at, m, NULL, number, false);
    return s;
}

fen_reckon_value fen_reckon_cell(double number)
{
    return (fen_reckon_value){ .number = number, .given = true };
}

fen_reckon_value fen_reckon_word(const char *text, size_t len)
{
    return (fen_reckon_value){ .number = (double)NAN, .text = text, .len = len, .given = true };
}

/* "'a', 'b' or 'c'" of the inputs of GROUP. */
static void list_group(const fen_reckoner *r, char group, char *ret, size_t size)
{
    size_t used = 0;
    size_t left = 0;
    for (size_t i = 0; i < r->n_inputs; i++)
        left += r->inputs[i].group == group;
    ret[0] = '\0';
    for (size_t i = 0; i < r->n_inputs && used < size; i++) {
        if (r->inputs[i].group != group)
            continue;
        left--;
        const char *between = !used ? "" : left ? ", " : " or ";
        int n = snprintf(ret + used, size - used, "%s'%s'", between, r->inputs[i].name);
        used += n > 0 ? (size_t)n : 0;
    }
}

static fen_status check_group(const fen_reckoner *r, const fen_reckon_value in[], size_t first, fen_reckon_error *reterr)
{
    const char group = r->inputs[first].group;
    size_t given = FEN_RECKON_NONE;
    char names[120];
    list_group(r, group, names, sizeof names);
    for (size_t i = first; i < r->n_inputs; i++) {
        if (r->inputs[i].group != group || !in[i].given)
            continue;
        if (given != FEN_RECKON_NONE) {
            char right[160];
            snprintf(right, sizeof right, "give only one of %s", names);
            return fen_reckon_refuse(reterr, FEN_CODE_DUPLICATE, i, right, "'%s' and '%s' cannot both be given",
                                     r->inputs[given].name, r->inputs[i].name);
        }
        given = i;
    }
    if (given != FEN_RECKON_NONE)
        return FEN_OK;
    char right[160];
    snprintf(right, sizeof right, "give %s", names);
    return fen_reckon_refuse(reterr, FEN_CODE_MISSING, FEN_RECKON_NONE, right, "'%s' needs one thing more", r->name);
}

static fen_status check_groups(const fen_reckoner *r, const fen_reckon_value in[], fen_reckon_error *reterr)
{
    for (size_t i = 0; i < r->n_inputs; i++) {
        bool first = r->inputs[i].group != 0;
        for (size_t j = 0; j < i; j++)
            first = first && r->inputs[j].group != r->inputs[i].group;
        if (!first)
            continue;
        fen_status st = check_group(r, in, i, reterr);
        if (st)
            return st;
    }
    return FEN_OK;
}

static size_t count_choices(const char *const *choices)
{
    size_t n = 0;
    while (choices[n])
        n++;
    return n;
}

static bool within(const fen_reckon_input *row, double number)
{
    if (row->measure == FEN_MEASURE_CHOICE)
        return number >= 0 && number < (double)count_choices(row->choices) && number == floor(number);
    if (row->measure == FEN_MEASURE_COUNT && number != floor(number))
        return false;
    return number >= row->least && number <= row->most; /* false for NaN */
}

static fen_status refuse_outside(const fen_reckoner *r, size_t i, double number, fen_reckon_error *reterr)
{
    const fen_reckon_input *row = &r->inputs[i];
    char right[160];
    snprintf(right, sizeof right, "give a %s from %s to %s", row->measure == FEN_MEASURE_COUNT ? "whole number" : "value",
             fen_shown_of(row->measure, row->least).at, fen_shown_of(row->measure, row->most).at);
    return fen_reckon_refuse(reterr, FEN_CODE_NUMBER, i, right, "'%s' cannot be %s", row->name,
                             fen_shown_of(row->measure, number).at);
}

/* Fill in what was not given; refuse what is missing or beyond belief. */
static fen_status fill(const fen_reckoner *r, fen_reckon_value in[], fen_reckon_error *reterr)
{
    for (size_t i = 0; i < r->n_inputs; i++) {
        const fen_reckon_input *row = &r->inputs[i];
        if (!in[i].given) {
            in[i].number = row->need == FEN_RECKON_USUAL ? row->usual : (double)NAN;
            if (row->need != FEN_RECKON_REQUIRED)
                continue;
            char right[160];
            snprintf(right, sizeof right, "give %s=, %s", row->name, row->about);
            return fen_reckon_refuse(reterr, FEN_CODE_MISSING, i, right, "'%s' needs '%s'", r->name, row->name);
        }
        const bool text = row->measure == FEN_MEASURE_PARTS || row->measure == FEN_MEASURE_LOG;
        if (!text && !within(row, in[i].number))
            return refuse_outside(r, i, in[i].number, reterr);
    }
    return check_groups(r, in, reterr);
}

fen_status fen_reckon_run(const fen_reckoner *r, fen_reckon_value in[], double ret_out[], fen_reckon_error *reterr)
{
    double out[FEN_RECKON_OUTPUTS];
    fen_status st = fill(r, in, reterr);
    if (st)
        return st;
    for (size_t i = 0; i < FEN_RECKON_OUTPUTS; i++)
        out[i] = (double)NAN;
    st = r->run(in, out, reterr);
    if (!st)
        memcpy(ret_out, out, r->n_outputs * sizeof *out);
    return st;
}

size_t fen_reckon_lines(const fen_reckoner *r, const fen_reckon_value in[])
{
    return r->lines ? r->lines(in) : 0;
}

void fen_reckon_line(const fen_reckoner *r, const fen_reckon_value in[], size_t i, fen_reckon_value ret_cells[])
{
    r->line(in, i, ret_cells);
}
