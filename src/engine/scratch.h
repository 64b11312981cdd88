/* scratch.h -- the working memory of verdicts and questions, and the small
 * modules that share it: weigh, answers, peek, doubts, outlook, ask, together, bound, cover.
 *
 * "Now" is the state of the answers when fen_weigh last ran; what answers would
 * do is told against it, as shifts of causes. Everything is sized when the
 * session is made.
 */
#ifndef FEN_SCRATCH_H
#define FEN_SCRATCH_H

#include "fenmend/why.h"
#include "state.h"
#include "util/limits.h"

/* One possible answer of an open finding: fen_outcome without its result. */
typedef struct possible {
    fen_answer answer;
    double usual;       /* share among plants brought in, sums to 1 over the list */
    double lo, hi;      /* stretch of a quantity or of an age; NaN otherwise */
    bool lo_in, hi_in;
} possible;

/* The answers of one finding, kept from one listing to the next: they depend on
 * other answers only where a sum of several findings is tested. */
typedef struct listing {
    uint32_t at, n;     /* in scratch->possible */
    int32_t today;      /* of a date's answers: the day they were listed for */
    bool summed;        /* some sum of several findings is tested that it is part of */
    bool lasts;         /* listed while no sum of several findings lacked this one alone */
    bool left_out;      /* some stretch, being too long ago that day */
} listing;

/* What answers would do to one cause. Causes that stay as they are have none. */
typedef struct fen_shift {
    fen_id cause;
    bool in;       /* it is out now and would be let in */
    double factor; /* of its weight among the causes: 10^(change of score / 10); 0: excluded. If let in: its weight
                      then, on the scale on which all weigh 1 */
    double log;    /* log2 of the factor, 0 if that is 0; if let in, of how it surprises */
} fen_shift;
typedef struct fen_shifts {
    const fen_shift *at;
    uint32_t n;
} fen_shifts;

/* A shift as it is remembered, which is often and in a hurry: the cause, and below it which of
 * the odds met it has. There are no more causes than bits for them. */
typedef uint32_t packed_shift;
#define FEN_ODDS_BITS 12
_Static_assert(FEN_PARTS_MAX <= UINT32_C(1) << (32 - FEN_ODDS_BITS), "a cause has its bits");

/* What the answers of one finding, as they are listed, would do. */
typedef struct fen_outlook {
    /* of all that some answer shifts, over the answers */
    const fen_id *causes;  /* [n_causes] */
    const double *by;      /* [n_causes] 1 / sum of usual * factor; 0: no answer is possible with the cause */
    const double *told;    /* [n_causes] sum of usual * phi(factor), see bound.c */
    uint32_t n_causes;
    double most_by;        /* the largest of them, and at least 1 */
    const fen_shift *shift;     /* NULL: it is remembered */
    const packed_shift *packed;
    const uint32_t *ends; /* of answer i: ends[i] up to ends[i + 1] of the shifts */
} fen_outlook;

/* What more than the kind has a part in what a finding's answers do: see doubts.c. */
typedef enum doubt_op {
    FEN_DOUBT_NEAR,   /* could the finding make a rule's condition hold, or undo it? If not, on to the next */
    FEN_DOUBT_PART,   /* how a part of that condition stands */
    FEN_DOUBT_BEATEN, /* is an exception in force against a rule? If so, on to the next */
    FEN_DOUBT_SET,    /* is a derived value set? If so, on to the next */
    FEN_DOUBT_FIRED,  /* has a rule fired, so that it could be undone? */
    FEN_DOUBT_MURKY   /* it cannot be told */
} doubt_op;
typedef struct doubt {
    fen_id of;     /* a rule, a node of the net, or a derived value */
    uint32_t next; /* among the doubts of the finding */
    uint16_t come, cease; /* parts of the node that the finding could make hold, or not hold any more */
    uint8_t op;    /* a doubt_op */
    bool grave;    /* if it is undone, more than weights are */
} doubt;
typedef struct parts_told { /* come and cease, while doubts are listed */
    uint16_t come, cease;
} parts_told;

typedef struct variant { /* what is remembered while the doubts stand so */
    uint64_t bits;
    uint32_t n_answers;
    uint32_t next;   /* 1 + place of another, or 0 */
    bool lasts;      /* false: it is not to be remembered */
    fen_outlook outlook;
} variant;
typedef struct memory_of { /* one finding, under one answer to the kind */
    bool known;
    uint32_t kind;
    uint32_t doubt, n_doubts; /* in doubts */
    uint32_t first;  /* 1 + place of its first variant, or 0 */
} memory_of;

