/* A flat rule base counted from an open data set: the engine's posteriors are
 * those of naive Bayes, its first question is the attribute with the largest
 * information gain, and its whole course of questions is the one that numpy
 * took (tests/reference/soybean.csv).
 *
 * Missing cells are answered "unsure", which costs a question and moves nothing.
 */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <cmocka.h>

#include "support/reference.h"
#include "support/soybean_case.h"

static ref_row rows[REF_ROWS];
static int n_rows;

/* ---- the data ---- */

static const ref_row *row_of(const char *id)
{
    for (int i = 0; i < n_rows; i++)
        if (strcmp(rows[i].id, id) == 0)
            return &rows[i];
    fail_msg("no row %s", id);
    return NULL;
}

static int missing_in(int row)
{
    int n = 0;
    for (int a = 0; a < SOY_ATTRIBUTES; a++)
        n += soy_data.cell[row][a] < 0;
    return n;
}

static void the_file_is_the_one_the_numbers_are_about(void **state)
{
    int missing = 0, with_missing = 0, first_15[2] = {0, 0};
    (void)state;
    assert_true(soy_is_the_file());
    for (int r = 0; r < SOY_ROWS; r++) {
        missing += missing_in(r);
        with_missing += missing_in(r) > 0;
        first_15[r >= 307] += soy_class(&soy_data, r) < 15;
    }
    assert_true(ref_near(row_of("SOY-001"), 0, soy_data.n_rows));
    assert_true(ref_near(row_of("SOY-002"), 0, soy_data.n_attributes - 1));
    assert_true(ref_near(row_of("SOY-003"), 0, soy_data.n_values[SOY_ATTRIBUTES]));
    assert_true(ref_near(row_of("SOY-004"), 0, missing));
    assert_true(ref_near(row_of("SOY-005"), 0, with_missing));
    assert_true(ref_near(row_of("SOY-010"), 0, first_15[0]));
    assert_true(ref_near(row_of("SOY-011"), 0, first_15[1]));
    for (int i = 0; i < n_rows; i++) {
        char name[REF_TEXT];
        int n[4] = {0};
        if (!ref_is(&rows[i], "quantity", "total;first307;last376;missing_cells") || !ref_text(&rows[i], "class", name))
            continue;
        for (int r = 0; r < SOY_ROWS; r++)
            if (soy_class(&soy_data, r) == soy_class_named(name)) {
                n[0]++;
                n[r < 307 ? 1 : 2]++;
                n[3] += missing_in(r);
            }
        for (int k = 0; k < 4; k++)
            assert_true(ref_near(&rows[i], k, n[k]));
    }
}

/* ---- posteriors and gains ---- */

static void posteriors_are_those_of_naive_bayes(void **state)
{
    (void)state;
    soy_case_open_first_307(0.95);
    double worst = 0;
    for (int r = 0; r < SOY_ROWS; r++) {
        double p[SOY_CLASSES];
        soy_posterior(&soy_model, &soy_data, r, p);
        soy_case_tell_all(soy_session, r);
        for (int c = 0; c < SOY_CLASSES; c++)
            worst = fmax(worst, fabs(p[c] - fen_session_verdict(soy_session)->p[c]));
    }
    print_message("largest difference to plain naive Bayes: %g\n", worst);
    assert_true(worst <= 1e-9);
}

/* Expected drop in entropy under the model, by the textbook. */
static double plain_gain(const double *prior, const flat_finding *f, int n_classes)
{
    double gain = 0;
    for (int v = 0; v < f->n_options; v++) {
        double pv = 0;
        for (int c = 0; c < n_classes; c++)
            pv += prior[c] * f->p[v][c];
        for (int c = 0; c < n_classes; c++)
            if (prior[c] > 0 && f->p[v][c] > 0)
                gain += prior[c] * f->p[v][c] * log2(f->p[v][c] / pv);
    }
    return gain;
}

static void expected_gains_at_the_root_are_those_published(void **state)
{
    int n = 0, bad = 0, best = 0;
    (void)state;
    soy_case_open_first_307(0.95);
    double most = -1;
    for (int i = 0; i < n_rows; i++) {
        char name[REF_TEXT];
        if (!ref_is(&rows[i], "quantity", "root_expected_gain_naive_bayes") || !ref_text(&rows[i], "attribute", name))
            continue;
        const int a = soy_attribute_named(name);
        const double gain = fen_session_gain(soy_session, (fen_id)a + 1);
        bad += !ref_near(&rows[i], 0, gain);
        bad += !(fabs(gain - plain_gain(soy_model.prior, &soy_model.finding[a], SOY_CLASSES)) <= 1e-9);
        best = gain > most ? a : best;
        most = fmax(most, gain);
        n++;
    }
    fen_question q;
    fen_session_next(soy_session, &q);
    assert_int_equal(n, 35);
    assert_int_equal(bad, 0);
    assert_int_equal(q.finding, best + 1);
    assert_string_equal(soy_data.attribute[best], "leafspot-size");
}

