/* soybean_case.h -- one model of the soybean data at a time, as a rule base and a
 * session, and a consultation about one of its plants. For the tests that use
 * cmocka; assertions are made inside.
 */
#ifndef SOYBEAN_CASE_H
#define SOYBEAN_CASE_H

#include "support/soybean.h"

extern soybean soy_data;
extern flat_base soy_model;
extern fen_session *soy_session;

/* Read the data; false with a message. */
bool soy_case_begin(void);
void soy_case_end(void);
/* Train on the rows with USE and open a session of the result. */
void soy_case_open(const bool use[SOY_ROWS], int n_classes, double stop_level);
void soy_case_open_first_307(double stop_level);

/* Answer one attribute as the row has it (missing: unsure), or all of them. */
void soy_case_tell(fen_session *s, int row, int attribute);
void soy_case_tell_all(fen_session *s, int row);

typedef struct course {
    int asked, answered, order[SOY_ATTRIBUTES];
    bool ran_out;
} course;
/* Ask and be answered until the engine stops. */
void soy_case_consult(fen_session *s, int row, course *ret);
/* Attributes as they stand in the file, until one class is above the stop level. */
void soy_case_in_file_order(fen_session *s, int row, course *ret);

int soy_class_named(const char *name);     /* or -1 */
int soy_attribute_named(const char *name); /* or -1 */

#endif
