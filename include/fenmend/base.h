/* base.h -- the rule base as its authors wrote it: read-only, shared by all
 * sessions and threads once loaded.
 *
 * Everything is an index into a flat array of the base; FEN_NONE is "no such
 * thing". Texts are NUL-terminated UTF-8, owned by the base. What chaining
 * needs beside this (strata, counters' start values, who reads what) is
 * compiled from it and private to src/model/net.h.
 */
#ifndef FENMEND_BASE_H
#define FENMEND_BASE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "fenmend/problem.h"
#include "fenmend/status.h"

typedef uint32_t fen_id;
#define FEN_NONE UINT32_MAX

/* Weights and scores are whole numbers of 1e-12 dBan: adding is then exact and
 * order-free, so taking back an answer ends where a fresh start would. */
typedef int64_t fen_weight;
#define FEN_DBAN INT64_C(1000000000000)
#define FEN_NEVER (INT64_MIN / 2) /* the prior of a rate of 0; no sum of weights reaches it */

typedef enum fen_type { FEN_CHOICE, FEN_SEVERAL, FEN_YES_NO, FEN_QUANTITY, FEN_DATE } fen_type;
typedef enum fen_effort { FEN_GLANCE, FEN_TOUCH, FEN_METER, FEN_UNPOT, FEN_EFFORTS } fen_effort;
typedef enum fen_urgency { FEN_NO_URGENCY, FEN_WEEKS, FEN_DAYS, FEN_HOURS } fen_urgency;

/* One stored unit per dimension: C, C difference, ppm (0.5 scale of NaCl meters),
 * mm, ml, g, days, umol/m2/s, mol/m2/d, percent, pieces. */
typedef enum fen_dim {
    FEN_DIM_NONE,
    FEN_DIM_TEMPERATURE,
    FEN_DIM_TEMPERATURE_DIFFERENCE,
    FEN_DIM_DISSOLVED_SOLIDS,
    FEN_DIM_LENGTH,
    FEN_DIM_VOLUME,
    FEN_DIM_MASS,
    FEN_DIM_TIME_SPAN,
    FEN_DIM_LIGHT,
    FEN_DIM_DAILY_LIGHT,
    FEN_DIM_PERCENT,
    FEN_DIM_COUNT,
    FEN_DIMS
} fen_dim;

typedef struct fen_list { /* a borrowed slice of ids */
    const fen_id *at;
    uint32_t count;
} fen_list;

typedef struct fen_texts {
    const char *const *at;
    uint32_t count;
} fen_texts;

typedef struct fen_kind {
    const char *id, *name, *latin; /* latin may be NULL */
    fen_texts called;
    fen_texts species; /* names behind the genus, the first word of latin: "capensis"; or with a genus of their own */
    fen_id parent; /* FEN_NONE at a root */
    bool group;    /* has kinds below it: not itself an answer at the prompt */
    fen_place place;
} fen_kind;

typedef struct fen_option {
    const char *id;
    const char *say;   /* as shown in a list of answers */
    double usual;      /* share among plants brought in; 0..1, a choice's sum to 1 */
    bool sign;         /* abnormal in itself */
    bool alone;        /* of a `several`: says that none of the others holds */
    fen_texts words;   /* phrases by which people say it */
} fen_option;

/* Finding 0 is built in: the kind of plant, a choice whose option i is kind i. */
#define FEN_KIND_FINDING 0u

typedef struct fen_finding {
    const char *id, *name, *ask, *how; /* ask and how are NULL when derived; how may be NULL */
    fen_type type;
    fen_dim dim; /* FEN_QUANTITY; a date is read as its age, FEN_DIM_TIME_SPAN */
    fen_effort effort;
    bool passing;         /* does not last from one visit to the next */
    bool derived;         /* never asked: rules set it */
    fen_id default_option; /* derived: taken when no rule sets it; or FEN_NONE */
    const fen_option *options; /* choice, several, yes-no (0 yes, 1 no); at most 64 */
    uint32_t n_options;
    uint32_t first_atom;  /* test id of "option 0 holds"; option i is first_atom + i */
    double from, to;      /* quantity: what is believed, stored unit */
    double low, middle, high; /* quantity, date: 10th, 50th, 90th percentile; NaN if not given */
    fen_list kinds;       /* applies to these and what is below; empty: all */
    fen_id ask_when;      /* condition, or FEN_NONE */
    fen_place place;
} fen_finding;

typedef struct fen_cause {
    const char *id, *name, *about, *outlook, *improves; /* last three may be NULL */
    double usual;       /* rate among plants brought in, > 0 */
    fen_weight prior;   /* 10 log10 usual */
    fen_urgency urgency;
    bool harmless;
    fen_id deciding;    /* finding, or FEN_NONE */
    fen_list kinds;     /* empty: all */
    fen_list remedies;
    fen_list rules;     /* rules with an effect on it, in base order */
    fen_place place;
} fen_cause;

