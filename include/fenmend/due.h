/* due.h -- what is to be done on which day: looks that plans promised, steps to
 * be done again, and the season's tasks.
 *
 * Days are day numbers; who asks says what today is. Texts are borrowed from the
 * base; what is borrowed from cases is copied, so that a case may go when it is added.
 */
#ifndef FENMEND_DUE_H
#define FENMEND_DUE_H

#include "fenmend/case.h"

struct fen_str; /* util/str.h */

typedef enum fen_due_type { FEN_DUE_LOOK, FEN_DUE_AGAIN, FEN_DUE_TASK } fen_due_type;

typedef struct fen_due {
    fen_due_type type;
    int32_t day;           /* when it is due, or its season begins */
    int32_t until;         /* the last day of the season; else DAY */
    const char *case_id;
    fen_id kind;           /* of the plant, or FEN_NONE */
    int32_t visit;         /* day of the visit it comes from */
    fen_id remedy;         /* LOOK, AGAIN */
    uint32_t step, nth;    /* AGAIN: of the remedy; which repetition, from 1 */
    fen_id task;           /* TASK */
    const char *text;      /* what to do or to see, amounts worked out; owned by the list */
} fen_due;

typedef struct fen_dues fen_dues;
FEN_MUST_USE fen_status fen_dues_new(const fen_base *base, fen_dues **ret);
void fen_dues_free(fen_dues *d);

typedef struct fen_due_span {
    int32_t today;
    int32_t ahead;  /* days ahead of today for which tasks are told */
    bool south;     /* where a case does not say `hemisphere` among its `where` */
    bool us;        /* units of amounts */
} fen_due_span;

/* What C's last visit leaves to be done; S is used for it. */
FEN_MUST_USE fen_status fen_dues_add(fen_dues *d, const fen_case *c, fen_session *s, fen_due_span span);
/* By day, then looks before steps before tasks, then by kind and case. */
void fen_dues_sort(fen_dues *d);
size_t fen_dues_count(const fen_dues *d);
const fen_due *fen_dues_at(const fen_dues *d, size_t i);
const fen_base *fen_dues_base(const fen_dues *d);

/* The first and last day of months FROM..TO (1..12) that is under way on DAY, or else the next one. */
void fen_due_season(uint8_t from, uint8_t to, int32_t day, int32_t *ret_first, int32_t *ret_last);

/* iCalendar (RFC 5545), all-day events; UIDs stay the same from one export to the next. STAMP: a day. */
void fen_ics_dues(struct fen_str *out, const fen_dues *d, int32_t stamp);
/* One object a line: day, until, type, case, kind, visit, what, and remedy, step or task. */
void fen_json_dues(struct fen_str *out, const fen_dues *d, int32_t today);

#endif
