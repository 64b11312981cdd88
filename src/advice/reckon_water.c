/* reckon_water.c -- mixing waters, and washing salts out of a pot.
 *
 * Salts neither appear nor vanish: blends follow from that alone. Washing out is
 * the well-stirred vessel: each bit poured in drives out a bit of the mixture,
 * so the excess over the flushing water falls off exponentially and never
 * reaches it.
 */
#include "reckon_rows.h"

#define HELD_USUAL 60.0 /* percent of the pot's volume that is water when drained: peat or sphagnum, 50 to 70 */

/* ---- blend ---- */

enum { BLEND_TAP, BLEND_PURE, BLEND_TARGET, BLEND_TOTAL, BLEND_INPUTS };
enum { BLEND_SHARE_TAP, BLEND_SHARE_PURE, BLEND_TAP_VOLUME, BLEND_PURE_VOLUME, BLEND_OUTPUTS };

static const fen_reckon_input blend_in[BLEND_INPUTS] = {
    IN_NEEDED("tap", SOLIDS, 0, SOLIDS_MOST, "the harder water"),
    IN_NEEDED("pure", SOLIDS, 0, SOLIDS_MOST, "the cleaner water: rain, distilled, reverse osmosis"),
    IN_NEEDED("target", SOLIDS, 0, SOLIDS_MOST, "what the blend may read"),
    IN_USUAL("total", VOLUME, 10000, 1, VOLUME_MOST, "how much blend to make"),
};

static const fen_reckon_output blend_out[BLEND_OUTPUTS] = {
    OUT("share-tap", PERCENT, "of the blend that is the harder water"),
    OUT("share-pure", PERCENT, "of the blend that is the cleaner water"),
    OUT("tap-volume", VOLUME, "of the harder water"),
    OUT("pure-volume", VOLUME, "of the cleaner water"),
};

static fen_status run_blend(const fen_reckon_value in[], double out[], fen_reckon_error *reterr)
{
    const double tap = in[BLEND_TAP].number;
    const double pure = in[BLEND_PURE].number;
    const double target = in[BLEND_TARGET].number;
    const fen_shown aim = fen_shown_of(FEN_MEASURE_SOLIDS, target);

    if (target < pure)
        return fen_reckon_refuse(reterr, FEN_CODE_NUMBER, BLEND_TARGET, "use cleaner water, or aim higher",
                                 "no blend reaches %s, as 'pure' already holds %s", aim.at, fen_shown_of(FEN_MEASURE_SOLIDS, pure).at);
    if (tap < target || tap <= pure)
        return fen_reckon_refuse(reterr, FEN_CODE_NUMBER, BLEND_TAP, "use it as it is, or check which water is which",
                                 "'tap' holds %s: adding 'pure' (%s) cannot bring it up to %s", fen_shown_of(FEN_MEASURE_SOLIDS, tap).at,
                                 fen_shown_of(FEN_MEASURE_SOLIDS, pure).at, aim.at);
    const double share = (target - pure) / (tap - pure);
    out[BLEND_SHARE_TAP] = share * 100;
    out[BLEND_SHARE_PURE] = (1 - share) * 100;
    out[BLEND_TAP_VOLUME] = share * in[BLEND_TOTAL].number;
    out[BLEND_PURE_VOLUME] = in[BLEND_TOTAL].number - out[BLEND_TAP_VOLUME];
    return FEN_OK;
}

/* ---- mix ---- */

enum { MIX_FIRST, MIX_FIRST_VOLUME, MIX_SECOND, MIX_SECOND_VOLUME, MIX_INPUTS };
enum { MIX_LEVEL, MIX_TOTAL, MIX_OUTPUTS };

static const fen_reckon_input mix_in[MIX_INPUTS] = {
    IN_NEEDED("first", SOLIDS, 0, SOLIDS_MOST, "what one water reads"),
    IN_NEEDED("first-volume", VOLUME, 0, VOLUME_MOST, "how much of it"),
    IN_NEEDED("second", SOLIDS, 0, SOLIDS_MOST, "what the other water reads"),
    IN_NEEDED("second-volume", VOLUME, 0, VOLUME_MOST, "how much of it"),
};

static const fen_reckon_output mix_out[MIX_OUTPUTS] = {
    OUT("level", SOLIDS, "what the mixture will read"),
    OUT("total", VOLUME, "how much there will be"),
};

static fen_status run_mix(const fen_reckon_value in[], double out[], fen_reckon_error *reterr)
{
    const double a = in[MIX_FIRST_VOLUME].number;
    const double b = in[MIX_SECOND_VOLUME].number;
    if (a + b <= 0)
        return fen_reckon_refuse(reterr, FEN_CODE_NUMBER, MIX_FIRST_VOLUME, "give at least one volume above zero", "nothing is mixed");
    const double share = a / (a + b); /* of the first; this form stays between the two */
    out[MIX_LEVEL] = share * in[MIX_FIRST].number + (1 - share) * in[MIX_SECOND].number;
    out[MIX_TOTAL] = a + b;
    return FEN_OK;
}

