/* reckon_light.c -- how much light in a day, from what lamp, how near, how long.
 */
#include "model/light.h"
#include "reckon_rows.h"

#define MOL_PER_HOUR 0.0036 /* 1 umol/m2/s for an hour, in mol/m2 */
#define LIGHT_MOST 3000.0   /* umol/m2/s: above full sun */
#define DAILY_MOST 80.0     /* mol/m2/d: above a clear midsummer day */
#define MAINS "keep lamps, plugs and timers above and away from water, on a circuit with a residual-current (ground-fault) switch; unplug before you move them"

/* ---- daily-light, lamp-hours, lamp-light ---- */

enum { DAILY_LIGHT, DAILY_HOURS, DAILY_INPUTS };
enum { DAILY_INTEGRAL, DAILY_OUTPUTS };

static const fen_reckon_input daily_in[DAILY_INPUTS] = {
    IN_NEEDED("light", LIGHT, 0, LIGHT_MOST, "at the leaves: '200 umol/m2/s', '15000 lux white-led'"),
    IN_NEEDED("hours", HOURS, 0, 24, "a day that the lamp is on"),
};

static const fen_reckon_output daily_out[DAILY_OUTPUTS] = {
    OUT("daily-light", DAILY_LIGHT, "daily light integral"),
};

static fen_status run_daily(const fen_reckon_value in[], double out[], fen_reckon_error *reterr)
{
    (void)reterr;
    out[DAILY_INTEGRAL] = in[DAILY_LIGHT].number * in[DAILY_HOURS].number * MOL_PER_HOUR;
    return FEN_OK;
}

enum { HOURS_TARGET, HOURS_LIGHT, HOURS_INPUTS };
enum { HOURS_HOURS, HOURS_OUTPUTS };

static const fen_reckon_input hours_in[HOURS_INPUTS] = {
    IN_NEEDED("target", DAILY_LIGHT, 0, DAILY_MOST, "wanted daily light integral, '12 mol/m2/d'"),
    IN_NEEDED("light", LIGHT, 1, LIGHT_MOST, "at the leaves while the lamp is on"),
};

static const fen_reckon_output hours_out[HOURS_OUTPUTS] = {
    OUT("hours", HOURS, "a day"),
};

static fen_status run_hours(const fen_reckon_value in[], double out[], fen_reckon_error *reterr)
{
    const double hours = in[HOURS_TARGET].number / (in[HOURS_LIGHT].number * MOL_PER_HOUR);
    if (hours > 24 + 1e-9)
        return fen_reckon_refuse(reterr, FEN_CODE_NUMBER, HOURS_LIGHT, "bring the lamp nearer or use a stronger one: see lamp-light",
                                 "%s for a whole day and night gives only %s", fen_shown_of(FEN_MEASURE_LIGHT, in[HOURS_LIGHT].number).at,
                                 fen_shown_of(FEN_MEASURE_DAILY_LIGHT, in[HOURS_LIGHT].number * MOL_PER_HOUR * 24).at);
    out[HOURS_HOURS] = hours;
    return FEN_OK;
}

enum { WANT_TARGET, WANT_HOURS, WANT_INPUTS };
enum { WANT_LIGHT, WANT_OUTPUTS };

static const fen_reckon_input want_in[WANT_INPUTS] = {
    IN_NEEDED("target", DAILY_LIGHT, 0, DAILY_MOST, "wanted daily light integral, '12 mol/m2/d'"),
    IN_NEEDED("hours", HOURS, 1, 24, "a day that the lamp is on"),
};

static const fen_reckon_output want_out[WANT_OUTPUTS] = {
    OUT("light", LIGHT, "needed at the leaves while the lamp is on"),
};

static fen_status run_want(const fen_reckon_value in[], double out[], fen_reckon_error *reterr)
{
    const double light = in[WANT_TARGET].number / (in[WANT_HOURS].number * MOL_PER_HOUR);
    if (light > LIGHT_MOST)
        return fen_reckon_refuse(reterr, FEN_CODE_NUMBER, WANT_HOURS, "light it longer, or aim lower",
                                 "that would take %s, more than the sun gives", fen_shown_of(FEN_MEASURE_LIGHT, light).at);
    out[WANT_LIGHT] = light;
    return FEN_OK;
}

/* ---- lamp-distance ---- */

