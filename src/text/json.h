/* json.h -- JSON text (RFC 8259) to the same tree of nodes that YAML gives, so that
 * a case is read by one reader. The only file that sees jansson, which decides
 * what is well-formed and decodes the texts.
 *
 * null becomes a text left out, true, false and a number the text as it was written. Names given twice, NUL, and more than FEN_DEPTH_MAX levels
 * are refused.
 */
#ifndef FEN_JSON_H
#define FEN_JSON_H

#include "source.h"
#include "util/arena.h"
#include "yaml.h"

/* Read the one value in S. Nodes and texts live in ARENA. FEN_EINPUT: a problem
 * was added. */
FEN_MUST_USE fen_status fen_json_read(const fen_source *s, fen_arena *arena, fen_problems *problems, const fen_node **ret_root);

#endif
