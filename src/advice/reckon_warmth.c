/* reckon_warmth.c -- what warmth and cold have added up to: chill of a winter
 * rest, degree-days, and when the next treatment of a pest is due.
 */
#include <stdio.h>

#include "reckon_rows.h"
#include "templog.h"
#include "thermal.h"

#define REST_NEED 1680.0 /* hours: ten weeks, of the eight to ten that are the least */
#define WINDOW 14        /* days whose pace is taken for what comes */

/* ---- a running sum over a log, with the pace of its last days ---- */

typedef struct tally {
    double sum, logged, unlogged;
    double last;             /* day on which the last span counted ends */
    double recent[WINDOW];   /* amounts by day, see slot_of */
    double hours[WINDOW];    /* and the hours they were logged in */
    long newest;             /* the last day in `recent` */
} tally;

static size_t slot_of(long day)
{
    return (size_t)((day % WINDOW + WINDOW) % WINDOW); /* days before 1970 are negative */
}

static void add_span(tally *t, const fen_templog_span *s, double amount)
{
    const long day = (long)floor(s->day);
    if (t->logged <= 0)
        t->newest = day;
    for (long d = t->newest + 1; d <= day && d <= t->newest + WINDOW; d++)
        t->recent[slot_of(d)] = t->hours[slot_of(d)] = 0;
    if (day > t->newest)
        t->newest = day;
    t->recent[slot_of(day)] += amount;
    t->hours[slot_of(day)] += s->hours;
    t->sum += amount;
    t->logged += s->hours / 24;
    t->unlogged += s->unlogged / 24;
    t->last = s->day + s->hours / 24;
}

/* A day's worth, while it was logged, of the last days. */
static double pace_of(const tally *t)
{
    double sum = 0;
    double hours = 0;
    for (size_t i = 0; i < WINDOW; i++) {
        sum += t->recent[i];
        hours += t->hours[i];
    }
    return hours > 0 ? sum / hours * 24 : (double)NAN;
}

static fen_status refuse_empty(size_t input, fen_reckon_error *reterr)
{
    return fen_reckon_refuse(reterr, FEN_CODE_MISSING, input, "give a log that covers the time since then", "the log has no reading to count");
}

/* ---- chill ---- */

enum { CHILL_LOG, CHILL_FROM, CHILL_TODAY, CHILL_BY, CHILL_NEED, CHILL_COLD, CHILL_INPUTS };
enum { CHILL_SO_FAR, CHILL_OWED, CHILL_PACE, CHILL_LEFT, CHILL_READY, CHILL_LOGGED, CHILL_UNLOGGED, CHILL_OUTPUTS };

static const char *const chill_rules[] = { "rest", "band", "below", "utah-c", "utah-f", NULL };

static const fen_reckon_input chill_in[CHILL_INPUTS] = {
    IN_ONE_OF('c', "log", LOG, 0, 0, "a file of temperatures: lines of date, time and temperature, or of date, low and high"),
    IN_MAYBE("from", DATE, DATE_LEAST, DATE_MOST, "when the rest began; earlier readings are passed over"),
    IN_ONE_OF('c', "today", DATE, DATE_LEAST, DATE_MOST, "without a log: until when the cold is counted"),
    IN_PICK("by", chill_rules, FEN_CHILL_REST, "rest: hours at or below 10 C; band: from 0 to 7.2 C; below: under 7.2 C; utah-c, utah-f: Utah units"),
    IN_MAYBE("need", CHILL, 1, 5000, "chill that makes a full rest; for rest, 10 weeks if not given"),
    IN_USUAL("cold", CHILL, 24, 0, 24, "without a log: hours a day that are cold enough"),
};

static const fen_reckon_output chill_out[CHILL_OUTPUTS] = {
    OUT("so-far", CHILL, "chill so far"),
    OUT("owed", CHILL, "chill still owed"),
    OUT("pace", CHILL, "chill a day, of late"),
    OUT("left", TIME, "until it is paid at that pace"),
    OUT("ready", DATE, "when it is paid at that pace"),
    OUT("logged", TIME, "that the readings cover"),
    OUT("unlogged", TIME, "without readings, not counted"),
};