/* Half way through a consultation too, where P is no longer the prior. */
static void gains_in_the_middle_are_those_of_the_posterior(void **state)
{
    double worst = 0;
    (void)state;
    soy_case_open_first_307(0.95);
    for (int r = 307; r < SOY_ROWS; r += 5) {
        fen_session_clear(soy_session);
        for (int a = 0; a < SOY_ATTRIBUTES; a += 3)
            soy_case_tell(soy_session, r, a);
        const double *p = fen_session_verdict(soy_session)->p;
        double prior[SOY_CLASSES];
        memcpy(prior, p, sizeof prior);
        for (int a = 1; a < SOY_ATTRIBUTES; a++)
            if (a % 3 != 0)
                worst = fmax(worst, fabs(fen_session_gain(soy_session, (fen_id)a + 1) - plain_gain(prior, &soy_model.finding[a], SOY_CLASSES)));
    }
    print_message("largest difference to the plain gain: %g\n", worst);
    assert_true(worst <= 1e-9);
}

/* ---- single cases ---- */

/* "name=value;name=value" */
static bool right_top(const ref_row *row, const fen_verdict *v)
{
    char text[REF_TEXT];
    int rank = 0;
    snprintf(text, sizeof text, "%s", row->expected);
    for (char *word = strtok(text, ";"); word; word = strtok(NULL, ";"), rank++) {
        char *value = strchr(word, '=');
        if (!value)
            return false;
        *value++ = '\0';
        const double want = strtod(value, NULL);
        const fen_id c = v->ranking.at[rank];
        if ((int)c != soy_class_named(word) || !(fabs(v->p[c] - want) <= 1e-5 * want))
            return false;
    }
    return rank == 3;
}

static bool right_counts(const ref_row *row, const course *k, const fen_verdict *v)
{
    char name[REF_TEXT];
    int asked, answered;
    double p;
    if (sscanf(row->expected, "%d;%d;%63[^;];%lf", &asked, &answered, name, &p) != 4)
        return false;
    return asked == k->asked && answered == k->answered && (int)v->ranking.at[0] == soy_class_named(name) && fabs(v->p[v->ranking.at[0]] - p) <= 2e-6;
}

static bool right_order(const ref_row *row, const course *k)
{
    char text[REF_TEXT];
    int i = 0;
    snprintf(text, sizeof text, "%s", row->expected);
    for (char *word = strtok(text, ";"); word; word = strtok(NULL, ";"), i++)
        if (i >= k->asked || k->order[i] != soy_attribute_named(word))
            return false;
    return i == k->asked || i == 8;
}

static void single_cases_take_the_published_course(void **state)
{
    int n = 0, bad = 0;
    (void)state;
    soy_case_open_first_307(0.95);
    for (int i = 0; i < n_rows; i++) {
        double number;
        char q[REF_TEXT];
        bool fine = false;
        course k;
        if (!ref_number(&rows[i], "row", &number) || !ref_text(&rows[i], "quantity", q))
            continue;
        const int r = (int)number - 1;
        if (strcmp(q, "posterior_top3") == 0) {
            soy_case_tell_all(soy_session, r);
            fine = right_top(&rows[i], fen_session_verdict(soy_session));
        } else {
            soy_case_consult(soy_session, r, &k);
            fine = strcmp(q, "first_questions") == 0 ? right_order(&rows[i], &k) : right_counts(&rows[i], &k, fen_session_verdict(soy_session));
        }
        if (!fine)
            print_error("%s %s: not %s\n", rows[i].id, rows[i].input, rows[i].expected);
        n++;
        bad += !fine;
    }
    assert_int_equal(n, 27);
    assert_int_equal(bad, 0);
}

/* ---- the same through a pack ---- */

/* Names of the file hold signs that a pack's names may not. */
static void plain_names(char store[][SOY_NAME + 4], int n, const char *const *from, const char **to)
{
    for (int i = 0; i < n; i++) {
        size_t len = 0;
        for (const char *s = from[i]; *s; s++)
            if (*s == '&')
                len += (size_t)sprintf(store[i] + len, "and");
            else
                store[i][len++] = *s;
        store[i][len] = '\0';
        to[i] = store[i];
    }
}

