/* quantity.c -- the one table of units, and the words around numbers.
 *
 * A factor is kept as a quotient of two numbers that doubles hold exactly, so
 * that 212 F is 100 C and 6 in is 152.4 mm to the last bit. Definitions: the inch
 * is 25.4 mm, the pound 453.59237 g, the US gallon 231 cubic inches (NIST SP 811,
 * appendix B); the scales of dissolved solids are makers' conventions.
 */
#include "quantity.h"

#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include "light.h"
#include "util/number.h"

enum {
    FRACTION = 1, /* "1 1/2 in" */
    SCALE = 2,    /* a ppm scale may follow */
    SOURCE = 4    /* a light source must follow */
};

/* stored = (typed + add) * mul / div. The first name is the one shown. Names are in
 * small letters and folded ASCII (see fold); a blank stands for blanks. */
typedef struct unit {
    const char *names;
    fen_dim dim;
    double add, mul, div;
    unsigned flags;
} unit;

static const unit units[] = {
    { "c|deg c|degc|celsius|degrees c|degrees celsius|degree celsius", FEN_DIM_TEMPERATURE, 0, 1, 1, 0 },
    { "f|deg f|degf|fahrenheit|degrees f|degrees fahrenheit|degree fahrenheit", FEN_DIM_TEMPERATURE, -32, 5, 9, 0 },
    { "k|kelvin", FEN_DIM_TEMPERATURE, -273.15, 1, 1, 0 },

    { "ppm", FEN_DIM_DISSOLVED_SOLIDS, 0, 1, 1, SCALE },
    { "us/cm|us|microsiemens|microsiemens/cm", FEN_DIM_DISSOLVED_SOLIDS, 0, 1, 2, 0 },
    { "ms/cm|ms|millisiemens|millisiemens/cm|ds/m", FEN_DIM_DISSOLVED_SOLIDS, 0, 500, 1, 0 },

    { "mm|millimetre|millimetres|millimeter|millimeters", FEN_DIM_LENGTH, 0, 1, 1, 0 },
    { "cm|centimetre|centimetres|centimeter|centimeters", FEN_DIM_LENGTH, 0, 10, 1, 0 },
    { "m|metre|metres|meter|meters", FEN_DIM_LENGTH, 0, 1000, 1, 0 },
    { "in|inch|inches|\"", FEN_DIM_LENGTH, 0, 254, 10, FRACTION },
    { "ft|foot|feet|'", FEN_DIM_LENGTH, 0, 3048, 10, FRACTION },

    { "ml|millilitre|millilitres|milliliter|milliliters|cc|cm3", FEN_DIM_VOLUME, 0, 1, 1, 0 },
    { "cl|centilitre|centilitres|centiliter|centiliters", FEN_DIM_VOLUME, 0, 10, 1, 0 },
    { "l|litre|litres|liter|liters", FEN_DIM_VOLUME, 0, 1000, 1, 0 },
    { "tsp|teaspoon|teaspoons", FEN_DIM_VOLUME, 0, 492892159375, 1e11, FRACTION },
    { "tbsp|tablespoon|tablespoons", FEN_DIM_VOLUME, 0, 1478676478125, 1e11, FRACTION },
    { "fl oz|floz|fluid ounce|fluid ounces", FEN_DIM_VOLUME, 0, 295735295625, 1e10, FRACTION },
    { "cup|cups", FEN_DIM_VOLUME, 0, 2365882365, 1e7, FRACTION },
    { "pt|pint|pints", FEN_DIM_VOLUME, 0, 473176473, 1e6, FRACTION },
    { "qt|quart|quarts", FEN_DIM_VOLUME, 0, 946352946, 1e6, FRACTION },
    { "gal|gallon|gallons", FEN_DIM_VOLUME, 0, 3785411784, 1e6, FRACTION },

    { "mg|milligram|milligrams", FEN_DIM_MASS, 0, 1, 1000, 0 },
    { "g|gram|grams|gramme|grammes", FEN_DIM_MASS, 0, 1, 1, 0 },
    { "kg|kilogram|kilograms|kilo|kilos", FEN_DIM_MASS, 0, 1000, 1, 0 },
    { "oz|ounce|ounces", FEN_DIM_MASS, 0, 28349523125, 1e9, FRACTION },
    { "lb|lbs|pound|pounds", FEN_DIM_MASS, 0, 45359237, 1e5, FRACTION },

    { "s|sec|secs|second|seconds", FEN_DIM_TIME_SPAN, 0, 1, 86400, 0 },
    { "min|mins|minute|minutes", FEN_DIM_TIME_SPAN, 0, 1, 1440, 0 },
    { "h|hr|hrs|hour|hours", FEN_DIM_TIME_SPAN, 0, 1, 24, FRACTION },
    { "d|day|days", FEN_DIM_TIME_SPAN, 0, 1, 1, FRACTION },
    { "wk|wks|week|weeks", FEN_DIM_TIME_SPAN, 0, 7, 1, FRACTION },
    { "mo|month|months", FEN_DIM_TIME_SPAN, 0, 30.4375, 1, FRACTION },
    { "yr|yrs|year|years", FEN_DIM_TIME_SPAN, 0, 365.25, 1, FRACTION },

    { "umol/m2/s|umol m-2 s-1|umol/m^2/s|umol/(m2 s)|umol|ppfd", FEN_DIM_LIGHT, 0, 1, 1, 0 },
    { "lux|lx", FEN_DIM_LIGHT, 0, 1, 1, SOURCE },
    { "klux|klx", FEN_DIM_LIGHT, 0, 1000, 1, SOURCE },
    { "fc|foot-candle|foot-candles|foot candle|foot candles|footcandle|footcandles|ft-c", FEN_DIM_LIGHT, 0, 1e8,
      9290304, SOURCE }, /* one lumen on 0.3048 m squared */

    { "mol/m2/d|mol/m2/day|mol m-2 d-1|mol/m^2/d|mol/m^2/day|mol/(m2 d)|mol", FEN_DIM_DAILY_LIGHT, 0, 1, 1, 0 },
    { "%|percent|per cent|pct", FEN_DIM_PERCENT, 0, 1, 1, 0 },
    { "pieces|piece|pcs", FEN_DIM_COUNT, 0, 1, 1, 0 },
};
#define N_UNITS (sizeof units / sizeof *units)

