/* Odds, likelihood ratios, decibans, posteriors and information gains out of
 * the literature (tests/reference/evidence.csv: sections on evidence arithmetic
 * and information theory), each computed by the engine from a rule base made for
 * the row. Rows about something the engine does not do are skipped by name; a
 * row that is neither computed nor named as skipped fails.
 *
 * Probabilities here are relative frequencies without smoothing: the usual
 * share of an answer is P(v), its weight 10 log10 P(v|c)/P(v), and a count of
 * zero excludes the cause.
 */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "model/draft.h"
#include "support/flat_base.h"
#include "support/reference.h"

/* ---- two causes and plain weights ---- */

static fen_base *weights_base(double prior_a, double prior_b, const double *dban, int n)
{
    const fen_option o[2] = {{.id = "yes", .say = "yes", .usual = 0.5}, {.id = "no", .say = "no", .usual = 0.5}};
    fen_draft *d = fen_draft_new();
    fen_base *base = NULL;
    fen_cycle cycle;
    fen_id f = 0;
    char text[16];
    assert_non_null(d);
    assert_int_equal(fen_draft_seal_kinds(d), FEN_OK);
    assert_int_equal(fen_draft_finding(d, (fen_finding){.id = "it", .name = "it", .ask = "is it?", .type = FEN_YES_NO, .options = o, .n_options = 2,
                                                        .default_option = FEN_NONE, .ask_when = FEN_NONE}, &f), FEN_OK);
    assert_true(FEN_VEC_PUSH(&d->causes, (fen_cause){.id = "a", .name = "a", .usual = prior_a, .deciding = FEN_NONE}));
    assert_true(FEN_VEC_PUSH(&d->causes, (fen_cause){.id = "b", .name = "b", .usual = prior_b, .deciding = FEN_NONE}));
    for (int i = 0; i < n; i++) {
        fen_effect *e = fen_arena_zeroed(d->arena, 1, sizeof *e);
        assert_non_null(e);
        *e = (fen_effect){.op = FEN_WEIGH, .target = 0, .weight = (fen_weight)llround(dban[i] * (double)FEN_DBAN)};
        const int len = snprintf(text, sizeof text, "rule-%d", i);
        fen_rule r = {.id = fen_arena_text(d->arena, text, (size_t)len), .why = "given", .effects = e, .n_effects = 1};
        assert_int_equal(fen_draft_cond(d, FEN_COND_TEST, NULL, 0, d->findings.at[f].first_atom, "it is yes", (fen_place){0}, &r.cond), FEN_OK);
        assert_true(FEN_VEC_PUSH(&d->rules, r));
    }
    d->something_else = 0;
    assert_int_equal(fen_draft_finish(d, &base, &cycle), FEN_OK);
    return base;
}

/* P(a) once all N weights for it have come in. */
static double weighed(double prior_a, double prior_b, const double *dban, int n)
{
    fen_base *base = weights_base(prior_a, prior_b, dban, n);
    fen_session *s = NULL;
    assert_int_equal(fen_session_new(base, 0, &s), FEN_OK);
    assert_int_equal(fen_session_answer(s, 1, (fen_answer){.state = FEN_KNOWN, .picks = 1}), FEN_OK);
    const double p = fen_session_verdict(s)->p[0];
    fen_session_free(s);
    fen_base_free(base);
    return p;
}

static double odds(double p)
{
    return p / (1 - p);
}

/* What one deciban does to odds, as the engine has it. */
static double deciban_ratio(void)
{
    const double one = 1;
    return odds(weighed(1, 1, &one, 1));
}

/* ---- tables of probabilities ---- */

static flat_base table; /* one at a time */

static void new_table(int n_causes, const double *prior)
{
    memset(&table, 0, sizeof table);
    for (int c = 0; c < n_causes; c++)
        if (prior[c] > 0)
            table.prior[table.n_causes++] = prior[c];
    table.stop_level = 1;
}

