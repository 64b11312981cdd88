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
#include "support/soybean.h"

static soybean data;
static ref_row rows[REF_ROWS];
static int n_rows;

/* ---- a model and a session of it ---- */

static flat_base model;
static fen_base *base;
static fen_session *session;

static void close_model(void)
{
    fen_session_free(session);
    fen_base_free(base);
    session = NULL;
    base = NULL;
}

static void open_model(const bool use[SOY_ROWS], int n_classes, double stop_level)
{
    close_model();
    soy_train(&data, use, n_classes, &model);
    model.stop_level = stop_level;
    assert_int_equal(flat_build(&model, &base), FEN_OK);
    assert_int_equal(fen_session_new(base, 0, &session), FEN_OK);
}

static void open_first_307(double stop_level)
{
    bool use[SOY_ROWS];
    for (int r = 0; r < SOY_ROWS; r++)
        use[r] = r < 307;
    open_model(use, SOY_CLASSES, stop_level);
}

static void tell(fen_session *s, int row, int attribute)
{
    const int v = data.cell[row][attribute];
    const fen_answer a = v < 0 ? (fen_answer){.state = FEN_UNSURE} : (fen_answer){.state = FEN_KNOWN, .picks = UINT64_C(1) << v};
    assert_int_equal(fen_session_answer(s, (fen_id)attribute + 1, a), FEN_OK);
}

static void tell_all(fen_session *s, int row)
{
    fen_session_clear(s);
    for (int a = 0; a < SOY_ATTRIBUTES; a++)
        tell(s, row, a);
}

typedef struct course {
    int asked, answered, order[SOY_ATTRIBUTES];
    bool ran_out;
} course;

/* Ask and be answered until the engine stops. */
static void consult(fen_session *s, int row, course *ret)
{
    fen_question q;
    memset(ret, 0, sizeof *ret);
    fen_session_clear(s);
    for (fen_session_next(s, &q); q.reason != FEN_ASK_NOTHING; fen_session_next(s, &q)) {
        const int a = (int)q.finding - 1;
        assert_in_range(a, 0, SOY_ATTRIBUTES - 1);
        assert_true(ret->asked < SOY_ATTRIBUTES);
        ret->order[ret->asked++] = a;
        ret->answered += data.cell[row][a] >= 0;
        tell(s, row, a);
    }
    ret->ran_out = q.stop == FEN_STOP_NOT_WORTH;
    assert_true(ret->ran_out || q.stop == FEN_STOP_ONE_CAUSE);
}

/* Attributes as they stand in the file, until one class is above the stop level. */
static void consult_in_file_order(fen_session *s, int row, course *ret)
{
    memset(ret, 0, sizeof *ret);
    fen_session_clear(s);
    while (ret->asked < SOY_ATTRIBUTES) {
        const fen_verdict *v = fen_session_verdict(s);
        if (v->p[v->ranking.at[0]] >= model.stop_level)
            return;
        ret->answered += data.cell[row][ret->asked] >= 0;
        tell(s, row, ret->asked);
        ret->order[ret->asked] = ret->asked;
        ret->asked++;
    }
}

/* ---- the data ---- */

static const ref_row *row_of(const char *id)
{
    for (int i = 0; i < n_rows; i++)
        if (strcmp(rows[i].id, id) == 0)
            return &rows[i];
    fail_msg("no row %s", id);
    return NULL;
}

static int class_named(const char *name)
{
    for (int c = 0; c < SOY_CLASSES; c++)
        if (strcmp(name, data.value[SOY_ATTRIBUTES][c]) == 0)
            return c;
    return -1;
}

static int attribute_named(const char *name)
{
    for (int a = 0; a < SOY_ATTRIBUTES; a++)
        if (strcmp(name, data.attribute[a]) == 0)
            return a;
    return -1;
}