/* ppm = scale * uS/cm; stored is the scale of 0.5 (NaCl). 0.64 is the one of irrigation
 * papers (up to 5 dS/m), 0.7 that of the "442" mixture. */
static const struct {
    const char *name;
    double mul, div;
} scales[] = { { "500", 1, 1 }, { "640", 50, 64 }, { "700", 5, 7 } };

static const struct {
    const char *name, *units;      /* as packs write it; as messages list them */
    const char *stored, *us;       /* what a bare number is meant in */
} dims[FEN_DIMS] = {
    [FEN_DIM_NONE] = { "no dimension", "", "", "" },
    [FEN_DIM_TEMPERATURE] = { "temperature", "C, F, K", "C", "F" },
    [FEN_DIM_TEMPERATURE_DIFFERENCE] = { "temperature difference", "C, F, K", "C", "F" },
    [FEN_DIM_DISSOLVED_SOLIDS] = { "dissolved solids", "ppm, ppm 640, ppm 700, uS/cm, mS/cm", "ppm", "ppm" },
    [FEN_DIM_LENGTH] = { "length", "mm, cm, m, in, ft", "mm", "in" },
    [FEN_DIM_VOLUME] = { "volume", "ml, l, fl oz, cup, pt, qt, gal", "ml", "fl oz" },
    [FEN_DIM_MASS] = { "mass", "g, kg, oz, lb", "g", "oz" },
    [FEN_DIM_TIME_SPAN] = { "time span", "minutes, hours, days, weeks, months, years", "days", "days" },
    [FEN_DIM_LIGHT] = { "light", "umol/m2/s, lux and fc with their source ('20000 lux sun')", "umol/m2/s", "umol/m2/s" },
    [FEN_DIM_DAILY_LIGHT] = { "daily light", "mol/m2/d", "mol/m2/d", "mol/m2/d" },
    [FEN_DIM_PERCENT] = { "percent", "%", "%", "%" },
    [FEN_DIM_COUNT] = { "count", "a number alone, or pieces", "", "" },
};

const char *fen_dim_name(fen_dim dim)
{
    return dims[dim < FEN_DIMS ? dim : FEN_DIM_NONE].name;
}

