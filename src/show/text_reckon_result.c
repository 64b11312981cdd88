/* text_reckon_result.c -- what a calculation came to, line by line, and what it was
 * made of.
 */
#include <math.h>
#include <string.h>

#include "text_reckon.h"
#include "util/utf8.h"

static size_t longest_name(const fen_reckon_output *rows, size_t n)
{
    size_t most = 0;
    for (size_t i = 0; i < n; i++)
        most = strlen(rows[i].name) > most ? strlen(rows[i].name) : most;
    return most;
}

static void show_value(fen_page *page, const fen_reckon_output *row, double number, size_t names, size_t values)
{
    char text[FEN_RECKON_TEXT];
    fen_reckon_show(text, row->measure, row->choices, number, fen_page_look(page).us);
    if (fen_page_width(page) >= ROOMY) {
        fen_page_open(page, INDENT, (unsigned)(INDENT + names + values + 2 * GAP));
        fen_reckon_say_padded(page, FEN_TONE_PLAIN, row->name, names + GAP);
        fen_reckon_say_padded(page, FEN_TONE_STRONG, text, values);
        fen_reckon_say_padded(page, FEN_TONE_PLAIN, "", GAP);
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
            fen_reckon_say_padded(page, FEN_TONE_DIM, r->columns[c].about, c + 1 < r->n_columns ? widths[c] + GAP : 0);
    fen_page_close(page);
    for (size_t i = 0; i < n; i++) {
        fen_reckon_value cells[FEN_RECKON_OUTPUTS];
        char text[FEN_RECKON_TEXT];
        fen_reckon_line(r, in, i, cells);
        fen_page_open(page, INDENT, 2 * INDENT);
        for (size_t c = 0; c < r->n_columns; c++) {
            cell_text(page, &r->columns[c], &cells[c], text);
            if (widths[c])
                fen_reckon_say_padded(page, FEN_TONE_PLAIN, text, c + 1 < r->n_columns ? widths[c] + GAP : 0);
        }
        fen_page_close(page);
    }
}

/* Is TYPED what TAKEN begins with, blanks apart? "60" says all that "60 h" does. */
static bool says_the_same(const char *typed, const char *taken)
{
    for (;;) {
        typed += strspn(typed, " ");
        taken += strspn(taken, " ");
        if (!*typed)
            return true;
        if (*typed++ != *taken++)
            return false;
    }
}

/* "runoff 300 ppm (600uS/cm)": as it was taken, and as it was typed where that differs. */
static void say_input(fen_page *page, const fen_reckon_input *row, const fen_reckon_value *v)
{
    char taken[FEN_RECKON_TEXT] = "";
    char typed[FEN_RECKON_TEXT] = "";
    if (v->text && row->measure != FEN_MEASURE_LOG)
        cut_text(v, typed);
    if (!isnan(v->number))
        fen_reckon_show(taken, row->measure, row->choices, v->number, fen_page_look(page).us);
    fen_page_sayf(page, FEN_TONE_PLAIN, "%s%s%s", row->name, *taken || *typed ? " " : "", *taken ? taken : typed);
    if (!v->given)
        fen_page_say(page, FEN_TONE_PLAIN, " (usual)");
    else if (*taken && *typed && !says_the_same(typed, taken))
        fen_page_sayf(page, FEN_TONE_PLAIN, " (%s)", typed);
}

static void show_inputs(fen_page *page, const fen_reckoner *r, const fen_reckon_value in[])
{
    bool first = true;
    fen_page_open(page, 0, INDENT);
    fen_page_say(page, FEN_TONE_STRONG, "inputs: ");
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
    fen_reckon_show_background(page, r, full);
}
