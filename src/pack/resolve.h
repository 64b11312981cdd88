/* resolve.h -- from conditions as written (sentences, and trees of `all`, `any`,
 * `none`) to conditions of the draft: names become ids, dimensions are compared.
 */
#ifndef FEN_RESOLVE_H
#define FEN_RESOLVE_H

#include "loader.h"

/* *ret_cond is the condition of NODE. KEY is what it belongs to ("when"). */
bool fen_resolve_condition(fen_loader *l, const fen_node *key, const fen_node *node, fen_id *ret_cond);

/* Shared with compare.c. */

/* A finding named by SPAN of the sentence in NODE; broken ones give false and no
 * message. */
bool fen_resolve_finding(fen_loader *l, const fen_node *node, fen_span span, fen_id *ret_finding);
fen_place fen_resolve_place(const fen_loader *l, const fen_node *node, fen_span span);
bool fen_resolve_test(fen_loader *l, fen_test t, fen_id *ret_test);
/* The comparison C of l->sentence as a condition; TEXT as in fen_cond. */
bool fen_compare_clause(fen_loader *l, const fen_node *node, const fen_clause *c, const char *text, fen_id *ret_cond);

/* The index of the answer NAME of finding F, or FEN_NONE. */
fen_id fen_resolve_option(const fen_finding *f, const char *name, size_t len);
void fen_resolve_no_option(fen_loader *l, const fen_node *node, fen_span span, const fen_finding *f);
/* Say what a sentence could not be read for. */
void fen_resolve_grammar(fen_loader *l, const fen_node *node);

#endif
