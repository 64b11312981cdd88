/* reckon_climate.c -- day length, and the water a plant on its tray uses in heat.
 */
#include "reckon_rows.h"
#include "sun.h"

#define RAD (3.14159265358979323846 / 180)

/* ---- day-length ---- */

enum { LENGTH_LATITUDE, LENGTH_DATE, LENGTH_LONGITUDE, LENGTH_BY, LENGTH_INPUTS };
enum { LENGTH_HOURS, LENGTH_CHANGE, LENGTH_SHORTEST, LENGTH_LONGEST, LENGTH_ENERGY, LENGTH_OUTPUTS };
enum { BY_SUNRISE, BY_CENTRE, BY_CIVIL, BY_NAUTICAL, BY_ASTRONOMICAL, BY_CROP };

static const char *const horizons[] = { "sunrise", "centre", "civil", "nautical", "astronomical", "crop", NULL };
static const double zeniths[] = { FEN_SUN_RISE_ZENITH, 90, 96, 102, 108, 90 };

static const fen_reckon_input length_in[LENGTH_INPUTS] = {
    IN_NEEDED("latitude", LATITUDE, -90, 90, "degrees, with N or S: 51.5N, 33.9S"),
    IN_NEEDED("date", DATE, DATE_LEAST, DATE_MOST, "the day"),
    IN_USUAL("longitude", LONGITUDE, 0, -180, 180, "degrees, with E or W; matters by less than a minute"),
    IN_PICK("by", horizons, BY_SUNRISE, "sunrise to sunset; centre of the sun on the horizon; three twilights; or crop, the short form of field models"),
};

static const fen_reckon_output length_out[LENGTH_OUTPUTS] = {
    OUT("hours", HOURS, "length of the day"),
    OUT("change", HOURS, "longer (or, negative, shorter) in a week's time"),
    OUT("shortest", HOURS, "of the year there"),
    OUT("longest", HOURS, "of the year there"),
    OUT("energy", ENERGY, "of the sun above the clouds"),
};

static double length_of(const fen_reckon_value in[], int32_t date)
{
    const double latitude = in[LENGTH_LATITUDE].number;
    const size_t by = (size_t)in[LENGTH_BY].number;
    if (by != BY_CROP)
        return fen_sun_day_length(latitude, in[LENGTH_LONGITUDE].number, date, zeniths[by]);
    return fen_sun_hours(fen_sun_set_angle(latitude * RAD, fen_sun_declination(fen_sun_day_of_year(date))));
}

static fen_status run_length(const fen_reckon_value in[], double out[], fen_reckon_error *reterr)
{
    (void)reterr;
    const int32_t date = (int32_t)in[LENGTH_DATE].number;
    const int32_t first = date - fen_sun_day_of_year(date) + 1;
    out[LENGTH_HOURS] = length_of(in, date);
    out[LENGTH_CHANGE] = length_of(in, date + 7) - out[LENGTH_HOURS];
    out[LENGTH_SHORTEST] = 24;
    out[LENGTH_LONGEST] = 0;
    for (int32_t d = 0; d < 365; d++) {
        const double hours = length_of(in, first + d);
        out[LENGTH_SHORTEST] = fmin(out[LENGTH_SHORTEST], hours);
        out[LENGTH_LONGEST] = fmax(out[LENGTH_LONGEST], hours);
    }
    out[LENGTH_ENERGY] = fen_sun_radiation(in[LENGTH_LATITUDE].number * RAD, fen_sun_day_of_year(date));
    return FEN_OK;
}

/* ---- water-use ---- */

enum { USE_LATITUDE, USE_DATE, USE_HIGH, USE_LOW, USE_ACROSS, USE_COUNT, USE_DAYS, USE_FACTOR, USE_INPUTS };
enum { USE_DEPTH, USE_EACH, USE_ALL, USE_STORE, USE_OUTPUTS };

