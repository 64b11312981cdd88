/* test_stats.c -- scores and tests against published rows (tests/reference/scoring.csv),
 * published worked examples by name, and scipy where it is installed.
 */
#include <float.h>

#include "casebook/grade.h"
#include "casebook/stats.h"
#include "fenmend/score.h"
#include "support/flat_base.h"
#include "support/reference.h"
#include "unit.h"

static ref_row rows[REF_ROWS];
static int n_rows;

static const char *quantity(const ref_row *r)
{
    static char text[REF_TEXT];
    return ref_text(r, "quantity", text) ? text : "";
}

/* How many of the rows were of this quantity; all must be near. */
static void each(const char *what, bool (*check)(const ref_row *r), int at_least)
{
    int n = 0;
    for (int i = 0; i < n_rows; i++)
        if (strcmp(quantity(&rows[i]), what) == 0) {
            n++;
            if (!check(&rows[i]))
                fail_msg("%s: %s", rows[i].id, rows[i].input);
        }
    assert_true(n >= at_least);
}

static int numbers(const ref_row *r, const char *key, double ret[REF_LIST])
{
    char text[REF_TEXT];
    return ref_text(r, key, text) ? ref_list(text, ret) : 0;
}

/* -- chances: through a rule base whose usual rates are the row's ------------- */

typedef struct graded {
    fen_grade grade[16];
    int n;
} graded;

static fen_grade grade_several(const double *p, int n, const fen_id *was, uint32_t n_was)
{
    static flat_base flat;
    fen_base *base;
    fen_session *s, *user;
    fen_grade g;
    memset(&flat, 0, sizeof flat);
    flat.n_causes = n;
    flat.stop_level = 0.9;
    for (int i = 0; i < n; i++)
        flat.prior[i] = p[i] > 0 ? p[i] : 1e-300;
    assert_int_equal(flat_build(&flat, &base), FEN_OK);
    assert_int_equal(fen_session_new(base, 0, &s), FEN_OK);
    assert_int_equal(fen_session_new(base, 0, &user), FEN_OK);
    const fen_visit visit = { .settled = { was, n_was } };
    const fen_case c = { .id = "x", .kind = FEN_NONE, .visits = &visit, .n_visits = 1 };
    fen_grade_case(&c, visit.settled, s, user, &g);
    fen_session_free(s);
    fen_session_free(user);
    fen_base_free(base);
    return g;
}

static fen_grade grade_one(const double *p, int n, fen_id was)
{
    return grade_several(p, n, &was, 1);
}

/* "y=0;1 P=0.7,0.2,0.1|..." or, of two classes, "P(1)=0.9;0.1" or "p=..." */
static graded grade_row(const ref_row *r)
{
    graded all = { .n = 0 };
    double y[REF_LIST], p[REF_LIST];
    const int n = numbers(r, "y", y);
    const bool many = numbers(r, "P", p) > 0;
    if (!many && !numbers(r, "P(1)", p))
        (void)numbers(r, "p", p);
    for (int i = 0; i < n; i++) {
        const double two[2] = { 1 - p[i], p[i] };
        all.grade[all.n++] = many ? grade_one(p + 3 * i, 3, (fen_id)y[i]) : grade_one(two, 2, (fen_id)y[i]);
    }
    assert_true(all.n > 0);
    return all;
}

static bool brier_is(const ref_row *r)
{
    const graded g = grade_row(r);
    double sum = 0;
    for (int i = 0; i < g.n; i++)
        sum += g.grade[i].brier;
    return ref_near(r, 0, sum / g.n / (strstr(r->input, "sum_form") ? 1 : 2)); /* the binary form is half of it */
}

static bool log_loss_is(const ref_row *r)
{
    const graded g = grade_row(r);
    double sum = 0;
    for (int i = 0; i < g.n; i++)
        sum += g.grade[i].log_loss;
    return ref_near(r, 0, sum / g.n);
}

static bool top_k_is(const ref_row *r)
{
    const graded g = grade_row(r);
    double k = 0, right = 0;
    assert_true(ref_number(r, "k", &k));
    for (int i = 0; i < g.n; i++)
        right += g.grade[i].rank >= 1 && g.grade[i].rank <= k;
    return ref_near(r, 0, right / g.n);
}

