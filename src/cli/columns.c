#include "columns.h"

#include <string.h>

#include "util/utf8.h"

enum {
    ROOM_LEAST = 36, /* columns the right side needs to read well beside the left */
    NARROW_AT = 10   /* where it begins below the left instead */
};

static void blanks(fen_str *out, size_t n)
{
    while (n--)
        fen_str_putc(out, ' ');
}

void fen_columns_put(fen_str *out, const char *left, const char *right, size_t at, size_t width)
{
    const size_t indent = width >= at + ROOM_LEAST ? at : NARROW_AT;
    size_t column = 2 + fen_utf8_width(left, strlen(left));
    blanks(out, 2);
    fen_str_puts(out, left);
    if (column + 2 > indent) {
        fen_str_putc(out, '\n');
        column = 0;
    }
    blanks(out, indent - column);
    fen_utf8_wrap(out, right, strlen(right), width, indent, indent);
    fen_str_putc(out, '\n');
}

void fen_columns_text(fen_str *out, const char *text, size_t width)
{
    fen_utf8_wrap(out, text, strlen(text), width, 0, 0);
    fen_str_putc(out, '\n');
}