const char *fen_dim_units(fen_dim dim)
{
    return dims[dim < FEN_DIMS ? dim : FEN_DIM_NONE].units;
}

const char *fen_quantity_unit(fen_dim dim, fen_units in)
{
    const fen_dim d = dim < FEN_DIMS ? dim : FEN_DIM_NONE;
    return in == FEN_UNITS_US ? dims[d].us : dims[d].stored;
}

bool fen_dim_find(const char *name, size_t len, fen_dim *ret_dim)
{
    for (fen_dim d = FEN_DIM_NONE + 1; d < FEN_DIMS; d++) {
        if (strlen(dims[d].name) == len && memcmp(dims[d].name, name, len) == 0) {
            *ret_dim = d;
            return true;
        }
    }
    return false;
}

/* ---- reading ---- */

typedef struct input {
    const char *text;
    size_t len;
} input;

/* How people write the same letter. A fold of "" is passed over (the degree sign). */
static const struct {
    const char *utf8;
    char ascii[2];
} folds[] = {
    { "\xC2\xB5", "u" },     { "\xCE\xBC", "u" },     { "\xC2\xB0", "" },      { "\xC2\xBA", "" },
    { "\xC2\xB2", "2" },     { "\xC2\xB3", "3" },     { "\xC2\xB9", "1" },     { "\xE2\x81\xBB", "-" },
    { "\xC2\xB7", " " },     { "\xE2\x8B\x85", " " }, { "\xC2\xA0", " " },     { "\xE2\x80\xAF", " " },
    { "\xE2\x84\x83", "c" }, { "\xE2\x84\x89", "f" }, { "\xE2\x80\xB2", "'" }, { "\xE2\x80\xB3", "\"" },
    { "\xE2\x80\x99", "'" }, { "\xE2\x80\x9D", "\"" },
};

/* The character at I as a small ASCII letter; *ret_step its bytes, which are 0 at
 * the end of IN. '\0' for what is passed over, '?' for what no unit has in it. */
static char fold(input in, size_t i, size_t *ret_step)
{
    *ret_step = i < in.len;
    if (i >= in.len)
        return '?';
    const char c = in.text[i];
    if (c >= 'A' && c <= 'Z')
        return (char)(c - 'A' + 'a');
    if (c == '\t')
        return ' ';
    if ((unsigned char)c < 0x80)
        return c ? c : '?';
    for (size_t k = 0; k < sizeof folds / sizeof *folds; k++) {
        const size_t n = strlen(folds[k].utf8);
        if (in.len - i >= n && memcmp(in.text + i, folds[k].utf8, n) == 0) {
            *ret_step = n;
            return folds[k].ascii[0];
        }
    }
    return '?';
}

static size_t skip_blanks(input in, size_t i)
{
    size_t step;
    while (fold(in, i, &step) == ' ' && step)
        i += step;
    return i;
}

static bool is_word(char c)
{
    return (c >= 'a' && c <= 'z') || (c >= '0' && c <= '9') || c == '_' || c == '^';
}

/* May a unit or a name end before I? Not inside a word, nor in "in-between"; of what
 * is not ASCII, only general punctuation (U+2000 and up) parts words. */
static bool at_boundary(input in, size_t i)
{
    size_t step, next;
    const char c = fold(in, i, &step);
    if (!step)
        return true;
    if (c == '-')
        return !is_word(fold(in, i + step, &next)) || !next;
    if ((unsigned char)in.text[i] >= 0x80)
        return (unsigned char)in.text[i] == 0xE2 || c == ' ';
    return !is_word(c);
}

/* Bytes of IN from I that are NAME (of NAME_LEN), or 0. */
static size_t match(input in, size_t i, const char *name, size_t name_len)
{
    const size_t start = i;
    size_t k = 0, step;
    while (k < name_len) {
        const char c = fold(in, i, &step);
        if (!step)
            return 0;
        if (c == '\0') {
            i += step;
        } else if (name[k] == ' ' && c == ' ') {
            i = skip_blanks(in, i);
            k++;
        } else if (c == name[k]) {
            i += step;
            k++;
        } else {
            return 0;
        }
    }
    const bool symbol = !is_word(name[name_len - 1]); /* 40%, 6" need nothing behind them */
    return symbol || at_boundary(in, i) ? i - start : 0;
}