static void brier_log_loss_and_rank_are_those_of_the_library(void **unused)
{
    (void)unused;
    each("brier_binary", brier_is, 4);
    each("brier_multiclass_sum_form", brier_is, 1);
    each("log_loss", log_loss_is, 4);
    each("top_k_accuracy", top_k_is, 3);
}

static void several_settled_causes_count_as_one(void **unused)
{
    const double p[4] = { 0.4, 0.3, 0.2, 0.1 };
    const uint32_t right[2] = { 1, 3 };
    (void)unused;
    assert_near(fen_brier(p, 4, right, 2), 0.6 * 0.6 + 0.16 + 0.04, 1e-15);
    assert_near(fen_brier(p, 4, right, 1), 0.7 * 0.7 + 0.16 + 0.04 + 0.01, 1e-15);
}

/* -- intervals, calibration, agreement ------------------------------------------ */

/* Both are judged, so that a row tells all that is wrong with it. */
static bool both(bool a, bool b)
{
    return a && b;
}

static bool wilson_is(const ref_row *r)
{
    double k = 0, n = 0, z = FEN_Z95, level, lo, hi;
    if (ref_number(r, "confidence", &level))
        z = level < 0.95 ? 1.6448536269514722 : 2.5758293035489004;
    assert_true(ref_number(r, "k", &k) && ref_number(r, "n", &n));
    fen_wilson((uint64_t)k, (uint64_t)n, z, &lo, &hi);
    return both(ref_near(r, 0, lo), ref_near(r, 1, hi));
}

/* TOP: confidence is that of the label chosen; else of class 1. BY_LABEL: right is the label chosen. */
static void fill_bins(const ref_row *r, fen_bin *bins, int n_bins, bool top, bool by_label)
{
    double p[REF_LIST], y[REF_LIST];
    const int n = numbers(r, "p", p);
    (void)numbers(r, "y", y);
    for (int i = 0; i < n; i++) {
        const double said = top ? fmax(p[i], 1 - p[i]) : p[i];
        fen_bin *b = &bins[fen_bin_of(said, (size_t)n_bins)];
        b->n++;
        b->confidence += said;
        b->right += by_label ? (p[i] >= 0.5) == (y[i] > 0) : y[i] > 0;
    }
}

static double calibration(const ref_row *r, double *ret_largest)
{
    fen_bin bins[REF_LIST] = { { 0 } };
    double n_bins = 0, n[REF_LIST], conf[REF_LIST], acc[REF_LIST];
    int count = numbers(r, "bins_n", n);
    (void)numbers(r, "bins_conf", conf);
    (void)numbers(r, "bins_acc", acc);
    for (int i = 0; i < count; i++)
        bins[i] = (fen_bin){ (uint64_t)n[i], (uint64_t)(n[i] * acc[i]), n[i] * conf[i] };
    if (!count) {
        assert_true(ref_number(r, "bins", &n_bins));
        count = (int)n_bins;
        fill_bins(r, bins, count, strcmp(quantity(r), "ECE_top_label") == 0, strcmp(quantity(r), "ECE_positive_rate") != 0);
    }
    return fen_calibration_error(bins, (size_t)count, ret_largest);
}

static bool ece_is(const ref_row *r)
{
    double largest;
    return ref_near(r, 0, calibration(r, &largest));
}

static bool mce_is(const ref_row *r)
{
    double largest;
    (void)calibration(r, &largest);
    return ref_near(r, 0, largest);
}

static size_t table_of(const ref_row *r, uint64_t table[REF_LIST])
{
    double cells[REF_LIST];
    const int n = numbers(r, "table", cells);
    for (int i = 0; i < n; i++)
        table[i] = (uint64_t)cells[i];
    return (size_t)lround(sqrt(n));
}

static bool kappa_is(const ref_row *r)
{
    uint64_t table[REF_LIST];
    double se;
    const size_t n = table_of(r, table);
    return ref_near(r, 0, fen_kappa(table, n, &se));
}

static bool kappa_ase_is(const ref_row *r)
{
    uint64_t table[REF_LIST];
    double se;
    const size_t n = table_of(r, table);
    (void)fen_kappa(table, n, &se);
    return ref_near(r, 0, se);
}

