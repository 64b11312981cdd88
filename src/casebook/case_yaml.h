/* case_yaml.h -- one case out of a tree of YAML that is already read.
 *
 * fen_case_load (case.h) reads a whole file; a batch reads many documents of one
 * and calls this for each. All problems of a case are added in one go; a name
 * that is not known gives one message, however much hangs on it.
 */
#ifndef FEN_CASE_YAML_H
#define FEN_CASE_YAML_H

#include "fenmend/case.h"
#include "text/source.h"
#include "text/yaml.h"
#include "util/arena.h"

/* STEM names a case that gives no name of its own. FEN_EINPUT: problems were added. */
FEN_MUST_USE fen_status fen_case_read(const fen_base *base, const fen_source *src, const fen_node *root,
                                      const char *stem, int32_t today, fen_problems *problems, fen_case **ret_case);

/* The same for who reads many: all parts of the case lie in ARENA and go with it. */
FEN_MUST_USE fen_status fen_case_read_in(fen_arena *arena, const fen_base *base, const fen_source *src, const fen_node *root,
                                         const char *stem, int32_t today, fen_problems *problems, fen_case *ret_case);

#endif
