/* feed.h -- files of cases cut into pieces of whole cases while they are read.
 *
 * A *unit* is what can be read by itself: a YAML document, an item of a
 * document that is a list, a line of JSON, an item of a JSON array, a record of CSV. A *piece* is some
 * units that follow each other in one file, with their text. Cutting needs no parser:
 * in YAML a document marker, and an item's hyphen at the column of its list, can
 * stand nowhere else at the start of a line (YAML 1.2.2, 9.1.2 and 8.2.1).
 *
 * Memory: one buffer that holds at least the unit being read, which is at
 * most FEN_CASE_MAX; what is longer is passed over and told.
 */
#ifndef FEN_FEED_H
#define FEN_FEED_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "fenmend/batch.h"
#include "util/str.h"
#include "util/vec.h"

typedef enum fen_unit_state {
    FEN_UNIT_TEXT,
    FEN_UNIT_ONLY,     /* all there is in its file: a case file */
    FEN_UNIT_TOO_LONG, /* passed over; its text is its first line */
    FEN_UNIT_STRAY, FEN_UNIT_AFTER, FEN_UNIT_OPEN, /* CSV: a quote amiss, at `bad` */
    FEN_UNIT_UNENDED   /* no text: the JSON array has no end */
} fen_unit_state;

typedef struct fen_unit {
    fen_unit_state state;
    size_t at, len;        /* within the piece's text */
    size_t bad;            /* within the unit */
    uint32_t lines_before; /* in the file */
    size_t bytes_before;
} fen_unit;

/* What is known of a file that is being read; outlives its pieces. */
typedef struct fen_feed_file {
    const char *path, *stem;
    fen_input input;       /* as found, never AUTO */
    char separator;        /* CSV */
    char *header;          /* CSV: the first record */
    size_t header_len;
    uint32_t header_line;  /* lines before it */
    size_t header_byte;
    int error;             /* errno of a read that failed */
} fen_feed_file;

typedef struct fen_piece_of_file {
    const fen_feed_file *file;
    fen_str text;
    FEN_VEC(fen_unit) units;
    size_t bytes;          /* of the file gone through */
    bool first, failed;    /* first of its file; the file ends here by a fault of reading */
} fen_piece_of_file;

typedef struct fen_feed fen_feed;

FEN_MUST_USE fen_status fen_feed_new(const char *const *paths, size_t n_paths, fen_input input, fen_feed **ret_feed);
void fen_feed_free(fen_feed *f);
/* The next piece into PIECE (emptied first). *ret_more false: there is none. A file
 * that cannot be opened or read gives a piece without units and `failed`; its
 * file's `error` says why. */
FEN_MUST_USE fen_status fen_feed_next(fen_feed *f, fen_piece_of_file *piece, bool *ret_more);

/* Would the next piece have to wait for whoever writes the input? */
bool fen_feed_waits(const fen_feed *f);
/* The file at hand is not wanted any more: go on with the next. */
void fen_feed_drop(fen_feed *f);

/* What the text at the start of a file is; false: more of it is needed, and there is some
 * unless LAST. Lines of JSON are known by any of them, since the first may be broken. */
bool fen_feed_guess(const char *text, size_t len, bool last, fen_input *ret);

#endif
