/* random_base.h -- small rule bases made by dice, for tests that compare the
 * engine with something else.
 *
 * An rb_base is a plain value: copying it by assignment is how the shrinker
 * tries a smaller one. It says what the base means without using any of the
 * library's own structures, so that each oracle can be written from it alone.
 * rb_build is the only place that turns it into a fen_base.
 *
 * Indices: findings[0] is the kind of plant, its options are the kinds. Levels
 * keep most bases stratified; "wild" bases ignore them and often are not.
 */
#ifndef RANDOM_BASE_H
#define RANDOM_BASE_H

#include <stdbool.h>
#include <stdint.h>
#include <stdio.h>

#include "fenmend/session.h"

enum {
    RB_KINDS = 4,
    RB_OPTIONS = 5,
    RB_FINDINGS = 20,
    RB_CONDS = 700,
    RB_PARTS = 3,
    RB_RULES = 60,
    RB_EFFECTS = 3,
    RB_OVER = 3,
    RB_CAUSES = 6, /* something-else is not among them */
    RB_HAZARDS = 4,
    RB_TODAY = 20000 /* the day number every session of a random base gets */
};

typedef struct rb_rng {
    uint64_t state;
} rb_rng;

uint64_t rb_next(rb_rng *r);
unsigned rb_below(rb_rng *r, unsigned n); /* 0 .. n - 1; n > 0 */
bool rb_chance(rb_rng *r, unsigned percent);
void rb_shuffle(rb_rng *r, unsigned *items, unsigned n);

typedef enum rb_op { RB_ALL, RB_ANY, RB_NONE, RB_IS, RB_RANGE, RB_SUM, RB_UNSURE, RB_UNKNOWN } rb_op;

typedef struct rb_cond {
    rb_op op;
    int part[RB_PARTS], n_parts; /* ALL, ANY, NONE: one part or more */
    int finding, option;         /* IS: option; the others: finding alone */
    char arith;                  /* SUM: '+', '-' or '*' between FINDING and SECOND */
    int second;
    bool has_lo, has_hi, lo_open, hi_open;
    int lo, hi; /* RANGE, SUM: whole numbers, so that every oracle computes exactly */
} rb_cond;

typedef struct rb_finding {
    fen_type type;
    int n_options; /* 0 for quantity and date */
    bool derived;
    int fallback;   /* derived: the default option, or -1 */
    int level;      /* derived: 1 or more */
    unsigned signs; /* bits: options that are signs */
    int share[RB_OPTIONS];
    fen_effort effort;
    int ask_when; /* condition or -1 */
} rb_finding;

typedef struct rb_effect {
    fen_effect_op op;
    int target, option; /* DERIVE: finding and option */
    int tenths;         /* WEIGH: tenths of a dBan */
} rb_effect;

typedef struct rb_rule {
    int cond;       /* or -1: always */
    unsigned kinds; /* bits; 0: every kind */
    rb_effect effect[RB_EFFECTS];
    int n_effects;
    int over[RB_OVER], n_over;
    int level;
} rb_rule;

typedef struct rb_cause {
    int share; /* per mille, at least 1 */
    unsigned kinds;
    fen_urgency urgency;
    int deciding; /* finding or -1 */
} rb_cause;

typedef struct rb_base {
    uint64_t seed; /* for messages */
    int parent[RB_KINDS], n_kinds;
    rb_finding finding[RB_FINDINGS];
    int n_findings;
    rb_cond cond[RB_CONDS];
    int n_conds;
    rb_rule rule[RB_RULES];
    int n_rules;
    rb_cause cause[RB_CAUSES];
    int n_causes;
    int n_hazards;
    int something_else; /* per mille; 0: left out */
    fen_answer answer[RB_FINDINGS];
} rb_base;

void rb_generate(rb_base *ret_base, uint64_t seed, bool wild);
/* New answers for the same base; known ones often sit exactly on a threshold. */
void rb_random_answers(rb_base *b, rb_rng *r);
fen_answer rb_random_answer(const rb_base *b, rb_rng *r, int finding);
bool rb_kind_within(const rb_base *b, int kind, unsigned kinds);
/* "The kind is KIND" when HAVE was answered: true for HAVE and what is above it,
 * unknown (0) for what is below an answered group, else false. */
int rb_kind_test(const rb_base *b, int have, int kind);

/* Independent check of stratification: does some rule depend on itself through
 * a negative dependency? By transitive closure over the rules. A rule needs all
 * rules that set a derived finding it reads (a finding is the unit, as a
 * predicate is in Apt, Blair and Walker 1988); BY_OPTION asks the finer question
 * in which a positive use needs only the rules that set the named option. */
typedef struct rb_needs {
    uint64_t positive[RB_RULES], negative[RB_RULES]; /* bit j: rule i needs rule j */
    uint64_t reach[RB_RULES];                        /* closure of both, one step or more */
} rb_needs;
void rb_find_needs(const rb_base *b, bool by_option, rb_needs *ret_needs);
bool rb_stratified(const rb_base *b, const rb_needs *needs);

/* What a base and its answers lead to, as every oracle tells it. */
typedef struct rb_facts {
    fen_firing rule[RB_RULES];
    uint64_t derived[RB_FINDINGS]; /* with the default, if it was taken */
    bool raised[RB_HAZARDS];
    bool out[RB_CAUSES]; /* excluded, or not of this kind */
} rb_facts;
/* True if equal; otherwise the first difference goes to OUT (may be NULL). */
bool rb_same_facts(const rb_base *b, const rb_facts *want, const rb_facts *got, FILE *out);

typedef struct rb_refusal {
    bool refused;
    bool too_many_strata;
    int cycle[RB_RULES + 1], n_cycle; /* rules of the rb_base */
    bool cycle_is_odd;                /* longer than the base, or an index out of range */
} rb_refusal;

/* Through the draft API. ORDER (may be NULL) is a permutation of the rules: the
 * base's rule i is the rb_base's rule ORDER[i]. *ret_base is NULL on refusal. */
fen_status rb_build(const rb_base *b, const unsigned *order, fen_base **ret_base, rb_refusal *ret_refusal);
/* Answer everything and read the facts off the session. */
fen_status rb_answer_all(const rb_base *b, fen_session *s);
void rb_read_facts(const rb_base *b, const unsigned *order, fen_session *s, rb_facts *ret_facts);
/* Both in one; refusals of the base are the caller's to exclude. */
fen_status rb_engine_facts(const rb_base *b, rb_facts *ret_facts);

/* Text form, one thing a line, for bases kept after a failure. */
void rb_write(const rb_base *b, FILE *out);
bool rb_read(rb_base *ret_base, FILE *in);

/* Make B smaller while FAILS stays true: rules, effects, exceptions, parts of
 * conditions, answers. Greedy, until nothing more can go. */
typedef bool (*rb_fails)(const rb_base *b, void *context);
void rb_shrink(rb_base *b, rb_fails fails, void *context);

/* Write B to tests/prop/kept/NAME and say so on standard error. */
void rb_keep(const rb_base *b, const char *name);

#endif