struct fen_memory {
    memory_of *of;   /* [n_kinds * n_findings]; of more kinds than that, the last one stays */
    uint32_t n_kinds;
    uint32_t room;   /* for shifts; for norms, ends and variants by the shares below */
    uint32_t max_doubts;
    packed_shift *shifts;
    fen_id *causes;
    double *by, *told;
    uint32_t *ends;
    doubt *doubts;
    variant *variants;
    uint32_t n_shifts, n_causes, n_ends, n_doubts, n_variants;
    struct odds_met { double factor, log; } *odds; /* [1 << FEN_ODDS_BITS] */
    uint16_t *odds_at; /* [FEN_ODDS_SLOTS] 1 + place of those with this hash, or of another; 0: none */
    uint32_t n_odds;
};
#define FEN_ODDS_SLOTS (UINT32_C(2) << FEN_ODDS_BITS)
/* Shifts to one of each, as the shipped packs have them and some more. */
enum { FEN_SHIFTS_A_CAUSE = 2, FEN_SHIFTS_AN_END = 3, FEN_SHIFTS_A_VARIANT = 12 };
#define FEN_MEMORY_SLOTS 65536u         /* findings times kinds */
#define FEN_MEMORY_SHIFTS (1u << 19)    /* 14 MiB in all, of which the shipped packs fill half */
#define FEN_MEMORY_DOUBTS (1u << 18)    /* 4 MiB */

/* 10^(w/10) of a weight met before: packs know few different ones. */
typedef struct odds {
    fen_weight weight;
    double factor, log;
} odds;
typedef struct ranked {
    fen_weight score;
    fen_id cause;
} ranked;
#define FEN_ODDS 256u /* a power of two */

/* A rule that more than one finding of a line has an influence on. */
typedef struct companion {
    fen_id rule;
    uint32_t parts, alone; /* of its condition, that they can make hold: all of them, one of them */
    bool tangled;          /* an exception to it may fire under one answer, and not under two */
    uint32_t reads;        /* which of them its condition depends on */
    uint32_t by;           /* which of them: bits by line_of_rule.asked */
} companion;
#define FEN_COMPANION_RULES 4096u /* of so many rules there is room for sixteen companions each */
#define FEN_LINE_ASKED 16 /* findings of one line; one of a rule on more is always tried */
typedef struct line_of_rule {
    fen_id asked[FEN_LINE_ASKED]; /* what a plan for it may come to */
    uint32_t n_asked;
    uint32_t companion, n_companions; /* in companions */
    uint8_t met;   /* how often it was planned */
    bool bounded;  /* the companions are known */
} line_of_rule;
typedef struct limit { /* of what a plan does to a cause */
    double factor, log;     /* what its answers do by themselves: the factor, and its log2 */
    fen_weight less, more;  /* what may come to that */
} limit;

typedef struct cut { /* a place where some rule changes its mind */
    double at;
    bool after; /* false: just below AT belongs to the other side than AT */
} cut;

