/* problem_text.h -- a problem as people read it, in a terminal or a log.
 *
 *     rules/water.yaml:41:14: error: 'runoff' is in ppm ...; write a number of ppm [dimension]
 *        41 |   - runoff > 30 C
 *           |              ^~~~
 *
 * Tabs go to every eighth column, wide characters count two, and a long line is
 * cut around the caret. Names and lines out of the file are untrusted: nothing
 * in them reaches a terminal as a control sequence. A problem of line 0 is one
 * of the whole file and has no line or caret. Every line ends in a newline.
 */
#ifndef FEN_PROBLEM_TEXT_H
#define FEN_PROBLEM_TEXT_H

#include "fenmend/problem.h"
#include "str.h"

void fen_problem_write(fen_str *out, const fen_problems *list, const fen_problem *problem);
const char *fen_severity_name(fen_severity severity); /* "note", "warning", "error" */

#endif