/* The posterior of cause 0 after finding F got option O; F < 0: nothing asked. */
static double posterior(int f, int o)
{
    fen_base *base = NULL;
    fen_session *s = NULL;
    assert_int_equal(flat_build(&table, &base), FEN_OK);
    assert_int_equal(fen_session_new(base, 0, &s), FEN_OK);
    if (f >= 0)
        assert_int_equal(fen_session_answer(s, (fen_id)f + 1, (fen_answer){.state = FEN_KNOWN, .picks = UINT64_C(1) << o}), FEN_OK);
    const double p = fen_session_verdict(s)->p[0];
    fen_session_free(s);
    fen_base_free(base);
    return p;
}

static double gain_of(int f)
{
    fen_base *base = NULL;
    fen_session *s = NULL;
    assert_int_equal(flat_build(&table, &base), FEN_OK);
    assert_int_equal(fen_session_new(base, 0, &s), FEN_OK);
    const double gain = fen_session_gain(s, (fen_id)f + 1);
    fen_session_free(s);
    fen_base_free(base);
    return gain;
}

/* Ill (cause 0) or not; a test that says yes to SENS of the ill and FPR of the others. */
static void ill_or_not(double ill, double well, double sens, double fpr)
{
    const double prior[2] = {ill, well};
    new_table(2, prior);
    table.n_findings = 1;
    flat_finding *f = &table.finding[0];
    f->n_options = 2;
    f->p[0][0] = sens;
    f->p[0][1] = fpr;
    f->p[1][0] = 1 - sens;
    f->p[1][1] = 1 - fpr;
}

/* The entropy of P is what a question that settles everything would tell. */
static double entropy(const double *p, int n)
{
    new_table(n, p);
    table.n_findings = 1;
    table.finding[0].n_options = table.n_causes;
    for (int c = 0; c < table.n_causes; c++)
        table.finding[0].p[c][c] = 1;
    return gain_of(0);
}

/* JOINT[x * n_y + y] -> a table of causes X and one finding Y. */
static double information(const double *joint, int n_x, int n_y)
{
    double prior[FLAT_CAUSES] = {0};
    for (int x = 0; x < n_x; x++)
        for (int y = 0; y < n_y; y++)
            prior[x] += joint[x * n_y + y];
    new_table(n_x, prior);
    table.n_findings = 1;
    table.finding[0].n_options = n_y;
    for (int x = 0; x < n_x; x++)
        for (int y = 0; y < n_y; y++)
            table.finding[0].p[y][x] = joint[x * n_y + y] / prior[x];
    return gain_of(0);
}

/* ---- the fourteen days of Quinlan 1986 (Mitchell 1997, table 3.2) ---- */

static const char *const day_words[5][3] = {{"sunny", "overcast", "rain"}, {"hot", "mild", "cool"}, {"high", "normal", ""}, {"weak", "strong", ""}, {"yes", "no", ""}};
static const char *const attributes[4] = {"outlook", "temperature", "humidity", "wind"};
static const unsigned char days[14][5] = {{0, 0, 0, 0, 1}, {0, 0, 0, 1, 1}, {1, 0, 0, 0, 0}, {2, 1, 0, 0, 0}, {2, 2, 1, 0, 0}, {2, 2, 1, 1, 1}, {1, 2, 1, 1, 0},
                                          {0, 1, 0, 0, 1}, {0, 2, 1, 0, 0}, {2, 1, 1, 0, 0}, {0, 1, 1, 1, 0}, {1, 1, 0, 1, 0}, {1, 0, 1, 0, 0}, {2, 1, 0, 1, 1}};

static int attribute_named(const char *name)
{
    for (int a = 0; a < 4; a++)
        if (strcmp(name, attributes[a]) == 0)
            return a;
    fail_msg("no attribute '%s'", name);
    return 0;
}

