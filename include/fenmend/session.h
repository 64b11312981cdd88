/* session.h -- one plant: its answers, what follows from them, what to ask next.
 *
 * A session borrows its base, which must outlive it, and gets all its memory
 * when made: answering, taking back and trying allocate nothing. Whatever the
 * order of answers, the same answers give the same state.
 */
#ifndef FENMEND_SESSION_H
#define FENMEND_SESSION_H

#include "fenmend/base.h"

typedef enum fen_asked { FEN_OPEN = 0, FEN_UNSURE, FEN_KNOWN } fen_asked;

/* What the grower said about one finding. */
typedef struct fen_answer {
    fen_asked state;
    uint64_t picks; /* choice, yes-no: one bit; several: any bits, none of them too */
    double value;   /* quantity: stored unit; date: day number (days since 1970-01-01) */
} fen_answer;

typedef struct fen_session fen_session;

/* TODAY is the case's date as a day number. */
FEN_MUST_USE fen_status fen_session_new(const fen_base *base, int32_t today, fen_session **ret_session);
void fen_session_free(fen_session *s);
const fen_base *fen_session_base(const fen_session *s);
int32_t fen_session_today(const fen_session *s);

/* Move to another day; ages of dates follow. No date given may be after TODAY. */
void fen_session_set_today(fen_session *s, int32_t today);

/* Take, change or (state FEN_OPEN) take back an answer. FEN_EINPUT, and no
 * change, if FINDING is derived, the picks do not fit its options, or the value
 * is not a finite number within the finding's limits (a date: not after today). */
FEN_MUST_USE fen_status fen_session_answer(fen_session *s, fen_id finding, fen_answer answer);
typedef struct fen_given {
    fen_id finding;
    fen_answer answer;
} fen_given;
/* The same with N answers at once, which is less work than one after the other. */
FEN_MUST_USE fen_status fen_session_answer_all(fen_session *s, const fen_given *given, size_t n);
fen_answer fen_session_given(const fen_session *s, fen_id finding);
/* All answers back to open. */
void fen_session_clear(fen_session *s);

/* Truth now: -1 false, 0 unknown, +1 true. */
typedef signed char fen_truth;
fen_truth fen_session_test(const fen_session *s, fen_id test);
fen_truth fen_session_cond(const fen_session *s, fen_id cond); /* FEN_NONE: +1 */

typedef enum fen_firing {
    FEN_FIRED,    /* condition true, nothing over it fires */
    FEN_BEATEN,   /* condition true, but a rule that goes over it fires */
    FEN_PENDING,  /* condition unknown */
    FEN_REFUTED   /* condition false */
} fen_firing;
fen_firing fen_session_rule(const fen_session *s, fen_id rule);

/* A derived finding's options that hold, as bits (more than one: a clash,
 * unless it is a `several`); *ret_default tells whether it is the default. */
uint64_t fen_session_derived(const fen_session *s, fen_id finding, bool *ret_default);

/* Does the finding (cause) apply to this plant's kind, as far as it is known? */
bool fen_session_applies(const fen_session *s, fen_id finding);
bool fen_session_cause_applies(const fen_session *s, fen_id cause);
/* Open, not derived, applies, and its ask-when condition is not false... it
 * must be true when it has one. */
bool fen_session_askable(const fen_session *s, fen_id finding);

/* The verdict: everything that can be read off the answers. Owned by the
 * session, valid until its next change. */
typedef struct fen_verdict {
    const double *p;          /* by cause; 0 where excluded or not applicable */
    const fen_weight *score;  /* by cause */
    fen_list ranking;         /* causes with p > 0, best first; ties by base order */
    fen_list signs;           /* atoms (test ids) of the signs present, base order */
    fen_list covering;        /* causes, most probable first */
    fen_list shown;           /* what is told of the plant: the leading cause, then the rest of the covering set */
    fen_list held;            /* what is acted upon: the same, but a leading cause that is less likely than not and
                                 accounts for no sign is left out */
    fen_list unexplained;     /* atoms no cause accounts for */
    fen_list hazards;         /* raised, base order */
    fen_list clashes;         /* derived single-valued findings with two values or more */
    fen_urgency urgency;      /* worst of the covering set, the leading cause, causes above 15 %, hazards; or of what has 25 % together */
    bool blank;               /* nothing was answered but the kind: the causes speak of no plant in particular, and hurry nobody */
    bool covering_exact;      /* false: search bound reached, set may not be smallest */
} fen_verdict;
const fen_verdict *fen_session_verdict(fen_session *s);

/* Does a fired rule with positive weight for CAUSE use the sign ATOM? */
bool fen_session_accounts(const fen_session *s, fen_id cause, fen_id atom);

typedef enum fen_ask_reason {
    FEN_ASK_NOTHING,   /* stop, see `stop` */
    FEN_ASK_KIND,      /* everything depends on what plant it is; asked again below a group
                          that was answered: whoever cannot tell more skips it */
    FEN_ASK_DANGER,    /* decides a cause that kills fast: `cause` */
    FEN_ASK_GAIN,      /* tells most per effort */
    FEN_ASK_TOGETHER,  /* one of several open findings that `rule` needs together */
    FEN_ASK_AGAIN      /* an earlier plan promised that it would change; never from fen_session_next */
} fen_ask_reason;

typedef enum fen_stop {
    FEN_GO_ON,
    FEN_STOP_ONE_CAUSE,   /* one cause above the stop level, everything explained */
    FEN_STOP_COVERING,    /* a set of causes, together above it, explains everything */
    FEN_STOP_SAME_PLAN,   /* all causes still above 5 % lead to the same remedies */
    FEN_STOP_NOT_WORTH    /* no open question is worth its effort */
} fen_stop;
const char *fen_stop_name(fen_stop stop); /* "one-cause", "covering-set", "same-plan", "not-worth-it"; NULL for GO_ON */

typedef struct fen_question {
    fen_id finding;        /* FEN_NONE: nothing to ask */
    fen_ask_reason reason;
    fen_id cause;          /* FEN_ASK_DANGER */
    fen_id rule;           /* FEN_ASK_TOGETHER */
    double gain;           /* bits expected */
    double worth;          /* gain per unit of effort; what the ranking used */
    fen_stop stop;         /* why to stop; with a finding: what one could still ask */
} fen_question;

/* The best next question, passing over findings marked as skipped. When it is
 * time to stop, reason is FEN_ASK_NOTHING and `stop` says why. */
void fen_session_next(fen_session *s, fen_question *ret_question);
/* The same for whoever asks no more then: what one could still ask is not looked for. */
void fen_session_next_or_stop(fen_session *s, fen_question *ret_question);
/* Skipped findings are not proposed again, but stay open and count for nothing. */
void fen_session_skip(fen_session *s, fen_id finding, bool skip);
bool fen_session_skipped(const fen_session *s, fen_id finding);
/* Expected bits from asking FINDING now; 0 if it cannot be asked. */
double fen_session_gain(fen_session *s, fen_id finding);

#endif
