/* visit.h -- the next look at a plant that was looked at before: what the last
 * plan promised, and whether it has come about.
 *
 * A visit is judged by its own answers. What lasts (the pot, the water, dates) is
 * taken over into the next one; what passes (signs, the season, whatever a remedy
 * wants looked at again) is asked anew.
 */
#ifndef FENMEND_VISIT_H
#define FENMEND_VISIT_H

#include "fenmend/case.h"

/* SOUND: it was as it should be before, and still is. */
typedef enum fen_trend { FEN_TREND_UNKNOWN, FEN_TREND_WORSE, FEN_TREND_SAME, FEN_TREND_SOUND, FEN_TREND_BETTER } fen_trend;
const char *fen_trend_name(fen_trend t); /* "unknown", "worse", "same", "sound", "better" */

/* One look that a remedy of the earlier plan asked for. */
typedef struct fen_promise {
    fen_id remedy;
    const fen_look_for *look;
    fen_answer before;  /* what it was then */
    bool sound_then;    /* it was as it should be */
    int32_t due;        /* the day to look */
} fen_promise;

typedef struct fen_follow {
    int32_t date;       /* of the earlier visit */
    const fen_promise *promises;
    size_t n_promises;
    fen_list remedies;  /* with a day to look again, most urgent first */
    fen_list ask;       /* findings to be looked at, each once, as the plan ordered them */
} fen_follow;

/* What visit VISIT of C promised. S is used for it, and left answered with that visit. */
FEN_MUST_USE fen_status fen_follow_make(const fen_case *c, size_t visit, fen_session *s, fen_follow **ret_follow);
void fen_follow_free(fen_follow *f);

/* Begin the next visit on TODAY (not before the earlier one): clear S and take over what lasts. */
void fen_follow_begin(const fen_follow *f, const fen_case *c, size_t visit, fen_session *s, int32_t today);

fen_trend fen_follow_trend(const fen_follow *f, const fen_session *s, size_t promise);
/* WORSE if anything is; else BETTER if anything is; else SOUND or SAME; UNKNOWN if nothing was looked at. */
fen_trend fen_follow_overall(const fen_follow *f, const fen_session *s);

#endif
