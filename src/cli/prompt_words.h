/* prompt_words.h -- the words of the prompt: one table for what they do, what may
 * follow them (completion), and what `help` says.
 */
#ifndef FEN_PROMPT_WORDS_H
#define FEN_PROMPT_WORDS_H

#include <stdbool.h>
#include <stddef.h>

#include "prompt.h"

typedef enum fen_takes {
    FEN_TAKES_NOTHING,
    FEN_TAKES_ANSWER,
    FEN_TAKES_FINDING, /* and its answer */
    FEN_TAKES_CAUSE,
    FEN_TAKES_CAUSES,
    FEN_TAKES_FILE,
    FEN_TAKES_WORD
} fen_takes;

typedef struct fen_prompt_word {
    const char *name;
    const char *arguments; /* as help shows them: "FINDING ANSWER"; optional ones in brackets */
    fen_takes takes;
    const char *does; /* one line */
    const char *more; /* a paragraph for `help WORD`, or NULL */
    /* REST: what follows the word, without blanks around it. */
    void (*run)(fen_prompt *p, const char *rest);
} fen_prompt_word;

size_t fen_prompt_word_count(void);
const fen_prompt_word *fen_prompt_word_at(size_t i);
const fen_prompt_word *fen_prompt_word_find(const char *name, size_t len); /* NULL: no such word */

#endif
