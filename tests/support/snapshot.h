/* snapshot.h -- everything a session says, copied, so that two sessions can be
 * compared bit by bit and a difference named.
 */
#ifndef SNAPSHOT_H
#define SNAPSHOT_H

#include "support/random_base.h"

typedef struct snap_list {
    uint32_t count;
    fen_id at[RB_FINDINGS * RB_OPTIONS];
} snap_list;

typedef struct snapshot {
    fen_firing rule[RB_RULES];
    uint64_t derived[RB_FINDINGS];
    bool is_default[RB_FINDINGS];
    fen_truth atom[RB_FINDINGS][RB_OPTIONS];
    bool askable[RB_FINDINGS];
    double gain[RB_FINDINGS];
    fen_answer given[RB_FINDINGS];
    double p[RB_CAUSES + 1];
    fen_weight score[RB_CAUSES + 1];
    snap_list ranking, signs, covering, unexplained, hazards, clashes;
    bool accounts[RB_CAUSES][RB_FINDINGS * RB_OPTIONS]; /* by position in signs */
    fen_urgency urgency;
    bool covering_exact;
    fen_question next;
} snapshot;

/* GAINS also asks for every finding's expected gain, which takes longer. */
void snap_take(const rb_base *b, fen_session *s, bool gains, snapshot *ret);
/* NULL if all is equal, doubles bitwise; else the name of what differs. */
const char *snap_differs(const snapshot *a, const snapshot *b);

#endif
