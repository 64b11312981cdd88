/* flat_base.h -- a rule base made from a table of probabilities: each answer of
 * each finding weighs for every cause by 10 log10 P(answer | cause) / P(answer),
 * which makes the engine naive Bayes. An impossible answer excludes the cause.
 *
 * The same table can be built through the draft API or written as a pack.
 */
#ifndef FLAT_BASE_H
#define FLAT_BASE_H

#include <stdio.h>

#include "fenmend/session.h"

enum { FLAT_CAUSES = 40, FLAT_FINDINGS = 40, FLAT_OPTIONS = 40 };

typedef struct flat_finding {
    const char *name; /* NULL: finding-I */
    int n_options;
    double p[FLAT_OPTIONS][FLAT_CAUSES]; /* P(option | cause) */
} flat_finding;

typedef struct flat_base {
    const char *cause_name[FLAT_CAUSES]; /* NULL: cause-I */
    double prior[FLAT_CAUSES];           /* usual rates; those of 0 are left out */
    int n_causes;
    flat_finding finding[FLAT_FINDINGS];
    int n_findings;
    double stop_level;
} flat_base;

/* P(option) under the priors. */
double flat_share(const flat_base *b, int finding, int option);
/* In the fen_base finding I is I + 1 (finding 0 is the kind), cause I is I. All
 * priors must be above 0. Efforts are 1, least worth 0, nothing else possible. */
fen_status flat_build(const flat_base *b, fen_base **ret_base);
void flat_write_pack(const flat_base *b, FILE *out);

#endif