/* The days on which attribute A has value V (A < 0: all), as a table of counts. */
static void weather_table(int a, int v)
{
    double n[2] = {0, 0};
    for (int d = 0; d < 14; d++)
        if (a < 0 || days[d][a] == v)
            n[days[d][4]]++;
    new_table(2, n);
    table.n_findings = 4;
    for (int f = 0; f < 4; f++) {
        table.finding[f].n_options = f < 2 ? 3 : 2;
        for (int d = 0; d < 14; d++)
            if (a < 0 || days[d][a] == v)
                table.finding[f].p[days[d][f]][days[d][4]] += 1 / n[days[d][4]];
    }
}

static void weather_of_row(const ref_row *row)
{
    char text[REF_TEXT];
    if (!ref_text(row, "subset", text)) {
        weather_table(-1, 0);
        return;
    }
    char *value = strchr(text, '=');
    assert_non_null(value);
    *value++ = '\0';
    const int a = attribute_named(text);
    int v = 0;
    while (v < 2 && strcmp(day_words[a][v], value) != 0)
        v++;
    weather_table(a, v);
}

/* ---- one function a kind of row; *RET is what the engine says ---- */

static bool two_by_two(const ref_row *row, double *ret)
{
    double tp, fp, fn, tn;
    char q[REF_TEXT];
    if (!ref_number(row, "tp", &tp) || !ref_number(row, "fp", &fp) || !ref_number(row, "fn", &fn) || !ref_number(row, "tn", &tn) || !ref_text(row, "quantity", q))
        return false;
    ill_or_not(tp + fn, fp + tn, tp / (tp + fn), fp / (fp + tn));
    const double before = posterior(-1, 0), yes = posterior(0, 0), no = posterior(0, 1);
    const struct {
        const char *name;
        double value;
    } all[] = {{"LRpos", odds(yes) / odds(before)},  {"LRneg", odds(no) / odds(before)}, {"PPV", yes},
               {"NPV", 1 - no},                      {"prevalence", before},             {"pretest_odds", odds(before)},
               {"posttest_odds", odds(yes)},         {"posttest_prob", yes},             {"posttest_prob_pos", yes},
               {"posttest_prob_neg", no},            {"diagnostic_odds_ratio", odds(yes) / odds(no)}};
    for (size_t i = 0; i < sizeof all / sizeof all[0]; i++)
        if (strcmp(q, all[i].name) == 0) {
            *ret = all[i].value;
            return true;
        }
    return false;
}

static bool shares_with_and_without(const ref_row *row, double *ret)
{
    double with, of_with, without, of_without;
    if (!ref_number(row, "with", &with) || !ref_number(row, "of_with", &of_with) || !ref_number(row, "without", &without) || !ref_number(row, "of_without", &of_without))
        return false;
    ill_or_not(0.5, 0.5, with / of_with, without / of_without);
    *ret = odds(posterior(0, 0));
    return true;
}

/* A prior of 0 or 1 is an exclusion to the engine: the pack format has no usual
 * rate of zero. */
static double certain(double pretest, double lr)
{
    ill_or_not(0.5, 0.5, lr / (1 + lr), 1 / (1 + lr));
    table.n_findings = 2;
    table.finding[1].n_options = 1;
    table.finding[1].p[0][0] = pretest;
    table.finding[1].p[0][1] = 1 - pretest;
    fen_base *base = NULL;
    fen_session *s = NULL;
    assert_int_equal(flat_build(&table, &base), FEN_OK);
    assert_int_equal(fen_session_new(base, 0, &s), FEN_OK);
    for (fen_id f = 1; f <= 2; f++)
        assert_int_equal(fen_session_answer(s, f, (fen_answer){.state = FEN_KNOWN, .picks = 1}), FEN_OK);
    const double p = fen_session_verdict(s)->p[0];
    fen_session_free(s);
    fen_base_free(base);
    return p;
}

static bool pretest_and_ratio(const ref_row *row, double *ret)
{
    double pretest, lr;
    if (!ref_number(row, "pretest", &pretest) || !ref_number(row, "LR", &lr))
        return false;
    const double w = 10 * log10(lr);
    *ret = pretest <= 0 || pretest >= 1 ? certain(pretest, lr) : weighed(pretest, 1 - pretest, &w, 1);
    return true;
}

