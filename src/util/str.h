/* str.h -- text that grows.
 *
 * A failed allocation, or growth over the buffer's largest size, is noted and
 * further appends do nothing, so that writers need one check at the end
 * (fen_str_status). The text is always NUL-terminated.
 */
#ifndef FEN_STR_H
#define FEN_STR_H

#include <stdarg.h>
#include <stdbool.h>
#include <stddef.h>

#include "fenmend/status.h"

typedef struct fen_str {
    char *at; /* never NULL after fen_str_init, but not to be freed by hand */
    size_t len, cap, max;
    bool failed;
} fen_str;

void fen_str_init(fen_str *s, size_t max); /* no allocation yet */
void fen_str_free(fen_str *s);             /* ready for reuse, same max */
void fen_str_clear(fen_str *s);            /* length 0, memory and failure kept */
void fen_str_put(fen_str *s, const char *bytes, size_t len);
void fen_str_puts(fen_str *s, const char *text);
void fen_str_putc(fen_str *s, char c);
/* Room for MORE bytes and a NUL after what is there, to be written by hand; NULL without. Then
 * fen_str_end tells where they end, and ends the text there. */
char *fen_str_room(fen_str *s, size_t more);
void fen_str_end(fen_str *s, const char *end);
void fen_str_printf(fen_str *s, const char *format, ...) FEN_PRINTF(2, 3); /* no %f: use number.h */
void fen_str_vprintf(fen_str *s, const char *format, va_list args) FEN_PRINTF(2, 0);
fen_status fen_str_status(const fen_str *s); /* FEN_OK or FEN_ENOMEM */

#endif
