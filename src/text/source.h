/* source.h -- one file's text, and its lines for messages.
 *
 * The text is checked to be UTF-8 without NUL (a byte order mark is passed over)
 * before anything reads it. FILE is its index in the problem list's file names.
 * Lines end where YAML 1.1 ends them (LF, CR, CR LF, U+0085, U+2028, U+2029), so
 * that libyaml's line numbers and ours are the same. A source may be a piece out
 * of a longer file: its lines and byte offsets are then those of the file. It belongs
 * to one thread, also while it is only read.
 */
#ifndef FEN_SOURCE_H
#define FEN_SOURCE_H

#include <stddef.h>
#include <stdint.h>

#include "fenmend/problem.h"

typedef struct fen_source {
    const char *path;
    const char *text; /* NUL-terminated */
    size_t len;
    uint32_t file;
    /* private: where in the file the text begins; its lines */
    uint32_t lines_before;
    size_t bytes_before;
    char *owned;
    struct fen_lines *lines;
} fen_source;

/* FEN_EINPUT: a problem was added (cannot be read, too large, not UTF-8 with the
 * byte offset). FEN_EIO is never returned: an unreadable file is a problem of the
 * input, and the others are still to be read. */
FEN_MUST_USE fen_status fen_source_open(const char *path, size_t max, fen_problems *problems, fen_source **ret_source);
/* The same for text at hand; TEXT is copied. */
FEN_MUST_USE fen_status fen_source_text(const char *path, const char *text, size_t len, fen_problems *problems, fen_source **ret_source);
/* The same for a piece of a file, after LINES_BEFORE lines and BYTES_BEFORE bytes. Its lines are looked for when
 * somebody asks; failing then shows as the status of the problems that it tells. */
FEN_MUST_USE fen_status fen_source_piece(const char *path, const char *text, size_t len, uint32_t lines_before,
                                         size_t bytes_before, fen_problems *problems, fen_source **ret_source);
void fen_source_free(fen_source *s);

/* The text of LINE (from 1), without its end; *ret_len its bytes. */
const char *fen_source_line(const fen_source *s, uint32_t line, size_t *ret_len);

/* Line ends in TEXT, which has a NUL somewhere behind LEN. */
uint32_t fen_source_breaks(const char *text, size_t len);

/* The place of the byte at OFFSET of `text` (at most `len`), one character wide. */
fen_place fen_source_place(const fen_source *s, size_t offset);
/* The offset in `text` of LINE and COLUMN (both from 1); at most the line's end. */
size_t fen_source_offset(const fen_source *s, uint32_t line, uint32_t column);

/* Add a problem at PLACE with its line quoted. */
void fen_source_problem(const fen_source *s, fen_problems *problems, fen_severity severity, fen_code code,
                        fen_place place, const char *right, const char *text, ...) FEN_PRINTF(7, 8);

#endif