static bool kappa_interval_is(const ref_row *r)
{
    uint64_t table[REF_LIST];
    double se;
    const size_t n = table_of(r, table);
    const double k = fen_kappa(table, n, &se);
    return both(ref_near(r, 0, k - FEN_Z95 * se), ref_near(r, 1, k + FEN_Z95 * se));
}

static bool recall_is(const ref_row *r)
{
    double was[REF_LIST], judged[REF_LIST];
    uint64_t table[4] = { 0 };
    const int n = numbers(r, "y_true", was);
    (void)numbers(r, "y_pred", judged);
    for (int i = 0; i < n; i++)
        table[2 * (int)was[i] + (int)judged[i]]++;
    return ref_near(r, 0, fen_mean_recall(table, 2));
}

static void intervals_and_calibration_are_those_published(void **unused)
{
    (void)unused;
    each("wilson", wilson_is, 15);
    each("ECE_variant_p1", ece_is, 1);
    each("ECE_top_label", ece_is, 1);
    each("ECE_positive_rate", ece_is, 1);
    each("ECE", ece_is, 1);
    each("MCE", mce_is, 1);
}

static void agreement_is_that_published(void **unused)
{
    (void)unused;
    each("kappa", kappa_is, 5);
    each("kappa_ASE", kappa_ase_is, 1);
    each("kappa_95CI", kappa_interval_is, 1);
    each("balanced_accuracy", recall_is, 1);
}

static bool mcnemar_is(const ref_row *r)
{
    uint64_t t[REF_LIST];
    double corrected = 0;
    (void)table_of(r, t);
    (void)ref_number(r, "correction", &corrected);
    const double chi2 = fen_mcnemar_chi2(t[1], t[2], corrected > 0);
    return both(ref_near(r, 0, chi2), ref_near(r, 1, fen_chi2_tail(chi2)));
}

static bool mcnemar_exact_is(const ref_row *r)
{
    uint64_t t[REF_LIST];
    (void)table_of(r, t);
    return ref_near(r, 0, fen_mcnemar_exact(t[1], t[2]));
}

static void two_judges_are_compared_as_published(void **unused)
{
    (void)unused;
    each("mcnemar_chi2;p", mcnemar_is, 10);
    each("mcnemar_exact_p", mcnemar_exact_is, 8);
}

/* scikit-learn's confusion_matrix example, SCO-015: rows are the truth. */
static void the_confusion_table_has_the_truth_in_its_rows(void **unused)
{
    static const fen_id was[] = { 2, 0, 2, 2, 0, 1 }, judged[] = { 0, 0, 2, 2, 0, 2 };
    static const uint64_t want[3][3] = { { 2, 0, 0 }, { 0, 0, 1 }, { 1, 0, 2 } };
    static flat_base flat = { .n_causes = 3, .prior = { 0.4, 0.3, 0.3 }, .stop_level = 0.9 };
    fen_base *base;
    fen_score *score;
    const fen_score_sums *sums;
    (void)unused;
    assert_int_equal(flat_build(&flat, &base), FEN_OK);
    assert_int_equal(fen_score_new(base, &score), FEN_OK);
    for (size_t i = 0; i < COUNT(was); i++)
        fen_score_add(score, &(fen_grade){ .settled = true, .was = was[i], .judged = judged[i], .found = judged[i] });
    assert_int_equal(fen_score_sum(score, &sums), FEN_OK);
    uint64_t got[3][3] = { { 0 } };
    for (size_t i = 0; i < sums->n_confusion; i++)
        got[sums->confusion[i].was][sums->confusion[i].judged] = sums->confusion[i].n;
    assert_memory_equal(got, want, sizeof want);
    fen_score_free(score);
    fen_base_free(base);
}

