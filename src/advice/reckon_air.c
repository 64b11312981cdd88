/* reckon_air.c -- how hard the air pulls at a leaf: vapour pressure deficit; and
 * the conversions of temperature.
 */
#include "air.h"
#include "reckon_rows.h"

#define FAO56 "FAO Irrigation and Drainage Paper 56 (Allen and others 1998)"
#define HEIGHT_LEAST (-400.0) /* m: the lowest land */
#define HEIGHT_MOST 6000.0

/* ---- vpd ---- */

enum { VPD_AIR, VPD_HUMIDITY, VPD_DEW, VPD_WET, VPD_VAPOUR, VPD_LEAF, VPD_BULB, VPD_HEIGHT, VPD_PRESSURE, VPD_INPUTS };
enum { VPD_DEFICIT, VPD_LEAF_DEFICIT, VPD_OUT_HUMIDITY, VPD_OUT_DEW, VPD_SATURATION, VPD_OUT_VAPOUR, VPD_SLOPE, VPD_MEANS, VPD_OUTPUTS };

static const char *const bulbs[] = { "fanned", "aired", "still", NULL };
static const double bulb_coefficient[] = { 0.000662, 0.0008, 0.0012 };
static const char *const means[] = {
    "damp: grey mould may start", "easy for high-humidity plants", "bearable for plants used to it", "drying: dew and pitcher buds suffer", NULL,
};

static const fen_reckon_input vpd_in[VPD_INPUTS] = {
    IN_NEEDED("air", TEMPERATURE, -20, HEAT_MOST, "temperature of the air"),
    IN_ONE_OF('m', "humidity", PERCENT, 1, 100, "relative humidity"),
    IN_ONE_OF('m', "dew-point", TEMPERATURE, -40, HEAT_MOST, "where dew would form"),
    IN_ONE_OF('m', "wet-bulb", TEMPERATURE, -20, HEAT_MOST, "of a thermometer in a wet sleeve"),
    IN_ONE_OF('m', "vapour", PRESSURE, 0.01, 20, "pressure of the water vapour itself"),
    IN_MAYBE("leaf", TEMPERATURE, -20, HEAT_MOST, "temperature of the leaf, where it differs"),
    IN_PICK("bulb", bulbs, 0, "how the wet bulb is moved: fanned, aired by wind, or still indoors"),
    IN_USUAL("height", HEIGHT, 0, HEIGHT_LEAST, HEIGHT_MOST, "above the sea; matters for the wet bulb only"),
    IN_MAYBE("pressure", PRESSURE, 40, 110, "of the air, instead of the height"),
};

static const fen_reckon_output vpd_out[VPD_OUTPUTS] = {
    OUT("deficit", PRESSURE, "vapour pressure deficit of the air"),
    OUT("leaf-deficit", PRESSURE, "the same at the leaf"),
    OUT("humidity", PERCENT, "relative humidity"),
    OUT("dew-point", TEMPERATURE, "dew forms on what is colder"),
    OUT("saturation", PRESSURE, "vapour the air could hold"),
    OUT("vapour", PRESSURE, "vapour it holds"),
    OUT("slope", SLOPE, "rise of the saturation with warmth"),
    OUT_PICK("means", means, "to plants that like moist air"),
};

static double vapour_of(const fen_reckon_value in[])
{
    const double air = in[VPD_AIR].number;
    if (in[VPD_HUMIDITY].given)
        return fen_air_saturation(air) * in[VPD_HUMIDITY].number / 100;
    if (in[VPD_DEW].given)
        return fen_air_saturation(in[VPD_DEW].number);
    if (in[VPD_VAPOUR].given)
        return in[VPD_VAPOUR].number;
    const double pressure = in[VPD_PRESSURE].given ? in[VPD_PRESSURE].number : fen_air_pressure(in[VPD_HEIGHT].number);
    return fen_air_wet_bulb(air, in[VPD_WET].number, pressure, bulb_coefficient[(size_t)in[VPD_BULB].number]);
}

