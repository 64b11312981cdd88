/* reckon_feed.c -- how large a meal may be.
 */
#include "reckon_rows.h"

enum { PREY_TRAP, PREY_PITCHER, PREY_LENGTH, PREY_INPUTS };
enum { PREY_OUT_LENGTH, PREY_OUT_VOLUME, PREY_FITS, PREY_OUTPUTS };

#define THIRD (1.0 / 3)

static const char *const fits[] = { "it fits", "too large", NULL };

static const fen_reckon_input prey_in[PREY_INPUTS] = {
    IN_ONE_OF('t', "trap", LENGTH, 2, 80, "length of a snap trap's lobe, along the rim, without teeth"),
    IN_ONE_OF('t', "pitcher", VOLUME, 0.05, 5000, "what a pitcher holds to its brim"),
    IN_MAYBE("prey", LENGTH, 0.1, 100, "length of the insect in question; for a trap"),
};

static const fen_reckon_output prey_out[PREY_OUTPUTS] = {
    OUT("longest", LENGTH, "length an insect may have"),
    OUT("most", VOLUME, "volume an insect may have"),
    OUT_PICK("verdict", fits, "on the insect in question"),
};

static fen_status run_prey(const fen_reckon_value in[], double out[], fen_reckon_error *reterr)
{
    if (in[PREY_PITCHER].given && in[PREY_LENGTH].given)
        return fen_reckon_refuse(reterr, FEN_CODE_BAD_VALUE, PREY_LENGTH, "leave prey= out, and compare volumes",
                                 "a pitcher's meal is told by volume, not by length");
    if (in[PREY_PITCHER].given) {
        out[PREY_OUT_VOLUME] = in[PREY_PITCHER].number * THIRD;
        return FEN_OK;
    }
    out[PREY_OUT_LENGTH] = in[PREY_TRAP].number * THIRD;
    if (in[PREY_LENGTH].given)
        out[PREY_FITS] = in[PREY_LENGTH].number > out[PREY_OUT_LENGTH] * (1 + 1e-9);
    return FEN_OK;
}

static const fen_reckoner rows[] = {
    { .name = "prey", .purpose = "largest safe prey for a trap or a pitcher", .family = "feeding",
      .example = "trap=24mm prey=7mm",
      .inputs = prey_in, .n_inputs = PREY_INPUTS, .outputs = prey_out, .n_outputs = PREY_OUTPUTS,
      .formula = "longest = trap / 3; most = pitcher / 3",
      .source = "growers' rule of a third: common practice, no source",
      .trust = "a rule of thumb on the safe side: what sticks out keeps the trap from sealing and it rots; smaller is better, "
               "and a weak, resting or newly moved plant gets none",
      .run = run_prey },
};

const fen_reckon_family fen_reckon_feed = { ROWS(rows) };
