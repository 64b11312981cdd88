/* yaml.h -- YAML text to a tree of nodes with places. The only room that sees
 * libyaml.
 *
 * Scalars stay text: what `no` or `0123` means is decided by who reads the node.
 * Bounded and refused with a problem while reading: depth, aliases, tags,
 * duplicate keys of a map, keys that are not text, several documents (unless read as a stream),
 * texts over FEN_SCALAR_MAX. All nodes of a tree are in one arena.
 */
#ifndef FEN_YAML_H
#define FEN_YAML_H

#include <stdbool.h>
#include <stddef.h>

#include "source.h"

typedef enum fen_node_type { FEN_NODE_TEXT, FEN_NODE_LIST, FEN_NODE_MAP } fen_node_type;

typedef struct fen_node fen_node;
typedef struct fen_pair {
    const fen_node *key; /* FEN_NODE_TEXT */
    const fen_node *value;
} fen_pair;

struct fen_node { /* 48 bytes: a large pack has millions */
    fen_node_type type : 8;
    bool plain;      /* TEXT: written without quotes (so `unsure`, `~` may mean something) */
    uint32_t len;    /* of the text */
    uint32_t count;  /* of items or pairs */
    fen_place place; /* of the first character; width of a one-line text */
    const char *text; /* TEXT: NUL-terminated, no NUL inside */
    union {
        const fen_node *const *items; /* LIST */
        const fen_pair *pairs;        /* MAP, in the order written */
    };
};

typedef struct fen_tree fen_tree;

/* Read the one document of S. FEN_EINPUT: problems added, no tree (a syntax
 * error ends reading; duplicate keys do not). An empty text gives an empty map. */
FEN_MUST_USE fen_status fen_yaml_read(const fen_source *s, fen_problems *problems, fen_tree **ret_tree);
void fen_tree_free(fen_tree *t);

/* The same for who reads many: a tree without anything in it, and S read into it. What it held is gone, also
 * after a failure, and its memory is used again. */
FEN_MUST_USE fen_status fen_tree_new(fen_tree **ret_tree);
FEN_MUST_USE fen_status fen_tree_read(fen_tree *t, const fen_source *s, fen_problems *problems);
const fen_node *fen_tree_root(const fen_tree *t);

/* The value of KEY in a map, or NULL. */
const fen_node *fen_node_get(const fen_node *map, const char *key);

/* The place of byte OFFSET within a text node: exact for plain, quoted and block
 * texts, also over several lines; the node's start where an escape hides it. */
fen_place fen_node_place_at(const fen_source *s, const fen_node *node, size_t offset, size_t width_bytes);

#endif
