/* slow_engine.h -- the meaning of a base, computed the plainest way: no queues,
 * no counters, no undo; each stratum is gone through until nothing changes.
 */
#ifndef SLOW_ENGINE_H
#define SLOW_ENGINE_H

#include "support/random_base.h"

typedef struct slow_result {
    rb_facts facts;
    double p[RB_CAUSES + 1];      /* with something-else, the last */
    long tenths[RB_CAUSES];       /* fired weights of a cause, summed */
    uint64_t clash;               /* bits: derived single-valued findings with two values or more */
    unsigned signs[RB_FINDINGS];  /* bits: options that are signs and present */
} slow_result;

/* B must be stratified. */
void slow_engine(const rb_base *b, slow_result *ret);

#endif
