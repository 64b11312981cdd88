/* lexer.h -- tokens of a sentence, one at a time, taken on demand.
 *
 * What a run of characters is depends on where it stands ("3-or-more" is an
 * answer, "3 ppm" a quantity), so the grammar asks for what it can use. Nothing
 * allocates. Only sentence.c and effect.c see this.
 */
#ifndef FEN_LEXER_H
#define FEN_LEXER_H

#include <string.h>

#include "sentence.h"

typedef struct fen_lexer {
    const char *text;
    uint32_t len, at;
} fen_lexer;

static inline bool fen_lexer_blank(char c)
{
    return c == ' ' || c == '\t' || c == '\n';
}

static inline bool fen_lexer_digit(char c)
{
    return c >= '0' && c <= '9';
}

/* What a word may have: capitals and '_' too, so that a wrongly written name is
 * one thing to complain about. */
static inline bool fen_lexer_word_char(char c)
{
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || fen_lexer_digit(c) || c == '-' || c == '_';
}

static inline void fen_lexer_skip(fen_lexer *x)
{
    while (x->at < x->len && fen_lexer_blank(x->text[x->at]))
        x->at++;
}

static inline bool fen_lexer_end(fen_lexer *x)
{
    fen_lexer_skip(x);
    return x->at == x->len;
}

/* The word here; length 0 if none. */
fen_span fen_lexer_peek(fen_lexer *x);
/* Take WORD if it stands here. */
bool fen_lexer_take(fen_lexer *x, const char *word);
/* What to underline here: the word, else everything up to the next blank, else
 * (at the end) the place after the last character. */
fen_span fen_lexer_here(fen_lexer *x);

static inline bool fen_span_is(const char *text, fen_span s, const char *word)
{
    return strlen(word) == s.len && memcmp(text + s.at, word, s.len) == 0;
}

#endif
