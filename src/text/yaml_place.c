/* yaml_place.c -- from a byte of a text node back to where it was written.
 *
 * A condition may stand plain, in quotes, or folded over lines; its caret must
 * stand under the very word. The source is walked beside the node's text; where the
 * two cannot be matched (escapes by number, unusual indentation) the start of
 * the node is the answer.
 */
#include <string.h>

#include "util/utf8.h"
#include "yaml.h"

/* A caret so far right is not seen anyway, and looking for it in a hostile line
 * of megabytes would cost more than it tells. */
#define COLUMNS_WALKED 4096

typedef struct walk {
    const char *p;
    char style; /* 0 plain, or the first of ' " | > */
} walk;

static const char *skip_blanks(const char *p)
{
    while (*p == ' ' || *p == '\t')
        p++;
    return p;
}

/* The start of the text on the next line, or NULL if P is not at a line's end. */
static const char *next_line(const char *p)
{
    if (*p == '\r' && p[1] == '\n')
        p++;
    if (*p != '\n' && *p != '\r')
        return NULL;
    return skip_blanks(p + 1);
}

/* A line end between two words is one blank of the text, or itself after '|'. Of
 * several in a row the first is dropped: PREVIOUS is the letter before C. */
static bool step_over_blank(walk *w, char c, char previous)
{
    const bool literal = w->style == '|';
    const char *next = next_line(literal ? w->p : skip_blanks(w->p));
    if (next && c == '\n' && !literal && previous != '\n')
        next = next_line(next);
    else if (next && c == ' ' && literal)
        next = NULL;
    if (next) {
        w->p = next;
        return true;
    }
    if (*w->p != c || c == '\n')
        return false;
    w->p++;
    return true;
}

static bool step_over(walk *w, char c, char previous)
{
    if (c == ' ' || c == '\n')
        return step_over_blank(w, c, previous);
    if (w->style == '\'' && c == '\'') {
        w->p += 2;
        return w->p[-2] == '\'' && w->p[-1] == '\'';
    }
    if (w->style == '"' && *w->p == '\\') {
        if (w->p[1] != c || !strchr("\"\\/", c))
            return false;
        w->p += 2;
        return true;
    }
    return *w->p++ == c;
}

static bool begin(walk *w, bool plain)
{
    w->style = plain ? '\0' : *w->p;
    if (w->style == '\'' || w->style == '"') {
        w->p++;
    } else if (w->style == '|' || w->style == '>') {
        w->p += strcspn(w->p, "\r\n");
        w->p = next_line(w->p);
    } else if (!plain) {
        return false;
    }
    return w->p != NULL;
}

fen_place fen_node_place_at(const fen_source *s, const fen_node *node, size_t offset, size_t width_bytes)
{
    if (node->type != FEN_NODE_TEXT || node->place.column > COLUMNS_WALKED)
        return node->place;
    if (offset > node->len)
        offset = node->len;
    if (width_bytes > node->len - offset)
        width_bytes = node->len - offset;
    walk w = { .p = s->text + fen_source_offset(s, node->place.line, node->place.column) };
    if (!begin(&w, node->plain))
        return node->place;
    for (size_t i = 0; i < offset; i++)
        if (!step_over(&w, node->text[i], i ? node->text[i - 1] : '\0'))
            return node->place;
    fen_place place = fen_source_place(s, (size_t)(w.p - s->text));
    const size_t width = fen_utf8_count(node->text + offset, width_bytes);
    place.width = width ? (uint32_t)width : 1;
    return place;
}
