/* shared.h -- what sick plants have in common: whatever the cases record (tray, bench,
 * water, supplier) or a finding, tested against each cause and hazard.
 *
 * Each pair of a value and a cause is a 2x2 table over the cases in which the key is
 * recorded, tested one-sided by Fisher's exact test and corrected for the number of pairs
 * tried by Holm's method. Values and causes of one case alone, or of all, cannot be
 * shared and are not tried: that looks at the margins only, so the correction holds. A
 * case has its settled causes, else those that its plan is for (the verdict's `held`).
 */
#ifndef FENMEND_SHARED_H
#define FENMEND_SHARED_H

#include "fenmend/batch.h"

typedef struct fen_shared fen_shared;

typedef struct fen_shared_row {
    const char *key, *value;
    bool hazard;       /* `what` is a hazard, else a cause */
    fen_id what;
    uint64_t both, with_value, with_what, all; /* cases */
    double p, corrected; /* never 0: what is below DBL_MIN has that for a bound, and its correction starts from it */
    double ln_p;         /* natural logarithm of the chance, which tells those apart */
} fen_shared_row;

#define FEN_SHARED_TEXT 320

/* KEYS: of `where`, or "kind", or findings with named answers; none: every key of `where`.
 * "where.bench" means what is recorded only, "finding.tray" the finding only; case and hyphens
 * do not count, neither here nor in what cases record. FEN_EINPUT: RETERR says what is wrong
 * with a key, and what would be right. */
FEN_MUST_USE fen_status fen_shared_new(const fen_base *base, const char *const *keys, size_t n_keys, fen_shared **ret_shared,
                                       char reterr[FEN_SHARED_TEXT]);
void fen_shared_free(fen_shared *s);

/* In a worker: note what is needed of a case. In order: count what was noted.
 * FEN_EINPUT: a key that was asked for has too many different values; fen_shared_full tells
 * which. One that was not asked for is left out then, and what was counted of it forgotten. */
void fen_shared_note(const fen_shared *s, const fen_judged *j, struct fen_str *out);
FEN_MUST_USE fen_status fen_shared_count(fen_shared *s, const char *note, size_t len);
const char *fen_shared_full(const fen_shared *s);

/* The keys left out, in the order met: from *AT on, which is 0 at first; NULL: no more. */
const char *fen_shared_left_out(const fen_shared *s, uint32_t *at);
/* Of the keys asked for, those that no case recorded, likewise; TEXT says so, with what they
 * record instead. false: no more. */
bool fen_shared_unrecorded(const fen_shared *s, uint32_t *at, char ret_text[FEN_SHARED_TEXT]);

/* Rows with p up to MOST, most significant first; *ret_tried pairs in all. */
FEN_MUST_USE fen_status fen_shared_rows(fen_shared *s, double most, const fen_shared_row **ret_rows, size_t *ret_count,
                                        uint64_t *ret_tried);

#endif
