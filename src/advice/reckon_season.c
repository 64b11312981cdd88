/* reckon_season.c -- the window of the winter rest, and getting used to the sun.
 */
#include "reckon_rows.h"
#include "sun.h"
#include "util/date.h"

/* ---- dormancy ---- */

enum { REST_LATITUDE, REST_TODAY, REST_LENGTH, REST_STARTED, REST_INPUTS };
enum { REST_BEGINS, REST_ENDS, REST_WAIT, REST_DONE, REST_OWED, REST_DAY_BEGIN, REST_DAY_END, REST_OUTPUTS };

#define LAG 21 /* days from the shortest day to the middle of the cold: three weeks */

static const fen_reckon_input rest_in[REST_INPUTS] = {
    IN_NEEDED("latitude", LATITUDE, -70, 70, "degrees, with N or S: 51.5N, 33.9S"),
    IN_NEEDED("today", DATE, DATE_LEAST, DATE_MOST, "the day to reckon from"),
    IN_USUAL("rest", TIME, 98, 56, 154, "how long it should last"),
    IN_MAYBE("started", DATE, DATE_LEAST, DATE_MOST, "when this plant's rest really began, if it did"),
};

static const fen_reckon_output rest_out[REST_OUTPUTS] = {
    OUT("begins", DATE, "of the window"),
    OUT("ends", DATE, "of the window"),
    OUT("wait", TIME, "until it begins"),
    OUT("done", TIME, "of the rest so far"),
    OUT("owed", TIME, "of the rest still to come"),
    OUT("day-at-begin", HOURS, "length of the day when it begins"),
    OUT("day-at-end", HOURS, "length of the day when it ends"),
};

/* The end of the window whose middle lies in the winter of YEAR. */
static int32_t window_end(int year, bool north, double rest)
{
    const int32_t solstice = north ? fen_date_day(year, 12, 21) : fen_date_day(year, 6, 21);
    return solstice + LAG + (int32_t)ceil(rest / 2);
}

static fen_status run_rest(const fen_reckon_value in[], double out[], fen_reckon_error *reterr)
{
    const double latitude = in[REST_LATITUDE].number;
    const double today = in[REST_TODAY].number;
    const double rest = in[REST_LENGTH].number;
    int year;
    int month;
    int day;

    if (fabs(latitude) < 15)
        return fen_reckon_refuse(reterr, FEN_CODE_NUMBER, REST_LATITUDE, "give the rest in a cool place instead, and count it with chill",
                                 "at %s no season is cold or short enough for a window", fen_shown_of(FEN_MEASURE_LATITUDE, latitude).at);
    if (in[REST_STARTED].given && in[REST_STARTED].number > today)
        return fen_reckon_refuse(reterr, FEN_CODE_BAD_VALUE, REST_STARTED, "leave it out until the rest has begun", "'started' is after 'today'");
    fen_date_parts((int32_t)today, &year, &month, &day);
    int32_t end = window_end(year - 1, latitude > 0, rest);
    if (end < today)
        end = window_end(year, latitude > 0, rest);
    if (end < today)
        end = window_end(year + 1, latitude > 0, rest);
    double begin = end - ceil(rest);
    double until = end;
    if (in[REST_STARTED].given) {
        begin = in[REST_STARTED].number;
        until = begin + ceil(rest);
    }
    out[REST_BEGINS] = begin;
    out[REST_ENDS] = until;
    out[REST_WAIT] = fmax(begin - today, 0);
    if (in[REST_STARTED].given) { /* a window alone does not say that the plant rests */
        out[REST_DONE] = fmin(today - begin, rest);
        out[REST_OWED] = rest - out[REST_DONE];
    }
    out[REST_DAY_BEGIN] = fen_sun_day_length(latitude, 0, (int32_t)begin, FEN_SUN_RISE_ZENITH);
    out[REST_DAY_END] = fen_sun_day_length(latitude, 0, (int32_t)until, FEN_SUN_RISE_ZENITH);
    return FEN_OK;
}

/* ---- sun-ramp ---- */

enum { RAMP_TARGET, RAMP_FROM, RAMP_STEP, RAMP_EVERY, RAMP_START, RAMP_INPUTS };
enum { RAMP_DAYS, RAMP_STEPS, RAMP_FULL, RAMP_OUTPUTS };
enum { RAMP_LINE_DAY, RAMP_LINE_DATE, RAMP_LINE_HOURS, RAMP_COLUMNS };