/* Longest match of any of the unit's names. FIRST: what IN has at I; most names are
 * passed over by it alone ('\0' is something that does not count: then all are tried). */
static size_t match_unit(input in, size_t i, const unit *u, char first)
{
    size_t best = 0;
    for (const char *name = u->names; name;) {
        const char *end = strchr(name, '|');
        if (*name && (*name == first || !first)) {
            const size_t took = match(in, i, name, end ? (size_t)(end - name) : strlen(name));
            if (took > best)
                best = took;
        }
        name = end ? end + 1 : NULL;
    }
    return best;
}

/* Is the rest from I just one of these NAMES, in letters of either case? */
static bool is_all_that_is_left(input in, size_t i, const char *names)
{
    const char *rest = in.text + i;
    const size_t len = in.len - i;
    while (names) {
        size_t k = 0;
        while (k < len && names[k] && names[k] != '|' && names[k] == (rest[k] >= 'A' && rest[k] <= 'Z' ? rest[k] - 'A' + 'a' : rest[k]))
            k++;
        if (k == len && (names[k] == '|' || !names[k]))
            return len > 0;
        names = strchr(names + k, '|');
        if (names)
            names++;
    }
    return false;
}

/* The unit with the longest name at I. Units of dimension HINT are tried first: where
 * one of them takes all that is left, no other can take more. */
static const unit *longest_unit(input in, size_t i, fen_dim hint, char first, size_t *ret_len)
{
    const unit *found = NULL;
    size_t best = 0;
    for (size_t k = 0; k < N_UNITS; k++) /* nearly always, and told at a glance */
        if (units[k].dim == hint && is_all_that_is_left(in, i, units[k].names)) {
            *ret_len = in.len - i;
            return &units[k];
        }
    for (int others = 0; others < 2 && i + best < in.len; others++)
        for (size_t k = 0; k < N_UNITS; k++) {
            if ((units[k].dim != hint) != others || (first && !strchr(units[k].names, first)))
                continue;
            const size_t took = match_unit(in, i, &units[k], first);
            if (took > best) {
                best = took;
                found = &units[k];
            }
        }
    *ret_len = best;
    return found;
}

static const unit *find_unit(input in, size_t i, fen_dim hint, size_t *ret_end)
{
    size_t len, step;
    const char first = fold(in, i, &step);
    const unit *found = longest_unit(in, i, hint == FEN_DIM_TEMPERATURE_DIFFERENCE ? FEN_DIM_TEMPERATURE : hint, first, &len);
    if (!found)
        return NULL;
    size_t end = i + len;
    /* "6 in." is how it is written; a point before a digit is another matter */
    if (end < in.len && in.text[end] == '.' && at_boundary(in, end + 1))
        end++;
    *ret_end = end;
    return found;
}

/* "ppm 700", "ppm640". */
static void take_scale(input in, size_t *end, double *factor)
{
    const size_t i = skip_blanks(in, *end);
    for (size_t k = 0; k < sizeof scales / sizeof *scales; k++) {
        const size_t took = match(in, i, scales[k].name, 3);
        if (took) {
            *factor = *factor * scales[k].mul / scales[k].div;
            *end = i + took;
            return;
        }
    }
}

/* "ppm640" has no boundary behind its letters, so it is looked for by itself. */
static const unit *find_joined_scale(input in, size_t i, size_t *ret_end)
{
    for (size_t k = 0; k < sizeof scales / sizeof *scales; k++) {
        char joined[8];
        const int n = snprintf(joined, sizeof joined, "ppm%s", scales[k].name);
        if (match(in, i, joined, (size_t)n)) {
            *ret_end = i + 3;
            for (size_t u = 0; u < N_UNITS; u++)
                if (units[u].flags & SCALE)
                    return &units[u];
        }
    }
    return NULL;
}

/* The light source at I, of up to three words; growers say "white LED". */
static const fen_light_source *find_source(input in, size_t i, size_t *ret_end)
{
    const fen_light_source *found = NULL;
    char name[32];
    size_t n = 0, step;
    while (n < sizeof name - 1) {
        const char c = fold(in, i, &step);
        if (!step || !(is_word(c) || c == '-' || c == ' '))
            break;
        i += step;
        name[n++] = c == ' ' ? '-' : c;
        if (!at_boundary(in, i))
            continue;
        const bool sunlight = n == 8 && memcmp(name, "sunlight", 8) == 0;
        const fen_light_source *here = sunlight ? fen_light_source_find("sun", 3) : fen_light_source_find(name, n);
        if (here) {
            found = here;
            *ret_end = i;
        }
    }
    return found;
}

