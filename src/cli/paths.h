/* paths.h -- where things are: the shipped packs, the grower's own, the history.
 *
 * The folders follow the XDG Base Directory Specification; a relative path in
 * its variables counts as not set, as it demands. Every call appends to OUT and
 * says false if there is no such place (no home, nothing installed).
 */
#ifndef FEN_PATHS_H
#define FEN_PATHS_H

#include <stdbool.h>

#include "util/str.h"

/* The folder of shipped packs: beside the program as installed, or, in a build
 * tree, the source's. */
bool fen_paths_shipped(fen_str *out);
/* $XDG_DATA_HOME/fenmend/rules, if there is such a folder with a pack in it. */
bool fen_paths_own_rules(fen_str *out);
/* The pack in it that `lesson` writes to, and the settled cases; there or not. */
bool fen_paths_own_pack(fen_str *out);
bool fen_paths_settled(fen_str *out);
/* Make the folder that PATH lies in. FEN_EIO with errno. */
FEN_MUST_USE fen_status fen_paths_make_room(const char *path);
/* $XDG_STATE_HOME/fenmend */
bool fen_paths_state(fen_str *out);
/* "~/x" with the home folder in place of "~"; other names as they are. */
void fen_paths_expand(fen_str *out, const char *name);

#endif
