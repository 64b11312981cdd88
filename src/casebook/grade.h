/* grade.h -- how well one settled case was judged, with all its answers and when
 * asked one question at a time.
 */
#ifndef FEN_GRADE_H
#define FEN_GRADE_H

#include "fenmend/batch.h"

/* S is answered with the case's last visit; USER is a session of the same base, at
 * anybody's disposal. A case that is not settled gives a grade with `settled` false. */
void fen_grade_case(const fen_case *c, fen_list settled, fen_session *s, fen_session *user, fen_grade *ret_grade);

/* simulate.c: the built-in user. Asked one question after the other as at the prompt,
 * it gives the case's own answer, or "unsure" where the case has none, until the
 * session would stop. S ends in that state. */
void fen_simulate(const fen_case *c, size_t visit, fen_session *s, uint32_t *ret_asked, uint32_t *ret_answered);

#endif
