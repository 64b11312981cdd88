/* soybean_case.c -- see soybean_case.h.
 */
#include "support/soybean_case.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <string.h>

#include <cmocka.h>

soybean soy_data;
flat_base soy_model;
fen_session *soy_session;
static fen_base *base;

void soy_case_end(void)
{
    fen_session_free(soy_session);
    fen_base_free(base);
    soy_session = NULL;
    base = NULL;
}

void soy_case_open(const bool use[SOY_ROWS], int n_classes, double stop_level)
{
    soy_case_end();
    soy_train(&soy_data, use, n_classes, &soy_model);
    soy_model.stop_level = stop_level;
    assert_int_equal(flat_build(&soy_model, &base), FEN_OK);
    assert_int_equal(fen_session_new(base, 0, &soy_session), FEN_OK);
}

void soy_case_open_first_307(double stop_level)
{
    bool use[SOY_ROWS];
    for (int r = 0; r < SOY_ROWS; r++)
        use[r] = r < 307;
    soy_case_open(use, SOY_CLASSES, stop_level);
}

void soy_case_tell(fen_session *s, int row, int attribute)
{
    const int v = soy_data.cell[row][attribute];
    const fen_answer a = v < 0 ? (fen_answer){.state = FEN_UNSURE} : (fen_answer){.state = FEN_KNOWN, .picks = UINT64_C(1) << v};
    assert_int_equal(fen_session_answer(s, (fen_id)attribute + 1, a), FEN_OK);
}

void soy_case_tell_all(fen_session *s, int row)
{
    fen_session_clear(s);
    for (int a = 0; a < SOY_ATTRIBUTES; a++)
        soy_case_tell(s, row, a);
}

/* Ask and be answered until the engine stops. */
void soy_case_consult(fen_session *s, int row, course *ret)
{
    fen_question q;
    memset(ret, 0, sizeof *ret);
    fen_session_clear(s);
    for (fen_session_next(s, &q); q.reason != FEN_ASK_NOTHING; fen_session_next(s, &q)) {
        const int a = (int)q.finding - 1;
        assert_in_range(a, 0, SOY_ATTRIBUTES - 1);
        assert_true(ret->asked < SOY_ATTRIBUTES);
        ret->order[ret->asked++] = a;
        ret->answered += soy_data.cell[row][a] >= 0;
        soy_case_tell(s, row, a);
    }
    ret->ran_out = q.stop == FEN_STOP_NOT_WORTH;
    assert_true(ret->ran_out || q.stop == FEN_STOP_ONE_CAUSE);
}

/* Attributes as they stand in the file, until one class is above the stop level. */
void soy_case_in_file_order(fen_session *s, int row, course *ret)
{
    memset(ret, 0, sizeof *ret);
    fen_session_clear(s);
    while (ret->asked < SOY_ATTRIBUTES) {
        const fen_verdict *v = fen_session_verdict(s);
        if (v->p[v->ranking.at[0]] >= soy_model.stop_level)
            return;
        ret->answered += soy_data.cell[row][ret->asked] >= 0;
        soy_case_tell(s, row, ret->asked);
        ret->order[ret->asked] = ret->asked;
        ret->asked++;
    }
}

int soy_class_named(const char *name)
{
    for (int c = 0; c < SOY_CLASSES; c++)
        if (strcmp(name, soy_data.value[SOY_ATTRIBUTES][c]) == 0)
            return c;
    return -1;
}

int soy_attribute_named(const char *name)
{
    for (int a = 0; a < SOY_ATTRIBUTES; a++)
        if (strcmp(name, soy_data.attribute[a]) == 0)
            return a;
    return -1;
}

bool soy_case_begin(void)
{
    return soy_read(&soy_data);
}