/* A unit with all that belongs to it, as one conversion. */
typedef struct conversion {
    fen_dim dim;
    unsigned flags;
    double add, mul, div;
} conversion;

static fen_status read_unit(input in, size_t i, fen_dim hint, conversion *ret, size_t *ret_end, size_t *reterr_bad)
{
    size_t end;
    const unit *u = find_unit(in, i, hint, &end);
    if (!u)
        u = find_joined_scale(in, i, &end);
    if (!u) {
        *reterr_bad = i;
        return FEN_EINPUT;
    }
    *ret = (conversion){ u->dim, u->flags, u->add, u->mul, u->div };
    if (u->flags & SCALE)
        take_scale(in, &end, &ret->mul);
    if (u->flags & SOURCE) {
        const size_t at = skip_blanks(in, end);
        const fen_light_source *source = find_source(in, at, &end);
        if (!source || !isfinite(source->lux)) {
            *reterr_bad = at;
            return FEN_EINPUT;
        }
        ret->div *= source->lux;
    }
    if (u->dim == FEN_DIM_TEMPERATURE && hint == FEN_DIM_TEMPERATURE_DIFFERENCE) {
        ret->dim = hint;
        ret->add = 0; /* a difference has no zero point */
    }
    *ret_end = end;
    return FEN_OK;
}

static bool is_digit(char c)
{
    return c >= '0' && c <= '9';
}

static size_t read_whole(input in, size_t i, double *ret)
{
    double value = 0;
    size_t n = 0;
    for (; i + n < in.len && is_digit(in.text[i + n]) && n < 6; n++)
        value = value * 10 + (in.text[i + n] - '0');
    *ret = value;
    return n;
}

static size_t read_vulgar(input in, size_t i, double *ret)
{
    static const struct {
        const char *utf8;
        double value;
    } vulgar[] = {
        { "\xC2\xBC", 0.25 },        { "\xC2\xBD", 0.5 },          { "\xC2\xBE", 0.75 },
        { "\xE2\x85\x93", 1.0 / 3 }, { "\xE2\x85\x94", 2.0 / 3 },  { "\xE2\x85\x9B", 0.125 },
        { "\xE2\x85\x9C", 0.375 },   { "\xE2\x85\x9D", 0.625 },    { "\xE2\x85\x9E", 0.875 },
    };
    const bool plain = i < in.len && (unsigned char)in.text[i] < 0x80;
    for (size_t k = 0; !plain && k < sizeof vulgar / sizeof *vulgar; k++) {
        const size_t n = strlen(vulgar[k].utf8);
        if (in.len >= i + n && memcmp(in.text + i, vulgar[k].utf8, n) == 0) {
            *ret = vulgar[k].value;
            return n;
        }
    }
    return 0;
}

/* "1/2" or one character of that meaning; bytes, or 0. */
static size_t read_part(input in, size_t i, double *ret)
{
    double over, under;
    const size_t n = read_vulgar(in, i, ret);
    if (n)
        return n;
    const size_t a = read_whole(in, i, &over);
    if (!a || i + a >= in.len || in.text[i + a] != '/')
        return 0;
    const size_t b = read_whole(in, i + a + 1, &under);
    if (!b || under == 0)
        return 0;
    *ret = over / under;
    return a + 1 + b;
}

/* "1 1/2", "3/4", "1½"; bytes, or 0 if there is no fraction. */
static size_t read_fraction(input in, size_t i, double *ret)
{
    double whole = 0, part;
    size_t at = i, n = read_part(in, at, &part);
    if (!n) {
        at += read_whole(in, i, &whole);
        if (at == i)
            return 0;
        const size_t next = skip_blanks(in, at);
        n = read_part(in, next, &part);
        if (!n || (next == at && is_digit(in.text[at])))
            return 0;
        at = next;
    }
    *ret = whole + part;
    return at + n - i;
}