static fen_status tally_chill(const fen_reckon_value in[], tally *t, fen_reckon_error *reterr)
{
    fen_templog log;
    fen_templog_span s;
    bool more = true;
    fen_status st = fen_templog_open(in[CHILL_LOG].text, in[CHILL_LOG].len, &log, reterr);
    while (!st && more) {
        st = fen_templog_next(&log, &s, &more, reterr);
        if (st || !more || (in[CHILL_FROM].given && s.day < in[CHILL_FROM].number))
            continue;
        add_span(t, &s, fen_chill_over((fen_chill_rule)in[CHILL_BY].number, s.low, s.high, s.hours));
    }
    if (st)
        reterr->input = CHILL_LOG;
    return st ? st : t->logged > 0 ? FEN_OK : refuse_empty(CHILL_LOG, reterr);
}

/* The same from dates alone. */
static fen_status assume_chill(const fen_reckon_value in[], tally *t, fen_reckon_error *reterr)
{
    if (!in[CHILL_FROM].given)
        return fen_reckon_refuse(reterr, FEN_CODE_MISSING, CHILL_FROM, "give from=, the day the rest began, or log=, a temperature log",
                                 "chill cannot be counted from nothing");
    if (in[CHILL_FROM].number > in[CHILL_TODAY].number)
        return fen_reckon_refuse(reterr, FEN_CODE_BAD_VALUE, CHILL_FROM, "give the day the rest began", "the rest has not begun by %s",
                                 fen_shown_of(FEN_MEASURE_DATE, in[CHILL_TODAY].number).at);
    t->last = in[CHILL_TODAY].number;
    t->sum = (t->last - in[CHILL_FROM].number) * in[CHILL_COLD].number;
    return FEN_OK;
}

static fen_status run_chill(const fen_reckon_value in[], double out[], fen_reckon_error *reterr)
{
    tally t = { 0 };
    const bool logged = in[CHILL_LOG].given;
    fen_status st = logged ? tally_chill(in, &t, reterr) : assume_chill(in, &t, reterr);
    if (st)
        return st;
    const double usual = in[CHILL_BY].number == FEN_CHILL_REST ? REST_NEED : (double)NAN;
    const double need = in[CHILL_NEED].given ? in[CHILL_NEED].number : usual;
    out[CHILL_SO_FAR] = t.sum;
    out[CHILL_PACE] = logged ? pace_of(&t) : in[CHILL_COLD].number;
    if (logged) {
        out[CHILL_LOGGED] = t.logged;
        out[CHILL_UNLOGGED] = t.unlogged;
    }
    if (isnan(need))
        return FEN_OK;
    out[CHILL_OWED] = fmax(need - t.sum, 0);
    if (out[CHILL_OWED] > 0 && !(out[CHILL_PACE] > 0))
        return FEN_OK; /* it gets no colder: no date */
    out[CHILL_LEFT] = out[CHILL_OWED] > 0 ? out[CHILL_OWED] / out[CHILL_PACE] : 0;
    if (out[CHILL_LEFT] < 3653)
        out[CHILL_READY] = ceil(t.last + out[CHILL_LEFT] - 1e-6);
    return FEN_OK;
}

/* ---- degree-days ---- */

enum { DEGREE_HIGH, DEGREE_LOW, DEGREE_BASE, DEGREE_BY, DEGREE_INPUTS };
enum { DEGREE_ABOVE, DEGREE_BELOW, DEGREE_OUTPUTS };

static const char *const degree_rules[] = { "sine", "triangle", "average", "four-case", NULL };

static const fen_reckon_input degree_in[DEGREE_INPUTS] = {
    IN_NEEDED("high", TEMPERATURE, COLD_LEAST, HEAT_MOST, "warmest of the day"),
    IN_NEEDED("low", TEMPERATURE, COLD_LEAST, HEAT_MOST, "coldest of the day"),
    IN_NEEDED("base", TEMPERATURE, COLD_LEAST, HEAT_MOST, "threshold of development"),
    IN_PICK("by", degree_rules, FEN_DEGREE_SINE, "how the day is drawn between its two ends"),
};

static const fen_reckon_output degree_out[DEGREE_OUTPUTS] = {
    OUT("above", DEGREE_DAYS, "of the day, above the base"),
    OUT("below", DEGREE_DAYS, "of the day, below the base"),
};

