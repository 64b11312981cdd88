/* cause_text.h -- causes as people and our own tables write them: by id or by name, one or
 * several in a text.
 */
#ifndef FEN_CAUSE_TEXT_H
#define FEN_CAUSE_TEXT_H

#include "answer_text.h"
#include "text/source.h"
#include "text/yaml.h"
#include "util/arena.h"

/* Causes that NODE names, by id or in full by name (fen_piece_match): each item of a list is one, a text may name several, cut as several
 * answers are ("a, b and c"); a name may itself have a comma in it. What cannot be read is added
 * to PROBLEMS. The list lies in ARENA. */
FEN_MUST_USE fen_status fen_causes_read(const fen_base *base, const fen_source *src, const fen_node *node, fen_problems *problems,
                                        fen_arena *arena, fen_list *ret_causes);

#endif