/* Causes 1 and 2 are equally likely, 3 is less so, 0 leads. */
static void of_several_settled_causes_the_likeliest_stands_for_the_case_in_any_order(void **unused)
{
    static const double p[] = { 0.5, 0.2, 0.2, 0.1 };
    static const struct { fen_id was[2], stands; uint32_t rank; } several[] = {
        { { 0, 3 }, 0, 1 }, { { 3, 0 }, 0, 1 }, /* the leading cause, if it is named */
        { { 2, 3 }, 2, 3 }, { { 3, 2 }, 2, 3 },
        { { 1, 2 }, 1, 2 }, { { 2, 1 }, 1, 2 }, /* among equals the first of the base */
    };
    (void)unused;
    for (size_t i = 0; i < COUNT(several); i++) {
        const fen_grade g = grade_several(p, COUNT(p), several[i].was, 2);
        assert_int_equal(g.was, several[i].stands);
        assert_int_equal(g.judged, 0);
        assert_int_equal(g.rank, several[i].rank);
    }
}

/* -- Fisher and Holm --------------------------------------------------------------- */

/* R. A. Fisher, The Design of Experiments (1935), chapter II: a lady tells whether milk or
 * tea was poured first, eight cups, four of each; all right by chance: 1 in 70. And Fisher
 * 1935, J. Roy. Stat. Soc. 98(1): of 13 criminals' monozygotic twins 10 were convicted, of 17
 * dizygotic ones 2; one-sided chance 619/1330665. */
static void the_lady_tasting_tea_and_the_criminal_twins(void **unused)
{
    (void)unused;
    assert_near(fen_fisher_more(4, 0, 0, 4), 1.0 / 70, 1e-15);
    assert_near(fen_fisher_more(3, 1, 1, 3), 17.0 / 70, 1e-15);
    assert_near(fen_fisher_more(10, 3, 2, 15), 619.0 / 1330665, 1e-15);
    assert_near(fen_fisher_more(0, 5, 3, 9), 1, 1e-15);
    assert_near(fen_fisher_more(0, 0, 0, 0), 1, 0);
}

/* Chances below all numbers: logarithms of whole-number binomials, to 60 digits, by Python's
 * math.comb and decimal. All but the first are of one table alone where b and c are 0. */
static void a_chance_too_small_for_a_number_is_still_above_nothing(void **unused)
{
    static const struct { uint64_t a, b, c, d; double ln; } small[] = {
        { 700, 5, 3, 900, -1051.3385129562407 },   { 511, 0, 0, 511, -704.70562417588128 },
        { 514, 0, 0, 514, -708.86158184934838 },   { 550, 0, 0, 550, -758.73434726120591 },
        { 900, 100, 400, 9000, -1941.7811087278820 }, { 30000, 5000, 5000, 30000, -19816.529223936459 },
        { 35000, 0, 0, 35000, -48514.498719011513 },
    };
    (void)unused;
    for (size_t i = 0; i < COUNT(small); i++) {
        const double ln = fen_fisher_more_ln(small[i].a, small[i].b, small[i].c, small[i].d);
        const double p = fen_fisher_more(small[i].a, small[i].b, small[i].c, small[i].d);
        assert_near(ln, small[i].ln, -small[i].ln * 1e-14);
        if (exp(small[i].ln) >= DBL_MIN)
            assert_near(p, exp(small[i].ln), p * 1e-12);
        else
            assert_true(p >= DBL_MIN && p <= DBL_MIN);
    }
    assert_near(fen_mcnemar_exact(0, 1000), ldexp(1, -999), ldexp(1, -1030)); /* 2 / 2^n */
    assert_near(fen_mcnemar_exact(0, 1022), ldexp(1, -1021), ldexp(1, -1060));
    assert_near(fen_mcnemar_exact(0, 1200), DBL_MIN, 0);
    assert_near(fen_mcnemar_exact(40000, 1), DBL_MIN, 0);
    assert_near(fen_fisher_more_ln(4, 0, 0, 4), log(1.0 / 70), 1e-15);
    assert_near(fen_fisher_more_ln(0, 5, 3, 9), 0, 1e-15);
}

/* By the definition, in whole numbers: all tables of small margins. */
static uint64_t choose(uint64_t n, uint64_t k)
{
    uint64_t c = 1;
    for (uint64_t i = 1; i <= k; i++)
        c = c * (n - k + i) / i;
    return k > n ? 0 : c;
}

