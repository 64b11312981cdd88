/* Sentences of packs: what is read out of them, and where they are refused.
 *
 * The grammar is the project's own (rules/README.md); the exactness of weights
 * is checked against decimal arithmetic done by hand.
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "pack/sentence.h"
#include "util/alloc.h"
#include "util/limits.h"

static void span_is(const fen_sentence *s, fen_span span, const char *want)
{
    char got[128];
    assert_true(span.at + span.len <= s->len);
    snprintf(got, sizeof got, "%.*s", (int)span.len, s->text + span.at);
    assert_string_equal(got, want);
}

static fen_status read_condition(fen_sentence *s, const char *text)
{
    return fen_sentence_condition(s, text, strlen(text));
}

/* ---- answers ---- */

static void an_answer_clause_names_finding_and_answers(void **state)
{
    (void)state;
    static const struct {
        const char *text;
        fen_clause_form form;
        bool negated;
        uint32_t n;
        const char *finding, *first, *last;
    } rows[] = {
        { "crown-feel is soft", FEN_CLAUSE_IS, false, 1, "crown-feel", "soft", "soft" },
        { "crown-feel is not firm", FEN_CLAUSE_IS, true, 1, "crown-feel", "firm", "firm" },
        { "crown-feel is soft or slimy", FEN_CLAUSE_IS, false, 2, "crown-feel", "soft", "slimy" },
        { "  crown-feel\tis  a or b or c ", FEN_CLAUSE_IS, false, 3, "crown-feel", "a", "c" },
        { "leaves is 3-or-more", FEN_CLAUSE_IS, false, 1, "leaves", "3-or-more", "3-or-more" },
        { "blackened includes new-leaves", FEN_CLAUSE_INCLUDES, false, 1, "blackened", "new-leaves", "new-leaves" },
        { "blackened excludes new-leaves", FEN_CLAUSE_EXCLUDES, false, 1, "blackened", "new-leaves", "new-leaves" },
        { "kind is venus-flytrap", FEN_CLAUSE_IS, false, 1, "kind", "venus-flytrap", "venus-flytrap" },
        { "crown-feel is unsure", FEN_CLAUSE_IS, false, 1, "crown-feel", "unsure", "unsure" },
        { "crown-feel is not unknown", FEN_CLAUSE_IS, true, 1, "crown-feel", "unknown", "unknown" },
    };
    fen_sentence s = { 0 };
    for (size_t i = 0; i < FEN_COUNT(rows); i++) {
        assert_int_equal(read_condition(&s, rows[i].text), FEN_OK);
        assert_int_equal(s.clauses.count, 1);
        const fen_clause c = s.clauses.at[0];
        assert_int_equal(c.form, rows[i].form);
        assert_int_equal(c.negated, rows[i].negated);
        assert_int_equal(c.n_answers, rows[i].n);
        span_is(&s, c.finding, rows[i].finding);
        span_is(&s, s.answers.at[c.answers], rows[i].first);
        span_is(&s, s.answers.at[c.answers + c.n_answers - 1], rows[i].last);
    }
    fen_sentence_free(&s);
}

static void or_joins_answers_unless_a_clause_follows(void **state)
{
    (void)state;
    fen_sentence s = { 0 };
    assert_int_equal(read_condition(&s, "leaf-loss is many or few or season is winter or rest or water > 5 ppm"), FEN_OK);
    assert_true(s.any);
    assert_int_equal(s.clauses.count, 3);
    span_is(&s, s.clauses.at[0].span, "leaf-loss is many or few");
    span_is(&s, s.clauses.at[1].span, "season is winter or rest");
    span_is(&s, s.clauses.at[2].span, "water > 5 ppm");
    assert_int_equal(read_condition(&s, "a is b and c is d"), FEN_OK);
    assert_false(s.any);
    assert_int_equal(s.clauses.count, 2);
    assert_int_equal(read_condition(&s, "a is b or c and d is e"), FEN_OK);
    assert_int_equal(s.clauses.count, 2);
    assert_int_equal(s.clauses.at[0].n_answers, 2);
    fen_sentence_free(&s);
}

/* ---- quantities ---- */

