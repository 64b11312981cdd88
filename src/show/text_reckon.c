/* text_reckon.c -- the calculators for people: what there is, what one takes, and
 * what came out.
 */
#include <math.h>
#include <string.h>

#include "fenmend/reckon_view.h"
#include "page.h"
#include "util/utf8.h"

enum { INDENT = 2, GAP = 2, ROOMY = 64 };

/* TEXT, then blanks that hold together up to COLUMN columns. */
static void say_padded(fen_page *page, fen_tone tone, const char *text, size_t columns)
{
    fen_page_say(page, tone, text);
    for (size_t n = fen_utf8_width(text, strlen(text)); n < columns; n++)
        fen_page_say(page, FEN_TONE_PLAIN, FEN_NBSP);
}

static size_t longest_name(const fen_reckon_output *rows, size_t n)
{
    size_t most = 0;
    for (size_t i = 0; i < n; i++)
        most = strlen(rows[i].name) > most ? strlen(rows[i].name) : most;
    return most;
}

static void show_pair(fen_page *page, const char *label, const char *text)
{
    if (!text)
        return;
    fen_page_open(page, 0, INDENT);
    fen_page_sayf(page, FEN_TONE_STRONG, "%s: ", label);
    fen_page_say(page, FEN_TONE_PLAIN, text);
    fen_page_close(page);
}

/* ---- the list ---- */

void fen_show_reckoners(fen_page *page)
{
    size_t column = 0;
    const char *family = "";
    for (size_t i = 0; i < fen_reckoners(); i++) {
        const size_t n = strlen(fen_reckoner_at(i)->name);
        column = n > column ? n : column;
    }
    column = fen_page_width(page) >= ROOMY ? column + GAP : 0;
    for (size_t i = 0; i < fen_reckoners(); i++) {
        const fen_reckoner *r = fen_reckoner_at(i);
        if (strcmp(r->family, family))
            fen_page_title(page, family = r->family);
        fen_page_open(page, INDENT, INDENT + (column ? (unsigned)column : INDENT));
        say_padded(page, FEN_TONE_STRONG, r->name, column);
        if (!column)
            fen_page_say(page, FEN_TONE_PLAIN, ": ");
        fen_page_say(page, FEN_TONE_PLAIN, r->purpose);
        fen_page_close(page);
    }
    fen_page_gap(page);
    fen_show_text(page, "'fenmend reckon NAME' tells what one takes.");
}

/* ---- one calculator ---- */

static bool has_limits(const fen_reckon_input *in)
{
    return in->measure != FEN_MEASURE_CHOICE && in->measure != FEN_MEASURE_PARTS && in->measure != FEN_MEASURE_LOG && in->measure != FEN_MEASURE_DATE;
}

static void say_choices(fen_page *page, const char *const *choices)
{
    for (size_t i = 0; choices[i]; i++)
        fen_page_sayf(page, FEN_TONE_PLAIN, "%s%s", i ? ", " : "", choices[i]);
}

static void say_need(fen_page *page, const fen_reckon_input *in)
{
    const bool us = fen_page_look(page).us;
    char text[FEN_RECKON_TEXT];
    if (in->need == FEN_RECKON_USUAL) {
        fen_reckon_show(text, in->measure, in->choices, in->usual, us);
        fen_page_sayf(page, FEN_TONE_PLAIN, "; %s if not given", text);
    } else if (in->group) {
        fen_page_say(page, FEN_TONE_PLAIN, "; exactly one of those marked *");
    } else if (in->need == FEN_RECKON_OPTIONAL) {
        fen_page_say(page, FEN_TONE_PLAIN, "; may be left out");
    }
}

static void show_input(fen_page *page, const fen_reckon_input *in)
{
    const bool us = fen_page_look(page).us;
    fen_page_open(page, INDENT, 2 * INDENT);
    fen_page_sayf(page, FEN_TONE_STRONG, "%s%s", in->name, in->group ? "*" : "");
    fen_page_sayf(page, FEN_TONE_PLAIN, ": %s", in->about);
    say_need(page, in);
    fen_page_say(page, FEN_TONE_DIM, " (");
    if (in->choices)
        say_choices(page, in->choices);
    else
        fen_page_say(page, FEN_TONE_DIM, in->measure == FEN_MEASURE_LOG ? "a file's name, or - for standard input" : fen_reckon_units(in->measure));
    if (has_limits(in)) {
        char least[FEN_RECKON_TEXT];
        char most[FEN_RECKON_TEXT];
        fen_reckon_show(least, in->measure, NULL, in->least, us);
        fen_reckon_show(most, in->measure, NULL, in->most, us);
        fen_page_sayf(page, FEN_TONE_DIM, "; %s to %s", least, most);
    }
    fen_page_say(page, FEN_TONE_DIM, ")");
    fen_page_close(page);
}

