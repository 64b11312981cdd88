/* "Did you mean": distances against published ones and a slow table. */
#include "unit.h"
#include "util/near.h"

static size_t distance(const char *a, const char *b, size_t max)
{
    return fen_near_distance(a, strlen(a), b, strlen(b), max);
}

static void published_distances_come_out(void **state)
{
    (void)state;
    static const struct { const char *a, *b; size_t d; const char *source; } rows[] = {
        { "kitten", "sitting", 3, "Levenshtein's distance, the usual textbook pair" },
        { "saturday", "sunday", 3, "textbook pair, no single source" },
        { "intention", "execution", 5, "Jurafsky and Martin, Speech and Language Processing, 2.5" },
        { "rosettacode", "raisethysword", 8, "Rosetta Code, Levenshtein distance" },
        { "ca", "abc", 3, "restricted swaps: no edit inside a swapped pair (Boytsov 2011)" },
        { "abcd", "acbd", 1, "Damerau 1964: one swap of neighbours" },
        { "", "abc", 3, "three insertions" },
        { "", "", 0, "nothing to do" },
        { "Crown", "cROWN", 0, "case is ignored" },
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        assert_int_equal(distance(rows[i].a, rows[i].b, 20), rows[i].d);
        assert_int_equal(distance(rows[i].b, rows[i].a, 20), rows[i].d);
        assert_int_equal(distance(rows[i].a, rows[i].b, rows[i].d), rows[i].d);
        if (rows[i].d)
            assert_int_equal(distance(rows[i].a, rows[i].b, rows[i].d - 1), rows[i].d);
    }
}

/* The whole table, as the definition has it. */
static size_t slow(const char *a, size_t n, const char *b, size_t m)
{
    size_t t[16][16];
    for (size_t i = 0; i <= n; i++) {
        for (size_t j = 0; j <= m; j++) {
            size_t best = i == 0 ? j : j == 0 ? i : t[i - 1][j - 1] + (a[i - 1] != b[j - 1]);
            if (i && j && t[i - 1][j] + 1 < best)
                best = t[i - 1][j] + 1;
            if (i && j && t[i][j - 1] + 1 < best)
                best = t[i][j - 1] + 1;
            if (i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1] && t[i - 2][j - 2] + 1 < best)
                best = t[i - 2][j - 2] + 1;
            t[i][j] = best;
        }
    }
    return t[n][m];
}

static void the_band_agrees_with_the_whole_table(void **state)
{
    (void)state;
    uint64_t random = 11;
    for (int round = 0; round < 100000; round++) {
        char a[15], b[15];
        const size_t n = unit_random(&random) % 15, m = unit_random(&random) % 15;
        for (size_t i = 0; i < 15; i++) {
            a[i] = (char)('a' + unit_random(&random) % 3);
            b[i] = (char)('a' + unit_random(&random) % 3);
        }
        const size_t max = unit_random(&random) % 16, want = slow(a, n, b, m);
        assert_int_equal(fen_near_distance(a, n, b, m, max), want > max ? max + 1 : want);
    }
}

static void huge_texts_are_told_apart_at_once(void **state)
{
    (void)state;
    const size_t n = 1 << 20;
    char *a = malloc(n), *b = malloc(n);
    memset(a, 'a', n);
    memset(b, 'b', n);
    assert_int_equal(fen_near_distance(a, n, b, n, 4), 5);
    assert_int_equal(fen_near_distance(a, n, b, n, 1000), 1001);
    assert_int_equal(fen_near_distance(a, n, a, n, 4), 0);
    free(a);
    free(b);
}

static const char *nearest(const char *want, const char *const *names, size_t count)
{
    fen_near n;
    fen_near_begin(&n, want, strlen(want));
    for (size_t i = 0; i < count; i++)
        fen_near_offer(&n, names[i]);
    return n.name;
}

static void the_name_that_was_meant_is_found(void **state)
{
    (void)state;
    static const char *const names[] = { "crown-feel", "crown", "tray", "trap-size", "water-reading", "hazard", "no" };
    static const struct { const char *want, *meant; } rows[] = {
        { "crown-fell", "crown-feel" },  { "crwon-feel", "crown-feel" }, { "CROWN-FEEL", "crown-feel" },
        { "crow", "crown" },             { "water", "water-reading" },   { "trap", "trap-size" },
        { "tra", "tray" },               { "trya", "tray" },             { "crown-feel-now", "crown-feel" },
        { "hazards", "hazard" },         { "zebra", NULL },              { "x", NULL },
        { "", NULL },                    { "on", "no" },                 { "wa", NULL },
        { "water-redaing", "water-reading" },
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        const char *got = nearest(rows[i].want, names, COUNT(names));
        if (!rows[i].meant)
            assert_null(got);
        else
            assert_non_null(got);
        if (got)
            assert_string_equal(got, rows[i].meant);
    }
}

static void of_equals_the_first_offered_wins(void **state)
{
    (void)state;
    static const char *const names[] = { "leaf-a", "leaf-b" };
    assert_string_equal(nearest("leaf-c", names, 2), "leaf-a");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(published_distances_come_out),
        cmocka_unit_test(the_band_agrees_with_the_whole_table),
        cmocka_unit_test(huge_texts_are_told_apart_at_once),
        cmocka_unit_test(the_name_that_was_meant_is_found),
        cmocka_unit_test(of_equals_the_first_offered_wins),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
