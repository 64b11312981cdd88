/* amount.h -- an amount of a step worked out from a session's answers.
 *
 * What is not known is missing, and told as such; nothing is guessed. Usual values
 * that a calculator knows itself (how much water a mix holds) are taken, and can be
 * told from what was measured by `given` of the input.
 */
#ifndef FEN_AMOUNT_H
#define FEN_AMOUNT_H

#include "fenmend/reckon.h"
#include "fenmend/session.h"
#include "util/arena.h"
#include "util/str.h"

typedef struct fen_worked {
    const fen_reckoner *reckoner;
    fen_reckon_value in[FEN_RECKON_INPUTS];
    double out[FEN_RECKON_OUTPUTS];
    bool done;              /* else an input is missing, or ... */
    fen_reckon_error error; /* ... it was refused: `wrong` is not empty */
} fen_worked;

typedef struct fen_workings {
    const fen_worked *at; /* inner calculations first, the amount itself last */
    uint32_t count;
    fen_list missing;     /* findings that are needed and not known, each once */
    bool done;
} fen_workings;

/* Everything is put into ARENA. */
FEN_MUST_USE fen_status fen_amount_work(const fen_session *s, const fen_amount *amount, fen_arena *arena, fen_workings *ret);

/* Is there a value for every {name} of TEXT? What depends on an input that may be left out has none
 * without it. */
bool fen_amount_says(const char *text, const fen_worked *w);
/* TEXT with every {name} replaced by the value of that result or input of W. */
void fen_amount_text(fen_str *out, const char *text, const fen_worked *w, bool us);

#endif