static bool sensitivity_and_rate(const ref_row *row, double *ret)
{
    double prior, sens, spec, fpr;
    if (!ref_number(row, "sens", &sens) || ref_is(row, "quantity", "EVSI"))
        return false;
    if (ref_number(row, "spec", &spec))
        fpr = 1 - spec;
    else if (!ref_number(row, "fpr", &fpr))
        return false;
    if (!ref_number(row, "prior", &prior) && !ref_number(row, "pretest", &prior))
        prior = 0.5; /* a ratio does not depend on it */
    ill_or_not(prior, 1 - prior, sens, fpr);
    if (ref_is(row, "quantity", "LRpos") || ref_is(row, "quantity", "LRneg"))
        *ret = odds(posterior(0, ref_is(row, "quantity", "LRneg"))) / odds(posterior(-1, 0));
    else
        *ret = posterior(0, 0);
    return true;
}

static bool units_of_evidence(const ref_row *row, double *ret)
{
    double x;
    const double r = deciban_ratio();
    if (ref_is(row, "hartley", "1"))
        *ret = ref_is(row, "to", "nat") ? 10 * log(r) : 10 * log2(r);
    else if (ref_is(row, "shannon", "1"))
        *ret = 1 / (10 * log2(r));
    else if (ref_is(row, "nat", "1"))
        *ret = 1 / log(r);
    else if (ref_number(row, "LR", &x) && ref_is(row, "to", "deciban"))
        *ret = log(x) / log(r);
    else if (ref_is(row, "to", "shannon") && ref_number(row, "deciban", &x))
        *ret = x * log2(r);
    else if (ref_is(row, "to", "odds") && ref_number(row, "deciban", &x))
        *ret = odds(weighed(1, 1, &x, 1));
    else
        return false;
    return true;
}

static bool decibans(const ref_row *row, double *ret)
{
    double w, a, b, n;
    char text[REF_TEXT];
    if (ref_is(row, "quantity", "prob") && ref_number(row, "deciban", &w)) {
        *ret = weighed(1, 1, &w, 1);
    } else if (ref_number(row, "p_e_h", &a) && ref_number(row, "p_e_noth", &b)) {
        ill_or_not(0.5, 0.5, a, b);
        *ret = 10 * log10(odds(posterior(0, 0)));
    } else if (ref_number(row, "fair_coins", &a) && ref_number(row, "double_headed", &b)) {
        *ret = 10 * log10(odds(weighed(b, a, NULL, 0)));
    } else if (ref_number(row, "prior_deciban", &a) && ref_number(row, "heads", &n) && ref_number(row, "per_head_LR", &b)) {
        double all[REF_LIST];
        for (int i = 0; i < (int)n; i++)
            all[i] = 10 * log10(b);
        *ret = weighed(pow(10, a / 10), 1, all, (int)n);
    } else if (ref_text(row, "LRs", text)) {
        double all[REF_LIST];
        const int count = ref_list(text, all);
        for (int i = 0; i < count; i++)
            all[i] = 10 * log10(all[i]);
        *ret = 10 * log10(odds(weighed(1, 1, all, count)));
    } else {
        return false;
    }
    return true;
}

static bool weather(const ref_row *row, double *ret)
{
    char text[REF_TEXT];
    if (!ref_is(row, "data", "play_tennis") || !ref_text(row, "attribute", text))
        return false;
    weather_of_row(row);
    const double n[2] = {table.prior[0], table.prior[1]}, gain = gain_of(attribute_named(text));
    *ret = ref_is(row, "quantity", "expected_info") ? entropy(n, 2) - gain : gain;
    return ref_is(row, "quantity", "gain") || ref_is(row, "quantity", "expected_info");
}

