#include "dims.h"

static const struct {
    const char *unit, *noun;
} dims[FEN_DIMS] = {
    [FEN_DIM_NONE] = { "", "nothing" },
    [FEN_DIM_TEMPERATURE] = { "C", "a temperature" },
    [FEN_DIM_TEMPERATURE_DIFFERENCE] = { "C", "a difference of temperatures" },
    [FEN_DIM_DISSOLVED_SOLIDS] = { "ppm", "an amount of dissolved solids" },
    [FEN_DIM_LENGTH] = { "cm", "a length" },
    [FEN_DIM_VOLUME] = { "l", "a volume" },
    [FEN_DIM_MASS] = { "g", "a mass" },
    [FEN_DIM_TIME_SPAN] = { "days", "a time span" },
    [FEN_DIM_LIGHT] = { "umol/m2/s", "a light level" },
    [FEN_DIM_DAILY_LIGHT] = { "mol/m2/d", "a daily light" },
    [FEN_DIM_PERCENT] = { "%", "a percentage" },
    [FEN_DIM_COUNT] = { "", "a plain number" },
};

const char *fen_dims_unit(fen_dim dim)
{
    return dims[dim].unit;
}

const char *fen_dims_noun(fen_dim dim)
{
    return dims[dim].noun;
}