static const fen_reckon_input use_in[USE_INPUTS] = {
    IN_NEEDED("latitude", LATITUDE, -66, 66, "degrees, with N or S: 51.5N, 33.9S"),
    IN_NEEDED("date", DATE, DATE_LEAST, DATE_MOST, "the day"),
    IN_NEEDED("high", TEMPERATURE, 0, 55, "warmest of the day"),
    IN_NEEDED("low", TEMPERATURE, -10, 45, "coldest of the day"),
    IN_NEEDED("across", LENGTH, 10, LENGTH_MOST, "width of the leaves or of pot and tray, whichever is wider"),
    IN_USUAL("pots", COUNT, 1, 1, 100000, "how many alike"),
    IN_USUAL("days", TIME, 1, 0, 92, "to provide for"),
    IN_USUAL("factor", NUMBER, 1.2, 0.3, 3, "against short grass: 1.2 wet bog plants standing close; up to 2 for a lone pot on hot ground"),
};

static const fen_reckon_output use_out[USE_OUTPUTS] = {
    OUT("depth", LENGTH, "of water a day from the wet surface"),
    OUT("each", VOLUME, "a day for one pot"),
    OUT("all", VOLUME, "a day for all"),
    OUT("store", VOLUME, "for all, for these days"),
};

static fen_status run_use(const fen_reckon_value in[], double out[], fen_reckon_error *reterr)
{
    const double high = in[USE_HIGH].number;
    const double low = in[USE_LOW].number;
    if (low > high)
        return fen_reckon_refuse(reterr, FEN_CODE_NUMBER, USE_LOW, "give the colder of the two as low=", "'low' is warmer than 'high'");
    const int day = fen_sun_day_of_year((int32_t)in[USE_DATE].number);
    const double energy = 0.408 * fen_sun_radiation(in[USE_LATITUDE].number * RAD, day); /* mm/d: 1 / 2.45 MJ/kg, eq. 20 */
    const double grass = fmax(0.0023 * ((high + low) / 2 + 17.8) * sqrt(high - low) * energy, 0);
    const double across = in[USE_ACROSS].number;
    out[USE_DEPTH] = grass * in[USE_FACTOR].number;
    out[USE_EACH] = out[USE_DEPTH] * across * across * 3.14159265358979323846 / 4 / 1000; /* mm3 are thousandths of ml */
    out[USE_ALL] = out[USE_EACH] * in[USE_COUNT].number;
    out[USE_STORE] = out[USE_ALL] * in[USE_DAYS].number;
    return FEN_OK;
}

static const fen_reckoner rows[] = {
    { .name = "day-length", .purpose = "how long the day is, by latitude and date", .family = "season",
      .example = "latitude=51.5N date=2026-11-20",
      .inputs = length_in, .n_inputs = LENGTH_INPUTS, .outputs = length_out, .n_outputs = LENGTH_OUTPUTS,
      .formula = "cos w = (cos z - sin latitude * sin d) / (cos latitude * cos d), hours = 2 * w / 15 degrees; z = 90.833, 90, 96, 102 or 108 degrees, "
                 "d the sun's declination at rise and at set; crop: d = 0.409 * sin(2 pi * J / 365 - 1.39), z = 90",
      .source = "sun's place: low-precision formulas of the Astronomical Almanac; zeniths: Almanac for Computers (USNO 1990); "
                "crop and energy: FAO Irrigation and Drainage Paper 56, equations 21 to 25 and 34",
      .trust = "within a minute of the almanac up to 60 degrees, for a flat horizon; walls and hills take more than any formula gives; "
               "many plants already answer to civil twilight",
      .run = run_length },
    { .name = "water-use", .purpose = "how much water pots on a tray use in a hot day", .family = "season",
      .example = "latitude=45N date=2026-07-15 high=36C low=20C across=15cm pots=12 days=10days",
      .inputs = use_in, .n_inputs = USE_INPUTS, .outputs = use_out, .n_outputs = USE_OUTPUTS,
      .formula = "depth = factor * 0.0023 * (mean + 17.8) * sqrt(high - low) * 0.408 * energy of the sun; each = depth * pi / 4 * across^2",
      .source = "Hargreaves, in FAO Irrigation and Drainage Paper 56, equation 52; the factor is common practice, no source",
      .trust = "outdoors within a half either way, as wind and the pot's warm sides are not in it; not for indoors; "
               "weigh a pot in the morning and the evening of one such day and go by that",
      .run = run_use },
};

const fen_reckon_family fen_reckon_climate = { ROWS(rows) };