static int missing_in(int row)
{
    int n = 0;
    for (int a = 0; a < SOY_ATTRIBUTES; a++)
        n += data.cell[row][a] < 0;
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
        first_15[r >= 307] += soy_class(&data, r) < 15;
    }
    assert_true(ref_near(row_of("SOY-001"), 0, data.n_rows));
    assert_true(ref_near(row_of("SOY-002"), 0, data.n_attributes - 1));
    assert_true(ref_near(row_of("SOY-003"), 0, data.n_values[SOY_ATTRIBUTES]));
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
            if (soy_class(&data, r) == class_named(name)) {
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
    open_first_307(0.95);
    double worst = 0;
    for (int r = 0; r < SOY_ROWS; r++) {
        double p[SOY_CLASSES];
        soy_posterior(&model, &data, r, p);
        tell_all(session, r);
        for (int c = 0; c < SOY_CLASSES; c++)
            worst = fmax(worst, fabs(p[c] - fen_session_verdict(session)->p[c]));
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
    open_first_307(0.95);
    double most = -1;
    for (int i = 0; i < n_rows; i++) {
        char name[REF_TEXT];
        if (!ref_is(&rows[i], "quantity", "root_expected_gain_naive_bayes") || !ref_text(&rows[i], "attribute", name))
            continue;
        const int a = attribute_named(name);
        const double gain = fen_session_gain(session, (fen_id)a + 1);
        bad += !ref_near(&rows[i], 0, gain);
        bad += !(fabs(gain - plain_gain(model.prior, &model.finding[a], SOY_CLASSES)) <= 1e-9);
        best = gain > most ? a : best;
        most = fmax(most, gain);
        n++;
    }
    fen_question q;
    fen_session_next(session, &q);
    assert_int_equal(n, 35);
    assert_int_equal(bad, 0);
    assert_int_equal(q.finding, best + 1);
    assert_string_equal(data.attribute[best], "leafspot-size");
}

/* Half way through a consultation too, where P is no longer the prior. */
static void gains_in_the_middle_are_those_of_the_posterior(void **state)
{
    double worst = 0;
    (void)state;
    open_first_307(0.95);
    for (int r = 307; r < SOY_ROWS; r += 5) {
        fen_session_clear(session);
        for (int a = 0; a < SOY_ATTRIBUTES; a += 3)
            tell(session, r, a);
        const double *p = fen_session_verdict(session)->p;
        double prior[SOY_CLASSES];
        memcpy(prior, p, sizeof prior);
        for (int a = 1; a < SOY_ATTRIBUTES; a++)
            if (a % 3 != 0)
                worst = fmax(worst, fabs(fen_session_gain(session, (fen_id)a + 1) - plain_gain(prior, &model.finding[a], SOY_CLASSES)));
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
        if ((int)c != class_named(word) || !(fabs(v->p[c] - want) <= 1e-5 * want))
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
    return asked == k->asked && answered == k->answered && (int)v->ranking.at[0] == class_named(name) && fabs(v->p[v->ranking.at[0]] - p) <= 2e-6;
}

static bool right_order(const ref_row *row, const course *k)
{
    char text[REF_TEXT];
    int i = 0;
    snprintf(text, sizeof text, "%s", row->expected);
    for (char *word = strtok(text, ";"); word; word = strtok(NULL, ";"), i++)
        if (i >= k->asked || k->order[i] != attribute_named(word))
            return false;
    return i == k->asked || i == 8;
}

static void single_cases_take_the_published_course(void **state)
{
    int n = 0, bad = 0;
    (void)state;
    open_first_307(0.95);
    for (int i = 0; i < n_rows; i++) {
        double number;
        char q[REF_TEXT];
        bool fine = false;
        course k;
        if (!ref_number(&rows[i], "row", &number) || !ref_text(&rows[i], "quantity", q))
            continue;
        const int r = (int)number - 1;
        if (strcmp(q, "posterior_top3") == 0) {
            tell_all(session, r);
            fine = right_top(&rows[i], fen_session_verdict(session));
        } else {
            consult(session, r, &k);
            fine = strcmp(q, "first_questions") == 0 ? right_order(&rows[i], &k) : right_counts(&rows[i], &k, fen_session_verdict(session));
        }
        if (!fine)
            print_error("%s %s: not %s\n", rows[i].id, rows[i].input, rows[i].expected);
        n++;
        bad += !fine;
    }
    assert_int_equal(n, 27);
    assert_int_equal(bad, 0);
}

/* ---- whole evaluations ---- */

typedef enum way { ALL_ANSWERS, ASK, FILE_ORDER } way;
typedef struct score {
    int n, top1, top3, ran_out, asked[SOY_ROWS], asked_sum, answered_sum;
    double brier, log_loss, bin_p[10], bin_right[10];
    int bin_n[10], confusion[SOY_CLASSES][SOY_CLASSES];
} score;

static void add_case(score *x, int row, const fen_verdict *v, const course *k)
{
    const int truth = soy_class(&data, row), top = (int)v->ranking.at[0];
    const double p = v->p[top];
    const int bin = p >= 1 ? 9 : (int)(p * 10);
    for (uint32_t i = 0; i < 3; i++)
        x->top3 += (int)v->ranking.at[i] == truth;
    for (int c = 0; c < model.n_causes; c++)
        x->brier += (v->p[c] - (c == truth)) * (v->p[c] - (c == truth));
    x->log_loss -= log(fmin(fmax(v->p[truth], 1e-15), 1 - 1e-15));
    x->top1 += top == truth;
    x->confusion[truth][top]++;
    x->bin_p[bin] += p;
    x->bin_right[bin] += top == truth;
    x->bin_n[bin]++;
    x->asked[x->n++] = k->asked;
    x->asked_sum += k->asked;
    x->answered_sum += k->answered;
    x->ran_out += k->ran_out;
}

static void run_cases(score *x, const bool test[SOY_ROWS], way how)
{
    for (int r = 0; r < SOY_ROWS; r++) {
        course k = {0};
        if (!test[r])
            continue;
        if (how == ALL_ANSWERS)
            tell_all(session, r);
        else if (how == ASK)
            consult(session, r, &k);
        else
            consult_in_file_order(session, r, &k);
        add_case(x, r, fen_session_verdict(session), &k);
    }
}

static void by_rank_in_class(score *x, way how, double stop)
{
    int rank[SOY_ROWS], seen[SOY_CLASSES] = {0};
    for (int r = 0; r < SOY_ROWS; r++)
        rank[r] = seen[soy_class(&data, r)]++;
    for (int fold = 0; fold < 10; fold++) {
        bool use[SOY_ROWS], test[SOY_ROWS];
        for (int r = 0; r < SOY_ROWS; r++)
            use[r] = !(test[r] = rank[r] % 10 == fold);
        open_model(use, SOY_CLASSES, stop);
        run_cases(x, test, how);
    }
}

static void by_halves(score *x, way how, double stop, int n_classes)
{
    bool use[SOY_ROWS], test[SOY_ROWS];
    for (int r = 0; r < SOY_ROWS; r++) {
        use[r] = r < 307 && soy_class(&data, r) < n_classes;
        test[r] = r >= 307 && soy_class(&data, r) < n_classes;
    }
    open_model(use, n_classes, stop);
    run_cases(x, test, how);
}

static int by_size(const void *a, const void *b)
{
    return *(const int *)a - *(const int *)b;
}

static double kappa(const score *x)
{
    double chance = 0;
    for (int c = 0; c < SOY_CLASSES; c++) {
        double truth = 0, said = 0;
        for (int k = 0; k < SOY_CLASSES; k++) {
            truth += x->confusion[c][k];
            said += x->confusion[k][c];
        }
        chance += truth * said / ((double)x->n * x->n);
    }
    return ((double)x->top1 / x->n - chance) / (1 - chance);
}

static double calibration_error(const score *x)
{
    double sum = 0;
    for (int i = 0; i < 10; i++)
        sum += fabs(x->bin_p[i] - x->bin_right[i]) / x->n;
    return sum;
}

/* As numpy has it: linear between the two neighbours. */
static double quantile(const int *sorted, int n, double q)
{
    const double at = q * (n - 1);
    const int i = (int)at;
    return i + 1 < n ? sorted[i] + (at - i) * (sorted[i + 1] - sorted[i]) : sorted[n - 1];
}

/* The quantity of a row, as numbers; how many. */
static int quantity(const score *x, const char *q, double ret[4])
{
    static int sorted[SOY_ROWS];
    const double n = x->n;
    memcpy(sorted, x->asked, sizeof sorted);
    qsort(sorted, (size_t)x->n, sizeof sorted[0], by_size);
    const double median = quantile(sorted, x->n, 0.5);
    const struct {
        const char *name;
        int count;
        double value[4];
    } all[] = {{"top1_correct_of_n", 2, {x->top1, n}},
               {"top3_correct_of_n", 2, {x->top3, n}},
               {"top1_acc", 1, {x->top1 / n}},
               {"top3_acc", 1, {x->top3 / n}},
               {"brier", 1, {x->brier / n}},
               {"logloss", 1, {x->log_loss / n}},
               {"ece10", 1, {calibration_error(x)}},
               {"kappa", 1, {kappa(x)}},
               {"mean_questions;mean_answered;median_questions", 3, {x->asked_sum / n, x->answered_sum / n, median}},
               {"mean_questions;top1_correct", 2, {x->asked_sum / n, x->top1}},
               {"cases_that_ran_out_of_questions", 1, {x->ran_out}},
               {"questions_p25;p50;p75;p90", 4, {quantile(sorted, x->n, 0.25), median, quantile(sorted, x->n, 0.75), quantile(sorted, x->n, 0.9)}}};
    for (size_t i = 0; i < sizeof all / sizeof all[0]; i++)
        if (strcmp(all[i].name, q) == 0) {
            memcpy(ret, all[i].value, sizeof all[i].value);
            return all[i].count;
        }
    return 0;
}

static int compare_rows(const char *model_name, const char *evaluation, const score *x, int *ret_bad)
{
    int n = 0;
    for (int i = 0; i < n_rows; i++) {
        char q[REF_TEXT], class_name[REF_TEXT];
        double got[4];
        if (!ref_is(&rows[i], "model", model_name) || !ref_is(&rows[i], "evaluation", evaluation) || !ref_text(&rows[i], "quantity", q))
            continue;
        int count = quantity(x, q, got);
        if (ref_text(&rows[i], "class", class_name)) {
            const int c = class_named(class_name);
            count = 3;
            memset(got, 0, sizeof got);
            got[0] = x->confusion[c][c];
            for (int k = 0; k < SOY_CLASSES; k++) {
                got[1] += x->confusion[c][k];
                got[2] += x->confusion[k][c];
            }
        }
        if (count == 0)
            print_error("%s: nothing here computes '%s'\n", rows[i].id, q);
        *ret_bad += count == 0;
        for (int k = 0; k < count; k++)
            *ret_bad += !ref_near(&rows[i], k, got[k]);
        n++;
    }
    return n;
}

static void whole_evaluations_come_out_as_published(void **state)
{
    static const struct {
        const char *model;
        way how;
        double stop;
    } models[] = {{"nb_missing_ignored", ALL_ANSWERS, 0.95},
                  {"greedy_eig_missing_no_update_stop0.9", ASK, 0.9},
                  {"greedy_eig_missing_no_update_stop0.95", ASK, 0.95},
                  {"greedy_eig_missing_no_update_stop0.99", ASK, 0.99},
                  {"fixed_file_order_missing_no_update_stop0.95", FILE_ORDER, 0.95}};
    int n = 0, bad = 0;
    (void)state;
    for (size_t i = 0; i < sizeof models / sizeof models[0]; i++) {
        static score x;
        memset(&x, 0, sizeof x);
        by_rank_in_class(&x, models[i].how, models[i].stop);
        n += compare_rows(models[i].model, "folds_by_rank_in_class_mod10", &x, &bad);
        print_message("%s, ten folds: %d of %d right, %.3f questions\n", models[i].model, x.top1, x.n, (double)x.asked_sum / x.n);
        memset(&x, 0, sizeof x);
        by_halves(&x, models[i].how, models[i].stop, SOY_CLASSES);
        n += compare_rows(models[i].model, "train307_test376", &x, &bad);
        memset(&x, 0, sizeof x);
        by_halves(&x, models[i].how, models[i].stop, 15);
        n += compare_rows(models[i].model, "first15classes_train290_test340", &x, &bad);
    }
    print_message("%d published figures compared\n", n);
    assert_true(n >= 95);
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
    open_first_307(0.95);
    for (int c = 0; c < SOY_CLASSES; c++)
        cause_from[c] = data.value[SOY_ATTRIBUTES][c];
    for (int a = 0; a < SOY_ATTRIBUTES; a++)
        finding_from[a] = data.attribute[a];
    plain_names(causes, SOY_CLASSES, cause_from, model.cause_name);
    plain_names(findings, SOY_ATTRIBUTES, finding_from, finding_to);
    for (int a = 0; a < SOY_ATTRIBUTES; a++)
        model.finding[a].name = finding_to[a];
    fen_base *loaded = load_pack(&model);
    fen_session *s = NULL;
    assert_int_equal(fen_session_new(loaded, 0, &s), FEN_OK);
    assert_int_equal(fen_base_findings(loaded), SOY_ATTRIBUTES + 1);
    assert_int_equal(fen_base_causes(loaded), SOY_CLASSES + 1);
    for (int r = 307; r < SOY_ROWS; r++) {
        course drafted, packed;
        tell_all(session, r);
        tell_all(s, r);
        for (int c = 0; c < SOY_CLASSES; c++)
            worst = fmax(worst, fabs(fen_session_verdict(session)->p[c] - fen_session_verdict(s)->p[c]));
        consult(session, r, &drafted);
        consult(s, r, &packed);
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
    return n_rows > 0 && soy_read(&data) ? 0 : -1;
}

static int close_everything(void **state)
{
    (void)state;
    close_model();
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
        cmocka_unit_test(whole_evaluations_come_out_as_published),
        cmocka_unit_test(a_pack_with_these_counts_does_the_same),
    };
    return cmocka_run_group_tests(tests, read_everything, close_everything);
}