/* An optional sign, also the one of typographers (U+2212). */
static size_t read_sign(input in, size_t i, bool *ret_negative)
{
    *ret_negative = false;
    if (i < in.len && (in.text[i] == '-' || in.text[i] == '+')) {
        *ret_negative = in.text[i] == '-';
        return 1;
    }
    if (in.len >= i + 3 && memcmp(in.text + i, "\xE2\x88\x92", 3) == 0) {
        *ret_negative = true;
        return 3;
    }
    return 0;
}

#define ABSOLUTE_ZERO (-273.15)

static bool convert(const conversion *c, double typed, double *ret)
{
    double value = (typed + c->add) * c->mul / c->div;
    if (c->dim == FEN_DIM_TEMPERATURE && value < ABSOLUTE_ZERO) {
        if (value < ABSOLUTE_ZERO - 1e-9)
            return false;
        value = ABSOLUTE_ZERO; /* -459.67 F is, but for the last bit */
    }
    *ret = value == 0 ? 0 : value; /* no -0 */
    return isfinite(value);
}

static fen_status fail(size_t *reterr_bad, size_t at)
{
    *reterr_bad = at;
    return FEN_EINPUT;
}

static fen_status finish(const conversion *c, double typed, size_t start, size_t end, fen_quantity *ret,
                         size_t *ret_end, size_t *reterr_bad)
{
    double value;
    if (!convert(c, typed, &value))
        return fail(reterr_bad, start);
    *ret = (fen_quantity){ .value = value, .dim = c->dim };
    *ret_end = end;
    return FEN_OK;
}

static fen_status read_quantity(input in, fen_dim hint, fen_quantity *ret, size_t *ret_end, size_t *reterr_bad)
{
    conversion c;
    bool negative;
    double typed;
    size_t n, end, bad;
    const size_t start = skip_blanks(in, 0);
    const size_t number = start + read_sign(in, start, &negative);
    n = read_fraction(in, number, &typed);
    if (n && read_unit(in, skip_blanks(in, number + n), hint, &c, &end, &bad) == FEN_OK && (c.flags & FRACTION))
        return finish(&c, negative ? -typed : typed, start, end, ret, ret_end, reterr_bad);
    if (number < in.len && (in.text[number] == '-' || in.text[number] == '+'))
        return fail(reterr_bad, number); /* one sign is enough */
    if (!fen_number_read(in.text + number, in.len - number, &typed, &n))
        return fail(reterr_bad, number);
    end = number + n;
    const size_t at = skip_blanks(in, end);
    if (read_unit(in, at, hint, &c, &end, &bad) == FEN_OK)
        return finish(&c, negative ? -typed : typed, start, end, ret, ret_end, reterr_bad);
    if (hint != FEN_DIM_COUNT || !at_boundary(in, number + n))
        return fail(reterr_bad, at == in.len ? number + n : bad);
    c = (conversion){ .dim = FEN_DIM_COUNT, .mul = 1, .div = 1 };
    return finish(&c, negative ? -typed : typed, start, number + n, ret, ret_end, reterr_bad);
}

fen_status fen_quantity_scan(const char *text, size_t len, fen_dim hint, fen_quantity *ret, size_t *ret_len)
{
    size_t bad;
    return read_quantity((input){ text, len }, hint, ret, ret_len, &bad);
}

fen_status fen_quantity_parse(const char *text, size_t len, fen_dim hint, fen_quantity *ret, size_t *reterr_bad)
{
    fen_quantity q;
    size_t end;
    const input in = { text, len };
    const fen_status st = read_quantity(in, hint, &q, &end, reterr_bad);
    if (st)
        return st;
    end = skip_blanks(in, end);
    if (end < len)
        return fail(reterr_bad, end);
    *ret = q;
    return FEN_OK;
}

bool fen_quantity_in(fen_quantity q, const char *unit_name, double *ret_value)
{
    conversion c;
    size_t end, bad;
    const input in = { unit_name, strlen(unit_name) };
    if (read_unit(in, 0, q.dim, &c, &end, &bad) || end != in.len || c.dim != q.dim)
        return false;
    *ret_value = q.value * c.div / c.mul - c.add;
    return true;
}

double fen_conductivity_25(double us_cm, double celsius, double per_degree)
{
    return us_cm / (1 + per_degree * (celsius - 25));
}
