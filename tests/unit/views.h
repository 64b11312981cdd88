/* views.h -- the small rule base of tests/packs/views.yaml, and sessions on it,
 * for the tests of case files and views.
 */
#ifndef FEN_VIEWS_H
#define FEN_VIEWS_H

#include "unit.h"

#include "fenmend/report.h"
#include "util/date.h"

#define TODAY fen_date_day(2026, 7, 12)

static inline fen_base *views_base(void)
{
    const char *const paths[] = { FEN_TESTS_DIR "/packs/views.yaml" };
    fen_problems *problems;
    fen_base *base = NULL;
    assert_int_equal(fen_problems_new(&problems), FEN_OK);
    if (fen_base_load(paths, 1, problems, &base))
        for (size_t i = 0; i < fen_problems_count(problems); i++)
            print_error("views.yaml:%lu: %s\n", (unsigned long)fen_problems_at(problems, i)->place.line,
                        fen_problems_at(problems, i)->text);
    fen_problems_free(problems);
    assert_non_null(base);
    return base;
}

static inline fen_id views_finding(const fen_base *base, const char *name)
{
    const fen_id id = fen_base_find_finding(base, name);
    assert_true(id != FEN_NONE);
    return id;
}

/* Answer S with "name: answer" texts, as at the prompt. */
static inline void views_answer(fen_session *s, const char *name, const char *text)
{
    fen_answer a;
    char err[256] = "";
    const fen_base *base = fen_session_base(s);
    const fen_id f = views_finding(base, name);
    if (fen_answer_read(base, f, text, strlen(text), fen_session_today(s), &a, err))
        fail_msg("%s: %s", name, err);
    assert_int_equal(fen_session_answer(s, f, a), FEN_OK);
}

static inline fen_session *views_session(const fen_base *base)
{
    fen_session *s;
    assert_int_equal(fen_session_new(base, TODAY, &s), FEN_OK);
    return s;
}

static inline bool same_answer(fen_answer a, fen_answer b)
{
    return a.state == b.state && a.picks == b.picks && memcmp(&a.value, &b.value, sizeof a.value) == 0;
}

#endif
