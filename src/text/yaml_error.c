#include "yaml_error.h"

#include <stdbool.h>
#include <string.h>

#include "util/utf8.h"

/* What libyaml says (0.2.5), where to point, and what an author needs to hear.
 * A context of NULL fits any. The first row that fits counts. */
static const struct {
    const char *problem, *context;
    bool at_context; /* the place where it began tells more than where it was noticed */
    const char *wrong, *right;
} rows[] = {
    { "found character that cannot start any token", NULL, false, NULL, NULL }, /* by the character */
    { "mapping values are not allowed in this context", NULL, false, NULL, NULL }, /* by the line */
    { "did not find expected key", "while parsing a block mapping", false, NULL, NULL }, /* by what stands before */
    { "could not find expected ':'", NULL, true, "this line is not 'name: value'",
      "add the ': ', or indent the line if it goes on with the text above" },
    { "did not find expected '-' indicator", NULL, false, "this does not belong to the list above",
      "begin it with '- ', or indent it like what it belongs to" },
    { "did not find expected ',' or ']'", NULL, true, "the list opened here with '[' is not closed properly",
      "separate its items by ',' and end it with ']'" },
    { "did not find expected ',' or '}'", NULL, true, "the map opened here with '{' is not closed properly",
      "separate its entries by ',' and end it with '}'" },
    { "found unexpected end of stream", "while scanning a quoted scalar", true, "the quotes opened here are never closed",
      "close them" },
    { "found unexpected document indicator", NULL, true, "the quotes opened here are not closed before the next document",
      "close them" },
    { "found unknown escape character", NULL, false, "a backslash in double quotes begins an escape, and this is none",
      "use single quotes, or double the backslash" },
    { "did not find expected hexdecimal number", NULL, false, "an escape lacks its hexadecimal digits",
      "use single quotes, or double the backslash" },
    { "found a tab character where an indentation space is expected", NULL, false, "a tab stands in the indentation",
      "use blanks" },
    { "found a tab character that violates indentation", NULL, false, "a tab stands in the indentation", "use blanks" },
    { "block sequence entries are not allowed in this context", NULL, false, "a list item '- ' cannot begin here",
      "begin it on a line of its own" },
    { "did not find expected node content", NULL, false, "a value is missing before this, or this stands in the wrong place",
      "put a text that begins so in double quotes" },
    { "did not find expected <document start>", NULL, false, "this does not belong to what stands above",
      "indent it like what it belongs to" },
    { "did not find expected comment or line break", NULL, false, "a text may not begin on the line of its '|' or '>'",
      "begin it on the next line, indented" },
    { "did not find expected alphabetic or numeric character", NULL, true, "'&' and '*' at the start of a text have a meaning of their own",
      "put the text in double quotes" },
    { "found undefined tag handle", NULL, false, "'!' at the start of a text has a meaning of its own",
      "put the text in double quotes" },
    { "found unknown directive name", NULL, true, "a line may not begin with '%'", "leave it out" },
    { "found incompatible YAML document", NULL, false, "this YAML version is not known", "leave the line out" },
};

static void tell(const fen_source *s, fen_problems *problems, fen_place place, const char *right, const char *wrong)
{
    fen_source_problem(s, problems, FEN_ERROR, FEN_CODE_SYNTAX, place, right, "%s", wrong);
}

static void tell_start(const fen_source *s, fen_problems *problems, fen_place place)
{
    const size_t offset = fen_source_offset(s, place.line, place.column);
    const char *at = s->text + offset;
    if (*at == '\t') {
        tell(s, problems, place, "use blanks", "a tab stands in the indentation");
        return;
    }
    const int step = offset < s->len ? (int)fen_utf8_step(at, s->len - offset) : 0;
    fen_source_problem(s, problems, FEN_ERROR, FEN_CODE_SYNTAX, place, "put the text in double quotes",
                       "a text may not begin with '%.*s'", step, at);
}

/* Two ': ' in one line, or a line that is indented like no other. */
static void tell_colon(const fen_source *s, fen_problems *problems, fen_place place)
{
    size_t len;
    const char *line = fen_source_line(s, place.line, &len);
    const size_t at = fen_source_offset(s, place.line, place.column) - (size_t)(line - s->text);
    for (size_t i = 0; i + 1 < at; i++) {
        if (line[i] == ':' && line[i + 1] == ' ') {
            tell(s, problems, place, "put the text in double quotes", "a text with ': ' in it reads like a second name");
            return;
        }
    }
    tell(s, problems, place, "indent the line like the entries it belongs to",
         "this name stands where the text of the line above goes on");
}

/* Something behind closing quotes, or a line that is not indented like the others. */
static void tell_entry(const fen_source *s, fen_problems *problems, fen_place place)
{
    size_t len;
    const char *line = fen_source_line(s, place.line, &len);
    if (strspn(line, " -") + 1 < place.column)
        tell(s, problems, place, "put the whole text in single quotes, with '' for a ' inside",
             "this stands behind a text that was complete");
    else
        tell(s, problems, place, "indent it like them", "this does not line up with the entries above");
}

static void tell_row(const yaml_parser_t *parser, const fen_source *s, fen_problems *problems, size_t i)
{
    const fen_place at = fen_yaml_place(s, &parser->problem_mark);
    if (i == 0)
        tell_start(s, problems, at);
    else if (i == 1)
        tell_colon(s, problems, at);
    else if (i == 2)
        tell_entry(s, problems, at);
    else
        tell(s, problems, rows[i].at_context ? fen_yaml_place(s, &parser->context_mark) : at, rows[i].right, rows[i].wrong);
}

/* Bytes that no text may have: libyaml gives only their offset. */
static void tell_character(const yaml_parser_t *parser, const fen_source *s, fen_problems *problems)
{
    const size_t offset = parser->problem_offset < s->len ? parser->problem_offset : s->len;
    fen_source_problem(s, problems, FEN_ERROR, FEN_CODE_SYNTAX, fen_source_place(s, offset), "leave it out",
                       "the control character U+%04X may not stand in a text", (unsigned)parser->problem_value);
}

fen_status fen_yaml_tell(const yaml_parser_t *parser, const fen_source *s, fen_problems *problems)
{
    if (parser->error == YAML_MEMORY_ERROR)
        return FEN_ENOMEM;
    const char *problem = parser->problem ? parser->problem : "the text is not YAML";
    if (parser->error == YAML_READER_ERROR) {
        tell_character(parser, s, problems);
        return FEN_EINPUT;
    }
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        const bool fits = !rows[i].context || (parser->context && strcmp(rows[i].context, parser->context) == 0);
        if (fits && strcmp(rows[i].problem, problem) == 0) {
            tell_row(parser, s, problems, i);
            return FEN_EINPUT;
        }
    }
    tell(s, problems, fen_yaml_place(s, &parser->problem_mark), NULL, problem);
    return FEN_EINPUT;
}
