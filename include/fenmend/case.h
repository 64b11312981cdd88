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
 * Among the settled cases (settled.h) it also has `format: 1`, by which a later program tells
 * what it reads, and `lesson: RULE` if it was put there because a rule was learnt from it.
 *
 * Or, with several visits, `visits:` a list of {date, findings, note, settled}
 * in order of date. Read against a base: names become ids. A case owns its memory.
 *
 * An answer is written as at the prompt (fen_answer_read), a `several` also as a
 * list. A number of an answer, and a finding that this kind of plant does not have,
 * are warned of and taken; what cannot be taken is an error, all of them in one run.
 */
#ifndef FENMEND_CASE_H
#define FENMEND_CASE_H

#include "fenmend/session.h"

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
    const char *lesson; /* the rule that was learnt from it when it was kept, or NULL */
    fen_place place;
} fen_case;

#define FEN_CASE_FORMAT 1 /* the latest that is read, and the one that is written */

/* Read a case file (one case). TODAY is the date of a visit that names none.
 * FEN_EINPUT: problems were added, no case. */
FEN_MUST_USE fen_status fen_case_load(const fen_base *base, const char *path, int32_t today, fen_problems *problems, fen_case **ret_case);
void fen_case_free(fen_case *c);

/* Answer S with a visit's findings and the case's kind; S must be open at the visit's date. An
 * answer the session refuses is a bug of the reader: assert. Nothing of earlier visits is taken. */
void fen_case_answer(const fen_case *c, size_t visit, fen_session *s);

/* Make a case out of a session's present answers, in the order of ORDER (findings; those
 * not listed follow in base order), put as a new visit among those of EARLIER (may be NULL) by its
 * date, or in place of the visit of the same day, whose note and settled causes stay unless NOTE
 * replaces the former. ID and NOTE are cleaned of control characters. */
FEN_MUST_USE fen_status fen_case_from_session(fen_session *s, const char *id, const fen_case *earlier, fen_list order, const char *note, fen_case **ret_case);

/* What it turned out to be: the causes of the latest visit that says. Borrowed from C. */
fen_list fen_case_settled(const fen_case *c);
/* A copy of C in which the last visit was settled as CAUSE (FEN_NONE: as it was), with LESSON (or NULL). */
FEN_MUST_USE fen_status fen_case_settle(const fen_case *c, fen_id cause, const char *lesson, fen_case **ret_case);

/* C, whose ids are those of FROM, as TO has them. FEN_EINPUT: problems were added, for TO has not all of
 * its names. */
FEN_MUST_USE fen_status fen_case_carry(const fen_base *from, const fen_case *c, const fen_base *to, fen_problems *problems, fen_case **ret_case);

/* Append C as YAML to a text; KEPT: as it stands among the settled cases, with format and lesson. */
struct fen_str; /* util/str.h */
FEN_MUST_USE fen_status fen_case_write(const fen_base *base, const fen_case *c, bool kept, struct fen_str *out);
/* Write as YAML, atomically. FEN_EIO with errno: the file is as it was. */
FEN_MUST_USE fen_status fen_case_keep(const fen_base *base, const fen_case *c, const char *path);

/* The answer for FINDING as a person writes it. An answer of a choice: its id, what it says, one of
 * its words, its number from 1 as the question shows it, or the start of id or saying if only one
 * begins so; case and hyphens do not count. Several: these with commas or "and" between, or
 * "none". A quantity with a unit of its dimension (bare only for counts and percents). A date: 2026-07-01,
 * "12 days ago", "yesterday", "two weeks ago". "unsure" and the ways people say it, for every finding. FEN_EINPUT:
 * reterr says "what is wrong; what would be right". */
FEN_MUST_USE fen_status fen_answer_read(const fen_base *base, fen_id finding, const char *text, size_t len, int32_t today, fen_answer *ret_answer, char reterr[256]);

#endif