static bool entropies(const ref_row *row, double *ret)
{
    double p[REF_LIST];
    char text[REF_TEXT];
    int n = 0;
    if (!ref_is(row, "quantity", "entropy"))
        return false;
    if (ref_text(row, "counts", text) || ref_text(row, "p", text))
        n = ref_list(text, p);
    else if (ref_text(row, "uniform_over", text))
        for (n = 0; n < atoi(text); n++)
            p[n] = 1;
    *ret = n > 0 ? entropy(p, n) : -1;
    return n > 0;
}

static bool split_counts(const ref_row *row, double *ret)
{
    double by_value[REF_LIST], joint[REF_LIST];
    char text[REF_TEXT];
    if (!ref_text(row, "split", text))
        return false;
    const int n = ref_list(text, by_value) / 2; /* value after value, two classes each */
    for (int v = 0; v < n; v++)
        for (int c = 0; c < 2; c++)
            joint[c * n + v] = by_value[2 * v + c];
    *ret = information(joint, 2, n);
    return true;
}

/* Cover and Thomas, Elements of Information Theory, example 2.2.1: rows Y. */
static bool joint_table(const ref_row *row, double *ret)
{
    static const double y_by_x[16] = {4, 2, 1, 1, 2, 4, 1, 1, 2, 2, 2, 2, 8, 0, 0, 0}; /* 32nds */
    double x_by_y[16], px[4] = {0}, py[4] = {0};
    char q[REF_TEXT];
    if (!ref_is(row, "data", "cover_thomas_2.2.1") || !ref_text(row, "quantity", q))
        return false;
    for (int y = 0; y < 4; y++)
        for (int x = 0; x < 4; x++) {
            x_by_y[x * 4 + y] = y_by_x[y * 4 + x];
            px[x] += y_by_x[y * 4 + x];
            py[y] += y_by_x[y * 4 + x];
        }
    const double hx = entropy(px, 4), hy = entropy(py, 4);
    const double about_x = information(x_by_y, 4, 4), about_y = information(y_by_x, 4, 4);
    *ret = strcmp(q, "H(X)") == 0 ? hx : strcmp(q, "H(Y)") == 0 ? hy : strcmp(q, "H(X|Y)") == 0 ? hx - about_x : strcmp(q, "H(Y|X)") == 0 ? hy - about_y
         : strcmp(q, "H(X_Y)_joint") == 0 ? hx + (hy - about_y) : about_x;
    return true;
}

/* An answer that is certain to come moves Q to P: its gain is D(p||q). */
static bool divergence(const ref_row *row, double *ret)
{
    double p[REF_LIST], q[REF_LIST];
    char text[REF_TEXT];
    if (!ref_is(row, "quantity", "KL") || !ref_text(row, "p", text))
        return false;
    const int n = ref_list(text, p);
    assert_true(ref_text(row, "q", text) && ref_list(text, q) == n && n == 2);
    const double w = 10 * log10(odds(p[0]) / odds(q[0]));
    fen_base *base = weights_base(q[0], q[1], &w, 1);
    fen_session *s = NULL;
    assert_int_equal(fen_session_new(base, 0, &s), FEN_OK);
    assert_int_equal(fen_session_answer(s, 1, (fen_answer){.state = FEN_KNOWN, .picks = 1}), FEN_OK);
    *ret = 0; /* read off the verdict: the engine's own P against the given Q */
    for (int c = 0; c < 2; c++)
        *ret += fen_session_verdict(s)->p[c] * log2(fen_session_verdict(s)->p[c] / q[c]);
    fen_session_free(s);
    fen_base_free(base);
    return true;
}

static bool one_question(const ref_row *row, double *ret)
{
    double prior[REF_LIST], yes[REF_LIST];
    char text[REF_TEXT];
    if (!ref_is(row, "quantity", "expected_gain_of_question") || !ref_text(row, "prior", text))
        return false;
    const int n = ref_list(text, prior);
    assert_true(ref_text(row, "P_yes", text) && ref_list(text, yes) == n);
    new_table(n, prior);
    table.n_findings = 1;
    table.finding[0].n_options = 2;
    for (int c = 0; c < n; c++) {
        table.finding[0].p[0][c] = yes[c];
        table.finding[0].p[1][c] = 1 - yes[c];
    }
    *ret = gain_of(0);
    return true;
}