struct fen_scratch {
    bool weighed, judged;   /* p is of now; verdict is of now */
    double *p;              /* [n_causes] */
    fen_weight top;         /* a score and the sum of weights relative to it behind p: */
    double sum;             /* p is 10^((score - top)/10) / sum; 0: every cause is out */
    fen_weight *score0;     /* [n_causes] scores of now */
    bool *out0;             /* [n_causes] excluded now, or it does not apply */
    uint32_t *excluded0;    /* [n_causes] by how many rules */
    bool *applies;          /* [n_causes] */
    const fen_view *weighed_view; /* p, out0 and applies are of its causes, and tell of all others that they are out */
    fen_id *ranking;        /* [n_causes] */
    uint32_t n_ranking;
    ranked *sorted[2];      /* [fen_ranking_room(n_causes)] while the ranking is sorted */
    odds *odds;             /* [FEN_ODDS] */
    /* answers.c */
    possible *possible;     /* of all findings, see listing */
    listing *listing;       /* [n_findings] */
    possible *answers;      /* of the finding last listed */
    uint32_t n_answers, max_answers;
    cut *cuts;              /* [max_answers] */
    /* peek.c */
    uint32_t *held;         /* [FEN_PEEK_MAX] nodes counted down, to be put back */
    fen_id *reached;        /* [FEN_PEEK_MAX] rules that may begin or cease to fire */
    fen_weight *change;     /* [n_causes] 0, but for the hit while looking */
    int32_t *change_out;    /* [n_causes] */
    fen_id *hit;            /* [n_causes] */
    bool *is_hit;           /* [n_causes] */
    uint32_t n_hit;
    uint64_t n_peeked, n_tried; /* how often the counters told, and how often chaining had to */
    /* doubts.c: 0, but while they are listed */
    uint8_t *heard;         /* [n_rules] */
    bool *is_told;          /* [n_findings] */
    parts_told *parts;      /* [n_nodes] */
    /* outlook.c */
    fen_shift *shift;       /* [FEN_SHIFTS_KEPT + n_causes] */
    uint32_t *ends;         /* [max_answers + 1] */
    double *norm, *moved, *told; /* [n_causes] sums over the answers: of usual * factor, of usual, of usual * phi(factor) */
    fen_id *causes;         /* [n_causes] */
    double *by, *phi;       /* [n_causes] */
    fen_outlook worked_out; /* of the arrays above */
    fen_shift *unpacked;    /* [n_causes] of one answer */
    struct fen_memory memory;
    uint64_t n_remembered;  /* how often that was enough */
    /* ask.c */
    double *share;          /* [n_causes] p / norm */
    double *most, *gain;    /* [n_findings] of those askable: a bound, and what it comes to, or NaN: not yet found out */
    fen_truth *askable;     /* [n_findings] while the next question is looked for: now, after another answer, or not */
    /* together.c: a set of answers that would make one rule fire */
    fen_id *plan_finding;   /* [FEN_PLAN_MAX] */
    fen_answer *plan_answer;
    double *plan_usual;
    struct chosen { double share; uint32_t at; bool known; } *chosen; /* [2 * n_tests] by literal: the answer planned
                               for it, in its listing, and the share of all that would do; 0: none would */
    uint32_t *plan_at;      /* [FEN_PLAN_MAX] which of the answers listed it is, or FEN_NONE */
    uint32_t n_plan;
    /* bound.c */
    const fen_outlook **outlook_of; /* [n_findings] of those asked for: what the memory has, or NULL */
    line_of_rule *lines;    /* [n_rules] */
    companion *companions;
    uint32_t n_companions, max_companions;
    uint32_t *by_rule, *by_finding; /* [n_rules], [n_findings] 0, but while companions are looked for */
    limit *limits;          /* [n_causes] of the hit */
    uint64_t n_bounded, n_lines; /* how often a line was passed by unseen, and how often it was tried */
    /* cover.c */
    uint32_t words, words_present; /* of one set of signs; of those present */
    fen_id *present;        /* [n_signs] */
    uint32_t n_present;
    uint32_t *sign_at;      /* [n_tests] 1 + place among the present; 0: no sign, or not present */
    struct coverers { uint32_t likely, all; } *coverers; /* [n_signs] of those present */
    fen_id *cover_by;       /* [n_causes] who account for any, best first */
    uint32_t n_covering;
    uint64_t *accounts;     /* [n_causes * words] of which each cause has words_present, one after another */
    uint64_t *need, *have;  /* [words] scratch sets */
    uint64_t *levels;       /* [words * FEN_COVER_MAX] */
    fen_id *trying, *best;  /* [FEN_COVER_MAX] */
    fen_id *shown;          /* [FEN_COVER_MAX + 2] */
    uint32_t *rule_seen;    /* [n_rules] stamps */
    uint32_t stamp;
    fen_id *rule_stack;     /* [n_rules] */
    fen_id *unexplained;    /* [n_signs] */
    fen_id *hazards;        /* [n_hazards] */
    fen_id *clashes;        /* [n_findings] */
    fen_verdict verdict;
};

#define FEN_COVER_MAX 8u      /* causes of one covering set: no plant has nine */
#define FEN_COVER_WORK 200000u /* sets looked at before the search gives up on exactness */
#define FEN_PLAN_MAX 8u       /* open findings one rule may wait for and still be asked together */

/* Of two numbers; the compiler must not make a call of fmax, which has to think of NaN. */
static inline double fen_larger(double a, double b) { return a > b ? a : b; }
static inline double fen_smaller(double a, double b) { return a < b ? a : b; }

/* weigh.c: p, ranking and score0 of now, unless they are. */
void fen_weigh(fen_session *s);
/* How many it has to have room for to rank N causes. */
uint32_t fen_ranking_room(uint32_t n);
/* What becomes of CAUSE if its score changes by CHANGE, and OUT rules more than
 * now exclude it; false: nothing. */
