/* yaml_make.h -- a tree of nodes put together piece by piece, in the order in which it is
 * written. Private to yaml.c, which has the pieces of libyaml's events.
 *
 * One arena holds nodes and texts. The children of all open lists and maps wait on
 * one stack and are copied when theirs closes. A problem is told where it is met,
 * noted in `refused`, and making goes on.
 */
#ifndef FEN_YAML_MAKE_H
#define FEN_YAML_MAKE_H

#include "util/arena.h"
#include "util/limits.h"
#include "util/vec.h"
#include "yaml.h"

typedef struct fen_yaml_frame {
    fen_node *node;
    uint32_t first; /* of its children on the stack */
} fen_yaml_frame;

typedef struct fen_yaml_key {
    const fen_node *key;
    uint32_t nth;
} fen_yaml_key;

typedef struct fen_yaml_maker {
    const fen_source *source;
    fen_problems *problems;
    fen_arena *arena;
    FEN_VEC(const fen_node *) waiting;
    FEN_VEC(fen_yaml_key) keys; /* scratch of the search for double keys */
    fen_yaml_frame frames[FEN_DEPTH_MAX];
    uint32_t depth;
    const fen_node *root;
    bool refused; /* a problem that making went on after */
} fen_yaml_maker;

/* Begin with the text of S; the memory of what was made before is used again. */
void fen_yaml_begin(fen_yaml_maker *m, const fen_source *s, fen_problems *problems);

/* What is added or opened is the next item of the list, or key or value of the map, now open.
 * At most FEN_DEPTH_MAX may be open. */
FEN_MUST_USE fen_status fen_yaml_add(fen_yaml_maker *m, fen_place place, const char *text, size_t len, bool plain);
FEN_MUST_USE fen_status fen_yaml_open(fen_yaml_maker *m, fen_place place, fen_node_type type);
FEN_MUST_USE fen_status fen_yaml_close(fen_yaml_maker *m);

/* Is it a key of a map that comes next? */
bool fen_yaml_wants_key(const fen_yaml_maker *m);
void fen_yaml_refuse(fen_yaml_maker *m, fen_code code, fen_place place, const char *right, const char *wrong);

#endif