/* ---- flush, flush-after ---- */

enum { FLUSH_RUNOFF, FLUSH_WATER, FLUSH_TARGET, FLUSH_POT, FLUSH_HELD, FLUSH_INPUTS };
enum { FLUSH_POTS, FLUSH_VOLUME, FLUSH_PORTION, FLUSH_HABIT, FLUSH_OUTPUTS };

static const fen_reckon_input flush_in[FLUSH_INPUTS] = {
    IN_NEEDED("runoff", SOLIDS, 0, SOLIDS_MOST, "what drips out of the pot now"),
    IN_NEEDED("water", SOLIDS, 0, SOLIDS_MOST, "what the flushing water reads"),
    IN_NEEDED("target", SOLIDS, 0, SOLIDS_MOST, "what the runoff should read afterwards"),
    IN_NEEDED("pot", VOLUME, 10, VOLUME_MOST, "volume of the pot"),
    IN_USUAL("held", PERCENT, HELD_USUAL, 10, 100, "share of the pot's volume that is water once it has drained"),
};

static const fen_reckon_output flush_out[FLUSH_OUTPUTS] = {
    OUT("pot-volumes", NUMBER, "how many times the pot's volume to pour"),
    OUT("volume", VOLUME, "how much to pour in all"),
    OUT("portion", VOLUME, "poured slowly in five portions, ten minutes apart"),
    OUT("after-two-pots", SOLIDS, "what the habit of two pot volumes would leave"),
};

/* What is left after W times the water held in the pot has gone through. */
static double washed(double runoff, double water, double turns)
{
    return water + (runoff - water) * exp(-turns);
}

static fen_status run_flush(const fen_reckon_value in[], double out[], fen_reckon_error *reterr)
{
    const double runoff = in[FLUSH_RUNOFF].number;
    const double water = in[FLUSH_WATER].number;
    const double target = in[FLUSH_TARGET].number;
    const double held = in[FLUSH_HELD].number / 100;

    if (runoff > target && target <= water)
        return fen_reckon_refuse(reterr, FEN_CODE_NUMBER, FLUSH_TARGET, "flush with cleaner water, or aim higher",
                                 "no amount of water of %s brings the runoff down to %s", fen_shown_of(FEN_MEASURE_SOLIDS, water).at,
                                 fen_shown_of(FEN_MEASURE_SOLIDS, target).at);
    const double turns = runoff > target ? log((runoff - water) / (target - water)) : 0;
    out[FLUSH_POTS] = turns * held;
    out[FLUSH_VOLUME] = out[FLUSH_POTS] * in[FLUSH_POT].number;
    out[FLUSH_PORTION] = out[FLUSH_VOLUME] / 5;
    out[FLUSH_HABIT] = washed(runoff, water, 2 / held);
    return FEN_OK;
}

enum { AFTER_RUNOFF, AFTER_WATER, AFTER_POURED, AFTER_POT, AFTER_HELD, AFTER_INPUTS };
enum { AFTER_LEVEL, AFTER_REMOVED, AFTER_POTS, AFTER_OUTPUTS };

static const fen_reckon_input after_in[AFTER_INPUTS] = {
    IN_NEEDED("runoff", SOLIDS, 0, SOLIDS_MOST, "what dripped out before"),
    IN_NEEDED("water", SOLIDS, 0, SOLIDS_MOST, "what the flushing water reads"),
    IN_NEEDED("poured", VOLUME, 0, VOLUME_MOST, "how much was poured through"),
    IN_NEEDED("pot", VOLUME, 10, VOLUME_MOST, "volume of the pot"),
    IN_USUAL("held", PERCENT, HELD_USUAL, 10, 100, "share of the pot's volume that is water once it has drained"),
};

static const fen_reckon_output after_out[AFTER_OUTPUTS] = {
    OUT("level", SOLIDS, "what the runoff should read now"),
    OUT("removed", PERCENT, "of the excess over the flushing water"),
    OUT("pot-volumes", NUMBER, "how many times the pot's volume was poured"),
};

static fen_status run_after(const fen_reckon_value in[], double out[], fen_reckon_error *reterr)
{
    (void)reterr;
    const double pots = in[AFTER_POURED].number / in[AFTER_POT].number;
    const double turns = pots / (in[AFTER_HELD].number / 100);
    out[AFTER_LEVEL] = washed(in[AFTER_RUNOFF].number, in[AFTER_WATER].number, turns);
    out[AFTER_REMOVED] = -expm1(-turns) * 100;
    out[AFTER_POTS] = pots;
    return FEN_OK;
}

/* ---- soaks ---- */

enum { SOAK_RUNOFF, SOAK_WATER, SOAK_KEPT, SOAK_TIMES, SOAK_TARGET, SOAK_INPUTS };
enum { SOAK_LEVEL, SOAK_NUMBER, SOAK_OUTPUTS };