enum { NEAR_LIGHT, NEAR_DISTANCE, NEAR_WANT, NEAR_TARGET, NEAR_HOURS, NEAR_LAMP, NEAR_INPUTS };
enum { NEAR_OUT_DISTANCE, NEAR_OUT_LIGHT, NEAR_OUT_DAILY, NEAR_OUTPUTS };
enum { LAMP_POINT, LAMP_TUBE };

static const char *const lamps[] = { "bulb", "tube", NULL };

static const fen_reckon_input near_in[NEAR_INPUTS] = {
    IN_NEEDED("light", LIGHT, 1, LIGHT_MOST, "measured under the lamp"),
    IN_NEEDED("distance", LENGTH, 20, 5000, "from lamp to meter when it was measured"),
    IN_ONE_OF('w', "want", LIGHT, 1, LIGHT_MOST, "light wanted at the leaves"),
    IN_ONE_OF('w', "target", DAILY_LIGHT, 0.01, DAILY_MOST, "daily light integral wanted; needs hours"),
    IN_MAYBE("hours", HOURS, 1, 24, "a day that the lamp is on"),
    IN_PICK("lamp", lamps, LAMP_POINT, "bulb: small against the distance; tube: long against the distance"),
};

static const fen_reckon_output near_out[NEAR_OUTPUTS] = {
    OUT("distance", LENGTH, "from lamp to leaves"),
    OUT("light", LIGHT, "there"),
    OUT("daily-light", DAILY_LIGHT, "there"),
};

static fen_status run_near(const fen_reckon_value in[], double out[], fen_reckon_error *reterr)
{
    const double hours = in[NEAR_HOURS].number;
    if (in[NEAR_TARGET].given && isnan(hours))
        return fen_reckon_refuse(reterr, FEN_CODE_MISSING, NEAR_HOURS, "give hours=, how long the lamp is on each day",
                                 "a daily target says nothing about the distance without hours");
    const double want = in[NEAR_TARGET].given ? in[NEAR_TARGET].number / (hours * MOL_PER_HOUR) : in[NEAR_WANT].number;
    const double ratio = in[NEAR_LIGHT].number / want;
    const double stretch = in[NEAR_LAMP].number == LAMP_TUBE ? ratio : sqrt(ratio);
    if (stretch < 0.25 || stretch > 4)
        return fen_reckon_refuse(reterr, FEN_CODE_NUMBER, NEAR_LIGHT, "measure nearer to where the plants will stand, or change the lamp",
                                 "%s is too far from the %s measured to be reckoned", fen_shown_of(FEN_MEASURE_LIGHT, want).at,
                                 fen_shown_of(FEN_MEASURE_LIGHT, in[NEAR_LIGHT].number).at);
    out[NEAR_OUT_DISTANCE] = in[NEAR_DISTANCE].number * stretch;
    out[NEAR_OUT_LIGHT] = want;
    out[NEAR_OUT_DAILY] = want * hours * MOL_PER_HOUR;
    return FEN_OK;
}

/* ---- light-meter ---- */

enum { LUX_READING, LUX_LIGHT, LUX_SOURCE, LUX_INPUTS };
enum { LUX_OUT_LIGHT, LUX_OUT_LOW, LUX_OUT_HIGH, LUX_OUT_LUX, LUX_OUT_FC, LUX_OUT_FACTOR, LUX_OUT_PER_FC, LUX_OUTPUTS };

static const fen_reckon_input lux_in[LUX_INPUTS] = {
    IN_ONE_OF('r', "reading", ILLUMINANCE, 0, 200000, "of a light meter: 15000lux, 1400fc"),
    IN_ONE_OF('r', "light", LIGHT, 0, LIGHT_MOST, "the other way round: PPFD"),
    IN_PICK_NEEDED("source", fen_light_names, "the light it was read under"),
};

static const fen_reckon_output lux_out[LUX_OUTPUTS] = {
    OUT("light", LIGHT, "PPFD"),
    OUT("at-least", LIGHT, "if the lamp is the worst of its name"),
    OUT("at-most", LIGHT, "if the lamp is the best of its name"),
    OUT("lux", ILLUMINANCE, "what a lux meter shows"),
    OUT("foot-candles", NUMBER, "what a foot-candle meter shows"),
    OUT("lux-per-umol", NUMBER, "the factor used"),
    OUT("fc-per-umol", NUMBER, "the same for foot-candles"),
};