static fen_status run_degree(const fen_reckon_value in[], double out[], fen_reckon_error *reterr)
{
    if (in[DEGREE_LOW].number > in[DEGREE_HIGH].number)
        return fen_reckon_refuse(reterr, FEN_CODE_NUMBER, DEGREE_LOW, "give the colder of the two as low=", "'low' is warmer than 'high'");
    fen_degree_days((fen_degree_rule)in[DEGREE_BY].number, in[DEGREE_LOW].number, in[DEGREE_HIGH].number, in[DEGREE_BASE].number,
                    &out[DEGREE_ABOVE], &out[DEGREE_BELOW]);
    return FEN_OK;
}

/* ---- next-treatment ---- */

enum { NEXT_PEST, NEXT_WARMTH, NEXT_LOG, NEXT_TREATED, NEXT_INPUTS };
enum { NEXT_INTERVAL, NEXT_DATE, NEXT_SO_FAR, NEXT_DUE, NEXT_GENERATION, NEXT_CLEAN, NEXT_OUTPUTS };

#define N_PESTS 5
static const char *const pests[N_PESTS + 1] = { "thrips", "mealybug", "spider-mite", "aphid", "fungus-gnat", NULL };

/* Threshold (C), degree-days of a generation, and those between treatments: what
 * growers' intervals at 20 C come to, all shorter than from hatch to egg-laying. */
static const struct {
    double base, generation, again;
} pest_rows[N_PESTS] = { { 9.5, 194, 78 }, { 8.5, 667, 98 }, { 12, 125, 56 }, { 4.5, 125, 93 }, { 9.5, 250, 73 } };

static const fen_reckon_input next_in[NEXT_INPUTS] = {
    IN_PICK_NEEDED("pest", pests, "what is treated"),
    IN_ONE_OF('t', "warmth", TEMPERATURE, COLD_LEAST, 35, "mean of day and night where the plants stand"),
    IN_ONE_OF('t', "log", LOG, 0, 0, "a file of temperatures since the last treatment"),
    IN_MAYBE("treated", DATE, DATE_LEAST, DATE_MOST, "day of the last treatment; earlier readings are passed over"),
};

static const fen_reckon_output next_out[NEXT_OUTPUTS] = {
    OUT("interval", TIME, "between treatments at this warmth"),
    OUT("next", DATE, "of the next treatment"),
    OUT("so-far", DEGREE_DAYS, "since the last treatment"),
    OUT("due", DEGREE_DAYS, "between treatments"),
    OUT("generation", TIME, "from egg to adult at this warmth"),
    OUT("clean-for", TIME, "without a find before you stop: one and a half generations"),
};

/* Degree-days since the last treatment; *ret_due the day they became enough, or NaN. */
static fen_status tally_warmth(const fen_reckon_value in[], double base, double again, tally *t, double *ret_due, fen_reckon_error *reterr)
{
    fen_templog log;
    fen_templog_span s;
    bool more = true;
    fen_status st = fen_templog_open(in[NEXT_LOG].text, in[NEXT_LOG].len, &log, reterr);
    *ret_due = (double)NAN;
    while (!st && more) {
        st = fen_templog_next(&log, &s, &more, reterr);
        if (st || !more || (in[NEXT_TREATED].given && s.day < in[NEXT_TREATED].number))
            continue;
        double above;
        double below;
        fen_degree_days(FEN_DEGREE_SINE, s.low, s.high, base, &above, &below);
        add_span(t, &s, above * s.hours / 24);
        if (isnan(*ret_due) && t->sum >= again)
            *ret_due = floor(s.day);
    }
    if (st)
        reterr->input = NEXT_LOG;
    return st ? st : t->logged > 0 ? FEN_OK : refuse_empty(NEXT_LOG, reterr);
}

static fen_status refuse_cold(size_t input, double base, fen_reckon_error *reterr)
{
    return fen_reckon_refuse(reterr, FEN_CODE_NUMBER, input, "keep looking once a week, and reckon again when it is warmer",
                             "this pest stands still below %s, so no date follows", fen_shown_of(FEN_MEASURE_TEMPERATURE, base).at);
}