/* Which of the four ways to tell moisture was used. */
static size_t moisture_input(const fen_reckon_value in[])
{
    size_t i = VPD_HUMIDITY;
    while (!in[i].given)
        i++;
    return i;
}

static size_t means_of(double deficit)
{
    return deficit < 0.2 ? 0 : deficit <= 1.0 ? 1 : deficit <= 1.5 ? 2 : 3;
}

static fen_status run_vpd(const fen_reckon_value in[], double out[], fen_reckon_error *reterr)
{
    const double saturation = fen_air_saturation(in[VPD_AIR].number);
    const double vapour = vapour_of(in);
    const size_t by = moisture_input(in);

    if (vapour > saturation * (1 + 1e-9))
        return fen_reckon_refuse(reterr, FEN_CODE_NUMBER, by, "check which reading is which",
                                 "air of %s cannot hold that much water: '%s' is too high",
                                 fen_shown_of(FEN_MEASURE_TEMPERATURE, in[VPD_AIR].number).at, by == VPD_DEW ? "dew-point" : by == VPD_WET ? "wet-bulb" : "vapour");
    if (vapour <= 0)
        return fen_reckon_refuse(reterr, FEN_CODE_NUMBER, by, "wet the sleeve and read again once it is steady",
                                 "a wet bulb at %s in air of %s is colder than bone-dry air could make it",
                                 fen_shown_of(FEN_MEASURE_TEMPERATURE, in[VPD_WET].number).at,
                                 fen_shown_of(FEN_MEASURE_TEMPERATURE, in[VPD_AIR].number).at);
    const double leaf = in[VPD_LEAF].given ? fen_air_saturation(in[VPD_LEAF].number) - vapour : (double)NAN;
    out[VPD_DEFICIT] = fmax(saturation - vapour, 0);
    out[VPD_LEAF_DEFICIT] = leaf; /* below 0 is dew on the leaf */
    out[VPD_OUT_HUMIDITY] = fmin(vapour / saturation * 100, 100);
    out[VPD_OUT_DEW] = fen_air_dew_point(vapour);
    out[VPD_SATURATION] = saturation;
    out[VPD_OUT_VAPOUR] = vapour;
    out[VPD_SLOPE] = fen_air_slope(in[VPD_AIR].number);
    out[VPD_MEANS] = (double)means_of(isnan(leaf) ? out[VPD_DEFICIT] : leaf);
    return FEN_OK;
}

/* ---- vpd-day ---- */

enum { DAY_HIGH, DAY_LOW, DAY_MEAN, DAY_MOST, DAY_LEAST, DAY_VAPOUR, DAY_INPUTS };
enum { DAY_DEFICIT, DAY_SATURATION, DAY_OUT_VAPOUR, DAY_MEANS, DAY_OUTPUTS };

static const fen_reckon_input day_in[DAY_INPUTS] = {
    IN_NEEDED("high", TEMPERATURE, -20, HEAT_MOST, "warmest of the day"),
    IN_NEEDED("low", TEMPERATURE, -20, HEAT_MOST, "coldest of the day"),
    IN_ONE_OF('m', "mean-humidity", PERCENT, 1, 100, "average of the day"),
    IN_ONE_OF('m', "most-humidity", PERCENT, 1, 100, "highest of the day; alone if the lowest is not trusted"),
    IN_MAYBE("least-humidity", PERCENT, 1, 100, "lowest of the day, beside most-humidity"),
    IN_ONE_OF('m', "vapour", PRESSURE, 0.01, 20, "pressure of the water vapour itself"),
};

static const fen_reckon_output day_out[DAY_OUTPUTS] = {
    OUT("deficit", PRESSURE, "mean vapour pressure deficit of the day"),
    OUT("saturation", PRESSURE, "mean of what the air could hold"),
    OUT("vapour", PRESSURE, "mean of what it holds"),
    OUT_PICK("means", means, "to plants that like moist air"),
};

