/* said.h -- what a list of problems says to people, in a buffer of the test's own. */
#ifndef TESTS_SAID_H
#define TESTS_SAID_H

#include <stdio.h>

#include "fenmend/problem.h"
#include "util/problem_text.h"
#include "util/str.h"

static inline void say_problems(const fen_problems *problems, char *out, size_t size)
{
    fen_str text;
    fen_str_init(&text, size);
    for (size_t i = 0; i < fen_problems_count(problems); i++)
        fen_problem_write(&text, problems, fen_problems_at(problems, i));
    snprintf(out, size, "%s", text.at);
    fen_str_free(&text);
}

#endif