static void show_outputs(fen_page *page, const fen_reckon_output *rows, size_t n)
{
    for (size_t i = 0; i < n; i++) {
        fen_page_open(page, INDENT, 2 * INDENT);
        fen_page_say(page, FEN_TONE_STRONG, rows[i].name);
        fen_page_sayf(page, FEN_TONE_PLAIN, ": %s", rows[i].about);
        fen_page_close(page);
    }
}

static void show_background(fen_page *page, const fen_reckoner *r, bool formula)
{
    if (formula)
        show_pair(page, "formula", r->formula);
    show_pair(page, "source", r->source);
    show_pair(page, "trust", r->trust);
    if (r->caution)
        fen_page_line(page, 0, FEN_TONE_DANGER, "caution: %s", r->caution);
}

void fen_show_reckoner(fen_page *page, const fen_reckoner *r)
{
    fen_page_open(page, 0, INDENT);
    fen_page_say(page, FEN_TONE_STRONG, r->name);
    fen_page_sayf(page, FEN_TONE_PLAIN, ": %s", r->purpose);
    fen_page_close(page);
    fen_page_title(page, "takes");
    for (size_t i = 0; i < r->n_inputs; i++)
        show_input(page, &r->inputs[i]);
    fen_page_title(page, "gives");
    show_outputs(page, r->outputs, r->n_outputs);
    fen_page_gap(page);
    show_background(page, r, true);
    fen_page_gap(page);
    fen_page_line(page, 0, FEN_TONE_PLAIN, "fenmend reckon %s %s", r->name, r->example);
}

/* ---- a result ---- */

static void show_value(fen_page *page, const fen_reckon_output *row, double number, size_t names, size_t values)
{
    char text[FEN_RECKON_TEXT];
    fen_reckon_show(text, row->measure, row->choices, number, fen_page_look(page).us);
    if (fen_page_width(page) >= ROOMY) {
        fen_page_open(page, INDENT, (unsigned)(INDENT + names + values + 2 * GAP));
        say_padded(page, FEN_TONE_PLAIN, row->name, names + GAP);
        say_padded(page, FEN_TONE_STRONG, text, values + GAP);
    } else {
        fen_page_open(page, INDENT, 2 * INDENT);
        fen_page_sayf(page, FEN_TONE_PLAIN, "%s: ", row->name);
        fen_page_sayf(page, FEN_TONE_STRONG, "%s", text);
        fen_page_say(page, FEN_TONE_PLAIN, "; ");
    }
    fen_page_say(page, FEN_TONE_DIM, row->about);
    fen_page_close(page);
}

static void show_results(fen_page *page, const fen_reckoner *r, const double out[])
{
    size_t values = 0;
    for (size_t i = 0; i < r->n_outputs; i++) {
        char text[FEN_RECKON_TEXT];
        const size_t n = isnan(out[i]) ? 0 : fen_reckon_show(text, r->outputs[i].measure, r->outputs[i].choices, out[i], fen_page_look(page).us);
        values = n > values ? n : values;
    }
    values = values > 24 ? 24 : values; /* a verdict in words may push its row out of line */
    for (size_t i = 0; i < r->n_outputs; i++)
        if (!isnan(out[i]))
            show_value(page, &r->outputs[i], out[i], longest_name(r->outputs, r->n_outputs), values);
}

/* As much of a text as a cell has room for, in whole characters. */
static void cut_text(const fen_reckon_value *v, char ret[FEN_RECKON_TEXT])
{
    size_t n = 0;
    for (size_t step; n < v->len; n += step) {
        step = fen_utf8_step(v->text + n, v->len - n);
        if (n + step >= FEN_RECKON_TEXT)
            break;
    }
    memcpy(ret, v->text, n);
    ret[n] = '\0';
}