/* The last cause is built in: "something-else". */

typedef struct fen_hazard {
    const char *id, *name, *about;
    fen_urgency urgency;
    fen_list remedies;
    fen_place place;
} fen_hazard;

typedef enum fen_test_op {
    FEN_TEST_ATOM,    /* option holds */
    FEN_TEST_RANGE,   /* quantity (or date's age) within lo..hi */
    FEN_TEST_EXPR,    /* value of an expression within lo..hi */
    FEN_TEST_UNSURE,  /* asked, cannot tell */
    FEN_TEST_UNKNOWN  /* unsure, or not asked */
} fen_test_op;

typedef struct fen_test {
    fen_test_op op;
    fen_id finding; /* FEN_NONE for FEN_TEST_EXPR */
    fen_id option;  /* ATOM: index within the finding */
    fen_id expr;    /* EXPR: index of the expression */
    double lo, hi;  /* +-INFINITY when open-ended */
    bool lo_open, hi_open; /* the bound itself does not count */
} fen_test;

typedef enum fen_expr_op { FEN_EXPR_NUMBER, FEN_EXPR_FINDING, FEN_EXPR_ADD, FEN_EXPR_SUB, FEN_EXPR_MUL, FEN_EXPR_DIV } fen_expr_op;
typedef struct fen_expr_step { /* postfix; at most FEN_EXPR_MAX steps */
    fen_expr_op op;
    fen_id finding;
    double number;
} fen_expr_step;
typedef struct fen_expr {
    const fen_expr_step *steps;
    uint32_t n_steps;
    fen_dim dim;
    fen_list findings; /* distinct, in order of appearance */
} fen_expr;

typedef enum fen_cond_op { FEN_COND_ALL, FEN_COND_ANY, FEN_COND_NONE, FEN_COND_TEST } fen_cond_op;
typedef struct fen_cond {
    fen_cond_op op;
    fen_list parts;   /* conditions */
    fen_id test;      /* FEN_COND_TEST */
    const char *text; /* the author's sentence; NULL for a tree node */
    fen_place place;
} fen_cond;

typedef enum fen_effect_op { FEN_WEIGH, FEN_EXCLUDE, FEN_RAISE, FEN_DERIVE } fen_effect_op;
typedef struct fen_effect {
    fen_effect_op op;
    fen_id target;     /* cause, cause, hazard, atom (test id) */
    fen_weight weight; /* FEN_WEIGH */
} fen_effect;

typedef struct fen_rule {
    const char *id, *why, *source; /* source may be NULL */
    fen_list kinds; /* empty: all; already part of `cond` as compiled, kept for showing */
    fen_id cond;    /* FEN_NONE: always */
    const fen_effect *effects;
    uint32_t n_effects;
    fen_list over;  /* rules that do not fire if this one does */
    uint32_t stratum;
    fen_place place;
} fen_rule;

/* A calculation whose inputs come from the case: see reckon.h for what it takes. */
struct fen_reckoner;
typedef struct fen_amount fen_amount;
typedef enum fen_binding_op { FEN_BIND_FINDING, FEN_BIND_VALUE, FEN_BIND_TODAY, FEN_BIND_HERE, FEN_BIND_AMOUNT } fen_binding_op;
typedef struct fen_binding {
    fen_binding_op op;
    size_t input;             /* of the calculator */
    fen_id finding;           /* FEN_BIND_FINDING */
    double number;            /* FEN_BIND_VALUE, in the input's stored unit ... */
    const char *text;         /* ... or a text; else NULL */
    const fen_amount *amount; /* FEN_BIND_AMOUNT: another calculation, ... */
    size_t result;            /* ... and which of its results */
} fen_binding;
struct fen_amount {
    const struct fen_reckoner *reckoner;
    const fen_binding *bindings;
    uint32_t n_bindings;
};

typedef struct fen_step {
    const char *id, *text;
    fen_texts cautions; /* ids out of the fixed table of cautions, see plan */
    fen_list after;     /* steps of the same remedy, by index */
    fen_id when;        /* condition, or FEN_NONE */
    fen_texts does, against; /* acts: never in one plan with a step or do-not on the other side */
    const fen_amount *amount; /* or NULL; its results stand in `text` as {name} */
    const char *without;      /* what to do while the amount cannot be worked out */
    double again;             /* days after which to do it again; NaN: once */
    uint32_t times;           /* how often again */
    fen_place place;
} fen_step;

/* What a look at a later day is to find: whether FINDING got better or worse. */
typedef struct fen_look_for {
    fen_id finding;
    fen_id better, worse; /* conditions on the later answers, or FEN_NONE */
    int trend;            /* a quantity against its earlier value: +1 higher is better, -1 lower is; 0 none */
} fen_look_for;

