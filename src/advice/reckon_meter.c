/* reckon_meter.c -- what a water meter really says.
 *
 * Pens measure conductivity and print ppm by one of three habits, and cold water
 * conducts less; a limit in ppm means nothing until both are known. Solids travel
 * as ppm of the 0.5 scale, so conductivity in uS/cm is twice that number.
 */
#include "model/quantity.h"
#include "reckon_rows.h"

#define US_PER_PPM 2.0     /* the stored scale is 0.5 ppm for each uS/cm */
#define IRRIGATION_TURN 5000.0 /* uS/cm: 640 mg/l for each dS/m up to here, 800 above */

/* ---- scale ---- */

enum { SCALE_READING, SCALE_SAMPLE, SCALE_BY, SCALE_COEFFICIENT, SCALE_INPUTS };
enum { SCALE_25, SCALE_500, SCALE_640, SCALE_700, SCALE_SALTS, SCALE_CHARGE, SCALE_FACTOR, SCALE_OUTPUTS };
enum { BY_LINEAR, BY_NATURAL };

static const char *const compensations[] = { "linear", "natural", NULL };

static const fen_reckon_input scale_in[SCALE_INPUTS] = {
    IN_NEEDED("reading", SOLIDS, 0, SOLIDS_MOST, "what the meter shows, with its scale: 180ppm, '180 ppm 700', 360uS/cm"),
    IN_MAYBE("sample", TEMPERATURE, 0, 50, "how warm the water was; only for a meter that does not correct by itself"),
    IN_PICK("by", compensations, BY_LINEAR, "linear: so many percent a degree; natural: the curve for ground and surface water"),
    IN_USUAL("coefficient", PER_DEGREE, 2.0, 0, 5, "percent a degree, for linear; 1.91 for plain salt"),
};

static const fen_reckon_output scale_out[SCALE_OUTPUTS] = {
    OUT("conductivity", CONDUCTIVITY, "at 25 C"),
    OUT("ppm-500", PPM, "on the 0.5 scale (sodium chloride; most cheap pens)"),
    OUT("ppm-640", PPM, "on the 0.64 scale (waterworks)"),
    OUT("ppm-700", PPM, "on the 0.7 scale (442 natural water)"),
    OUT("salts", PPM, "mg in a litre by the rule of irrigation"),
    OUT("charge", CHARGE, "sum of cations"),
    OUT("factor", NUMBER, "by which the reading was multiplied to get to 25 C"),
};

/* ISO 7888 prints this factor in steps of a tenth of a degree. 1/f is so smooth
 * that a cubic, fitted to the 45 entries we could read, stays within half of the
 * last printed digit; rounding to that digit then gives the printed value. */
static double natural_factor(double celsius)
{
    const double d = celsius - 25;
    const double inverse = 1 + d * (0.0210579524 + d * (6.583661669e-5 + d * -4.270024553e-7));
    return round(1000 / inverse) / 1000;
}

static fen_status compensate(const fen_reckon_value in[], double *ret_factor, fen_reckon_error *reterr)
{
    const double t = in[SCALE_SAMPLE].number;
    if (isnan(t)) {
        *ret_factor = 1;
        return FEN_OK;
    }
    if (in[SCALE_BY].number == BY_NATURAL) {
        if (t >= 36)
            return fen_reckon_refuse(reterr, FEN_CODE_NUMBER, SCALE_SAMPLE, "let the sample cool, or use by=linear",
                                     "the curve for natural water ends at 35.9 C, below %s", fen_shown_of(FEN_MEASURE_TEMPERATURE, t).at);
        *ret_factor = natural_factor(t);
        return FEN_OK;
    }
    const double k = in[SCALE_COEFFICIENT].number / 100;
    if (1 + k * (t - 25) < 0.2)
        return fen_reckon_refuse(reterr, FEN_CODE_NUMBER, SCALE_COEFFICIENT, "use about 2, or let the sample warm up",
                                 "%s a degree leaves nothing to measure at %s",
                                 fen_shown_of(FEN_MEASURE_PERCENT, in[SCALE_COEFFICIENT].number).at,
                                 fen_shown_of(FEN_MEASURE_TEMPERATURE, t).at);
    *ret_factor = fen_conductivity_25(1, t, k);
    return FEN_OK;
}