/* Its columns. */
static size_t cell_text(fen_page *page, const fen_reckon_output *column, const fen_reckon_value *cell, char ret[FEN_RECKON_TEXT])
{
    if (cell->text) {
        cut_text(cell, ret);
        return fen_utf8_width(ret, strlen(ret));
    }
    if (isnan(cell->number)) {
        ret[0] = '\0';
        return 0;
    }
    return fen_reckon_show(ret, column->measure, column->choices, cell->number, fen_page_look(page).us);
}

/* Widths of the columns; 0 for one that is empty in all lines. */
static void measure_lines(fen_page *page, const fen_reckoner *r, const fen_reckon_value in[], size_t n, size_t ret_widths[])
{
    fen_reckon_value cells[FEN_RECKON_OUTPUTS];
    char text[FEN_RECKON_TEXT];
    for (size_t c = 0; c < r->n_columns; c++)
        ret_widths[c] = 0;
    for (size_t i = 0; i < n; i++) {
        fen_reckon_line(r, in, i, cells);
        for (size_t c = 0; c < r->n_columns; c++) {
            const size_t w = cell_text(page, &r->columns[c], &cells[c], text);
            ret_widths[c] = w > ret_widths[c] ? w : ret_widths[c];
        }
    }
    for (size_t c = 0; c < r->n_columns; c++)
        if (ret_widths[c] && ret_widths[c] < strlen(r->columns[c].about))
            ret_widths[c] = strlen(r->columns[c].about);
}

static void show_lines(fen_page *page, const fen_reckoner *r, const fen_reckon_value in[])
{
    size_t widths[FEN_RECKON_OUTPUTS];
    const size_t n = fen_reckon_lines(r, in);
    if (!n)
        return;
    measure_lines(page, r, in, n, widths);
    fen_page_gap(page);
    fen_page_open(page, INDENT, INDENT);
    for (size_t c = 0; c < r->n_columns; c++)
        if (widths[c])
            say_padded(page, FEN_TONE_DIM, r->columns[c].about, c + 1 < r->n_columns ? widths[c] + GAP : 0);
    fen_page_close(page);
    for (size_t i = 0; i < n; i++) {
        fen_reckon_value cells[FEN_RECKON_OUTPUTS];
        char text[FEN_RECKON_TEXT];
        fen_reckon_line(r, in, i, cells);
        fen_page_open(page, INDENT, 2 * INDENT);
        for (size_t c = 0; c < r->n_columns; c++) {
            cell_text(page, &r->columns[c], &cells[c], text);
            if (widths[c])
                say_padded(page, FEN_TONE_PLAIN, text, c + 1 < r->n_columns ? widths[c] + GAP : 0);
        }
        fen_page_close(page);
    }
}

static void say_input(fen_page *page, const fen_reckon_input *row, const fen_reckon_value *v)
{
    char text[FEN_RECKON_TEXT];
    if (row->measure == FEN_MEASURE_LOG) {
        fen_page_say(page, FEN_TONE_PLAIN, row->name);
        return;
    }
    if (v->text)
        cut_text(v, text);
    else
        fen_reckon_show(text, row->measure, row->choices, v->number, fen_page_look(page).us);
    fen_page_sayf(page, FEN_TONE_PLAIN, "%s %s%s", row->name, text, v->given ? "" : " (usual)");
}

static void show_inputs(fen_page *page, const fen_reckoner *r, const fen_reckon_value in[])
{
    bool first = true;
    fen_page_open(page, 0, INDENT);
    fen_page_say(page, FEN_TONE_STRONG, "from: ");
    for (size_t i = 0; i < r->n_inputs; i++) {
        if (!in[i].given && isnan(in[i].number))
            continue;
        if (!first)
            fen_page_say(page, FEN_TONE_PLAIN, ", ");
        first = false;
        say_input(page, &r->inputs[i], &in[i]);
    }
    fen_page_close(page);
}

void fen_show_reckoning(fen_page *page, const fen_reckoner *r, const fen_reckon_value in[], const double out[], bool full)
{
    show_results(page, r, out);
    show_lines(page, r, in);
    fen_page_gap(page);
    show_inputs(page, r, in);
    show_background(page, r, full);
}