static double day_vapour(const fen_reckon_value in[], double high, double low)
{
    if (in[DAY_VAPOUR].given)
        return in[DAY_VAPOUR].number;
    if (in[DAY_MEAN].given) /* eq. 19 */
        return in[DAY_MEAN].number / 100 * (high + low) / 2;
    if (in[DAY_LEAST].given) /* eq. 17 */
        return (low * in[DAY_MOST].number + high * in[DAY_LEAST].number) / 200;
    return low * in[DAY_MOST].number / 100; /* eq. 18 */
}

static fen_status run_day(const fen_reckon_value in[], double out[], fen_reckon_error *reterr)
{
    if (in[DAY_LOW].number > in[DAY_HIGH].number)
        return fen_reckon_refuse(reterr, FEN_CODE_NUMBER, DAY_LOW, "give the colder of the two as low=", "'low' is warmer than 'high'");
    if (in[DAY_LEAST].given && !in[DAY_MOST].given)
        return fen_reckon_refuse(reterr, FEN_CODE_MISSING, DAY_LEAST, "give most-humidity= as well, or mean-humidity= alone",
                                 "the lowest humidity of a day says too little by itself");
    if (in[DAY_LEAST].given && in[DAY_LEAST].number > in[DAY_MOST].number)
        return fen_reckon_refuse(reterr, FEN_CODE_NUMBER, DAY_LEAST, "swap the two", "'least-humidity' is above 'most-humidity'");
    const double high = fen_air_saturation(in[DAY_HIGH].number);
    const double low = fen_air_saturation(in[DAY_LOW].number);
    const double saturation = (high + low) / 2; /* eq. 12; that of the mean temperature would be too low */
    const double vapour = day_vapour(in, high, low);
    if (vapour > saturation * (1 + 1e-9))
        return fen_reckon_refuse(reterr, FEN_CODE_NUMBER, DAY_VAPOUR, "check the readings", "air of these temperatures cannot hold that much water");
    out[DAY_DEFICIT] = fmax(saturation - vapour, 0);
    out[DAY_SATURATION] = saturation;
    out[DAY_OUT_VAPOUR] = vapour;
    out[DAY_MEANS] = (double)means_of(out[DAY_DEFICIT]);
    return FEN_OK;
}

/* ---- air-pressure ---- */

enum { PRESSURE_HEIGHT, PRESSURE_PRESSURE, PRESSURE_INPUTS };
enum { PRESSURE_OUT, PRESSURE_PSYCHROMETER, PRESSURE_OUTPUTS };

static const fen_reckon_input pressure_in[PRESSURE_INPUTS] = {
    IN_ONE_OF('p', "height", HEIGHT, HEIGHT_LEAST, HEIGHT_MOST, "above the sea"),
    IN_ONE_OF('p', "pressure", PRESSURE, 40, 110, "of the air, by a barometer not set to sea level"),
};

static const fen_reckon_output pressure_out[PRESSURE_OUTPUTS] = {
    OUT("pressure", PRESSURE, "usual at that height"),
    OUT("psychrometer", SLOPE, "psychrometric constant"),
};

static fen_status run_pressure(const fen_reckon_value in[], double out[], fen_reckon_error *reterr)
{
    (void)reterr;
    out[PRESSURE_OUT] = in[PRESSURE_PRESSURE].given ? in[PRESSURE_PRESSURE].number : fen_air_pressure(in[PRESSURE_HEIGHT].number);
    out[PRESSURE_PSYCHROMETER] = fen_air_psychrometer(out[PRESSURE_OUT]);
    return FEN_OK;
}

/* ---- degrees ---- */

enum { DEGREES_READING, DEGREES_CHANGE, DEGREES_INPUTS };
enum { DEGREES_C, DEGREES_F, DEGREES_K, DEGREES_OUTPUTS };