static fen_status run_lux(const fen_reckon_value in[], double out[], fen_reckon_error *reterr)
{
    const fen_light_source *source = fen_light_source_at((size_t)in[LUX_SOURCE].number);
    if (isnan(source->lux))
        return fen_reckon_refuse(reterr, FEN_CODE_BAD_VALUE, LUX_SOURCE, "borrow a quantum (PAR) meter, or go by the lamp's own chart",
                                 "a light meter cannot read '%s': the eye hardly sees red and blue", source->name);
    const double lux = in[LUX_READING].given ? in[LUX_READING].number : in[LUX_LIGHT].number * source->lux;
    const double light = in[LUX_READING].given ? lux / source->lux : in[LUX_LIGHT].number;
    out[LUX_OUT_LIGHT] = light;
    out[LUX_OUT_LOW] = light / (1 + source->off / 100);
    out[LUX_OUT_HIGH] = light / (1 - source->off / 100);
    out[LUX_OUT_LUX] = lux;
    out[LUX_OUT_FC] = lux / FEN_LUX_PER_FC;
    out[LUX_OUT_FACTOR] = source->lux;
    out[LUX_OUT_PER_FC] = source->lux / FEN_LUX_PER_FC;
    return FEN_OK;
}

#define INTEGRAL_SOURCE "definition of the daily light integral: one umol/m2/s for an hour is 0.0036 mol/m2"

static const fen_reckoner rows[] = {
    { .name = "daily-light", .purpose = "daily light integral of a lamp", .family = "light",
      .example = "light='15000 lux white-led' hours=14",
      .inputs = daily_in, .n_inputs = DAILY_INPUTS, .outputs = daily_out, .n_outputs = DAILY_OUTPUTS,
      .formula = "daily light = light * hours * 0.0036", .source = INTEGRAL_SOURCE,
      .trust = "exact for a steady lamp; sunlight changes by the minute and must be summed by a logger",
      .caution = MAINS, .run = run_daily },
    { .name = "lamp-hours", .purpose = "how long a lamp must be on for a daily target", .family = "light",
      .example = "target=12mol/m2/d light=250umol/m2/s",
      .inputs = hours_in, .n_inputs = HOURS_INPUTS, .outputs = hours_out, .n_outputs = HOURS_OUTPUTS,
      .formula = "hours = target / (light * 0.0036)", .source = INTEGRAL_SOURCE,
      .trust = "exact for a steady lamp; plants that rest by day length should not get more than 16 hours, nor that in winter",
      .caution = MAINS, .run = run_hours },
    { .name = "lamp-light", .purpose = "how bright a lamp must be for a daily target", .family = "light",
      .example = "target=12mol/m2/d hours=14",
      .inputs = want_in, .n_inputs = WANT_INPUTS, .outputs = want_out, .n_outputs = WANT_OUTPUTS,
      .formula = "light = target / (hours * 0.0036)", .source = INTEGRAL_SOURCE,
      .trust = "exact for a steady lamp", .caution = MAINS, .run = run_want },
    { .name = "lamp-distance", .purpose = "how near a lamp must hang for a wanted light", .family = "light",
      .example = "light=150umol/m2/s distance=40cm target=12mol/m2/d hours=14",
      .inputs = near_in, .n_inputs = NEAR_INPUTS, .outputs = near_out, .n_outputs = NEAR_OUTPUTS,
      .formula = "bulb: distance * sqrt(light / wanted); tube: distance * light / wanted; wanted from a target: target / (hours * 0.0036)",
      .source = "inverse-square law for a small lamp, inverse-distance law for a long one (photometry)",
      .trust = "a first guess: reflectors, panels and walls make light fall off more slowly; hang it there and measure again; mind the heat near the lamp",
      .caution = MAINS, .run = run_near },
    { .name = "light-meter", .purpose = "lux or foot-candles to PPFD and back, by named light", .family = "light",
      .example = "reading=15000lux source=white-led",
      .inputs = lux_in, .n_inputs = LUX_INPUTS, .outputs = lux_out, .n_outputs = LUX_OUTPUTS,
      .formula = "light = lux / factor of the source; 1 fc = 1 / 0.3048^2 lux",
      .source = "Thimijan and Heins 1983, HortScience 18:818-822, as printed by Apogee Instruments; LEDs and tubes integrated from CIE 15:2018 spectra",
      .trust = "within the span shown for lamps of that name; a phone's sensor may be off by a third",
      .run = run_lux },
};

const fen_reckon_family fen_reckon_light = { ROWS(rows) };
