#include "problem_text.h"

#include <string.h>

#include "utf8.h"

#define QUOTED_COLUMNS 92 /* with the gutter of eight, a line of a hundred */
#define AFTER_CUT 60      /* columns shown before the caret of a cut line */
#define TAB 8

const char *fen_severity_name(fen_severity severity)
{
    switch (severity) {
    case FEN_NOTE:
        return "note";
    case FEN_WARNING:
        return "warning";
    case FEN_ERROR:
        break;
    }
    return "error";
}

/* The line in columns: where the caret goes, and what part of it is shown. */
typedef struct layout {
    size_t total, caret, caret_end;
    size_t from, to;
} layout;

static size_t advance(const char *text, size_t step, size_t column)
{
    if (*text == '\t')
        return TAB - column % TAB;
    const size_t width = fen_utf8_width(text, step);
    /* a control is shown as a mark of one column; a combining character has none */
    return width || step > 1 ? width : 1;
}

static layout measure(const char *line, fen_place place)
{
    layout l = { 0 };
    const size_t len = strlen(line);
    size_t character = 1, column = 0, step;
    bool begun = false;
    for (size_t i = 0; i < len; i += step, character++) {
        step = fen_utf8_step(line + i, len - i);
        if (character == place.column) {
            l.caret = column;
            begun = true;
        }
        column += advance(line + i, step, column);
        if (begun && character - place.column < place.width)
            l.caret_end = column;
    }
    l.total = column;
    if (!begun)
        l.caret = column; /* past the end: something is missing there */
    if (l.caret_end <= l.caret)
        l.caret_end = l.caret + 1;
    return l;
}

static void choose_part(layout *l)
{
    l->to = l->total;
    if (l->total <= QUOTED_COLUMNS)
        return;
    if (l->caret > AFTER_CUT)
        l->from = l->caret - AFTER_CUT;
    if (l->total - l->from > QUOTED_COLUMNS)
        l->to = l->from + QUOTED_COLUMNS;
    else
        l->from = l->total - QUOTED_COLUMNS;
}

static void put_blanks(fen_str *out, size_t count)
{
    while (count--)
        fen_str_putc(out, ' ');
}

/* Only whole characters; a wide one or a tab half outside becomes blanks. Where
 * the line goes on, three points stand in place of its edge. */
static void put_part(fen_str *out, const char *line, const layout *l)
{
    const size_t len = strlen(line);
    const size_t from = l->from ? l->from + 3 : 0;
    const size_t to = l->to < l->total ? l->to - 3 : l->to;
    size_t column = 0, step;
    if (l->from)
        fen_str_puts(out, "...");
    for (size_t i = 0; i < len && column < to; i += step) {
        step = fen_utf8_step(line + i, len - i);
        const size_t width = advance(line + i, step, column), end = column + width;
        if (column >= from && end <= to && line[i] != '\t')
            fen_utf8_clean(out, line + i, step, false, false);
        else if (end > from)
            put_blanks(out, (end < to ? end : to) - (column > from ? column : from));
        column = end;
    }
    if (l->to < l->total)
        fen_str_puts(out, "...");
    fen_str_putc(out, '\n');
}

static void put_caret(fen_str *out, const layout *l)
{
    const size_t end = l->caret_end < l->to ? l->caret_end : l->to;
    fen_str_puts(out, "      | ");
    put_blanks(out, l->caret - l->from);
    fen_str_putc(out, '^');
    for (size_t column = l->caret + 1; column < end; column++)
        fen_str_putc(out, '~');
    fen_str_putc(out, '\n');
}

/* Character by character: an unfinished control sequence out of the file must not
 * take the rest of our own sentence with it. */
static void put_clean(fen_str *out, const char *text)
{
    const size_t len = strlen(text);
    for (size_t i = 0, step; i < len; i += step) {
        step = fen_utf8_step(text + i, len - i);
        fen_utf8_clean(out, text + i, step, false, false);
    }
}

static void put_place(fen_str *out, const fen_problems *list, fen_place place)
{
    put_clean(out, fen_problems_path(list, place.file));
    if (place.line)
        fen_str_printf(out, ":%u", (unsigned)place.line);
    if (place.line && place.column)
        fen_str_printf(out, ":%u", (unsigned)place.column);
}

void fen_problem_write(fen_str *out, const fen_problems *list, const fen_problem *problem)
{
    put_place(out, list, problem->place);
    fen_str_printf(out, ": %s: ", fen_severity_name(problem->severity));
    put_clean(out, problem->text);
    if (problem->right) {
        fen_str_puts(out, "; ");
        put_clean(out, problem->right);
    }
    fen_str_printf(out, " [%s]\n", fen_code_name(problem->code));
    if (!problem->line || !problem->place.line || !problem->place.column)
        return;
    layout l = measure(problem->line, problem->place);
    choose_part(&l);
    fen_str_printf(out, "%5u | ", (unsigned)problem->place.line);
    put_part(out, problem->line, &l);
    put_caret(out, &l);
}
