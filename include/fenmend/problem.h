/* problem.h -- what was wrong with a text, where, and what would be right.
 *
 * Readers collect problems instead of stopping at the first, so an author sees
 * all of them in one run. A problem owns copies of its texts; the list owns the
 * problems. Lines and columns count from 1, columns in characters. Line 0 means
 * "the file as a whole".
 */
#ifndef FENMEND_PROBLEM_H
#define FENMEND_PROBLEM_H

#include <stddef.h>
#include <stdint.h>

#include "fenmend/status.h"

typedef struct fen_place {
    uint32_t file; /* index into the list's file names, see fen_problems_file */
    uint32_t line; /* from 1; 0: no line */
    uint32_t column; /* from 1, in characters */
    uint32_t width;  /* characters to underline, at least 1 */
} fen_place;

typedef enum fen_severity { FEN_NOTE, FEN_WARNING, FEN_ERROR } fen_severity;

/* A code keeps its meaning for ever. The one table that gives name and help
 * is FEN_PROBLEM_CODES in problem_codes.h. */
#define FEN_CODE_ENUM(sym, name, help) FEN_CODE_##sym,
#include "fenmend/problem_codes.h"
typedef enum fen_code { FEN_PROBLEM_CODES(FEN_CODE_ENUM) FEN_CODE_COUNT } fen_code;
#undef FEN_CODE_ENUM

const char *fen_code_name(fen_code code); /* "unknown-name" */
const char *fen_code_help(fen_code code); /* one paragraph */
fen_severity fen_code_severity(fen_code code); /* the usual one; some are warnings where little is lost */

typedef struct fen_problem {
    fen_severity severity;
    fen_code code;
    fen_place place;
    const char *text;  /* "'runoff' is in ppm, but '30 C' is a temperature" */
    const char *right; /* "write a number of ppm", or NULL */
    const char *line;  /* the line of text at PLACE, or NULL */
    const char *instead; /* if there is but one answer: what should stand at ... or NULL */
    fen_place instead_at; /* ... this place; a width of 0 is between two characters */
} fen_problem;

typedef struct fen_problems fen_problems;

FEN_MUST_USE fen_status fen_problems_new(fen_problems **ret_list);
void fen_problems_free(fen_problems *list);

/* Give PATH an index for fen_place.file; the same path gives the same index. */
FEN_MUST_USE fen_status fen_problems_file(fen_problems *list, const char *path, uint32_t *ret_file);
const char *fen_problems_path(const fen_problems *list, uint32_t file);

/* Append. LINE (may be NULL) is copied without its line end. TEXT is a format.
 * Split "wrong; right" is done by the caller: RIGHT may be NULL. A failed
 * allocation is remembered and shows as fen_problems_status. */
void fen_problems_add(fen_problems *list, fen_severity severity, fen_code code, fen_place place,
                      const char *line, const char *right, const char *text, ...) FEN_PRINTF(7, 8);

/* To mend the problem added last, INSTEAD (copied) should stand in place of the text AT. */
void fen_problems_instead(fen_problems *list, fen_place at, const char *instead);

/* A problem cannot be told as it should, for want of memory: shows as fen_problems_status. */
void fen_problems_lose(fen_problems *list);

size_t fen_problems_count(const fen_problems *list);
size_t fen_problems_errors(const fen_problems *list);
const fen_problem *fen_problems_at(const fen_problems *list, size_t i);
/* FEN_ENOMEM if any problem could not be stored, else FEN_OK. */
fen_status fen_problems_status(const fen_problems *list);
/* Order by file (as named), line, column; equal places keep their order. */
void fen_problems_sort(fen_problems *list);

#endif
