/* sun.h -- where the sun stands and how long it shines.
 *
 * Angles in radians unless a name says degrees; latitude north positive; hours of
 * the clock. Two sets: the short forms of FAO Irrigation and Drainage Paper 56,
 * which crop models use, and almanac-grade ones for a date.
 */
#ifndef FEN_SUN_H
#define FEN_SUN_H

#include <stdint.h>

#define FEN_SUN_RISE_ZENITH 90.83333333333333 /* degrees: upper limb, 34' refraction, 16' radius */

int fen_sun_day_of_year(int32_t date); /* 1 to 366 */

/* FAO-56, equations 24, 23, 25 (with the sun's zenith at the horizon), 21, 34. */
double fen_sun_declination(int day_of_year);
double fen_sun_distance(int day_of_year); /* inverse relative */
double fen_sun_set_angle(double latitude, double declination);
double fen_sun_radiation(double latitude, int day_of_year); /* MJ/m2/d outside the air */
double fen_sun_hours(double set_angle);

/* Hours between the sun's passing ZENITH degrees in the morning and the evening of
 * DATE; 0 or 24 when it does not. Longitude, east positive, tells how far into the
 * UTC day the local one lies; leaving it out costs under a minute at 40 degrees. */
double fen_sun_day_length(double latitude_degrees, double longitude_degrees, int32_t date, double zenith_degrees);

#endif
