/* json_reckon.c -- the calculators as JSON.
 */
#include <math.h>

#include "fenmend/reckon_view.h"
#include "text/json_write.h"
#include "util/alloc.h"

/* A number in its stored unit; dates and choices as texts. */
static void put_value(fen_json_out *j, fen_measure m, const char *const *choices, double number)
{
    char text[FEN_RECKON_TEXT];
    if (isfinite(number) && (m == FEN_MEASURE_DATE || m == FEN_MEASURE_CHOICE)) {
        fen_reckon_show(text, m, choices, number, false);
        fen_json_text(j, text);
    } else {
        fen_json_number(j, number);
    }
}

/* A text that is not NUL-terminated, or NULL. */
static void put_slice(fen_json_out *j, const char *text, size_t len)
{
    char *copy = text ? fen_strndup(text, len) : NULL;
    if (text && !copy)
        j->text->failed = true;
    fen_json_text(j, copy);
    fen_free(copy);
}

static void put_measured(fen_json_out *j, fen_measure m)
{
    fen_json_key_text(j, "unit", fen_reckon_unit(m));
}

static void put_inputs(fen_json_out *j, const fen_reckoner *r, const fen_reckon_value in[])
{
    fen_json_key(j, "inputs");
    fen_json_open(j, '{');
    for (size_t i = 0; i < r->n_inputs; i++) {
        const fen_reckon_input *row = &r->inputs[i];
        if (!in[i].given && isnan(in[i].number))
            continue;
        fen_json_key(j, row->name);
        fen_json_open(j, '{');
        if (row->measure != FEN_MEASURE_LOG) { /* a log is not repeated */
            fen_json_key(j, "value");
            if (row->measure == FEN_MEASURE_PARTS)
                put_slice(j, in[i].text, in[i].len);
            else
                put_value(j, row->measure, row->choices, in[i].number);
            put_measured(j, row->measure);
            fen_json_key(j, "typed");
            put_slice(j, in[i].text, in[i].len);
        }
        fen_json_key(j, "given");
        fen_json_bool(j, in[i].given);
        fen_json_close(j, '}');
    }
    fen_json_close(j, '}');
}

static void put_results(fen_json_out *j, const fen_reckoner *r, const double out[])
{
    fen_json_key(j, "results");
    fen_json_open(j, '{');
    for (size_t i = 0; i < r->n_outputs; i++) {
        fen_json_key(j, r->outputs[i].name);
        fen_json_open(j, '{');
        fen_json_key(j, "value");
        put_value(j, r->outputs[i].measure, r->outputs[i].choices, out[i]);
        put_measured(j, r->outputs[i].measure);
        fen_json_close(j, '}');
    }
    fen_json_close(j, '}');
}

static void put_line(fen_json_out *j, const fen_reckoner *r, const fen_reckon_value cells[])
{
    fen_json_open(j, '{');
    for (size_t c = 0; c < r->n_columns; c++) {
        fen_json_key(j, r->columns[c].name);
        if (cells[c].text)
            put_slice(j, cells[c].text, cells[c].len);
        else
            put_value(j, r->columns[c].measure, r->columns[c].choices, cells[c].number);
    }
    fen_json_close(j, '}');
}

static void put_lines(fen_json_out *j, const fen_reckoner *r, const fen_reckon_value in[])
{
    fen_reckon_value cells[FEN_RECKON_OUTPUTS];
    const size_t n = fen_reckon_lines(r, in);
    if (!r->n_columns)
        return;
    fen_json_key(j, "units");
    fen_json_open(j, '{');
    for (size_t c = 0; c < r->n_columns; c++)
        fen_json_key_text(j, r->columns[c].name, fen_reckon_unit(r->columns[c].measure));
    fen_json_close(j, '}');
    fen_json_key(j, "lines");
    fen_json_open(j, '[');
    for (size_t i = 0; i < n; i++) {
        fen_reckon_line(r, in, i, cells);
        put_line(j, r, cells);
    }
    fen_json_close(j, ']');
}

static void put_background(fen_json_out *j, const fen_reckoner *r)
{
    fen_json_key_text(j, "formula", r->formula);
    fen_json_key_text(j, "source", r->source);
    fen_json_key_text(j, "trust", r->trust);
    fen_json_key_text(j, "caution", r->caution);
}

static void put_head(fen_json_out *j, const fen_reckoner *r)
{
    fen_json_key_text(j, "reckoner", r->name);
    fen_json_key_text(j, "purpose", r->purpose);
    fen_json_key_text(j, "family", r->family);
}

static void put_input_row(fen_json_out *j, const fen_reckon_input *row)
{
    char group[2] = { row->group, '\0' };
    fen_json_open(j, '{');
    fen_json_key_text(j, "name", row->name);
    fen_json_key_text(j, "about", row->about);
    fen_json_key_text(j, "unit", fen_reckon_unit(row->measure));
    fen_json_key(j, "required");
    fen_json_bool(j, row->need == FEN_RECKON_REQUIRED);
    fen_json_key_text(j, "one-of", row->group ? group : NULL);
    fen_json_key(j, "usual");
    if (row->need == FEN_RECKON_USUAL)
        put_value(j, row->measure, row->choices, row->usual);
    else
        fen_json_text(j, NULL);
    if (row->choices) {
        fen_json_key(j, "choices");
        fen_json_open(j, '[');
        for (size_t i = 0; row->choices[i]; i++)
            fen_json_text(j, row->choices[i]);
        fen_json_close(j, ']');
    }
    fen_json_close(j, '}');
}

static void put_reckoner(fen_json_out *j, const fen_reckoner *r)
{
    fen_json_open(j, '{');
    put_head(j, r);
    fen_json_key(j, "inputs");
    fen_json_open(j, '[');
    for (size_t i = 0; i < r->n_inputs; i++)
        put_input_row(j, &r->inputs[i]);
    fen_json_close(j, ']');
    fen_json_key(j, "results");
    fen_json_open(j, '[');
    for (size_t i = 0; i < r->n_outputs; i++) {
        fen_json_open(j, '{');
        fen_json_key_text(j, "name", r->outputs[i].name);
        fen_json_key_text(j, "about", r->outputs[i].about);
        put_measured(j, r->outputs[i].measure);
        fen_json_close(j, '}');
    }
    fen_json_close(j, ']');
    put_background(j, r);
    fen_json_close(j, '}');
}

void fen_json_reckoners(fen_str *out)
{
    fen_json_out j = fen_json_begin(out);
    fen_json_open(&j, '{');
    fen_json_key(&j, "reckoners");
    fen_json_open(&j, '[');
    for (size_t i = 0; i < fen_reckoners(); i++)
        put_reckoner(&j, fen_reckoner_at(i));
    fen_json_close(&j, ']');
    fen_json_close(&j, '}');
    fen_str_putc(out, '\n');
}

void fen_json_reckoner(fen_str *out, const fen_reckoner *r)
{
    fen_json_out j = fen_json_begin(out);
    put_reckoner(&j, r);
    fen_str_putc(out, '\n');
}

void fen_json_reckoning(fen_str *out, const fen_reckoner *r, const fen_reckon_value in[], const double results[])
{
    fen_json_out j = fen_json_begin(out);
    fen_json_open(&j, '{');
    put_head(&j, r);
    put_inputs(&j, r, in);
    put_results(&j, r, results);
    put_lines(&j, r, in);
    put_background(&j, r);
    fen_json_close(&j, '}');
    fen_str_putc(out, '\n');
}