/* ---- rows about something else ---- */

static const struct {
    const char *key, *value, *why; /* VALUE NULL: any */
} skipped[] = {
    {"quantity", "noisy_or", "several causes that produce one effect: not a model of this tool"},
    {"network", NULL, "a network of more than one layer: not a model of this tool"},
    {"quantity", "sensitivity", "what an author puts into a rule, not what comes out"},
    {"quantity", "specificity", "what an author puts into a rule, not what comes out"},
    {"lung_scan", NULL, "a ratio alone; the rows with a pretest probability use such ratios"},
    {"quantity", "gini_gain", "another measure of a question's worth"},
    {"quantity", "gain_ratio", "another measure of a question's worth"},
    {"quantity", "EV_with_PI", "utilities: questions are valued in bits here"},
    {"quantity", "EMV", "utilities: questions are valued in bits here"},
    {"quantity", "EVPI", "utilities: questions are valued in bits here"},
    {"quantity", "EVSI", "utilities: questions are valued in bits here"},
};

static const char *why_skipped(const ref_row *row)
{
    char text[REF_TEXT];
    for (size_t i = 0; i < sizeof skipped / sizeof skipped[0]; i++)
        if (ref_text(row, skipped[i].key, text) && (!skipped[i].value || strcmp(text, skipped[i].value) == 0))
            return skipped[i].why;
    return NULL;
}

static bool compute(const ref_row *row, double *ret)
{
    static bool (*const kinds[])(const ref_row *, double *) = {
        two_by_two, shares_with_and_without, pretest_and_ratio, sensitivity_and_rate, units_of_evidence, decibans,
        weather,    entropies,               split_counts,      joint_table,          divergence,        one_question,
    };
    for (size_t i = 0; i < sizeof kinds / sizeof kinds[0]; i++)
        if (kinds[i](row, ret))
            return true;
    return false;
}

static void published_numbers_come_out_of_the_engine(void **state)
{
    static ref_row rows[REF_ROWS];
    int compared = 0, bad = 0, from_memory = 0, skips = 0;
    (void)state;
    const int n = ref_read("evidence.csv", rows);
    for (int i = 0; i < n; i++) {
        double got = 0;
        const char *why = why_skipped(&rows[i]);
        if (why) {
            print_message("%s skipped (%s): %s\n", rows[i].id, rows[i].input, why);
            skips++;
            continue;
        }
        if (!compute(&rows[i], &got)) {
            print_error("%s: nothing here computes '%s'\n", rows[i].id, rows[i].input);
            bad++;
            continue;
        }
        compared++;
        if (ref_near(&rows[i], 0, got))
            continue;
        if (strcmp(rows[i].how, "from-memory") == 0)
            from_memory++;
        else
            bad++;
    }
    print_message("%d rows compared, %d skipped by name, %d from memory differ\n", compared, skips, from_memory);
    assert_true(compared >= 125);
    assert_int_equal(bad, 0);
}

static void the_first_question_of_the_weather_table_is_the_outlook(void **state)
{
    fen_base *base = NULL;
    fen_session *s = NULL;
    fen_question q;
    (void)state;
    weather_table(-1, 0); /* Quinlan 1986: the root of the tree */
    assert_int_equal(flat_build(&table, &base), FEN_OK);
    assert_int_equal(fen_session_new(base, 0, &s), FEN_OK);
    fen_session_next(s, &q);
    assert_int_equal(q.finding, 1 + attribute_named("outlook"));
    assert_int_equal(q.reason, FEN_ASK_GAIN);
    assert_true(fabs(q.gain - fen_session_gain(s, q.finding)) <= 1e-12);
    assert_true(fabs(q.worth - q.gain) <= 1e-12); /* all efforts are 1 */
    fen_session_free(s);
    fen_base_free(base);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(published_numbers_come_out_of_the_engine),
        cmocka_unit_test(the_first_question_of_the_weather_table_is_the_outlook),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
