/* teach.h -- the dialogue about what a wrongly judged case teaches: the same on a terminal,
 * in a pipe, at the prompt of `triage` and unattended.
 *
 * Results go to OUT, complaints to ERR. No file is written before the grower says `keep` or `case`, or
 * WISH says it for him; the end of the input leaves everything as it was.
 */
#ifndef FEN_TEACH_H
#define FEN_TEACH_H

#include "complete.h"
#include "fenmend/lesson_view.h"
#include "message.h"
#include "reader.h"

typedef enum fen_wish {
    FEN_WISH_ASK,
    FEN_WISH_NARROW, /* the first proposal that, narrowed, changes no settled verdict */
    FEN_WISH_FIRST,  /* the first proposal as it is */
    FEN_WISH_NONE    /* show them, keep nothing */
} fen_wish;

typedef struct fen_teach {
    fen_lesson_setup lesson;
    fen_wish wish;
    fen_reader *in;       /* ASK */
    fen_sink *out, *err;
    fen_look look;
    uint32_t *line;       /* lines read of IN, counted on; or NULL */
    bool later;           /* questions go on by the rules that are loaded: say that what was learnt counts there from the next start */
} fen_teach;

/* FEN_EXIT_DONE: kept, or the verdict was right. FEN_EXIT_ATTENTION: no rule was kept, or one was
 * although settled verdicts change. *ret_kept: the case is among the settled ones now; *ret_rule: a
 * rule is in the pack that was not there. */
fen_exit fen_teach_run(const fen_teach *teach, bool *ret_kept, bool *ret_rule);

/* What the Tab key may put at a place of the dialogue's line; as fen_complete. */
FEN_MUST_USE fen_status fen_teach_complete(const char *line, size_t start, size_t end, fen_candidates *ret);

/* Where lessons go, for the prompt; borrowed. */
typedef struct fen_lesson_places {
    const char *const *packs;
    size_t n_packs;
    const char *pack, *store, *author; /* PACK NULL: see `why_not` */
    const char *why_not; /* there is no such place: "what is wrong; what would be right" */
    int32_t today;
} fen_lesson_places;

/* Problems to ERR, in the standard form. */
fen_exit fen_teach_complain(fen_sink *err, fen_look look, const char *what, fen_status st, int error, const fen_problems *problems);

#endif
