/* reckon_value.c -- values of the calculators: read as typed, shown as read.
 *
 * What findings measure too is left to quantity.h; the rest has its units here.
 * A bare number is taken only where no second unit could be meant.
 */
#include <stdio.h>
#include <string.h>

#include "fenmend/base.h"
#include "model/light.h"
#include "model/quantity.h"
#include "reckon_rows.h"
#include "util/date.h"
#include "util/near.h"
#include "util/number.h"

typedef struct measure_row {
    const char *name;
    fen_dim dim;       /* FEN_DIM_NONE: units below */
    const char *unit;  /* stored */
    const char *units; /* what may be typed; NULL: the dimension's */
    bool bare;         /* a number alone will do */
} measure_row;

static const measure_row measures[FEN_MEASURES] = {
    [FEN_MEASURE_TEMPERATURE] = { "a temperature", FEN_DIM_TEMPERATURE, "C", NULL, false },
    [FEN_MEASURE_DIFFERENCE] = { "a difference of temperatures", FEN_DIM_TEMPERATURE_DIFFERENCE, "C", NULL, false },
    [FEN_MEASURE_SOLIDS] = { "dissolved solids", FEN_DIM_DISSOLVED_SOLIDS, "ppm", NULL, false },
    [FEN_MEASURE_LENGTH] = { "a length", FEN_DIM_LENGTH, "mm", NULL, false },
    [FEN_MEASURE_VOLUME] = { "a volume", FEN_DIM_VOLUME, "ml", NULL, false },
    [FEN_MEASURE_TIME] = { "a time span", FEN_DIM_TIME_SPAN, "d", NULL, false },
    [FEN_MEASURE_LIGHT] = { "light (PPFD)", FEN_DIM_LIGHT, "umol/m2/s", NULL, false },
    [FEN_MEASURE_DAILY_LIGHT] = { "a daily light integral", FEN_DIM_DAILY_LIGHT, "mol/m2/d", NULL, false },
    [FEN_MEASURE_PERCENT] = { "a share", FEN_DIM_PERCENT, "%", NULL, false },
    [FEN_MEASURE_COUNT] = { "a count", FEN_DIM_COUNT, "", NULL, false },
    [FEN_MEASURE_NUMBER] = { "a number", FEN_DIM_NONE, "", "a plain number", true },
    [FEN_MEASURE_CONDUCTIVITY] = { "a conductivity", FEN_DIM_NONE, "uS/cm", "uS/cm, mS/cm, dS/m", false },
    [FEN_MEASURE_PPM] = { "ppm as shown", FEN_DIM_NONE, "ppm", "ppm", true },
    [FEN_MEASURE_CHARGE] = { "a sum of charges", FEN_DIM_NONE, "mmol/l", "mmol/l", false },
    [FEN_MEASURE_PER_DEGREE] = { "percent for each degree", FEN_DIM_NONE, "%/C", "%/C", true },
    [FEN_MEASURE_ILLUMINANCE] = { "an illuminance", FEN_DIM_NONE, "lux", "lux, klx, fc", false },
    [FEN_MEASURE_PRESSURE] = { "a pressure", FEN_DIM_NONE, "kPa", "kPa, hPa, mbar, Pa", false },
    [FEN_MEASURE_SLOPE] = { "a slope", FEN_DIM_NONE, "kPa/C", "kPa/C", false },
    [FEN_MEASURE_HOURS] = { "hours", FEN_DIM_NONE, "h", "h, min, 14:30", true },
    [FEN_MEASURE_LATITUDE] = { "a latitude", FEN_DIM_NONE, "deg", "degrees like 51.5N, 33.9S or -33.9", true },
    [FEN_MEASURE_LONGITUDE] = { "a longitude", FEN_DIM_NONE, "deg", "degrees like 13.4E, 118W or -118", true },
    [FEN_MEASURE_HEIGHT] = { "a height above the sea", FEN_DIM_NONE, "m", "m, ft", false },
    [FEN_MEASURE_ENERGY] = { "energy of sunlight", FEN_DIM_NONE, "MJ/m2/d", "MJ/m2/d", false },
    [FEN_MEASURE_DEGREE_DAYS] = { "degree-days", FEN_DIM_NONE, "C d", "C d, F d", false },
    [FEN_MEASURE_CHILL] = { "chill", FEN_DIM_NONE, "h", "h, days, weeks", true },
    [FEN_MEASURE_DATE] = { "a date", FEN_DIM_NONE, "", "a date like 2026-03-01", false },
    [FEN_MEASURE_CHOICE] = { "a choice", FEN_DIM_NONE, "", "one of its choices", false },
    [FEN_MEASURE_PARTS] = { "parts of a mix", FEN_DIM_NONE, "", "parts like '2 peat, 1 perlite'", false },
    [FEN_MEASURE_LOG] = { "a temperature log", FEN_DIM_NONE, "", "comma-separated text", false },
};

