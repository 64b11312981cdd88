/* why.h -- where a verdict comes from, as data for the views.
 *
 * Each call fills a result that owns its memory (free with fen_why_free or the
 * matching call) and leaves the session as it was. Weights in dBan units of
 * base.h, probabilities 0..1.
 */
#ifndef FENMEND_WHY_H
#define FENMEND_WHY_H

#include "fenmend/session.h"

/* One line of a chain. Lines form a tree by `depth`; a line's children follow
 * it. LINE_RULE: a fired rule. LINE_ANSWER: a grower's answer that a condition
 * of the rule above used. LINE_DERIVED: a derived finding's value; the rules
 * that set it follow one deeper. LINE_DEFAULT: a derived finding left at its
 * default. LINE_ABOVE: a derived value already explained further up. */
typedef enum fen_line_type { FEN_LINE_RULE, FEN_LINE_ANSWER, FEN_LINE_DERIVED, FEN_LINE_DEFAULT, FEN_LINE_ABOVE } fen_line_type;
typedef struct fen_line {
    fen_line_type type;
    uint32_t depth;
    fen_id rule;      /* LINE_RULE */
    fen_id test;      /* LINE_ANSWER, LINE_DERIVED, LINE_DEFAULT, LINE_ABOVE: the satisfied (or denied) test */
    fen_id finding;   /* the finding of that test (first one, for an expression) */
    bool denied;      /* the condition needed the test to be false, and it is */
    fen_weight weight; /* depth 0 rules of a cause: its weight for that cause; INT64_MIN + 1: it excludes it */
    double p_after;   /* depth 0: probability of the cause with its own weights so far, in
                         the order shown; all evidence about other causes counted throughout,
                         so that it starts from p_before and ends at p */
} fen_line;

typedef struct fen_pending {
    fen_id rule;
    fen_weight weight;   /* for the cause asked about */
    fen_list waits_for;  /* open or unsure askable findings */
} fen_pending;

typedef struct fen_because {
    fen_id cause;
    double p_usual;      /* probability before any evidence */
    double p_before;     /* none of its own rules counted, everything about other causes */
    double p;            /* now */
    fen_weight score;
    bool excluded;       /* a fired rule excludes it, or it cannot occur in this kind */
    const fen_line *pro; size_t n_pro;         /* strongest first */
    const fen_line *contra; size_t n_contra;   /* strongest against first; p_after goes on from pro */
    const fen_pending *pending; size_t n_pending; /* strongest first */
    fen_list beaten;     /* rules with an effect on it whose condition holds but that are overruled */
} fen_because;
FEN_MUST_USE fen_status fen_why_because(fen_session *s, fen_id cause, fen_because **ret);
void fen_because_free(fen_because *b);

/* Chain for a raised hazard: fired rules that raise it, as lines. */
typedef struct fen_chain { const fen_line *line; size_t n_lines; } fen_chain;
FEN_MUST_USE fen_status fen_why_hazard(fen_session *s, fen_id hazard, fen_chain **ret);
/* Chains of every rule that gives a clashing derived finding a value. */
FEN_MUST_USE fen_status fen_why_derived(fen_session *s, fen_id finding, fen_chain **ret);
void fen_chain_free(fen_chain *c);

/* Only what separates A from B: fired rules whose weights for the two differ. */
typedef struct fen_contrast_row { fen_id rule; fen_weight for_a, for_b; } fen_contrast_row;
typedef struct fen_contrast {
    fen_id a, b;
    double usual_a, usual_b; /* the causes' usual rates */
    double p_a, p_b;
    const fen_contrast_row *row; size_t n_rows; /* largest difference first */
    fen_id ask;          /* open finding that would separate them best, or FEN_NONE */
    double gain;         /* bits about "A or B" expected from it */
} fen_contrast;
FEN_MUST_USE fen_status fen_why_contrast(fen_session *s, fen_id a, fen_id b, fen_contrast **ret);
void fen_contrast_free(fen_contrast *c);

/* The smallest set of given answers that, changed as told, gives another
 * leading cause; searched up to 3 changes. n_changes 0: none found. */
typedef struct fen_change { fen_id finding; fen_answer to; } fen_change;
#define FEN_FLIP_MOST 3 /* answers changed at once: of more, nobody would ask */
typedef struct fen_flip {
    fen_id from, to;     /* leading cause now and then */
    double p;            /* of `to`, then */
    fen_change change[FEN_FLIP_MOST];
    size_t n_changes;
    bool exhaustive;     /* false: a work bound was reached before all sets of this size were tried */
} fen_flip;
FEN_MUST_USE fen_status fen_why_flip(fen_session *s, fen_flip *ret);

/* What each possible answer of an open finding would do: the leading cause and
 * its probability. For quantities one row per stretch between thresholds. */
typedef struct fen_outcome {
    fen_answer answer;   /* a representative one */
    double lo, hi;       /* quantity, date (age in days): the stretch; NaN otherwise */
    bool lo_in, hi_in;   /* the bound itself belongs to the stretch */
    double chance;       /* expected, 0..1 */
    fen_id leader;
    double p;
} fen_outcome;
typedef struct fen_outcomes { const fen_outcome *at; size_t count; } fen_outcomes;
FEN_MUST_USE fen_status fen_why_outcomes(fen_session *s, fen_id finding, fen_outcomes **ret);
void fen_outcomes_free(fen_outcomes *o);

#endif