static void comparisons_keep_their_sign_and_their_sides(void **state)
{
    (void)state;
    static const struct {
        const char *text;
        fen_compare compare;
        const char *left, *right;
    } rows[] = {
        { "water > 100 ppm", FEN_MORE, "water", "100 ppm" },
        { "water>=100ppm", FEN_AT_LEAST, "water", "100ppm" },
        { "100 ppm < water", FEN_LESS, "100 ppm", "water" },
        { "water <= 5 uS/cm", FEN_AT_MOST, "water", "5 uS/cm" },
        { "leaves = 3", FEN_EQUAL, "leaves", "3" },
        { "runoff - water > 30 ppm or a is b", FEN_MORE, "runoff - water", "30 ppm" },
        { "(a + b) / 2 < c * 3", FEN_LESS, "(a + b) / 2", "c * 3" },
        { "low < -5 C", FEN_LESS, "low", "-5 C" },
    };
    fen_sentence s = { 0 };
    for (size_t i = 0; i < FEN_COUNT(rows); i++) {
        assert_int_equal(read_condition(&s, rows[i].text), FEN_OK);
        const fen_clause c = s.clauses.at[0];
        assert_int_equal(c.form, FEN_CLAUSE_COMPARE);
        assert_int_equal(c.compare, rows[i].compare);
        span_is(&s, s.terms.at[c.left].span, rows[i].left);
        span_is(&s, s.terms.at[c.right].span, rows[i].right);
    }
    fen_sentence_free(&s);
}

static void a_range_says_for_each_bound_whether_it_counts(void **state)
{
    (void)state;
    static const struct {
        const char *text;
        bool lo_open, hi_open;
    } rows[] = {
        { "water from 50 ppm to 100 ppm", false, false },
        { "water from 50 ppm to below 100 ppm", false, true },
        { "water from above 50 ppm to 100 ppm", true, false },
        { "water from above 50 ppm to below 100 ppm", true, true },
    };
    fen_sentence s = { 0 };
    for (size_t i = 0; i < FEN_COUNT(rows); i++) {
        assert_int_equal(read_condition(&s, rows[i].text), FEN_OK);
        const fen_clause c = s.clauses.at[0];
        assert_int_equal(c.form, FEN_CLAUSE_BETWEEN);
        assert_int_equal(c.lo_open, rows[i].lo_open);
        assert_int_equal(c.hi_open, rows[i].hi_open);
        span_is(&s, s.terms.at[c.left].span, "water");
        span_is(&s, s.terms.at[c.right].span, "50 ppm");
        span_is(&s, s.terms.at[c.upper].span, "100 ppm");
    }
    fen_sentence_free(&s);
}

/* Brackets and ranks by evaluation: each name has a value. */
static double value_of(const fen_sentence *s, uint32_t i)
{
    const fen_term *t = &s->terms.at[i];
    if (t->op == FEN_TERM_QUANTITY)
        return t->value;
    if (t->op == FEN_TERM_NAME)
        return s->text[t->span.at] - 'a' + 2; /* a 2, b 3, c 4 */
    const double l = value_of(s, t->left), r = value_of(s, t->right);
    return t->op == FEN_TERM_ADD ? l + r : t->op == FEN_TERM_SUB ? l - r : t->op == FEN_TERM_MUL ? l * r : l / r;
}

static void sums_follow_the_usual_ranks(void **state)
{
    (void)state;
    static const struct {
        const char *text;
        double value;
    } rows[] = {
        { "a + b * c > 0", 14 }, { "(a + b) * c > 0", 20 }, { "c - b - a > 0", -1 }, { "c / a / a > 0", 1 },
        { "c - (b - a) > 0", 3 }, { "a * b + b * c > 0", 18 }, { "((a)) > 0", 2 }, { "((a)*((b))) > 0", 6 }, { "c - -3 > 0", 7 },
    };
    fen_sentence s = { 0 };
    for (size_t i = 0; i < FEN_COUNT(rows); i++) {
        assert_int_equal(read_condition(&s, rows[i].text), FEN_OK);
        assert_true(value_of(&s, s.clauses.at[0].left) == rows[i].value);
    }
    fen_sentence_free(&s);
}

