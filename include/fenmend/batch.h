/* batch.h -- many cases: read from files of any size, judged side by side, told
 * in the order read.
 *
 * A file is YAML (many documents, or one list of cases), JSON Lines, or CSV; which
 * of them is told from its content. It is cut into pieces of whole cases while
 * it is read; workers judge the pieces; what they wrote is handed on in order. Only a
 * bounded number of pieces is in memory at any time, so it does not grow with
 * the file, and what is handed on is the same for any number of workers.
 *
 * A case that cannot be read is told with its place and counted; the others are
 * judged all the same.
 */
#ifndef FENMEND_BATCH_H
#define FENMEND_BATCH_H

#include "fenmend/case.h"

struct fen_str; /* util/str.h */

typedef enum fen_input { FEN_INPUT_AUTO, FEN_INPUT_YAML, FEN_INPUT_JSONL, FEN_INPUT_JSON, FEN_INPUT_CSV } fen_input;

/* One case, judged. Valid only during the call that gets it. */
typedef struct fen_judged {
    const char *id;        /* the case's name, or FILE:LINE; never NULL */
    const fen_case *c;     /* NULL: it could not be read */
    const char *error;     /* then: the first problem, one line with its place */
    fen_session *session;  /* answered with the last visit; NULL when broken */
    fen_question question; /* if the plan has `ask` */
    fen_list settled;      /* what it turned out to be, as far as is known */
    /* under the batch's `other` base; its ids are its own */
    const fen_case *other_c; /* NULL: it could not be read under it */
    fen_session *other;
    fen_question other_question;
    fen_list other_settled;
} fen_judged;

/* How one settled case was judged. Wrong and right are about any of the causes
 * that it turned out to be. */
typedef struct fen_grade {
    bool settled;
    fen_id was, judged;    /* the settled cause that the verdict thinks likeliest; the leading cause, or FEN_NONE */
    uint32_t rank;         /* of the best settled cause, from 1; 0: not in the ranking */
    double p;              /* of the settled causes together */
    double p_top;          /* of the leading cause */
    double brier;          /* sum form, 0..2 */
    double log_loss;       /* natural; clipped at 1e-15 */
    bool urgent;           /* any settled cause is a matter of hours or days */
    bool missed, late;     /* urgent, but judged not urgent at all; judged a matter of weeks */
    /* the simulated user, who is asked one question at a time */
    uint32_t asked, answered;
    fen_id found;          /* leading cause when it would stop */
    bool right_when_asked;
} fen_grade;

/* What the ordered side is told of each case. */
typedef struct fen_mark {
    size_t out_end;        /* where its text ends in the part's `out` */
    size_t err_end;        /* and its problems in `err`; cases that are read as one piece share them */
    fen_urgency urgency;
    bool broken;
    bool blank;            /* nothing was answered, and nothing urges */
    fen_id cause;          /* the leading one, or FEN_NONE */
    fen_grade grade;       /* if the plan has `grade` */
} fen_mark;

/* Some cases that follow each other in one file. */
typedef struct fen_part {
    const char *path;
    const char *out;  /* what `judge` wrote */
    size_t out_len;
    const char *err;  /* the problems, as text with lines and carets */
    size_t err_len;
    const fen_mark *marks;
    size_t n_marks;
    size_t bytes;     /* of the file, gone through so far */
    bool unusable;    /* the file could not be read on; `err` says why */
} fen_part;

typedef struct fen_batch {
    const fen_base *base;
    const fen_base *other; /* judge every case under this as well; NULL: do not. Columns of CSV are those of `base` */
    int32_t today;
    fen_input input;
    uint32_t jobs;     /* workers, at least 1; 1 works without threads */
    bool ask;          /* work out the next question */
    bool grade;        /* score settled cases, with the simulated user */
    void *ctx;
    /* Write what is to be said of a case to OUT. Called in any thread, and CTX must not
     * be changed; with one job it is called in the caller's thread and may change it. May be NULL. */
    void (*judge)(void *ctx, fen_judged *j, struct fen_str *out);
    /* Take what is ready, in order, in the caller's thread. false: stop, no more is wanted. */
    bool (*deliver)(void *ctx, const fen_part *part);
} fen_batch;

/* PATHS: files, "-" for standard input. FEN_EINPUT is not returned for broken
 * cases or files: `deliver` is told. */
FEN_MUST_USE fen_status fen_batch_run(const fen_batch *batch, const char *const *paths, size_t n_paths);

#endif