/* In the order they are tried; the first of a measure is its stored unit, one
 * marked `us` is what US units show. */
static const struct {
    fen_measure measure;
    const char *name;
    double factor;
    bool us;
} units[] = {
    { FEN_MEASURE_CONDUCTIVITY, "uS/cm", 1, false },
    { FEN_MEASURE_CONDUCTIVITY, "uS", 1, false },
    { FEN_MEASURE_CONDUCTIVITY, "\xC2\xB5S/cm", 1, false }, /* U+00B5 micro sign */
    { FEN_MEASURE_CONDUCTIVITY, "\xCE\xBCS/cm", 1, false }, /* U+03BC Greek mu */
    { FEN_MEASURE_CONDUCTIVITY, "mS/cm", 1000, false },
    { FEN_MEASURE_CONDUCTIVITY, "mS", 1000, false },
    { FEN_MEASURE_CONDUCTIVITY, "dS/m", 1000, false },
    { FEN_MEASURE_PPM, "ppm", 1, false },
    { FEN_MEASURE_PER_DEGREE, "%/C", 1, false },
    { FEN_MEASURE_PER_DEGREE, "%", 1, false },
    { FEN_MEASURE_ILLUMINANCE, "lux", 1, false },
    { FEN_MEASURE_ILLUMINANCE, "lx", 1, false },
    { FEN_MEASURE_ILLUMINANCE, "klx", 1000, false },
    { FEN_MEASURE_ILLUMINANCE, "klux", 1000, false },
    { FEN_MEASURE_ILLUMINANCE, "fc", FEN_LUX_PER_FC, true },
    { FEN_MEASURE_ILLUMINANCE, "foot-candles", FEN_LUX_PER_FC, false },
    { FEN_MEASURE_ILLUMINANCE, "foot-candle", FEN_LUX_PER_FC, false },
    { FEN_MEASURE_PRESSURE, "kPa", 1, false },
    { FEN_MEASURE_PRESSURE, "hPa", 0.1, false },
    { FEN_MEASURE_PRESSURE, "mbar", 0.1, false },
    { FEN_MEASURE_PRESSURE, "Pa", 0.001, false },
    { FEN_MEASURE_HOURS, "h", 1, false },
    { FEN_MEASURE_HOURS, "hour", 1, false },
    { FEN_MEASURE_HOURS, "hours", 1, false },
    { FEN_MEASURE_HOURS, "min", 1.0 / 60, false },
    { FEN_MEASURE_HOURS, "minutes", 1.0 / 60, false },
    { FEN_MEASURE_LATITUDE, "deg", 1, false },
    { FEN_MEASURE_LATITUDE, "N", 1, false },
    { FEN_MEASURE_LATITUDE, "S", -1, false },
    { FEN_MEASURE_LATITUDE, "\xC2\xB0N", 1, false }, /* U+00B0 degree sign */
    { FEN_MEASURE_LATITUDE, "\xC2\xB0S", -1, false },
    { FEN_MEASURE_LONGITUDE, "deg", 1, false },
    { FEN_MEASURE_LONGITUDE, "E", 1, false },
    { FEN_MEASURE_LONGITUDE, "W", -1, false },
    { FEN_MEASURE_LONGITUDE, "\xC2\xB0" "E", 1, false },
    { FEN_MEASURE_LONGITUDE, "\xC2\xB0W", -1, false },
    { FEN_MEASURE_HEIGHT, "m", 1, false },
    { FEN_MEASURE_HEIGHT, "ft", 0.3048, true },
    { FEN_MEASURE_DEGREE_DAYS, "C d", 1, false },
    { FEN_MEASURE_DEGREE_DAYS, "F d", 1 / 1.8, true },
    { FEN_MEASURE_CHILL, "h", 1, false },
    { FEN_MEASURE_CHILL, "hours", 1, false },
    { FEN_MEASURE_CHILL, "d", 24, false },
    { FEN_MEASURE_CHILL, "days", 24, false },
    { FEN_MEASURE_CHILL, "weeks", 168, false },
};
#define N_UNITS (sizeof units / sizeof *units)

const char *fen_measure_name(fen_measure m)
{
    return measures[m].name;
}

const char *fen_reckon_unit(fen_measure m)
{
    return measures[m].unit;
}

const char *fen_reckon_units(fen_measure m)
{
    return measures[m].units ? measures[m].units : fen_dim_units(measures[m].dim);
}

