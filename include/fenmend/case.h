/* case.h -- one plant on paper: what was found, when, and what it turned out to be.
 *
 * A case file is YAML:
 *
 *     case: porch-flytrap            # a name of the grower's choice
 *     kind: venus-flytrap
 *     date: 2026-07-12
 *     findings:
 *       crown-feel: soft
 *       blackened: [old-traps, new-leaves]
 *       water-reading: 180 ppm
 *       flower-stalk: unsure
 *       last-move: 2026-07-01
 *     note: bought at a market in June
 *     where: {tray: b4, water: rain butt}     # whatever is recorded, for `shared`
 *     settled: [crown-rot]                    # what it turned out to be
 *
 * or, with several visits, `visits:` a list of {date, findings, note, settled}
 * in order of date. Read against a base: names become ids. A case owns its memory.
 */
#ifndef FENMEND_CASE_H
#define FENMEND_CASE_H

#include "fenmend/session.h"

typedef struct fen_given {
    fen_id finding;
    fen_answer answer;
} fen_given;

typedef struct fen_visit {
    int32_t date;          /* day number */
    const fen_given *given; /* in the order written */
    size_t n_given;
    const char *note;      /* or NULL */
    fen_list settled;      /* causes; empty: not known */
} fen_visit;

typedef struct fen_tag {
    const char *key, *value;
} fen_tag;

typedef struct fen_case {
    const char *id;   /* never NULL: the file's stem where none is written */
    fen_id kind;      /* or FEN_NONE */
    bool kind_unsure; /* asked, and the grower could not tell: `kind: unsure` */
    const fen_visit *visits; /* at least one, by date */
    size_t n_visits;
    const fen_tag *where;
    size_t n_where;
    fen_place place;
} fen_case;

/* Read a case file (one case). TODAY is the date of a visit that names none.
 * FEN_EINPUT: problems were added, no case. */
FEN_MUST_USE fen_status fen_case_load(const fen_base *base, const char *path, int32_t today, fen_problems *problems, fen_case **ret_case);
void fen_case_free(fen_case *c);

/* Answer S with a visit's findings and the case's kind; S must be open at the visit's date. An
 * answer the session refuses is a bug of the reader: assert. */
void fen_case_answer(const fen_case *c, size_t visit, fen_session *s);

/* Make a case out of a session's present answers, in the order of ORDER (findings; those
 * not listed follow in base order), appended as a new visit to EARLIER (may be NULL) or
 * replacing its last visit if the date is the same. */
FEN_MUST_USE fen_status fen_case_from_session(fen_session *s, const char *id, const fen_case *earlier, fen_list order, const char *note, fen_case **ret_case);

/* Write as YAML, atomically. FEN_EIO with errno: the file is as it was. */
FEN_MUST_USE fen_status fen_case_keep(const fen_base *base, const fen_case *c, const char *path);

/* The answer for FINDING as a person writes it: an option's id, its number from 1, an
 * unambiguous prefix of id or of `say`, its words; several separated by commas
 * or "and"; "none"; a quantity; a date (2026-07-01, "12 days ago", "yesterday", "2 weeks ago"); yes/no/y/n;
 * "unsure" or "?"-less synonyms ("don't know", "not sure"). FEN_EINPUT: *reterr is a static or
 * session-free text owned by the caller's fen_str-like buffer of 256 bytes, "what is wrong; what would be right". */
FEN_MUST_USE fen_status fen_answer_read(const fen_base *base, fen_id finding, const char *text, size_t len, int32_t today, fen_answer *ret_answer, char reterr[256]);

#endif
