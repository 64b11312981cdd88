/* near_double.h -- comparing doubles as doubles: cmocka 1.1.5 compares floats. */
#ifndef TESTS_NEAR_DOUBLE_H
#define TESTS_NEAR_DOUBLE_H

#include <math.h>

#define assert_near(a, b, eps)                                                                      \
    do {                                                                                            \
        const double near_a_ = (a), near_b_ = (b);                                                  \
        if (!(fabs(near_a_ - near_b_) <= (eps)))                                                    \
            fail_msg("%.17g is not within %g of %.17g", near_a_, (double)(eps), near_b_);           \
    } while (0)

#endif