/* The typed text cut to what a message can hold, without a broken character. */
typedef struct quoted {
    char at[44];
} quoted;

static quoted quote(const char *text, size_t len)
{
    quoted q;
    size_t n = len < sizeof q.at - 4 ? len : sizeof q.at - 4;
    while (n < len && n > 0 && ((unsigned char)text[n] & 0xC0) == 0x80)
        n--;
    memcpy(q.at, text, n);
    memcpy(q.at + n, "...", 4);
    if (n == len)
        q.at[n] = '\0';
    return q;
}

static fen_status refuse_text(const fen_reckon_input *row, const char *text, size_t len, size_t at, fen_reckon_error *reterr)
{
    char right[160];
    snprintf(right, sizeof right, "write %s", fen_reckon_units(row->measure));
    fen_status st = fen_reckon_refuse(reterr, FEN_CODE_NUMBER, FEN_RECKON_NONE, right, "'%s' is not %s", quote(text, len).at,
                                      fen_measure_name(row->measure));
    reterr->at = at;
    return st;
}

static bool same_unit(const char *name, const char *text, size_t len)
{
    return strlen(name) == len && fen_near_distance(name, len, text, len, 1) == 0; /* ASCII case does not matter */
}

/* "14:30" after its hours. */
static bool read_minutes(const char *text, size_t len, double hours, double *ret)
{
    if (len != 3 || text[0] != ':' || hours < 0 || hours != floor(hours))
        return false;
    if (text[1] < '0' || text[1] > '5' || text[2] < '0' || text[2] > '9')
        return false;
    *ret = hours + ((text[1] - '0') * 10 + (text[2] - '0')) / 60.0;
    return true;
}

static fen_status read_own(const fen_reckon_input *row, const char *text, size_t len, double *ret, fen_reckon_error *reterr)
{
    size_t used = 0;
    double number = 0;
    if (!fen_number_read(text, len, &number, &used))
        return refuse_text(row, text, len, 0, reterr);
    if (row->measure == FEN_MEASURE_HOURS && read_minutes(text + used, len - used, number, ret))
        return FEN_OK;
    while (used < len && text[used] == ' ')
        used++;
    if (used == len) {
        *ret = number;
        return measures[row->measure].bare ? FEN_OK : refuse_text(row, text, len, used, reterr);
    }
    for (size_t i = 0; i < N_UNITS; i++) {
        if (units[i].measure != row->measure || !same_unit(units[i].name, text + used, len - used))
            continue;
        if (number < 0 && (row->measure == FEN_MEASURE_LATITUDE || row->measure == FEN_MEASURE_LONGITUDE) && strpbrk(units[i].name, "NSEW"))
            break; /* "-33 S" says it twice */
        *ret = number * units[i].factor;
        return FEN_OK;
    }
    return refuse_text(row, text, len, used, reterr);
}

static fen_status read_quantity(const fen_reckon_input *row, const char *text, size_t len, double *ret, fen_reckon_error *reterr)
{
    fen_quantity q;
    size_t bad = 0;
    if (fen_quantity_parse(text, len, measures[row->measure].dim, &q, &bad))
        return refuse_text(row, text, len, bad, reterr);
    if (q.dim == measures[row->measure].dim) {
        *ret = q.value;
        return FEN_OK;
    }
    char right[160];
    snprintf(right, sizeof right, "write %s", fen_reckon_units(row->measure));
    return fen_reckon_refuse(reterr, FEN_CODE_DIMENSION, FEN_RECKON_NONE, right, "'%s' is %s, but '%s' is %s", row->name,
                             fen_measure_name(row->measure), quote(text, len).at, fen_dim_name(q.dim));
}

/* As many of the choices as the message holds. */
static void list_choices(const char *const *choices, char *ret, size_t size)
{
    size_t used = (size_t)snprintf(ret, size, "write one of ");
    for (size_t i = 0; choices[i]; i++) {
        if (used + strlen(choices[i]) + sizeof ", ..." > size) {
            snprintf(ret + used, size - used, "...");
            return;
        }
        used += (size_t)snprintf(ret + used, size - used, "%s%s", choices[i], choices[i + 1] ? ", " : "");
    }
}

