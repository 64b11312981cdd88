#include "lexer.h"

/* A word does not begin with '-': that is a minus. */
fen_span fen_lexer_peek(fen_lexer *x)
{
    fen_lexer_skip(x);
    fen_span word = { x->at, 0 };
    if (x->at < x->len && x->text[x->at] == '-')
        return word;
    uint32_t end = x->at;
    while (end < x->len && fen_lexer_word_char(x->text[end]))
        end++;
    word.len = end - x->at;
    return word;
}

bool fen_lexer_take(fen_lexer *x, const char *word)
{
    const fen_span here = fen_lexer_peek(x);
    if (!fen_span_is(x->text, here, word))
        return false;
    x->at += here.len;
    return true;
}

fen_span fen_lexer_here(fen_lexer *x)
{
    fen_span here = fen_lexer_peek(x);
    if (here.len)
        return here;
    uint32_t end = x->at;
    while (end < x->len && !fen_lexer_blank(x->text[end]))
        end++;
    here.len = end - here.at;
    if (here.len == 0) {
        while (here.at > 0 && fen_lexer_blank(x->text[here.at - 1]))
            here.at--;
    }
    return here;
}
