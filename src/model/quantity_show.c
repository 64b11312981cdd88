/* quantity_show.c -- quantities as growers say them, and as files keep them. */
#include <math.h>
#include <stdio.h>

#include "quantity.h"
#include "util/number.h"

/* The first row whose dimension and system fit, whose `from` (stored unit) is
 * reached, and which gives a whole number if `whole`. */
static const struct {
    fen_dim dim;
    int system; /* metric 0, us 1, both 2 */
    double from;
    bool whole;
    const char *one, *many;
} shown[] = {
    { FEN_DIM_TEMPERATURE, 0, 0, false, "C", "C" },
    { FEN_DIM_TEMPERATURE, 1, 0, false, "F", "F" },
    { FEN_DIM_TEMPERATURE_DIFFERENCE, 0, 0, false, "C", "C" },
    { FEN_DIM_TEMPERATURE_DIFFERENCE, 1, 0, false, "F", "F" },
    { FEN_DIM_DISSOLVED_SOLIDS, 2, 0, false, "ppm", "ppm" },
    { FEN_DIM_LENGTH, 0, 1000, false, "m", "m" },
    { FEN_DIM_LENGTH, 0, 10, false, "cm", "cm" },
    { FEN_DIM_LENGTH, 0, 0, false, "mm", "mm" },
    { FEN_DIM_LENGTH, 1, 914.4, false, "ft", "ft" },
    { FEN_DIM_LENGTH, 1, 0, false, "in", "in" },
    { FEN_DIM_VOLUME, 0, 1000, false, "l", "l" },
    { FEN_DIM_VOLUME, 0, 0, false, "ml", "ml" },
    { FEN_DIM_VOLUME, 1, 3785.411784, false, "gal", "gal" },
    { FEN_DIM_VOLUME, 1, 946.352946, false, "qt", "qt" },
    { FEN_DIM_VOLUME, 1, 236.5882365, false, "cup", "cups" },
    { FEN_DIM_VOLUME, 1, 0, false, "fl oz", "fl oz" },
    { FEN_DIM_MASS, 0, 1000, false, "kg", "kg" },
    { FEN_DIM_MASS, 0, 0, false, "g", "g" },
    { FEN_DIM_MASS, 1, 453.59237, false, "lb", "lb" },
    { FEN_DIM_MASS, 1, 0, false, "oz", "oz" },
    { FEN_DIM_TIME_SPAN, 2, 365.25, true, "year", "years" },
    { FEN_DIM_TIME_SPAN, 2, 30.4375, true, "month", "months" },
    { FEN_DIM_TIME_SPAN, 2, 14, true, "week", "weeks" },
    { FEN_DIM_TIME_SPAN, 2, 1, false, "day", "days" },
    { FEN_DIM_TIME_SPAN, 2, 1.0 / 24, false, "hour", "hours" },
    { FEN_DIM_TIME_SPAN, 2, 1e-12, false, "minute", "minutes" },
    { FEN_DIM_TIME_SPAN, 2, 0, false, "day", "days" },
    { FEN_DIM_LIGHT, 2, 0, false, "umol/m2/s", "umol/m2/s" },
    { FEN_DIM_DAILY_LIGHT, 2, 0, false, "mol/m2/d", "mol/m2/d" },
    { FEN_DIM_PERCENT, 2, 0, false, "%", "%" },
};

static bool is_whole(double x)
{
    return fabs(x - round(x)) < 1e-9 * fabs(x);
}

static bool fits(size_t i, fen_quantity q, fen_units in, double *ret_value)
{
    if (shown[i].dim != q.dim || (shown[i].system != 2 && shown[i].system != (in == FEN_UNITS_US)))
        return false;
    const double most = fabs(q.value) * (1 + 1e-12); /* 3 ft stored in mm is still 3 ft */
    return most >= shown[i].from && fen_quantity_in(q, shown[i].one, ret_value) &&
           (!shown[i].whole || is_whole(*ret_value));
}

/* Three figures tell a grower enough, but a whole part is never rounded away. */
static size_t put_number(char *buf, double value)
{
    int digits = 3;
    for (double limit = 1000; digits < 15 && fabs(value) >= limit - 0.5; limit *= 10)
        digits++;
    return fen_number_show(buf, value, digits);
}

static size_t put_unit(char *buf, size_t n, const char *name)
{
    return n + (size_t)snprintf(buf + n, FEN_QUANTITY_TEXT - n, "%s%s", *name ? " " : "", name);
}

size_t fen_quantity_show(char buf[FEN_QUANTITY_TEXT], fen_quantity q, fen_units in)
{
    for (size_t i = 0; i < sizeof shown / sizeof *shown; i++) {
        double value;
        if (!fits(i, q, in, &value))
            continue;
        const size_t n = put_number(buf, value);
        const bool one = n == 1 && buf[0] == '1';
        return put_unit(buf, n, one ? shown[i].one : shown[i].many);
    }
    return put_unit(buf, put_number(buf, q.value), ""); /* a count */
}

size_t fen_quantity_write(char buf[FEN_QUANTITY_TEXT], fen_quantity q)
{
    return put_unit(buf, fen_number_write(buf, q.value), fen_quantity_unit(q.dim, FEN_UNITS_METRIC));
}
