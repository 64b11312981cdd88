/* yaml_stream.h -- many YAML documents, read one at a time from anywhere.
 *
 * The text is cut into documents before a parser sees it: a line that begins with
 * '---' or '...' can stand nowhere but between documents (YAML 1.2.2, 9.1.2). So
 * memory is that of the largest document, a broken one costs only itself, and
 * reading goes on at the next marker. Documents with nothing in them are passed
 * over. Places are those of the whole text.
 */
#ifndef FEN_YAML_STREAM_H
#define FEN_YAML_STREAM_H

#include "yaml.h"

/* Up to SIZE bytes into BUF; how many, 0 at the end, -1 with errno. */
typedef ptrdiff_t fen_read_fn(void *ctx, char *buf, size_t size);

/* For a file descriptor; CTX points to it. */
ptrdiff_t fen_read_fd(void *ctx, char *buf, size_t size);

typedef struct fen_yaml_stream fen_yaml_stream;

/* PATH is for messages. CTX must outlive the stream. MAX: bytes of one document. */
FEN_MUST_USE fen_status fen_yaml_stream_open(const char *path, fen_read_fn *read, void *ctx, size_t max,
                                             fen_yaml_stream **ret_stream);
void fen_yaml_stream_free(fen_yaml_stream *s);

/* The next document and its text, both the caller's to free; both NULL at the end.
 * FEN_EINPUT: it was broken or too large, PROBLEMS say how, and the one behind it
 * comes next. FEN_EIO (errno) and FEN_ENOMEM end the stream: close it. */
FEN_MUST_USE fen_status fen_yaml_stream_next(fen_yaml_stream *s, fen_problems *problems, fen_source **ret_source,
                                             fen_tree **ret_tree);

/* Documents so far, the broken ones among them, and bytes held now. */
size_t fen_yaml_stream_documents(const fen_yaml_stream *s);
size_t fen_yaml_stream_broken(const fen_yaml_stream *s);
size_t fen_yaml_stream_bytes(const fen_yaml_stream *s);

#endif
