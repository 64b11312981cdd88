/* Figures in words: the one table of probability words, percents that never lie,
 * weights as decibans.
 *
 * That 10 dBan are a factor of ten, and 20 a hundred, is the definition of the
 * deciban (I. J. Good 1950, Probability and the Weighing of Evidence, p. 63);
 * 3.01 dBan double (10 log10 2).
 */
#include "show/words.h"
#include "unit.h"

static void each_percent_has_one_word(void **state)
{
    (void)state;
    static const struct { double p; const char *word; } rows[] = {
        { 1.0, "almost certain" }, { 0.95, "almost certain" }, { 0.944, "very likely" }, { 0.8, "very likely" },
        { 0.794, "likely" },       { 0.55, "likely" },         { 0.544, "possible" },     { 0.25, "possible" },
        { 0.244, "unlikely" },     { 0.05, "unlikely" },       { 0.044, "very unlikely" }, { 0.0, "very unlikely" },
    };
    for (size_t i = 0; i < COUNT(rows); i++)
        assert_string_equal(fen_words_for(rows[i].p), rows[i].word);
}

static void the_word_agrees_with_the_figure_beside_it(void **state)
{
    (void)state;
    char before[FEN_WORDS_MAX] = "", now[FEN_WORDS_MAX];
    const char *word = NULL;
    for (int i = 0; i <= 100000; i++) {
        const double p = i / 100000.0;
        fen_words_percent(now, p);
        if (strcmp(now, before) != 0)
            word = fen_words_for(p);
        else if (strcmp(word, fen_words_for(p)) != 0)
            fail_msg("%s is both '%s' and '%s'", now, word, fen_words_for(p));
        strcpy(before, now);
    }
}

static void what_is_uncertain_is_never_nought_or_a_hundred(void **state)
{
    (void)state;
    static const struct { double p; const char *text; } rows[] = {
        { 0.0, "<1\xc2\xa0%" },    { 1e-300, "<1\xc2\xa0%" }, { 0.00999, "<1\xc2\xa0%" }, { 0.01, "1\xc2\xa0%" },
        { 0.0149, "1\xc2\xa0%" },  { 0.5, "50\xc2\xa0%" },    { 0.985, "99\xc2\xa0%" },   { 0.99, "99\xc2\xa0%" },
        { 0.9901, ">99\xc2\xa0%" }, { 0.9999999999999999, ">99\xc2\xa0%" }, { 1.0, ">99\xc2\xa0%" },
    };
    char buf[FEN_WORDS_MAX];
    for (size_t i = 0; i < COUNT(rows); i++)
        assert_string_equal(fen_words_percent(buf, rows[i].p), rows[i].text);
}

static void named_strengths_keep_their_names(void **state)
{
    (void)state;
    static const struct { double dban; const char *word; } rows[] = {
        { 2, "slight" }, { 5, "fair" }, { 10, "strong" }, { 20, "decisive" }, { -2, "slight" }, { -20, "decisive" },
        { 3, "slight" }, { 3.3, "fair" }, { 7, "fair" }, { 7.5, "strong" }, { 14, "strong" }, { 15, "decisive" }, { 0, "slight" },
    };
    for (size_t i = 0; i < COUNT(rows); i++)
        assert_string_equal(fen_words_strength((fen_weight)(rows[i].dban * (double)FEN_DBAN)), rows[i].word);
}

static void weights_are_told_in_decibans_and_as_ratios(void **state)
{
    (void)state;
    static const struct { double dban; const char *weight, *ratio; } rows[] = {
        { 10, "10\xc2\xa0" "dBan", "10 times as likely" },
        { -10, "-10\xc2\xa0" "dBan", "10 times less likely" },
        { 20, "20\xc2\xa0" "dBan", "100 times as likely" },
        { 3.010299956639812, "3.01\xc2\xa0" "dBan", "2 times as likely" },
        { 7.5, "7.5\xc2\xa0" "dBan", "5.6 times as likely" },
        { 0.1, "0.1\xc2\xa0" "dBan", "as likely as before" },
        { -13.979400086720377, "-13.98\xc2\xa0" "dBan", "25 times less likely" },
        { 100, "100\xc2\xa0" "dBan", "over a million times as likely" },
    };
    char buf[FEN_WORDS_MAX];
    for (size_t i = 0; i < COUNT(rows); i++) {
        const fen_weight w = (fen_weight)(rows[i].dban * (double)FEN_DBAN);
        assert_string_equal(fen_words_dban(buf, w), rows[i].weight);
        assert_string_equal(fen_words_ratio(buf, w), rows[i].ratio);
    }
}

static void every_reason_to_stop_has_its_sentence(void **state)
{
    (void)state;
    assert_null(fen_words_stop(FEN_GO_ON));
    for (fen_stop stop = FEN_STOP_ONE_CAUSE; stop <= FEN_STOP_NOT_WORTH; stop++)
        assert_true(strlen(fen_words_stop(stop)) > 20);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(each_percent_has_one_word),
        cmocka_unit_test(the_word_agrees_with_the_figure_beside_it),
        cmocka_unit_test(what_is_uncertain_is_never_nought_or_a_hundred),
        cmocka_unit_test(named_strengths_keep_their_names),
        cmocka_unit_test(weights_are_told_in_decibans_and_as_ratios),
        cmocka_unit_test(every_reason_to_stop_has_its_sentence),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
