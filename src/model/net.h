/* net.h -- what chaining needs of a base, compiled once into flat arrays.
 *
 * Conditions are brought into negation normal form: `none` is pushed down to
 * the tests (Kleene's de Morgan laws), so a rule's condition becomes a monotone
 * AND-OR tree over literals. Literal 2t is "test t is true", literal 2t+1 is
 * "test t is false"; while a test is unknown neither holds. A node holds when
 * `need` of its children hold: all of them for an `all`, one for an `any`.
 *
 * Nodes 0..n_rules-1 are the roots of the rules' conditions; the others are
 * inner nodes and have a parent, made before them. The strata of the rules are in fen_rule.
 * Linear-time propagation by counters: Dowling and Gallier 1984, J. Logic
 * Programming 1(3):267-284.
 */
#ifndef FEN_NET_H
#define FEN_NET_H

#include "draft.h"
#include "view.h"

typedef struct fen_signs {
    fen_id finding, first_atom;
    uint64_t options; /* those that are signs, as bits */
    bool derived;
} fen_signs;

/* A test beside the atoms, side by side with others of its finding. */
typedef struct fen_stretch {
    double from, to; /* of a stretch, both included: an open end is the next number inside it */
    fen_id test;
    bool ranged;     /* false: it is no FEN_TEST_RANGE, and has none */
} fen_stretch;

typedef struct fen_net {
    uint32_t n_tests, n_rules, n_nodes, n_strata, n_atoms;
    const uint32_t *occ_at; /* [2 n_tests + 1] */
    const uint32_t *occ;    /* nodes in which a literal occurs */
    const int32_t *need;    /* [n_nodes] */
    const uint32_t *parent; /* [n_nodes - n_rules], of inner nodes */
    const fen_id *root;     /* [n_nodes - n_rules]: the rule an inner node belongs to */
    const uint32_t *reads_at; /* [n_findings + 1] */
    const fen_id *reads;    /* tests beside the atoms that look at a finding */
    const fen_stretch *stretches; /* the same in the same places */
    const uint16_t *stratum; /* [n_rules]: of fen_rule, side by side */
    const uint32_t *derives_at; /* [n_rules + 1] */
    const fen_id *derives;  /* atoms that a rule sets, apart from its other effects */
    const uint32_t *does_at; /* [3 n_rules + 1]: 3r what it weighs, 3r + 1 excludes, 3r + 2 raises */
    const fen_effect *does;
    const bool *settles;    /* [n_findings]: derived, and some rule waits until it is complete */
    const uint32_t *sets_at; /* [n_atoms + 1] */
    const fen_id *sets;     /* rules that set a derived atom */
    const uint32_t *settle; /* [n_findings]: stratum in which a derived finding is complete */
    const bool *looped;     /* [n_findings]: derived with the help of itself */
    const bool *loops;      /* [n_rules]: helps to set what its condition reads */
    const bool *beaten;     /* [n_rules]: some rule goes over it */
    const fen_id *line;     /* [n_rules]: FEN_NO_LINE, or the one finding it looks at, or FEN_NONE: there are several */
    const fen_signs *signs; /* [n_signed] of findings that have any, in their order */
    uint32_t n_signed, n_signs;    /* so many findings, with so many of them in all */
    fen_list single;        /* derived findings that have one value, or else a clash */
    const uint32_t *explains_at; /* [n_rules + 1] */
    const fen_id *explains; /* causes that a rule speaks for by signs: none if its condition uses no sign */
    uint32_t leaf_kinds;    /* kinds that are not groups */
    const uint64_t *kind_up; /* [n_kinds] the kind and all above it, as bits */
    const uint64_t *kind_not; /* [n_kinds] what a plant of the kind cannot be: neither it, nor above or below it */
    fen_id only_kind;       /* the one of them, if it is one; else FEN_NONE */
    const uint64_t *cause_kinds; /* [n_causes] kinds to which it applies, those they are of included, as bits */
    const uint64_t *finding_kinds; /* [n_findings] likewise */
    fen_view whole;         /* of a plant of any kind */
    const fen_view *views;  /* [n_kinds]; NULL: the whole does for all */
} fen_net;

struct fen_base {
    fen_arena *arena;
    const fen_kind *kinds;
    const fen_finding *findings;
    const fen_test *tests;
    const fen_expr *exprs;
    const fen_cond *conds;
    const fen_cause *causes;
    const fen_hazard *hazards;
    const fen_rule *rules;
    const fen_remedy *remedies;
    const fen_task *tasks;
    uint32_t n_kinds, n_findings, n_tests, n_exprs, n_conds, n_causes, n_hazards, n_rules, n_remedies, n_tasks;
    fen_settings settings;
    struct fen_intern *names[4]; /* kinds, findings, causes, hazards */
    const uint32_t *option_hash; /* [n_tests], of atoms: of the id of their option */
    fen_net net;
};

/* The finding with this id, and the option of FINDING with it; or FEN_NONE. */
fen_id fen_base_finding_named(const struct fen_base *base, const char *id, size_t len);
fen_id fen_base_find_option(const struct fen_base *base, fen_id finding, const char *id, size_t len);

/* Fill BASE->net and the rules' strata; arrays come from BASE->arena. */
FEN_MUST_USE fen_status fen_net_compile(struct fen_base *base, fen_rule *rules, fen_cycle *reterr_cycle);
/* The strata alone; called by fen_net_compile. */
FEN_MUST_USE fen_status fen_strata_find(struct fen_base *base, fen_rule *rules, fen_cycle *reterr_cycle);

/* lines.c: fill net->line. */
FEN_MUST_USE fen_status fen_lines_find(struct fen_base *base);
#define FEN_NO_LINE (FEN_NONE - 1) /* a rule that never needs several answers, or tells of no cause */

/* What a condition is once negations are pushed down: ALL, ANY or TEST; and whether
 * its parts are negated. */
fen_cond_op fen_cond_normal(const fen_cond *c, bool negated, bool *ret_parts_negated);

/* Walk the literals of a rule's condition (its kinds left out): f(ctx, test,
 * negated) for each test, in order. */
void fen_cond_walk(const struct fen_base *base, fen_id cond, bool negated,
                   void (*f)(void *ctx, fen_id test, bool negated), void *ctx);

/* Must a rule that uses this literal wait until the finding is complete? */
bool fen_literal_waits(const struct fen_base *base, fen_id test, bool negated);

#endif
