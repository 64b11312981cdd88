/* shape.h -- from nodes to the values that sections are made of: maps with known
 * keys, texts, lists, percentages, quantities, names. Each says what is wrong
 * where it is wrong. Texts are copied into the draft's arena.
 */
#ifndef FEN_SHAPE_H
#define FEN_SHAPE_H

#include "loader.h"

#define FEN_FIELDS_MAX 20

typedef struct fen_key {
    const char *name;
    bool required;
} fen_key;

typedef struct fen_fields { /* by index of the key table */
    const fen_node *key[FEN_FIELDS_MAX];
    const fen_node *value[FEN_FIELDS_MAX]; /* NULL: left out */
    bool clean; /* no key was unknown or missing */
} fen_fields;

/* Match the keys of MAP with KEYS. WHAT ("the finding 'crown-feel'" or "'usual'")
 * and AT are for the messages. An empty node is a map without keys. false: not a
 * map. */
bool fen_shape_fields(fen_loader *l, const fen_node *map, fen_place at, const char *what, const fen_key *keys,
                      size_t n_keys, fen_fields *ret);
/* The same for a declared item; a map with unknown or missing keys breaks it. */
bool fen_shape_item(fen_loader *l, fen_part part, fen_item *item, const fen_key *keys, size_t n_keys, fen_fields *ret);

/* Written without anything behind the colon. */
bool fen_shape_empty(const fen_node *node);
/* "a list", "a map", "a text" or "nothing" */
const char *fen_shape_found(const fen_node *node);

/* Each takes the key for its messages, and NULL as a value for "left out", which
 * gives the result a default and is no mistake. */
bool fen_shape_text(fen_loader *l, const fen_node *key, const fen_node *value, const char **ret);
/* One text or a list of them. */
bool fen_shape_texts(fen_loader *l, const fen_node *key, const fen_node *value, fen_texts *ret);
bool fen_shape_flag(fen_loader *l, const fen_node *key, const fen_node *value, bool *ret);
/* "15 %" as 0.15; from 0 to 100 %. */
bool fen_shape_share(fen_loader *l, const fen_node *key, const fen_node *value, double *ret);
/* A plain number within LO..HI. */
bool fen_shape_number(fen_loader *l, const fen_node *key, const fen_node *value, double lo, double hi, double *ret);
bool fen_shape_quantity(fen_loader *l, const fen_node *key, const fen_node *value, fen_dim dim, double *ret);
/* One of WORDS. */
bool fen_shape_word(fen_loader *l, const fen_node *key, const fen_node *value, const char *const *words, size_t n_words,
                    int *ret);
/* One name, or a list of different names, of PART. */
bool fen_shape_names(fen_loader *l, const fen_node *key, const fen_node *value, fen_part part, fen_list *ret);
bool fen_shape_one_name(fen_loader *l, const fen_node *key, const fen_node *value, fen_part part, fen_id *ret);
/* One of a list: refused if it was named since the last `l->stamp++`. */
bool fen_shape_listed_name(fen_loader *l, const fen_node *key, const fen_node *node, fen_part part, fen_id *ret);

/* The pair of KEY in a map; false if there is none. */
bool fen_shape_pair(const fen_node *map, const char *key, fen_pair *ret);
/* A copy of a node's text in the draft's arena; NULL: no memory, noted. */
const char *fen_shape_keep(fen_loader *l, const fen_node *node);

/* "none", "weeks", "days", "hours" */
extern const char *const fen_urgency_words[4];

#endif