static fen_status read_choice(const fen_reckon_input *row, const char *text, size_t len, double *ret, fen_reckon_error *reterr)
{
    size_t begins = FEN_RECKON_NONE;
    size_t n_begin = 0;
    fen_near near;
    fen_near_begin(&near, text, len);
    for (size_t i = 0; row->choices[i]; i++) {
        fen_near_offer(&near, row->choices[i]);
        if (strncmp(row->choices[i], text, len))
            continue;
        begins = i;
        if (!row->choices[i][len] || !n_begin)
            n_begin = 1;
        else
            n_begin++;
        if (!row->choices[i][len])
            break;
    }
    if (len && n_begin == 1) {
        *ret = (double)begins;
        return FEN_OK;
    }
    char right[160];
    if (near.name && n_begin == 0)
        snprintf(right, sizeof right, "did you mean '%s'", near.name);
    else
        list_choices(row->choices, right, sizeof right);
    return fen_reckon_refuse(reterr, FEN_CODE_BAD_VALUE, FEN_RECKON_NONE, right, "'%s' cannot be '%s'", row->name,
                             quote(text, len).at);
}

static fen_status read_date(const fen_reckon_input *row, const char *text, size_t len, double *ret, fen_reckon_error *reterr)
{
    int32_t day = 0;
    if (!fen_date_read(text, len, &day))
        return refuse_text(row, text, len, 0, reterr);
    *ret = day;
    return FEN_OK;
}

fen_status fen_reckon_read(const fen_reckoner *r, size_t input, const char *text, size_t len, fen_reckon_value *ret, fen_reckon_error *reterr)
{
    const fen_reckon_input *row = &r->inputs[input];
    double number = (double)NAN;
    fen_status st = FEN_OK;

    while (len && text[len - 1] == ' ')
        len--;
    if (row->measure == FEN_MEASURE_CHOICE)
        st = read_choice(row, text, len, &number, reterr);
    else if (row->measure == FEN_MEASURE_DATE)
        st = read_date(row, text, len, &number, reterr);
    else if (measures[row->measure].dim != FEN_DIM_NONE)
        st = read_quantity(row, text, len, &number, reterr);
    else if (row->measure != FEN_MEASURE_PARTS && row->measure != FEN_MEASURE_LOG) /* these are read when reckoned */
        st = read_own(row, text, len, &number, reterr);
    if (st) {
        reterr->input = input;
        return st;
    }
    *ret = (fen_reckon_value){ .number = number, .text = text, .len = len, .given = true };
    return FEN_OK;
}

static size_t show_date(char buf[FEN_RECKON_TEXT], double number)
{
    char date[FEN_DATE_TEXT];
    fen_date_write(date, (int32_t)number);
    return (size_t)snprintf(buf, FEN_RECKON_TEXT, "%s", date);
}

/* Day lengths are read in hours and minutes; 0: too long for that. */
static size_t show_hours(char buf[FEN_RECKON_TEXT], double number)
{
    if (fabs(number) >= 48)
        return 0;
    const long minutes = lround(fabs(number) * 60);
    const char *sign = number < 0 && minutes ? "-" : "";
    if (minutes % 60 == 0)
        return (size_t)snprintf(buf, FEN_RECKON_TEXT, "%s%ld h", sign, minutes / 60);
    if (minutes < 60)
        return (size_t)snprintf(buf, FEN_RECKON_TEXT, "%s%ld min", sign, minutes);
    return (size_t)snprintf(buf, FEN_RECKON_TEXT, "%s%ld h %ld min", sign, minutes / 60, minutes % 60);
}

static size_t show_own(char buf[FEN_RECKON_TEXT], fen_measure m, double number, bool us)
{
    const char *unit = measures[m].unit;
    for (size_t i = 0; us && i < N_UNITS; i++) {
        if (units[i].measure != m || !units[i].us)
            continue;
        unit = units[i].name;
        number /= units[i].factor;
    }
    char digits[FEN_NUMBER_MAX];
    fen_number_show(digits, number, 4);
    return (size_t)snprintf(buf, FEN_RECKON_TEXT, "%s%s%s", digits, *unit ? " " : "", unit);
}

size_t fen_reckon_show(char buf[FEN_RECKON_TEXT], fen_measure m, const char *const *choices, double number, bool us)
{
    if (!isfinite(number))
        return (size_t)snprintf(buf, FEN_RECKON_TEXT, "unknown");
    if (m == FEN_MEASURE_CHOICE && choices)
        return (size_t)snprintf(buf, FEN_RECKON_TEXT, "%s", choices[(size_t)number]);
    if (m == FEN_MEASURE_DATE)
        return show_date(buf, number);
    if (m == FEN_MEASURE_HOURS) {
        size_t n = show_hours(buf, number);
        if (n)
            return n;
    }
    if (measures[m].dim == FEN_DIM_NONE)
        return show_own(buf, m, number, us);
    char text[FEN_QUANTITY_TEXT];
    fen_quantity q = { number, measures[m].dim };
    fen_quantity_show(text, q, us ? FEN_UNITS_US : FEN_UNITS_METRIC);
    return (size_t)snprintf(buf, FEN_RECKON_TEXT, "%s", text);
}