static const fen_reckon_input soak_in[SOAK_INPUTS] = {
    IN_NEEDED("runoff", SOLIDS, 0, SOLIDS_MOST, "what drips out of the pot now"),
    IN_USUAL("water", SOLIDS, 0, 0, SOLIDS_MOST, "what the soaking water reads"),
    IN_NEEDED("kept", PERCENT, 1, 99, "share of the soaking bath's water that stays in the pot when it drains"),
    IN_ONE_OF('s', "soaks", COUNT, 0, 100, "how many soaks"),
    IN_ONE_OF('s', "target", SOLIDS, 0, SOLIDS_MOST, "what the runoff should read afterwards"),
};

static const fen_reckon_output soak_out[SOAK_OUTPUTS] = {
    OUT("level", SOLIDS, "what the runoff should read after the last soak"),
    OUT("number", COUNT, "of soaks, each drained before the next"),
};

static fen_status run_soak(const fen_reckon_value in[], double out[], fen_reckon_error *reterr)
{
    const double runoff = in[SOAK_RUNOFF].number;
    const double water = in[SOAK_WATER].number;
    const double kept = in[SOAK_KEPT].number / 100;
    const double target = in[SOAK_TARGET].number;
    double n = in[SOAK_TIMES].number;

    if (in[SOAK_TARGET].given && runoff > target && target <= water)
        return fen_reckon_refuse(reterr, FEN_CODE_NUMBER, SOAK_TARGET, "soak in cleaner water, or aim higher",
                                 "no number of soaks in water of %s brings the runoff down to %s",
                                 fen_shown_of(FEN_MEASURE_SOLIDS, water).at, fen_shown_of(FEN_MEASURE_SOLIDS, target).at);
    if (in[SOAK_TARGET].given) /* the hair keeps an exact power from asking for one soak more */
        n = runoff > target ? ceil(log((target - water) / (runoff - water)) / log(kept) - 1e-9) : 0;
    out[SOAK_LEVEL] = water + (runoff - water) * pow(kept, n);
    out[SOAK_NUMBER] = n;
    return FEN_OK;
}

static const fen_reckoner rows[] = {
    { .name = "blend", .purpose = "how much of two waters makes one of a wanted reading", .family = "water",
      .example = "tap=156ppm pure=5ppm target=50ppm total=10l",
      .inputs = blend_in, .n_inputs = BLEND_INPUTS, .outputs = blend_out, .n_outputs = BLEND_OUTPUTS,
      .formula = "share of tap = (target - pure) / (tap - pure)",
      .source = "conservation of salt",
      .trust = "as good as the readings, which must share one scale and temperature; measure the blend before use",
      .run = run_blend },
    { .name = "mix", .purpose = "what two waters read once mixed", .family = "water",
      .example = "first=350ppm first-volume=2l second=5ppm second-volume=8l",
      .inputs = mix_in, .n_inputs = MIX_INPUTS, .outputs = mix_out, .n_outputs = MIX_OUTPUTS,
      .formula = "level = (first * first-volume + second * second-volume) / (first-volume + second-volume)",
      .source = "conservation of salt",
      .trust = "as good as the readings; set second to 0 ppm to dilute with pure water",
      .run = run_mix },
    { .name = "flush", .purpose = "how much water brings a pot's runoff down to a target", .family = "water",
      .example = "runoff=300ppm water=5ppm target=60ppm pot=1l",
      .inputs = flush_in, .n_inputs = FLUSH_INPUTS, .outputs = flush_out, .n_outputs = FLUSH_OUTPUTS,
      .formula = "volume = pot * held * ln((runoff - water) / (target - water))",
      .source = "washout of a well-mixed vessel; the share held is common practice, no source",
      .trust = "a least amount: water finds channels and salts sit inside the grains, so lift the pot out of its tray, throw the runoff away, "
               "measure the last 50 ml and go on if it is not there yet",
      .run = run_flush },
    { .name = "flush-after", .purpose = "what is left after so much water has gone through a pot", .family = "water",
      .example = "runoff=300ppm water=5ppm poured=2l pot=1l",
      .inputs = after_in, .n_inputs = AFTER_INPUTS, .outputs = after_out, .n_outputs = AFTER_OUTPUTS,
      .formula = "level = water + (runoff - water) * exp(-poured / (pot * held))",
      .source = "washout of a well-mixed vessel, the equation of published ventilation tables",
      .trust = "the best that can happen; real pots keep more, so measure",
      .run = run_after },
    { .name = "soaks", .purpose = "what repeated soaking and draining leaves", .family = "water",
      .example = "runoff=300ppm kept=40% target=60ppm",
      .inputs = soak_in, .n_inputs = SOAK_INPUTS, .outputs = soak_out, .n_outputs = SOAK_OUTPUTS,
      .formula = "level = water + (runoff - water) * kept^soaks",
      .source = "conservation of salt, bath by bath",
      .trust = "each soak must last until pot and bath read the same: half an hour or more",
      .run = run_soak },
};

const fen_reckon_family fen_reckon_water = { ROWS(rows) };
