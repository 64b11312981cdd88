/* tune.h -- what a base's weights are as parameters of a fit, and where they stand in
 * the packs' text.
 *
 * Parameters: each weight of each rule in base order, then the usual rate of each
 * cause but something-else, whose rate is held. Only ratios of rates matter; what is
 * proposed is scaled so that all of them, something-else too, add up to what they did.
 */
#ifndef FEN_TUNE_H
#define FEN_TUNE_H

#include "fenmend/tune.h"
#include "fit.h"
#include "util/str.h"
#include "util/vec.h"

typedef struct fen_tuning {
    const fen_base *base;
    uint32_t n_weights, n_causes;
    uint32_t *first;   /* [n_rules + 1]: parameter of a rule's first weight */
    uint32_t *cause;   /* [n_params] */
    double *offset;    /* [n_causes] */
    double *centre, *w; /* [n_params] */
    double scale;      /* ln of what rates are multiplied by */
    FEN_VEC(uint32_t) active;
    FEN_VEC(size_t) active_at;
    FEN_VEC(uint8_t) role;
    FEN_VEC(uint32_t) group;
    fen_fit fit;
} fen_tuning;

/* What is proposed for parameter J: dBan to a tenth, or a rate to three digits. false:
 * it stays as it is. */
bool fen_tuning_weight(const fen_tuning *t, uint32_t j, double *ret_dban);
bool fen_tuning_rate(const fen_tuning *t, fen_id cause, double *ret_rate);

/* tune_diff.c: the changes as a unified diff of the files in PACKS (folders: their
 * packs). Weights that do not stand in the text as they were read are counted. */
FEN_MUST_USE fen_status fen_tuning_diff(const fen_tuning *t, const char *const *packs, size_t n_packs, fen_str *out,
                                        fen_tune_report *report);

#endif