static const fen_reckon_input ramp_in[RAMP_INPUTS] = {
    IN_NEEDED("target", HOURS, 0.5, 18, "direct sun a day in the place it will stand"),
    IN_USUAL("from", HOURS, 2, 0, 16, "direct sun on the first day; early sun is mildest"),
    IN_USUAL("step", HOURS, 1, 0.25, 2, "more at each step"),
    IN_USUAL("every", COUNT, 2, 1, 14, "days to a step"),
    IN_MAYBE("start", DATE, DATE_LEAST, DATE_MOST, "the first day"),
};

static const fen_reckon_output ramp_out[RAMP_OUTPUTS] = {
    OUT("days", COUNT, "until full sun"),
    OUT("steps", COUNT, "up from the first day"),
    OUT("full-sun", DATE, "the day it may stay out"),
};

static const fen_reckon_output ramp_columns[RAMP_COLUMNS] = {
    OUT("day", COUNT, "day"),
    OUT("date", DATE, "date"),
    OUT("sun", HOURS, "direct sun"),
};

static double ramp_steps(const fen_reckon_value in[])
{
    return ceil((in[RAMP_TARGET].number - in[RAMP_FROM].number) / in[RAMP_STEP].number - 1e-9);
}

static fen_status run_ramp(const fen_reckon_value in[], double out[], fen_reckon_error *reterr)
{
    if (in[RAMP_FROM].number >= in[RAMP_TARGET].number)
        return fen_reckon_refuse(reterr, FEN_CODE_NUMBER, RAMP_FROM, "begin with fewer hours than it will get, or leave it where it stands",
                                 "there is nothing to get used to from %s to %s", fen_shown_of(FEN_MEASURE_HOURS, in[RAMP_FROM].number).at,
                                 fen_shown_of(FEN_MEASURE_HOURS, in[RAMP_TARGET].number).at);
    out[RAMP_STEPS] = ramp_steps(in);
    out[RAMP_DAYS] = out[RAMP_STEPS] * in[RAMP_EVERY].number;
    out[RAMP_FULL] = in[RAMP_START].number + out[RAMP_DAYS];
    return FEN_OK;
}

/* One line a day, the first of full sun last. */
static size_t ramp_lines(const fen_reckon_value in[])
{
    return (size_t)(ramp_steps(in) * in[RAMP_EVERY].number) + 1;
}

static void ramp_line(const fen_reckon_value in[], size_t i, fen_reckon_value ret_cells[])
{
    const double hours = in[RAMP_FROM].number + floor((double)i / in[RAMP_EVERY].number) * in[RAMP_STEP].number;
    ret_cells[RAMP_LINE_DAY] = fen_reckon_cell((double)i + 1);
    ret_cells[RAMP_LINE_DATE] = fen_reckon_cell(in[RAMP_START].number + (double)i);
    ret_cells[RAMP_LINE_HOURS] = fen_reckon_cell(fmin(hours, in[RAMP_TARGET].number));
}

static const fen_reckoner rows[] = {
    { .name = "dormancy", .purpose = "when the winter rest should be, and how much is still owed", .family = "season",
      .example = "latitude=51.5N today=2026-12-20 started=2026-11-20",
      .inputs = rest_in, .n_inputs = REST_INPUTS, .outputs = rest_out, .n_outputs = REST_OUTPUTS,
      .formula = "middle = shortest day + 21 days; begins = middle - rest / 2; ends = begins + rest; with started: done = today - started, owed = rest - done",
      .source = "lengths of 8 to 22 weeks, 14 usual, and the three weeks by which cold lags the sun: common practice, no source; day lengths as in day-length",
      .trust = "a calendar, not a thermometer: the plant's own slowing down and the weather decide; count real cold with chill; "
               "a rest broken off in spring is better than one forced in summer",
      .run = run_rest },
    { .name = "sun-ramp", .purpose = "day by day from shade into full sun", .family = "season",
      .example = "target=6h start=2026-05-01",
      .inputs = ramp_in, .n_inputs = RAMP_INPUTS, .outputs = ramp_out, .n_outputs = RAMP_OUTPUTS,
      .columns = ramp_columns, .n_columns = RAMP_COLUMNS,
      .formula = "hours = from + step * whole steps of every days, at most target",
      .source = "growers' usage of one to three weeks, an hour or two more every second day: common practice, no source",
      .trust = "clear days count, cloudy ones do not; when leaves bleach stay at the step until new leaves look well; old leaves may still burn",
      .run = run_ramp, .lines = ramp_lines, .line = ramp_line },
};

const fen_reckon_family fen_reckon_season = { ROWS(rows) };