static const fen_reckon_input degrees_in[DEGREES_INPUTS] = {
    IN_ONE_OF('t', "reading", TEMPERATURE, -273.15, 10000, "a temperature: 75F, 24C, 297K"),
    IN_ONE_OF('t', "change", DIFFERENCE, -10000, 10000, "a difference of two temperatures, which has no zero point"),
};

static const fen_reckon_output degrees_out[DEGREES_OUTPUTS] = {
    OUT("celsius", NUMBER, "C"),
    OUT("fahrenheit", NUMBER, "F"),
    OUT("kelvin", NUMBER, "K"),
};

static fen_status run_degrees(const fen_reckon_value in[], double out[], fen_reckon_error *reterr)
{
    (void)reterr;
    const bool change = in[DEGREES_CHANGE].given;
    const double c = change ? in[DEGREES_CHANGE].number : in[DEGREES_READING].number;
    out[DEGREES_C] = c;
    out[DEGREES_F] = c * 9 / 5 + (change ? 0 : 32);
    out[DEGREES_K] = c + (change ? 0 : 273.15);
    return FEN_OK;
}

static const fen_reckoner rows[] = {
    { .name = "vpd", .purpose = "vapour pressure deficit: how hard the air dries a leaf", .family = "air",
      .example = "air=25C humidity=60%",
      .inputs = vpd_in, .n_inputs = VPD_INPUTS, .outputs = vpd_out, .n_outputs = VPD_OUTPUTS,
      .formula = "saturation(T) = 0.6108 * exp(17.27 * T / (T + 237.3)) kPa; vapour = saturation(air) * humidity / 100, or saturation(dew-point), "
                 "or saturation(wet-bulb) - coefficient * pressure * (air - wet-bulb); deficit = saturation - vapour; at the leaf: saturation(leaf) - vapour",
      .source = FAO56 ", equations 7, 11, 13, 14 and 15; the words of 'means' are common practice, no source",
      .trust = "the formula is good to 0.2 % against steam tables; a cheap hygrometer is 5 points off, which at 25 C is 0.16 kPa",
      .run = run_vpd },
    { .name = "vpd-day", .purpose = "mean vapour pressure deficit of a day", .family = "air",
      .example = "high=28C low=16C most-humidity=90% least-humidity=45%",
      .inputs = day_in, .n_inputs = DAY_INPUTS, .outputs = day_out, .n_outputs = DAY_OUTPUTS,
      .formula = "saturation = (s(high) + s(low)) / 2; vapour = (s(low) * most + s(high) * least) / 2, or s(low) * most, or mean * saturation; deficit = saturation - vapour",
      .source = FAO56 ", equations 11, 12, 17, 18 and 19",
      .trust = "a mean hides the hot afternoon: look at vpd for the worst hour as well",
      .run = run_day },
    { .name = "air-pressure", .purpose = "air pressure by height, for the wet bulb", .family = "air",
      .example = "height=1200m",
      .inputs = pressure_in, .n_inputs = PRESSURE_INPUTS, .outputs = pressure_out, .n_outputs = PRESSURE_OUTPUTS,
      .formula = "pressure = 101.3 * ((293 - 0.0065 * height) / 293)^5.26 kPa; psychrometer = 0.000665 * pressure",
      .source = FAO56 ", equations 7 and 8",
      .trust = "weather moves it by 3 %",
      .run = run_pressure },
    { .name = "degrees", .purpose = "temperatures and their differences in C, F and K", .family = "air",
      .example = "reading=75F",
      .inputs = degrees_in, .n_inputs = DEGREES_INPUTS, .outputs = degrees_out, .n_outputs = DEGREES_OUTPUTS,
      .formula = "F = C * 1.8 + 32; K = C + 273.15; a difference takes the factor only",
      .source = "NIST, SI units of temperature",
      .trust = "exact",
      .run = run_degrees },
};

const fen_reckon_family fen_reckon_air = { ROWS(rows) };