/* ---- refusals ---- */

static void a_refusal_points_at_the_very_bytes(void **state)
{
    (void)state;
    static const struct {
        const char *text;
        uint32_t at, len;
        fen_code code;
    } rows[] = {
        { "", 0, 0, FEN_CODE_CONDITION },
        { "crown-feel", 10, 0, FEN_CODE_CONDITION },
        { "crown-feel is", 13, 0, FEN_CODE_CONDITION },
        { "crown-feel is not", 17, 0, FEN_CODE_CONDITION },
        { "crown-feel is soft or", 21, 0, FEN_CODE_CONDITION },
        { "crown-feel is soft slimy", 19, 5, FEN_CODE_CONDITION },
        { "crown-feel is soft, slimy", 18, 1, FEN_CODE_CONDITION },
        { "crown-feel == soft", 11, 2, FEN_CODE_CONDITION },
        { "crown-feel => 3 ppm", 11, 2, FEN_CODE_CONDITION },
        { "crown-feel has soft", 11, 3, FEN_CODE_CONDITION },
        { "is soft", 0, 2, FEN_CODE_CONDITION },
        { "water > 100 pmp", 8, 7, FEN_CODE_NUMBER },
        { "water > 1,5 ppm", 8, 3, FEN_CODE_NUMBER },
        { "water > .", 8, 1, FEN_CODE_CONDITION },
        { "water from 50 ppm", 17, 0, FEN_CODE_CONDITION },
        { "water from 50 ppm up to 80 ppm", 18, 2, FEN_CODE_CONDITION },
        { "(a + b > 3", 0, 1, FEN_CODE_CONDITION },
        { "a + > 3", 4, 1, FEN_CODE_CONDITION },
        { "a is b and c is d or e is f", 18, 2, FEN_CODE_CONDITION },
        { "a excludes b or c", 16, 1, FEN_CODE_CONDITION },
    };
    fen_sentence s = { 0 };
    for (size_t i = 0; i < FEN_COUNT(rows); i++) {
        assert_int_equal(read_condition(&s, rows[i].text), FEN_EINPUT);
        if (s.error.at.at != rows[i].at || s.error.at.len != rows[i].len || s.error.code != rows[i].code)
            fail_msg("'%s': at %u, %u bytes, code %d: %s", rows[i].text, s.error.at.at, s.error.at.len, (int)s.error.code, s.error.wrong);
        assert_non_null(s.error.wrong);
    }
    fen_sentence_free(&s);
}

static void long_and_deep_sentences_are_refused(void **state)
{
    (void)state;
    static char text[FEN_SCALAR_MAX + 1];
    fen_sentence s = { 0 };
    memset(text, '(', FEN_SCALAR_MAX);
    assert_int_equal(fen_sentence_condition(&s, text, FEN_SCALAR_MAX), FEN_EINPUT);
    assert_int_equal(s.error.code, FEN_CODE_TOO_LARGE);
    size_t n = 0;
    while (n + 4 < FEN_SCALAR_MAX)
        n += (size_t)snprintf(text + n, sizeof text - n, "a + ");
    assert_int_equal(fen_sentence_condition(&s, text, n), FEN_EINPUT);
    assert_int_equal(s.error.code, FEN_CODE_TOO_LARGE);
    n = (size_t)snprintf(text, sizeof text, "a is b");
    while (n + 6 < FEN_SCALAR_MAX)
        n += (size_t)snprintf(text + n, sizeof text - n, " or b");
    assert_int_equal(fen_sentence_condition(&s, text, n), FEN_EINPUT);
    assert_int_equal(s.error.code, FEN_CODE_TOO_LARGE);
    fen_sentence_free(&s);
}

/* ---- effects ---- */

