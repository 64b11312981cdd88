/* sun.c -- see sun.h.
 *
 * A single sine for the declination (the paper's equation 24) is up to a quarter
 * of an hour off in spring and autumn at 60 degrees, so dates use the low-precision
 * position of the Astronomical Almanac (0.01 degree from 1950 to 2050), taken at
 * rise and at set separately: both declination and clock drift between them.
 */
#include "sun.h"

#include <math.h>

#include "util/date.h"

#define PI 3.14159265358979323846
#define RAD (PI / 180)
#define J2000_DAY 10957 /* 2000-01-01 as days since 1970-01-01; the epoch is its noon */

int fen_sun_day_of_year(int32_t date)
{
    int year;
    int month;
    int day;
    fen_date_parts(date, &year, &month, &day);
    return (int)(date - fen_date_day(year, 1, 1)) + 1;
}

double fen_sun_declination(int day_of_year)
{
    return 0.409 * sin(2 * PI / 365 * day_of_year - 1.39);
}

double fen_sun_distance(int day_of_year)
{
    return 1 + 0.033 * cos(2 * PI / 365 * day_of_year);
}

/* Polar night and polar day are what an arc cosine cannot say. */
static double clamped_acos(double x)
{
    return acos(x < -1 ? -1 : x > 1 ? 1 : x);
}

double fen_sun_set_angle(double latitude, double declination)
{
    return clamped_acos(-tan(latitude) * tan(declination));
}

double fen_sun_radiation(double latitude, int day_of_year)
{
    const double d = fen_sun_declination(day_of_year);
    const double w = fen_sun_set_angle(latitude, d);
    const double sum = w * sin(latitude) * sin(d) + cos(latitude) * cos(d) * sin(w);
    return fmax(24 * 60 / PI * 0.0820 * fen_sun_distance(day_of_year) * sum, 0);
}

double fen_sun_hours(double set_angle)
{
    return 24 / PI * set_angle;
}

/* Declination, and equation of time in hours, N days after 2000-01-01 noon. */
static void place_sun(double n, double *ret_declination, double *ret_equation)
{
    const double mean = fmod(280.460 + 0.9856474 * n, 360) * RAD;
    const double anomaly = fmod(357.528 + 0.9856003 * n, 360) * RAD;
    const double longitude = mean + (1.915 * sin(anomaly) + 0.020 * sin(2 * anomaly)) * RAD;
    const double tilt = (23.439 - 0.0000004 * n) * RAD;
    const double ascension = atan2(cos(tilt) * sin(longitude), cos(longitude));
    *ret_declination = asin(sin(tilt) * sin(longitude));
    *ret_equation = remainder(mean - ascension, 2 * PI) * 12 / PI;
}

/* Hours from the mean noon of the place, N days after 2000-01-01 noon, to the passing
 * of ZENITH on SIDE (-1 morning, +1 evening); *ret_angle the sun's hour angle there. */
static double passing(double latitude, double n, double zenith, double side, double *ret_angle)
{
    double hours = 6 * side;
    for (int i = 0; i < 8; i++) { /* each round gains two digits; four would do */
        double declination;
        double equation;
        place_sun(n + hours / 24, &declination, &equation);
        *ret_angle = clamped_acos((cos(zenith) - sin(latitude) * sin(declination)) / (cos(latitude) * cos(declination)));
        hours = side * *ret_angle * 12 / PI - equation;
    }
    return hours;
}

double fen_sun_day_length(double latitude_degrees, double longitude_degrees, int32_t date, double zenith_degrees)
{
    /* at the very pole the cosine is 0 and the quotient has no sign to trust */
    const double latitude = fmin(fmax(latitude_degrees, -89.999), 89.999) * RAD;
    const double noon = date - J2000_DAY - longitude_degrees / 360;
    double morning;
    double evening;
    const double rise = passing(latitude, noon, zenith_degrees * RAD, -1, &morning);
    const double set = passing(latitude, noon, zenith_degrees * RAD, 1, &evening);
    if (morning <= 0 && evening <= 0)
        return 0;
    if (morning >= PI && evening >= PI)
        return 24;
    return fmin(fmax(set - rise, 0), 24);
}