static fen_status run_next(const fen_reckon_value in[], double out[], fen_reckon_error *reterr)
{
    const size_t pest = (size_t)in[NEXT_PEST].number;
    const double base = pest_rows[pest].base;
    const double again = pest_rows[pest].again;
    tally t = { 0 };
    double due = (double)NAN;
    double pace = in[NEXT_WARMTH].number - base;

    if (in[NEXT_LOG].given) {
        fen_status st = tally_warmth(in, base, again, &t, &due, reterr);
        if (st)
            return st;
        pace = pace_of(&t);
        out[NEXT_SO_FAR] = t.sum;
    }
    if (!(pace > 0.1) && isnan(due))
        return refuse_cold(in[NEXT_LOG].given ? NEXT_LOG : NEXT_WARMTH, base, reterr);
    out[NEXT_DUE] = again;
    if (pace > 0.1) {
        out[NEXT_INTERVAL] = fmax(floor(again / pace), 1); /* rather early than late */
        out[NEXT_GENERATION] = pest_rows[pest].generation / pace;
        out[NEXT_CLEAN] = 1.5 * out[NEXT_GENERATION];
    }
    if (!isnan(due))
        out[NEXT_DATE] = due;
    else if (in[NEXT_LOG].given)
        out[NEXT_DATE] = floor(t.last + (again - t.sum) / pace);
    else if (in[NEXT_TREATED].given)
        out[NEXT_DATE] = in[NEXT_TREATED].number + out[NEXT_INTERVAL];
    return FEN_OK;
}

static const fen_reckoner rows[] = {
    { .name = "chill", .purpose = "chill of a winter rest so far, and still owed", .family = "season",
      .example = "from=2026-11-15 today=2026-12-20 cold=20",
      .inputs = chill_in, .n_inputs = CHILL_INPUTS, .outputs = chill_out, .n_outputs = CHILL_OUTPUTS,
      .formula = "sum over the readings of hours * weight(temperature); a day with low and high is a sine between them; owed = need - so far; "
                 "left = owed / pace of the last 14 days",
      .source = "weights: band and below, chill hours of the University of California; Utah units, Richardson 1974, in C by the R package ChillModels, in F by UC Davis; "
                "rest: 8 to 10 weeks at or below 10 C are common practice, no source",
      .trust = "for bog plants nobody has measured the need in hours: take it as a ledger, not as a limit; Utah units are made for fruit trees; "
               "where a log has gaps of over three hours the rest of the gap is not counted",
      .run = run_chill },
    { .name = "degree-days", .purpose = "degree-days of one day", .family = "season",
      .example = "high=25C low=5C base=10C",
      .inputs = degree_in, .n_inputs = DEGREE_INPUTS, .outputs = degree_out, .n_outputs = DEGREE_OUTPUTS,
      .formula = "sine: ((m - base) * (pi / 2 - t) + a * cos t) / pi, m the mean, a half the range, t = arcsin((base - m) / a); "
                 "triangle: (high - base)^2 / (2 * (high - low)); average: m - base, not below 0; four-case: (high - base) / 2 - (base - low) / 4 if m is above the base, else (high - base) / 4; "
                 "all m - base when the whole day is above it",
      .source = "Zalom and others 1983, UC leaflet 21373; four-case: Met Eireann",
      .trust = "the rules differ by a tenth on days that cross the base; use one throughout",
      .run = run_degree },
    { .name = "next-treatment", .purpose = "when a pest must be treated again, by warmth", .family = "season",
      .example = "pest=thrips warmth=21C treated=2026-05-01",
      .inputs = next_in, .n_inputs = NEXT_INPUTS, .outputs = next_out, .n_outputs = NEXT_OUTPUTS,
      .formula = "interval = due / (warmth - base), rounded down; generation = K / (warmth - base); base and K: thrips 9.5 C, 194; mealybug 8.5 C, 667; "
                 "spider-mite 12 C, 125; aphid 4.5 C, 125; fungus-gnat 9.5 C, 250 C d; a log: degree-days by the sine since the last treatment",
      .source = "thrips: Jpn. J. Appl. Entomol. Zool. 41(4); mealybug: Karacaoglu and Satar 2017; spider-mite: from University of Massachusetts figures; "
                "aphid, fungus-gnat and the time between treatments: common practice, no source",
      .trust = "for contact treatments, to within two days between 15 and 28 C; a treatment that lasts needs fewer",
      .caution = "a product's label, with its interval, its greatest number of treatments and its protective clothing, and local rules go before this date; where they ask for a licence, leave it to who holds one",
      .run = run_next },
};

const fen_reckon_family fen_reckon_warmth = { ROWS(rows) };