static fen_base *load_pack(const flat_base *m)
{
    char folder[] = "/tmp/fen-soybean-XXXXXX", path[64];
    fen_problems *problems = NULL;
    fen_base *loaded = NULL;
    assert_non_null(mkdtemp(folder));
    snprintf(path, sizeof path, "%s/counted.yaml", folder);
    FILE *out = fopen(path, "w");
    assert_non_null(out);
    flat_write_pack(m, out);
    assert_int_equal(fclose(out), 0);
    assert_int_equal(fen_problems_new(&problems), FEN_OK);
    const char *const paths[] = {path};
    const fen_status st = fen_base_load(paths, 1, problems, &loaded);
    for (size_t i = 0; i < fen_problems_count(problems) && i < 5; i++)
        print_error("line %u: %s\n", fen_problems_at(problems, i)->place.line, fen_problems_at(problems, i)->text);
    fen_problems_free(problems);
    assert_int_equal(st, FEN_OK);
    unlink(path);
    rmdir(folder);
    return loaded;
}

static void a_pack_with_these_counts_does_the_same(void **state)
{
    static char causes[SOY_CLASSES][SOY_NAME + 4], findings[SOY_ATTRIBUTES][SOY_NAME + 4];
    const char *cause_from[SOY_CLASSES], *finding_from[SOY_ATTRIBUTES], *finding_to[SOY_ATTRIBUTES];
    double worst = 0;
    (void)state;
    soy_case_open_first_307(0.95);
    for (int c = 0; c < SOY_CLASSES; c++)
        cause_from[c] = soy_data.value[SOY_ATTRIBUTES][c];
    for (int a = 0; a < SOY_ATTRIBUTES; a++)
        finding_from[a] = soy_data.attribute[a];
    plain_names(causes, SOY_CLASSES, cause_from, soy_model.cause_name);
    plain_names(findings, SOY_ATTRIBUTES, finding_from, finding_to);
    for (int a = 0; a < SOY_ATTRIBUTES; a++)
        soy_model.finding[a].name = finding_to[a];
    fen_base *loaded = load_pack(&soy_model);
    fen_session *s = NULL;
    assert_int_equal(fen_session_new(loaded, 0, &s), FEN_OK);
    assert_int_equal(fen_base_findings(loaded), SOY_ATTRIBUTES + 1);
    assert_int_equal(fen_base_causes(loaded), SOY_CLASSES + 1);
    for (int r = 307; r < SOY_ROWS; r++) {
        course drafted, packed;
        soy_case_tell_all(soy_session, r);
        soy_case_tell_all(s, r);
        for (int c = 0; c < SOY_CLASSES; c++)
            worst = fmax(worst, fabs(fen_session_verdict(soy_session)->p[c] - fen_session_verdict(s)->p[c]));
        soy_case_consult(soy_session, r, &drafted);
        soy_case_consult(s, r, &packed);
        assert_int_equal(drafted.asked, packed.asked);
        assert_memory_equal(drafted.order, packed.order, sizeof drafted.order);
    }
    print_message("largest difference between pack and draft: %g\n", worst);
    assert_true(worst <= 1e-9);
    fen_session_free(s);
    fen_base_free(loaded);
}

static int read_everything(void **state)
{
    (void)state;
    n_rows = ref_read("soybean.csv", rows);
    return n_rows > 0 && soy_case_begin() ? 0 : -1;
}

static int close_everything(void **state)
{
    (void)state;
    soy_case_end();
    return 0;
}

int main(void)
{
    const char *leave = getenv("FEN_ALLOW_NO_ORACLES");
    if (access(SOY_PATH, R_OK) != 0 && leave && strcmp(leave, "1") == 0) {
        printf("%s is not there (Debian package weka): nothing was compared\n", SOY_PATH);
        return 0;
    }
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_file_is_the_one_the_numbers_are_about),
        cmocka_unit_test(posteriors_are_those_of_naive_bayes),
        cmocka_unit_test(expected_gains_at_the_root_are_those_published),
        cmocka_unit_test(gains_in_the_middle_are_those_of_the_posterior),
        cmocka_unit_test(single_cases_take_the_published_course),
        cmocka_unit_test(a_pack_with_these_counts_does_the_same),
    };
    return cmocka_run_group_tests(tests, read_everything, close_everything);
}
