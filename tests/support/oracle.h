/* oracle.h -- the engine against an outside reasoner, by the hundreds.
 *
 * A reasoner is told each base in its own language by `write`, many bases in one
 * program, and prints ground facts about base N:
 *
 *     fired(N,RULE) holds(N,RULE) fails(N,RULE)
 *     has(N,FINDING,OPTION) raised(N,HAZARD) out(N,CAUSE)
 *
 * in any order, separated by blanks, full stops or line ends. `holds` and
 * `fails` are the truth of the rule's condition with its kinds; from these and
 * `fired` follow beaten, pending and refuted.
 */
#ifndef ORACLE_H
#define ORACLE_H

#include "support/random_base.h"

typedef struct oracle {
    const char *name;     /* for messages and kept files */
    const char *package;  /* what to install when it is missing */
    const char *probe;    /* shell command that succeeds when it is there */
    const char *command;  /* shell command; the program's path is put after it */
    void (*prelude)(FILE *out);
    void (*write)(const rb_base *b, int n, FILE *out);
    void (*closing)(int n_bases, FILE *out);
} oracle;

/* The reasoner is there; false: absent, and FEN_ALLOW_NO_ORACLES=1 allows that.
 * Absent without leave fails the running cmocka test. */
bool oracle_present(const oracle *o);
/* Run N bases in one process. False (with a message): it could not be run. */
bool oracle_ask(const oracle *o, const rb_base *bases, int n, rb_facts *ret_facts);

/* cmocka's assertions inside. COUNT random stratified bases from FIRST_SEED on;
 * a failing one is shrunk, kept and fails the test. */
void oracle_campaign(const oracle *o, uint64_t first_seed, int count);
/* Every file in tests/prop/kept through the engine and the oracle. */
void oracle_replay(const oracle *o);

/* Calls f(context, base, path) for every kept base; traces' bases too. Fails the
 * running test if a file cannot be read. */
void for_each_kept(void (*f)(void *context, const rb_base *b, const char *path), void *context);

/* The checks that need no outside tool: wild bases, and all kept ones, are
 * refused exactly when they have a negative cycle, and the cycle named is one. */
void refusal_campaign(uint64_t first_seed, int count);
void refusal_replay(void);

#endif
