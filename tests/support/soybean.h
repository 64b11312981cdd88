/* soybean.h -- the UCI Soybean (Large) data as Debian's package weka ships it,
 * and a naive Bayes of our own to hold the engine against.
 *
 * 683 plants, 35 findings, 19 causes; the first 307 are the usual training
 * part. Origin: Michalski and Chilausky 1980, Int. J. Policy Analysis and
 * Information Systems 4(2). The file is read where it is installed, never copied.
 */
#ifndef SOYBEAN_H
#define SOYBEAN_H

#include <stdbool.h>

#include "support/flat_base.h"

#define SOY_PATH "/usr/share/doc/weka/examples/soybean.arff"
#define SOY_SHA256 "5645bcd667e9f9efa65a2a45aabb8ed7eb339d9b6e3fa6f7c92a58c4862f0227"

enum { SOY_ROWS = 683, SOY_ATTRIBUTES = 35, SOY_VALUES = 8, SOY_CLASSES = 19, SOY_NAME = 32 };

typedef struct soybean {
    char attribute[SOY_ATTRIBUTES + 1][SOY_NAME]; /* the last is the class */
    char value[SOY_ATTRIBUTES + 1][SOY_CLASSES + 1][SOY_NAME];
    int n_values[SOY_ATTRIBUTES + 1];
    int n_attributes; /* with the class */
    signed char cell[SOY_ROWS][SOY_ATTRIBUTES + 1]; /* -1: missing */
    int n_rows;
} soybean;

/* False (with a message) if the file is absent or not as described. */
bool soy_read(soybean *ret);
/* The file's SHA-256 is the one above, by sha256sum of coreutils. */
bool soy_is_the_file(void);
static inline int soy_class(const soybean *d, int row) { return d->cell[row][SOY_ATTRIBUTES]; }

/* P(c) = n_c / N, P(v|c) = (n_cv + 1) / (n_c known + values declared); missing
 * cells are left out. Only rows with USE[row], only classes below N_CLASSES. */
void soy_train(const soybean *d, const bool use[SOY_ROWS], int n_classes, flat_base *ret_model);
/* Posterior of a row by the textbook's product, in logarithms and plain doubles. */
void soy_posterior(const flat_base *model, const soybean *d, int row, double ret_p[SOY_CLASSES]);

#endif
