/* horn.h -- random Horn rules as bare arrays, and the linear-time propagation of
 * Dowling and Gallier 1984 (J. Logic Programming 1(3):267-284) on them: what the
 * engine's chaining is measured against, and checked against.
 *
 * Atoms come in groups of 64, since they become the options of findings. The
 * first n_given atoms can be answered; the others are derived.
 */
#ifndef HORN_H
#define HORN_H

#include <stdbool.h>
#include <stdint.h>

enum { HORN_GROUP = 64, HORN_BODY = 3 };

typedef struct horn_rule {
    uint32_t head;
    uint32_t body[HORN_BODY];
    uint32_t n_body;
} horn_rule;

typedef struct horn {
    horn_rule *rule;
    uint32_t n_rules, n_atoms, n_given;
    uint64_t *answer; /* [n_given / 64]: the atoms answered in each group */
} horn;

bool horn_make(horn *ret, uint32_t n_rules, uint64_t seed);
void horn_free(horn *h);

/* The rival: counters and a queue, nothing else. */
typedef struct horn_loop {
    const horn *h;
    uint32_t *occ_at, *occ; /* rules by body atom */
    int32_t *left, *start;  /* [n_rules]; START is what LEFT begins with */
    bool *on;               /* [n_atoms] */
    uint32_t *queue;
} horn_loop;

bool horn_loop_make(horn_loop *ret, const horn *h);
void horn_loop_free(horn_loop *l);
void horn_loop_reset(horn_loop *l);
/* One group's atoms come in; returns how many rules fired. */
uint32_t horn_loop_answer(horn_loop *l, uint32_t group);

#endif
