/* air.c -- see air.h; equation numbers are the paper's. */
#include "air.h"

#include <math.h>

double fen_air_saturation(double celsius)
{
    return 0.6108 * exp(17.27 * celsius / (celsius + 237.3));
}

double fen_air_slope(double celsius)
{
    return 4098 * fen_air_saturation(celsius) / ((celsius + 237.3) * (celsius + 237.3));
}

double fen_air_dew_point(double vapour)
{
    const double l = log(vapour);
    return (116.91 + 237.3 * l) / (16.78 - l);
}

double fen_air_pressure(double height)
{
    return 101.3 * pow((293 - 0.0065 * height) / 293, 5.26);
}

double fen_air_psychrometer(double pressure)
{
    return 0.665e-3 * pressure;
}

double fen_air_wet_bulb(double dry, double wet, double pressure, double coefficient)
{
    return fen_air_saturation(wet) - coefficient * pressure * (dry - wet);
}
