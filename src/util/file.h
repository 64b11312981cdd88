/* file.h -- whole files: read with a limit, written so that a kill or a full
 * disk never leaves half a file or loses the old one.
 */
#ifndef FEN_FILE_H
#define FEN_FILE_H

#include <stdbool.h>
#include <stddef.h>

#include "fenmend/status.h"

/* Read all of PATH ("-": standard input) into memory, NUL added after LEN bytes.
 * FEN_EIO with errno; FEN_EINPUT if larger than MAX, or a folder. */
FEN_MUST_USE fen_status fen_file_read(const char *path, size_t max, char **ret_text, size_t *ret_len);

/* Write beside PATH, flush to disk, rename over it; MODE as in open(2) for a new
 * file (an old one's mode is kept). A symbolic link is followed. FEN_EIO with errno: PATH is as before and
 * nothing is left beside it. */
FEN_MUST_USE fen_status fen_file_write(const char *path, const char *text, size_t len, unsigned mode);

/* Names of the regular files in FOLDER that end in SUFFIX, sorted by byte,
 * each joined to FOLDER; free with fen_file_names_free. */
FEN_MUST_USE fen_status fen_file_list(const char *folder, const char *suffix, char ***ret_names, size_t *ret_count);
void fen_file_names_free(char **names, size_t count);
bool fen_file_is_folder(const char *path);
/* Do both name one file? Of files that are not there: is it one name? */
bool fen_file_same(const char *a, const char *b);
/* Take PATH away, so that it lasts. One that is not there is no failure. FEN_EIO with errno. */
FEN_MUST_USE fen_status fen_file_remove(const char *path);
/* Make FOLDER and its parents, each with MODE. */
FEN_MUST_USE fen_status fen_file_make_folders(const char *folder, unsigned mode);

#endif
