/* plants.h -- many plants one after another in one session, under bases made by dice or under
 * shipped rules: what is remembered from plant to plant is put to the test.
 */
#ifndef PLANTS_H
#define PLANTS_H

#include "random_base.h"

typedef struct plant_walk {
    uint64_t from, to;      /* seeds of random bases; every third is a wild one */
    int plants;             /* of each base */
    unsigned anew, changes, open; /* in percent: plants unlike the one before; answers that change; of these, left open */
    bool (*is_right)(void *ctx, fen_session *s);
    void (*add)(void *ctx, const fen_session *s); /* once a base, when its plants have been met */
    void *ctx;
} plant_walk;

/* How many bases went wrong; each is told with its seed and left at its first wrong plant. */
int walk_random_plants(const plant_walk *w);

/* A plant of KIND of which so many PERCENT of all that can be asked are known. */
void meet_plant(fen_session *s, fen_id kind, unsigned percent, rb_rng *r);

#endif