static void an_effect_is_read_with_its_weight_and_target(void **state)
{
    (void)state;
    static const struct {
        const char *text;
        fen_effect_op op;
        fen_weight weight;
        const char *target, *answer;
    } rows[] = {
        { "slight for rot", FEN_WEIGH, 2 * FEN_DBAN, "rot", NULL },
        { "fair against rot", FEN_WEIGH, -5 * FEN_DBAN, "rot", NULL },
        { "strong for rot", FEN_WEIGH, 10 * FEN_DBAN, "rot", NULL },
        { "decisive against rot", FEN_WEIGH, -20 * FEN_DBAN, "rot", NULL },
        { "7.5 dBan for rot", FEN_WEIGH, INT64_C(7500000000000), "rot", NULL },
        { "0.1 dBan against rot", FEN_WEIGH, -INT64_C(100000000000), "rot", NULL },
        { "100 dBan for rot", FEN_WEIGH, 100 * FEN_DBAN, "rot", NULL },
        { "excludes sun-scorch", FEN_EXCLUDE, 0, "sun-scorch", NULL },
        { "hazard drowned-tray", FEN_RAISE, 0, "drowned-tray", NULL },
        { "stress is recent", FEN_DERIVE, 0, "stress", "recent" },
        { "marks includes spots", FEN_DERIVE, 0, "marks", "spots" },
    };
    fen_sentence s = { 0 };
    for (size_t i = 0; i < FEN_COUNT(rows); i++) {
        fen_effect_words w;
        assert_int_equal(fen_sentence_effect(&s, rows[i].text, strlen(rows[i].text), &w), FEN_OK);
        s.text = rows[i].text;
        s.len = (uint32_t)strlen(rows[i].text);
        assert_int_equal(w.op, rows[i].op);
        assert_true(w.weight == rows[i].weight);
        span_is(&s, w.target, rows[i].target);
        if (rows[i].answer)
            span_is(&s, w.answer, rows[i].answer);
        assert_int_equal(w.includes, strstr(rows[i].text, "includes") != NULL);
    }
    fen_sentence_free(&s);
}

static void a_weight_is_the_decimal_number_rounded_once(void **state)
{
    (void)state;
    static const struct {
        const char *text;
        bool ok;
        fen_weight weight;
        size_t len;
    } rows[] = {
        { "7.5", true, INT64_C(7500000000000), 3 },
        { "0.1", true, INT64_C(100000000000), 3 },
        { "3.010299956639812", true, INT64_C(3010299956640), 17 },   /* 10 log10 2: ...639.812 rounds up */
        { "3.0102999566394", true, INT64_C(3010299956639), 15 },     /* ...639.4 rounds down */
        { "0.0000000000005", true, 1, 15 },                          /* half a unit rounds up */
        { "0.00000000000049999999", true, 0, 22 },
        { "99.9999999999999", true, 100 * FEN_DBAN, 16 },
        { "100.000000000001", false, 0, 16 },
        { "000012.50 dBan", true, INT64_C(12500000000000), 9 },
        { "1.25e1", true, INT64_C(12500000000000), 6 },
        { "125E-1", true, INT64_C(12500000000000), 6 },
        { "1e", true, FEN_DBAN, 1 },
        { "1e-400", true, 0, 6 },
        { "0e400", true, 0, 5 },
        { "1e400", false, 0, 5 },
        { "99999999999999999999999999999999999999999", false, 0, 41 },
        { "dBan", false, 0, 0 },
        { ".", false, 0, 0 },
        { ".5", true, FEN_DBAN / 2, 2 },
    };
    for (size_t i = 0; i < FEN_COUNT(rows); i++) {
        fen_weight w = 0;
        size_t n = 99;
        assert_int_equal(fen_weight_read(rows[i].text, strlen(rows[i].text), &w, &n), rows[i].ok);
        assert_int_equal(n, rows[i].len);
        if (rows[i].ok && w != rows[i].weight)
            fail_msg("%s: %lld", rows[i].text, (long long)w);
    }
}

