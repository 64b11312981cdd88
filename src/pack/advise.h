/* advise.h -- parts of remedies and tasks that are more than a text: amounts that
 * are worked out from the case, acts that exclude each other, and what a later look
 * is to find.
 *
 * Calculators are known here by the table of reckon.h alone: a binding is checked
 * when it is read, so that a plan never meets one that cannot be run.
 */
#ifndef FEN_ADVISE_H
#define FEN_ADVISE_H

#include "loader.h"

/* `reckon: NAME` (KEY, NAME) and `with` (may be NULL) of WHAT ("the step 'flush'"). */
bool fen_read_amount(fen_loader *l, const fen_node *name, fen_place at, const fen_node *with_key, const fen_node *with, const fen_amount **ret);
/* Every {name} of TEXT is an input or a result of AMOUNT's calculator. */
bool fen_read_placeholders(fen_loader *l, const fen_node *text, const fen_amount *amount);

/* Words of `does`, and of `against`, which must be among those that some step does. */
bool fen_read_does(fen_loader *l, const fen_node *key, const fen_node *value, fen_texts *ret);
bool fen_read_against(fen_loader *l, const fen_node *key, const fen_node *value, fen_texts *ret);
/* Note every word of `does` of all remedies; before any is read. */
bool fen_gather_acts(fen_loader *l);

/* `look`: findings, with what tells better from worse. */
bool fen_read_look(fen_loader *l, const fen_node *key, const fen_node *value, fen_remedy *r);

/* `caution` of a step or task, and whether TEXT needs one that is not there. WHAT: "step" or "task". FIRST: the
 * key of `do`; WRITTEN: what `caution` has, or NULL: where the missing one would be added. */
bool fen_read_cautions(fen_loader *l, const fen_node *key, const fen_node *value, fen_texts *ret);
bool fen_check_cautions(fen_loader *l, const fen_node *text, fen_texts cautions, const fen_node *first, const fen_node *written,
                        const char *what, const char *id);

#endif
