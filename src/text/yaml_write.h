/* yaml_write.h -- YAML text out of a sequence of calls, through libyaml's emitter.
 *
 * The other half of yaml.h: what is written here reads back there to the same
 * texts in the same order. Texts must be valid UTF-8 without NUL; they are
 * quoted only where they need it, texts of several lines come as blocks.
 *
 * A failed allocation, or a text that is not UTF-8, is noted; later calls then
 * do nothing, and fen_yaml_out_finish tells. The writer appends to a text that
 * stays the caller's.
 */
#ifndef FEN_YAML_WRITE_H
#define FEN_YAML_WRITE_H

#include <stdbool.h>

#include "util/str.h"

typedef struct fen_yaml_out fen_yaml_out;

FEN_MUST_USE fen_status fen_yaml_out_new(fen_str *text, fen_yaml_out **ret_out);
void fen_yaml_out_free(fen_yaml_out *out);

/* In a map, keys and values follow each other. FLOW: on one line, in brackets. */
void fen_yaml_out_map(fen_yaml_out *out, bool flow);
void fen_yaml_out_list(fen_yaml_out *out, bool flow);
void fen_yaml_out_end(fen_yaml_out *out); /* of the innermost map or list */
void fen_yaml_out_text(fen_yaml_out *out, const char *text);

/* Close the document. FEN_EINPUT: a text was not UTF-8. */
FEN_MUST_USE fen_status fen_yaml_out_finish(fen_yaml_out *out);

#endif