static void a_wrong_effect_is_pointed_at(void **state)
{
    (void)state;
    static const struct {
        const char *text;
        uint32_t at, len;
        fen_code code;
    } rows[] = {
        { "", 0, 0, FEN_CODE_EFFECT },
        { "strong", 6, 0, FEN_CODE_EFFECT },
        { "strong rot", 7, 3, FEN_CODE_EFFECT },
        { "strong for", 10, 0, FEN_CODE_EFFECT },
        { "strong for rot and blight", 15, 3, FEN_CODE_EFFECT },
        { "stronk for rot", 0, 6, FEN_CODE_EFFECT },
        { "7.5 for rot", 4, 3, FEN_CODE_EFFECT },
        { "7.5 dB for rot", 4, 2, FEN_CODE_EFFECT },
        { "-7.5 dBan for rot", 0, 4, FEN_CODE_EFFECT },
        { "101 dBan for rot", 0, 3, FEN_CODE_NUMBER },
        { "excludes", 8, 0, FEN_CODE_EFFECT },
        { "hazard a b", 9, 1, FEN_CODE_EFFECT },
        { "stress is", 9, 0, FEN_CODE_EFFECT },
        { "(rot)", 0, 5, FEN_CODE_EFFECT },
    };
    fen_sentence s = { 0 };
    for (size_t i = 0; i < FEN_COUNT(rows); i++) {
        fen_effect_words w;
        assert_int_equal(fen_sentence_effect(&s, rows[i].text, strlen(rows[i].text), &w), FEN_EINPUT);
        if (s.error.at.at != rows[i].at || s.error.at.len != rows[i].len || s.error.code != rows[i].code)
            fail_msg("'%s': at %u, %u bytes, code %d: %s", rows[i].text, s.error.at.at, s.error.at.len, (int)s.error.code, s.error.wrong);
    }
    fen_sentence_free(&s);
}

static void running_out_of_memory_is_told_apart_from_a_wrong_sentence(void **state)
{
    (void)state;
    static const char text[] = "a is b or c or d - e > 3 ppm";
    for (size_t nth = 0;; nth++) {
        const size_t before = fen_alloc_live();
        fen_sentence s = { 0 };
        fen_alloc_fail_at(nth);
        const fen_status st = read_condition(&s, text);
        fen_alloc_fail_at(FEN_ALLOC_NEVER_FAIL);
        fen_sentence_free(&s);
        assert_int_equal(fen_alloc_live(), before);
        if (st == FEN_OK) {
            assert_true(nth > 0);
            return;
        }
        assert_int_equal(st, FEN_ENOMEM);
    }
}

/* Every sequence of a few tokens is read or refused, in time and within bounds. */
static void any_row_of_tokens_is_read_or_refused(void **state)
{
    (void)state;
    static const char *const tokens[] = { "a", "is", "not", "or", "and", "from", "to", "below", "includes", "excludes",
                                          "5 ppm", "3", "-", "+", "(", ")", "<", "=", "unsure", "for", "%", "\xC3\xA4" };
    fen_sentence s = { 0 };
    char text[128];
    uint32_t seed = 1;
    size_t good = 0;
    for (unsigned i = 0; i < 200000; i++) {
        size_t n = 0;
        for (unsigned k = 0; k < 3 + i % 6; k++) {
            seed = seed * 1664525u + 1013904223u;
            n += (size_t)snprintf(text + n, sizeof text - n, "%s ", tokens[(seed >> 16) % FEN_COUNT(tokens)]);
        }
        const fen_status st = fen_sentence_condition(&s, text, n);
        good += st == FEN_OK;
        if (st == FEN_EINPUT)
            assert_true(s.error.at.at + s.error.at.len <= n);
    }
    assert_true(good > 100);
    fen_sentence_free(&s);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(an_answer_clause_names_finding_and_answers),
        cmocka_unit_test(or_joins_answers_unless_a_clause_follows),
        cmocka_unit_test(comparisons_keep_their_sign_and_their_sides),
        cmocka_unit_test(a_range_says_for_each_bound_whether_it_counts),
        cmocka_unit_test(sums_follow_the_usual_ranks),
        cmocka_unit_test(a_refusal_points_at_the_very_bytes),
        cmocka_unit_test(long_and_deep_sentences_are_refused),
        cmocka_unit_test(an_effect_is_read_with_its_weight_and_target),
        cmocka_unit_test(a_weight_is_the_decimal_number_rounded_once),
        cmocka_unit_test(a_wrong_effect_is_pointed_at),
        cmocka_unit_test(running_out_of_memory_is_told_apart_from_a_wrong_sentence),
        cmocka_unit_test(any_row_of_tokens_is_read_or_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