static fen_status run_scale(const fen_reckon_value in[], double out[], fen_reckon_error *reterr)
{
    double factor = 1;
    fen_status st = compensate(in, &factor, reterr);
    if (st)
        return st;
    const double us = in[SCALE_READING].number * US_PER_PPM * factor;
    out[SCALE_25] = us;
    out[SCALE_500] = us * 0.5;
    out[SCALE_640] = us * 0.64;
    out[SCALE_700] = us * 0.7;
    out[SCALE_SALTS] = us * (us <= IRRIGATION_TURN ? 0.64 : 0.8);
    out[SCALE_CHARGE] = us / 100;
    out[SCALE_FACTOR] = factor;
    return FEN_OK;
}

/* ---- pen-scale ---- */

enum { PEN_SHOWN, PEN_CONDUCTIVITY, PEN_INPUTS };
enum { PEN_FACTOR, PEN_PER_MS, PEN_NEAREST, PEN_OUTPUTS };

static const char *const pen_scales[] = { "0.5 (sodium chloride)", "0.64 (waterworks)", "0.7 (442)", NULL };

static const fen_reckon_input pen_in[PEN_INPUTS] = {
    IN_NEEDED("ppm", PPM, 1, SOLIDS_MOST, "what the pen of unknown scale shows"),
    IN_NEEDED("conductivity", CONDUCTIVITY, 1, 100000, "of the same water, from a meter that shows uS/cm"),
};

static const fen_reckon_output pen_out[PEN_OUTPUTS] = {
    OUT("factor", NUMBER, "ppm for each uS/cm"),
    OUT("per-millisiemens", NUMBER, "ppm for each mS/cm, as scales are often named"),
    OUT_PICK("nearest", pen_scales, "the usual scale that is nearest"),
};

static fen_status run_pen(const fen_reckon_value in[], double out[], fen_reckon_error *reterr)
{
    const double k = in[PEN_SHOWN].number / in[PEN_CONDUCTIVITY].number;
    if (k < 0.35 || k > 0.95)
        return fen_reckon_refuse(reterr, FEN_CODE_NUMBER, PEN_SHOWN, "dip both meters in the same water, and mind uS/cm against mS/cm",
                                 "no pen turns %s into %s", fen_shown_of(FEN_MEASURE_CONDUCTIVITY, in[PEN_CONDUCTIVITY].number).at,
                                 fen_shown_of(FEN_MEASURE_PPM, in[PEN_SHOWN].number).at);
    out[PEN_FACTOR] = k;
    out[PEN_PER_MS] = k * 1000;
    out[PEN_NEAREST] = k < 0.57 ? 0 : k < 0.67 ? 1 : 2;
    return FEN_OK;
}

/* ---- true-solids, pen-check: two printed tables ---- */

enum { TRUE_CONDUCTIVITY, TRUE_SALT, TRUE_INPUTS };
enum { TRUE_SOLIDS, TRUE_FACTOR, TRUE_OUTPUTS };

static const char *const salts[] = { "potassium-chloride", "sodium-chloride", "442", NULL };

#define N_STRENGTHS 10
static const double strengths[N_STRENGTHS] = { 23, 84, 447, 1413, 1500, 2070, 2764, 8974, 12880, 15000 };
static const double solids[3][N_STRENGTHS] = {
    { 11.6, 40.38, 225.6, 744.7, 757.1, 1045, 1382, 5101, 7447, 8759 },
    { 10.7, 38.04, 215.5, 702.1, 737.1, 1041, 1414.8, 4487, 7230, 8532 },
    { 14.74, 50.5, 300, 1000, 1050, 1500, 2062.7, 7608, 11367, 13455 },
};

static const fen_reckon_input true_in[TRUE_INPUTS] = {
    IN_NEEDED("conductivity", CONDUCTIVITY, 23, 15000, "at 25 C"),
    IN_PICK_NEEDED("salt", salts, "what is dissolved; 442 imitates hard natural water"),
};

