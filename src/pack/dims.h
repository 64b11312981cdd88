/* dims.h -- dimensions in the words of messages. */
#ifndef FEN_DIMS_H
#define FEN_DIMS_H

#include "fenmend/base.h"

/* The unit an author would write first: "ppm", "days"; "" for a count. */
const char *fen_dims_unit(fen_dim dim);
/* "a temperature", "a time span", "a plain number" */
const char *fen_dims_noun(fen_dim dim);

#endif