static void every_small_table_equals_its_definition(void **unused)
{
    (void)unused;
    for (uint64_t a = 0; a < 7; a++)
        for (uint64_t b = 0; b < 7; b++)
            for (uint64_t c = 0; c < 7; c++)
                for (uint64_t d = 0; d < 7; d++) {
                    double sum = 0;
                    for (uint64_t x = a; x <= a + b && x <= a + c; x++)
                        sum += (double)(choose(a + b, x) * choose(c + d, a + c - x));
                    assert_near(fen_fisher_more(a, b, c, d), sum / (double)choose(a + b + c + d, a + c), 1e-13);
                }
}

/* Debian's python3-scipy, if it is there, over random tables up to hundreds of thousands. */
static const char scipy[] =
    "import sys\nfrom scipy.stats import fisher_exact\n"
    "for l in sys.stdin:\n a,b,c,d,p=l.split();q=fisher_exact([[int(a),int(b)],[int(c),int(d)]],'greater')[1];p=float(p)\n"
    " if abs(p-q)>1e-9*q and max(p,q)>1e-290: print(l,q); sys.exit(1)\n";

static void random_tables_equal_scipy(void **unused)
{
    char command[1024];
    uint64_t state = 12345;
    (void)unused;
    if (system("/usr/bin/python3 -c 'import scipy.stats' 2>/dev/null"))
        skip();
    snprintf(command, sizeof command, "/usr/bin/python3 -c \"%s\"", scipy);
    FILE *out = popen(command, "w");
    assert_non_null(out);
    for (int i = 0; i < 600; i++) {
        uint64_t t[4];
        for (int k = 0; k < 4; k++) {
            state = state * UINT64_C(6364136223846793005) + UINT64_C(1442695040888963407);
            t[k] = (state >> 33) % (i < 300 ? 30 : i < 500 ? 2000 : k == 3 ? 200000 : 5000);
        }
        fprintf(out, "%llu %llu %llu %llu %.17g\n", (unsigned long long)t[0], (unsigned long long)t[1],
                (unsigned long long)t[2], (unsigned long long)t[3], fen_fisher_more(t[0], t[1], t[2], t[3]));
    }
    assert_int_equal(pclose(out), 0);
}

/* Worked by hand from Holm 1979: p(i) (m - i + 1), never decreasing, at most 1; R's
 * p.adjust(c(0.01, 0.02, 0.03, 0.04, 0.5), "holm") gives the same. */
static void holm_multiplies_by_what_is_left(void **unused)
{
    static const double p[] = { 0.01, 0.02, 0.03, 0.04, 0.5 }, want[] = { 0.05, 0.08, 0.09, 0.09, 0.5 };
    fen_holm_state h = { .m = COUNT(p) }, high = { .m = 2 };
    (void)unused;
    for (size_t i = 0; i < COUNT(p); i++)
        assert_near(fen_holm_next(&h, p[i]), want[i], 1e-15);
    assert_near(fen_holm_next(&high, 0.4), 0.8, 1e-15);
    assert_near(fen_holm_next(&high, 0.9), 0.9, 1e-15);
}

static int read_rows(void **unused)
{
    (void)unused;
    n_rows = ref_read("scoring.csv", rows);
    return n_rows > 0 ? 0 : -1;
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(brier_log_loss_and_rank_are_those_of_the_library),
        cmocka_unit_test(several_settled_causes_count_as_one),
        cmocka_unit_test(intervals_and_calibration_are_those_published),
        cmocka_unit_test(agreement_is_that_published),
        cmocka_unit_test(two_judges_are_compared_as_published),
        cmocka_unit_test(the_confusion_table_has_the_truth_in_its_rows),
        cmocka_unit_test(of_several_settled_causes_the_likeliest_stands_for_the_case_in_any_order),
        cmocka_unit_test(the_lady_tasting_tea_and_the_criminal_twins),
        cmocka_unit_test(every_small_table_equals_its_definition),
        cmocka_unit_test(a_chance_too_small_for_a_number_is_still_above_nothing),
        cmocka_unit_test(random_tables_equal_scipy),
        cmocka_unit_test(holm_multiplies_by_what_is_left),
    };
    return cmocka_run_group_tests(tests, read_rows, NULL);
}
