/* yaml_error.h -- libyaml's complaints in an author's words, with their place.
 * Private to the yaml_*.c files: the others do not know libyaml.
 */
#ifndef FEN_YAML_ERROR_H
#define FEN_YAML_ERROR_H

#include <yaml.h>

#include "source.h"

/* Columns and lines of libyaml count from 0, and from the start of S's text. */
static inline fen_place fen_yaml_place(const fen_source *s, const yaml_mark_t *mark)
{
    return (fen_place){ .file = s->file,
                        .line = s->lines_before + (uint32_t)mark->line + 1,
                        .column = (uint32_t)mark->column + 1,
                        .width = 1 };
}

/* Tell why PARSER stopped: FEN_ENOMEM, or FEN_EINPUT with a problem added. */
FEN_MUST_USE fen_status fen_yaml_tell(const yaml_parser_t *parser, const fen_source *s, fen_problems *problems);

#endif
