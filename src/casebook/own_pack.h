/* own_pack.h -- a pack's text with one rule more, or one less; not another byte changes.
 *
 * A rule is put behind the last one, in the indentation of the others; where there are
 * no rules yet, behind all, under a `rules:` of ours; where there is no file, into a new
 * one. Taking that rule out again gives the bytes that were there before.
 *
 * Every result is read back and compared before it is given: a layout that is not
 * thought of here is refused (FEN_EINPUT, with a problem), never damaged.
 */
#ifndef FEN_OWN_PACK_H
#define FEN_OWN_PACK_H

#include "fenmend/problem.h"
#include "util/str.h"

typedef struct fen_own_pack {
    const char *path;
    char *text;     /* NULL: there is no such file */
    size_t len;
} fen_own_pack;

/* The last rule that was learnt from a case, as the pack says. */
typedef struct fen_own_lesson {
    char rule[80], of_case[256]; /* `rule` empty: there is none */
} fen_own_lesson;

/* Zeroed before; to be closed whatever comes of it. PATH is borrowed. */
FEN_MUST_USE fen_status fen_own_read(const char *path, fen_problems *problems, fen_own_pack *ret_pack);
void fen_own_close(fen_own_pack *p);

/* RULE: "NAME:" at the margin and its parts below, as YAML of whole lines. Appended to OUT. */
FEN_MUST_USE fen_status fen_own_with(const fen_own_pack *p, const char *rule, fen_problems *problems, fen_str *out);
/* OUT stays empty if nothing is left but what this module wrote: the file may go. */
FEN_MUST_USE fen_status fen_own_without(const fen_own_pack *p, const char *rule, fen_problems *problems, fen_str *out);
FEN_MUST_USE fen_status fen_own_last(const fen_own_pack *p, fen_problems *problems, fen_own_lesson *ret_lesson);

#endif
