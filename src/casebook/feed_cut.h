/* feed_cut.h -- where one unit of a file of cases ends and the next begins.
 *
 * Looks at lines, remembers how far it looked, and keeps no text.
 */
#ifndef FEN_FEED_CUT_H
#define FEN_FEED_CUT_H

#include "feed.h"

#define FEN_QUOTED_MAX ((size_t)256 << 10) /* bytes of a CSV record in which a quote may stay open: a note of a hundred pages */

#define FEN_CUT_FIRST 64 /* bytes of an item by which others like it are known */
#define FEN_NO_LEAD SIZE_MAX

/* Of one file; zeroed, with `input` (and the CSV separator) set. */
typedef struct fen_cut {
    fen_input input;
    char separator;
    size_t scanned;     /* bytes of the open unit that have been looked at */
    uint32_t lines;     /* line ends among them */
    /* YAML: of the document at hand */
    bool content;       /* something but comments, blanks and directives has been seen */
    bool decided, list; /* its first content has been seen, and is an item of a list */
    size_t indent;      /* then: the column of its hyphens */
    bool skipping;      /* in a unit that is too long */
    /* JSON array */
    bool begun, ended;  /* its brackets have been seen */
    bool item, quoted, escaped; /* within an item; within a string of it; behind a backslash */
    size_t depth;       /* brackets open in the item */
    size_t lead;        /* blanks before it on its line; FEN_NO_LEAD: more than blanks */
    char first[FEN_CUT_FIRST]; /* how the first item that begins a line does, and the blanks before it */
    size_t n_first, first_lead; /* n_first 0: none has, or its first name is longer */
} fen_cut;

typedef struct fen_cut_unit {
    fen_unit_state state;
    size_t len, bad;
    size_t skip;        /* bytes to pass over after it, or alone */
    uint32_t lines;     /* in both */
} fen_cut_unit;

typedef enum fen_cut_result { FEN_CUT_UNIT, FEN_CUT_SKIP, FEN_CUT_MORE } fen_cut_result;

/* TEXT begins where the last unit ended. LAST: nothing follows LEN. */
fen_cut_result fen_cut_next(fen_cut *c, const char *text, size_t len, bool last, fen_cut_unit *ret);

/* Lines before the first one that says something of a case. */
uint32_t fen_cut_lead(const char *text, size_t len);
/* Line ends as libyaml counts them. */
uint32_t fen_cut_lines(const char *text, size_t len);

#endif