bool fen_shift_of(fen_session *s, fen_id cause, fen_weight change, int64_t out, fen_shift *ret);
/* The shifts of all causes touched by the trial in force; returns how many. */
uint32_t fen_shifts_touched(fen_session *s, fen_shift *ret);
/* Sum of the weights of all causes after the shifts, 1 before. */
double fen_mass(fen_session *s, fen_shifts shifts);
/* Sums over what is shifted, in one go. */
typedef struct fen_sums {
    double mass;   /* of the weights of all causes after the shifts, 1 before; rough where little is left */
    double told;   /* of weight after * log2(factor) */
    double shared; /* of share * (factor - 1) */
} fen_sums;
fen_sums fen_sum_shifts(const fen_session *s, fen_shifts shifts, const double *share);
/* Bits by which P after the shifts differs from P now: KL(after || now). */
double fen_surprise(fen_session *s, fen_shifts shifts, const fen_sums *sums);
/* The leading cause after the shifts, and its probability. */
fen_id fen_leader(fen_session *s, fen_shifts shifts, double *ret_p);

/* answers.c: what FINDING could be answered, into scratch->answers. */
void fen_list_answers(fen_session *s, fen_id finding);
/* The most answers it can ever have. */
uint32_t fen_most_answers(const fen_base *base, fen_id finding);

/* peek.c: what these N answers would do, into RET (room for all causes); returns
 * how many shifts. Nothing is changed afterwards. *RET_LASTS becomes false where a
 * cause is let in: that depends on who else excludes it. */
#define FEN_PEEK_MAX 4096u /* nodes counted down at once; beyond, chaining is no dearer */
#define FEN_PEEK_DUE 16u   /* findings to be settled at once, likewise */
uint32_t fen_peek(fen_session *s, const fen_id *finding, const fen_answer *answer, uint32_t n, fen_shift *ret, bool *ret_lasts);

/* doubts.c: into O, everything beside the kind that has a part in what the answers of
 * FINDING would do; false: there is no room. How it stands now, as bits; false: it
 * cannot be told. */
bool fen_doubts_list(fen_session *s, memory_of *o, fen_id finding);
bool fen_doubts_settle(const fen_session *s, const memory_of *o, uint64_t *ret_bits);

/* outlook.c: what the answers of FINDING would do; they are listed, too. Until the
 * next outlook. */
const fen_outlook *fen_outlook_of(fen_session *s, fen_id finding);
fen_shifts fen_outlook_shifts(fen_session *s, fen_id finding, const fen_outlook *o, uint32_t answer);
#define FEN_SHIFTS_KEPT 4096u /* of one finding's answers; what is beyond is looked at twice */
void fen_memory_size(const fen_base *base, struct fen_memory *ret);

/* ask.c: chance of each listed answer, by what is known of the causes; calls
 * f(ctx, i, chance, shifts) for each. */
void fen_try_answers(fen_session *s, fen_id finding,
                     void (*f)(fen_session *s, void *ctx, uint32_t i, double chance, fen_shifts shifts), void *ctx);

/* A new mark for rule_seen. */
void fen_new_stamp(fen_session *s);

/* together.c: the best line of several questions that one rule waits for. */
typedef struct fen_line_of_questions {
    fen_id rule, finding; /* FEN_NONE: there is none */
    double gain, worth;
} fen_line_of_questions;
/* None that is worth FLOOR or less need be told. */
void fen_best_together(fen_session *s, double floor, fen_line_of_questions *ret);
/* bound.c: how much at most a factor tells, by the weight before it. */
static inline double fen_phi(double factor, double log2_factor)
{
    return factor * log2_factor - (factor - 1) * 1.4426950408889634;
}
/* The gain of a finding with this outlook, which is a remembered one, is not more than this. */
double fen_most_of(const fen_session *s, const fen_outlook *o);
#define FEN_ROUNDING 1e-9 /* bits; far more than sums of some hundred terms are off by */
/* The gain of R's line, as it is planned, is not more than this; below ENOUGH it is not
 * made sharper. */
double fen_most_gain(fen_session *s, fen_id r, double enough);

/* cover.c: fills accounts, covering, unexplained of the verdict. */
void fen_cover(fen_session *s);
/* The signs that CAUSE accounts for, as bits over scratch->present. */
const uint64_t *fen_accounts_of(fen_session *s, fen_id cause);

#endif
