/* air.h -- water vapour in air, after FAO Irrigation and Drainage Paper 56.
 *
 * Temperatures in C, pressures in kPa, humidity in percent, heights in m.
 */
#ifndef FEN_AIR_H
#define FEN_AIR_H

double fen_air_saturation(double celsius);        /* eq. 11 */
double fen_air_slope(double celsius);             /* eq. 13, kPa for each C */
double fen_air_dew_point(double vapour);          /* inverse of eq. 14 as the paper rounds it; VAPOUR > 0 */
double fen_air_pressure(double height);           /* eq. 7 */
double fen_air_psychrometer(double pressure);     /* eq. 8, kPa for each C */
double fen_air_wet_bulb(double dry, double wet, double pressure, double coefficient); /* eq. 15: vapour pressure */

#endif
