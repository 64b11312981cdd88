/* json_write.h -- JSON out, straight into a growing text.
 *
 * Where a comma belongs is kept track of here; the caller says what opens and closes.
 * Texts are UTF-8; what must be escaped is (RFC 8259, 7), and of what may reach a
 * terminal DEL and the C1 controls too. Bytes that are not UTF-8 become U+FFFD.
 */
#ifndef FEN_JSON_WRITE_H
#define FEN_JSON_WRITE_H

#include <stdbool.h>
#include <stdint.h>

#include "util/str.h"

typedef struct fen_json_out {
    fen_str *text;
    bool comma; /* something stands before the next value */
} fen_json_out;

static inline fen_json_out fen_json_begin(fen_str *text) { return (fen_json_out){ text, false }; }

void fen_json_open(fen_json_out *j, char bracket);  /* '{' or '[' */
void fen_json_close(fen_json_out *j, char bracket); /* '}' or ']' */
void fen_json_key(fen_json_out *j, const char *key); /* one of ours: it needs no look, as a name */
void fen_json_text(fen_json_out *j, const char *text); /* NULL: null */
void fen_json_bool(fen_json_out *j, bool value);
void fen_json_count(fen_json_out *j, uint64_t value);
void fen_json_number(fen_json_out *j, double value);   /* not finite: null */
void fen_json_chance(fen_json_out *j, double value);   /* 0..1, fast */
void fen_json_fixed12(fen_json_out *j, int64_t value); /* value / 10^12 */
/* A name out of a pack: letters, digits and hyphens, which need no look. */
void fen_json_name(fen_json_out *j, const char *name);
void fen_json_key_text(fen_json_out *j, const char *key, const char *text);

/* KEY with a name, or null where there is none. */
void fen_json_name_or_null(fen_json_out *j, const char *key, const char *name);

#endif
