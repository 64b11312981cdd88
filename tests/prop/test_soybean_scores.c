/* Whole evaluations on the soybean data: all answers given, or questions asked
 * until 90, 95 or 99 %, by ten folds and by the usual halves. Every figure of
 * tests/reference/soybean.csv (accuracy, Brier score, log loss, calibration,
 * kappa, questions asked) comes out to the last digit printed there.
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

typedef enum way { ALL_ANSWERS, ASK, FILE_ORDER } way;
typedef struct score {
    int n, top1, top3, ran_out, asked[SOY_ROWS], asked_sum, answered_sum;
    double brier, log_loss, bin_p[10], bin_right[10];
    int bin_n[10], confusion[SOY_CLASSES][SOY_CLASSES];
} score;

static void add_case(score *x, int row, const fen_verdict *v, const course *k)
{
    const int truth = soy_class(&soy_data, row), top = (int)v->ranking.at[0];
    const double p = v->p[top];
    const int bin = p >= 1 ? 9 : (int)(p * 10);
    for (uint32_t i = 0; i < 3; i++)
        x->top3 += (int)v->ranking.at[i] == truth;
    for (int c = 0; c < soy_model.n_causes; c++)
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
            soy_case_tell_all(soy_session, r);
        else if (how == ASK)
            soy_case_consult(soy_session, r, &k);
        else
            soy_case_in_file_order(soy_session, r, &k);
        add_case(x, r, fen_session_verdict(soy_session), &k);
    }
}

static void by_rank_in_class(score *x, way how, double stop)
{
    int rank[SOY_ROWS], seen[SOY_CLASSES] = {0};
    for (int r = 0; r < SOY_ROWS; r++)
        rank[r] = seen[soy_class(&soy_data, r)]++;
    for (int fold = 0; fold < 10; fold++) {
        bool use[SOY_ROWS], test[SOY_ROWS];
        for (int r = 0; r < SOY_ROWS; r++)
            use[r] = !(test[r] = rank[r] % 10 == fold);
        soy_case_open(use, SOY_CLASSES, stop);
        run_cases(x, test, how);
    }
}

static void by_halves(score *x, way how, double stop, int n_classes)
{
    bool use[SOY_ROWS], test[SOY_ROWS];
    for (int r = 0; r < SOY_ROWS; r++) {
        use[r] = r < 307 && soy_class(&soy_data, r) < n_classes;
        test[r] = r >= 307 && soy_class(&soy_data, r) < n_classes;
    }
    soy_case_open(use, n_classes, stop);
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
            const int c = soy_class_named(class_name);
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
        cmocka_unit_test(whole_evaluations_come_out_as_published),
    };
    return cmocka_run_group_tests(tests, read_everything, close_everything);
}
