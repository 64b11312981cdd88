/* light.h -- how many lux one umol/m2/s is, for each light a grower may stand under.
 *
 * Lux weighs light by the human eye, PPFD counts the photons a leaf can use,
 * so the factor belongs to a lamp's spectrum and there is none for "light".
 * One table for all that reads lux or foot-candles; each row says how far a lamp
 * of that name may be from the factor.
 */
#ifndef FEN_LIGHT_H
#define FEN_LIGHT_H

#include <stddef.h>

/* One foot-candle is one lumen on a square foot of exactly 0.3048 m squared. */
#define FEN_LUX_PER_FC (1.0 / (0.3048 * 0.3048))

typedef struct fen_light_source {
    const char *name;  /* "sun", "white-led" */
    const char *about;
    double lux;        /* lux for one umol/m2/s; NaN: a lux meter cannot tell */
    double off;        /* percent that a lamp of this name may differ */
    const char *origin;
} fen_light_source;

size_t fen_light_sources(void);
const fen_light_source *fen_light_source_at(size_t i);
/* NULL if there is none of this name. */
const fen_light_source *fen_light_source_find(const char *name, size_t len);
/* The names in the order of the table, NULL at the end: for choices and messages. */
extern const char *const fen_light_names[];

#endif