static const fen_reckon_output true_out[TRUE_OUTPUTS] = {
    OUT("solids", PPM, "really dissolved, mg in a litre"),
    OUT("factor", NUMBER, "ppm for each uS/cm at this strength"),
};

/* Straight between neighbours, after F on both axes. */
static double between(const double xs[], const double ys[], size_t n, double x, double (*f)(double), double (*back)(double))
{
    size_t i = 1;
    while (i < n - 1 && x > xs[i])
        i++;
    if (x == xs[i])
        return ys[i];
    const double share = (f(x) - f(xs[i - 1])) / (f(xs[i]) - f(xs[i - 1]));
    return share <= 0 ? ys[i - 1] : back(f(ys[i - 1]) + share * (f(ys[i]) - f(ys[i - 1])));
}

static double same(double x)
{
    return x;
}

static fen_status run_true(const fen_reckon_value in[], double out[], fen_reckon_error *reterr)
{
    (void)reterr;
    const double us = in[TRUE_CONDUCTIVITY].number;
    out[TRUE_SOLIDS] = between(strengths, solids[(size_t)in[TRUE_SALT].number], N_STRENGTHS, us, log, exp);
    out[TRUE_FACTOR] = out[TRUE_SOLIDS] / us;
    return FEN_OK;
}

enum { CHECK_SOLUTION, CHECK_SAMPLE, CHECK_READING, CHECK_INPUTS };
enum { CHECK_EXPECTED, CHECK_OFF, CHECK_OUTPUTS };

static const char *const solutions[] = { "84", "1413", NULL };

#define N_WARMTHS 6
static const double warmths[N_WARMTHS] = { 10, 15, 20, 25, 30, 35 };
static const double standards[2][N_WARMTHS] = {
    { 60.34, 67.61, 75.8, 84, 92.19, 100.92 },
    { 1020, 1147, 1278, 1413, 1552, 1667 },
};

static const fen_reckon_input check_in[CHECK_INPUTS] = {
    IN_PICK_NEEDED("solution", solutions, "the calibration solution, by its uS/cm at 25 C"),
    IN_NEEDED("sample", TEMPERATURE, 10, 35, "how warm the solution is"),
    IN_MAYBE("reading", CONDUCTIVITY, 0, 100000, "what a meter without temperature correction shows in it"),
};

static const fen_reckon_output check_out[CHECK_OUTPUTS] = {
    OUT("expected", CONDUCTIVITY, "what a true meter shows at this temperature, uncorrected"),
    OUT("off", PERCENT, "how far the reading is above (or, negative, below) it"),
};

static fen_status run_check(const fen_reckon_value in[], double out[], fen_reckon_error *reterr)
{
    (void)reterr;
    out[CHECK_EXPECTED] = between(warmths, standards[(size_t)in[CHECK_SOLUTION].number], N_WARMTHS, in[CHECK_SAMPLE].number, same, same);
    out[CHECK_OFF] = (in[CHECK_READING].number / out[CHECK_EXPECTED] - 1) * 100;
    return FEN_OK;
}

/* ---- membrane ---- */

enum { MEMBRANE_FEED, MEMBRANE_PRODUCT, MEMBRANE_INPUTS };
enum { MEMBRANE_REJECTION, MEMBRANE_VERDICT, MEMBRANE_OUTPUTS };

static const char *const membrane_words[] = { "in order", "due for a change", NULL };

static const fen_reckon_input membrane_in[MEMBRANE_INPUTS] = {
    IN_NEEDED("feed", SOLIDS, 0.5, SOLIDS_MOST, "water going in"),
    IN_NEEDED("product", SOLIDS, 0, SOLIDS_MOST, "clean water coming out, after it has run some minutes"),
};

static const fen_reckon_output membrane_out[MEMBRANE_OUTPUTS] = {
    OUT("rejection", PERCENT, "share of the salts held back"),
    OUT_PICK("membrane", membrane_words, "held against 85 %"),
};