typedef struct fen_remedy {
    const char *id, *expect, *otherwise, *why, *source;
    fen_list causes, hazards;
    const fen_step *steps;
    uint32_t n_steps;
    fen_texts never;
    const fen_texts *never_against; /* by do-not: the acts it forbids; NULL if none forbids any */
    double look_again; /* days; NaN if not given */
    const fen_look_for *look;
    uint32_t n_look;
    fen_place place;
} fen_remedy;

/* What is due whatever ails the plant: in a season, or some time after a date. */
typedef struct fen_task {
    const char *id, *text, *why, *source; /* the last two may be NULL */
    fen_texts cautions;
    fen_list kinds;                       /* empty: all */
    uint8_t north_from, north_to;         /* months 1..12, both included; 0: not by season */
    uint8_t south_from, south_to;
    fen_id since;                         /* a date finding, or FEN_NONE ... */
    double in;                            /* ... and days after it */
    fen_id when;                          /* condition, or FEN_NONE */
    fen_place place;
} fen_task;

typedef struct fen_settings {
    double stop_level;   /* 0..1 */
    double danger_level; /* 0..1 */
    double least_worth;  /* bits per unit of effort */
    double effort[FEN_EFFORTS];
    double latitude;     /* degrees, north positive; NaN: not said */
} fen_settings;

typedef struct fen_base fen_base;

/* Load packs. PATHS are files or folders (their *.yaml in order of name, not
 * recursive), later ones add to earlier ones. All problems of all files join
 * PROBLEMS (sorted); warnings alone do not fail. FEN_EINPUT: no base. */
FEN_MUST_USE fen_status fen_base_load(const char *const *paths, size_t n_paths, fen_problems *problems, fen_base **ret_base);
void fen_base_free(fen_base *base);

uint32_t fen_base_kinds(const fen_base *base);
uint32_t fen_base_findings(const fen_base *base);
uint32_t fen_base_causes(const fen_base *base); /* with something-else, the last */
uint32_t fen_base_hazards(const fen_base *base);
uint32_t fen_base_rules(const fen_base *base);
uint32_t fen_base_remedies(const fen_base *base);
uint32_t fen_base_tasks(const fen_base *base);
const fen_kind *fen_base_kind(const fen_base *base, fen_id i);
const fen_finding *fen_base_finding(const fen_base *base, fen_id i);
const fen_cause *fen_base_cause(const fen_base *base, fen_id i);
const fen_hazard *fen_base_hazard(const fen_base *base, fen_id i);
const fen_rule *fen_base_rule(const fen_base *base, fen_id i);
const fen_remedy *fen_base_remedy(const fen_base *base, fen_id i);
const fen_task *fen_base_task(const fen_base *base, fen_id i);
const fen_cond *fen_base_cond(const fen_base *base, fen_id i);
const fen_test *fen_base_test(const fen_base *base, fen_id i);
const fen_expr *fen_base_expr(const fen_base *base, fen_id i);
const fen_settings *fen_base_settings(const fen_base *base);

/* Answers of a finding that has options, as bits. Can they be given together: one of a choice,
 * none beside one that stands alone, and not nothing at all where one says just that? What
 * PICKS become when OPTION is said, too; and what "none of them" is: the one answer that stands
 * alone, or 0. */
bool fen_finding_fits(const fen_finding *f, uint64_t picks);
uint64_t fen_finding_with(const fen_finding *f, uint64_t picks, fen_id option);
uint64_t fen_finding_without(const fen_finding *f);

/* By name; FEN_NONE if there is none. */
fen_id fen_base_find_kind(const fen_base *base, const char *id);
fen_id fen_base_find_finding(const fen_base *base, const char *id);
fen_id fen_base_find_cause(const fen_base *base, const char *id);
fen_id fen_base_find_hazard(const fen_base *base, const char *id);
fen_id fen_base_find_rule(const fen_base *base, const char *id);

/* What RULE does about CAUSE when it fires; a weight of 0: it does not weigh it. */
bool fen_base_rule_excludes(const fen_base *base, fen_id rule, fen_id cause);
fen_weight fen_base_rule_weight(const fen_base *base, fen_id rule, fen_id cause);

/* What to offer when asked which kind within WITHIN (FEN_NONE: of all) a plant is:
 * the kinds just below. A group without a Latin name only serves the rules; what
 * is below it is offered in its place. Ids go to OUT, their number is returned. */
#define FEN_KINDS_MAX 64
uint32_t fen_base_kind_choices(const fen_base *base, fen_id within, fen_id out[FEN_KINDS_MAX]);

/* Is KIND the same as, or below, one of KINDS (an empty list: everything)? */
bool fen_base_kind_within(const fen_base *base, fen_id kind, fen_list kinds);

#endif