static fen_status run_membrane(const fen_reckon_value in[], double out[], fen_reckon_error *reterr)
{
    const double feed = in[MEMBRANE_FEED].number;
    const double product = in[MEMBRANE_PRODUCT].number;
    if (product > feed)
        return fen_reckon_refuse(reterr, FEN_CODE_NUMBER, MEMBRANE_PRODUCT, "check which tube is which, and measure both again",
                                 "cleaned water cannot hold more salt than what went in");
    out[MEMBRANE_REJECTION] = (feed - product) / feed * 100;
    out[MEMBRANE_VERDICT] = out[MEMBRANE_REJECTION] < 85;
    return FEN_OK;
}

static const fen_reckoner rows[] = {
    { .name = "scale", .purpose = "a water reading on every meter scale, brought to 25 C", .family = "water",
      .example = "reading='180 ppm 700' sample=12C",
      .inputs = scale_in, .n_inputs = SCALE_INPUTS, .outputs = scale_out, .n_outputs = SCALE_OUTPUTS,
      .formula = "ppm = k * uS/cm with k 0.5, 0.64 or 0.7; at 25 C: uS/cm / (1 + coefficient * (sample - 25)), or uS/cm * f(sample) for natural water; "
                 "salts: 0.64 * uS/cm up to 5000 uS/cm, 0.8 * above; charge = uS/cm / 100",
      .source = "meter makers' scales; linear form and 1.91 % from Standard Methods 2510; natural water: ISO 7888 (a cubic through its table); "
                "salts and charge: USDA and FAO rules of irrigation",
      .trust = "the scales are conventions and exact; the correction is good to 2 % within 10 C of 25 C, worse for nearly pure water; "
               "never correct a meter that already does it",
      .run = run_scale },
    { .name = "pen-scale", .purpose = "which ppm scale a pen uses", .family = "water",
      .example = "ppm=1680 conductivity=2.4mS/cm",
      .inputs = pen_in, .n_inputs = PEN_INPUTS, .outputs = pen_out, .n_outputs = PEN_OUTPUTS,
      .formula = "k = ppm / uS/cm of the same water",
      .source = "meter makers' conventions: 0.5, 0.64, 0.7",
      .trust = "sure when both meters are clean and the water is above 100 uS/cm; below that a pen's last digit blurs it",
      .run = run_pen },
    { .name = "true-solids", .purpose = "what is really dissolved, for a known salt", .family = "water",
      .example = "conductivity=447uS/cm salt=442",
      .inputs = true_in, .n_inputs = TRUE_INPUTS, .outputs = true_out, .n_outputs = TRUE_OUTPUTS,
      .formula = "read from a table of calibration solutions, straight between its entries on logarithmic axes",
      .source = "table of conductivity and dissolved solids in the manual of a Sper Scientific 850038 meter",
      .trust = "for the three solutions within a few percent; tap water is a mixture and lies somewhere between them",
      .run = run_true },
    { .name = "pen-check", .purpose = "whether a meter reads a calibration solution right", .family = "water",
      .example = "solution=1413 sample=20C reading=1300uS/cm",
      .inputs = check_in, .n_inputs = CHECK_INPUTS, .outputs = check_out, .n_outputs = CHECK_OUTPUTS,
      .formula = "read from a table of standards from 10 to 35 C, straight between its entries; off = reading / expected - 1",
      .source = "standards table in the manual of a Mettler Toledo SevenCompact S230 meter",
      .trust = "the solutions are good to 1 % when fresh; an opened bottle drifts",
      .run = run_check },
    { .name = "membrane", .purpose = "whether a reverse-osmosis membrane still works", .family = "water",
      .example = "feed=500ppm product=75ppm",
      .inputs = membrane_in, .n_inputs = MEMBRANE_INPUTS, .outputs = membrane_out, .n_outputs = MEMBRANE_OUTPUTS,
      .formula = "rejection = (feed - product) / feed",
      .source = "definition; the 85 % line is a meter supplier's advice",
      .trust = "exact for the readings given; measure both with the same pen",
      .run = run_membrane },
};

const fen_reckon_family fen_reckon_meter = { ROWS(rows) };
