/* Pots, mixes and meals. */
#include "support/reckoning.h"

static void pots_hold_what_geometry_says(void **state)
{
    (void)state;
    /* cylinder, cube and a cone's frustum: schoolbook volumes */
    assert_near(reckon_one("pot", "top=10cm;base=10cm;depth=10cm", "volume"), 785.3981633974483, 1e-9);
    assert_near(reckon_one("pot", "top=10cm;base=10cm;depth=10cm;shape=square", "volume"), 1000, 1e-9);
    assert_near(reckon_one("pot", "top=12cm;base=8cm;depth=12cm", "volume"), 3.14159265358979323846 / 12 * 12 * (144 + 96 + 64), 1e-9);
    assert_near(reckon_one("pot", "top=4in;base=3in;depth=4in;pots=10", "all"), reckon_one("pot", "top=101.6mm;base=76.2mm;depth=101.6mm", "volume") * 10, 1e-9);
}

/* Filled to below the rim it is the sum of its thin slices up to there. */
static void a_rim_left_empty_is_left_out(void **state)
{
    (void)state;
    double sum = 0;
    const int n = 100000;
    for (int i = 0; i < n; i++) {
        const double width = 80 + 40 * ((i + 0.5) / n * 100) / 120; /* mm, from base 80 to top 120 over 120 */
        sum += 3.14159265358979323846 / 4 * width * width * (100.0 / n) / 1000;
    }
    assert_near(reckon_one("pot", "top=12cm;base=8cm;depth=12cm;rim=2cm", "volume"), sum, 1e-3);
    assert_near(reckon_one("pot", "top=12cm;base=8cm;depth=12cm;rim=2cm", "water"), sum * 0.6, 1e-3);
}

static void parts_are_read_as_growers_write_them(void **state)
{
    (void)state;
    static const struct {
        const char *parts;
        size_t n;
        const char *first;
        double share;
    } rows[] = {
        { "2 peat, 1 perlite", 2, "peat", 200 / 3.0 },   { "peat 2, perlite 1", 2, "peat", 200 / 3.0 }, { "2:1", 2, "part", 200 / 3.0 },
        { "peat : perlite", 2, "peat", 50 },             { "60% peat + 40% sand", 2, "peat", 60 },      { "peat 60%, sand 40%", 2, "peat", 60 },
        { "long-fibre sphagnum", 1, "long-fibre sphagnum", 100 }, { "1.5 bark, 0.5 peat", 2, "bark", 75 }, { "1:1:1:1:1", 5, "part", 20 },
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        char input[128];
        fen_reckon_value cells[FEN_RECKON_OUTPUTS];
        snprintf(input, sizeof input, "volume=10l;spare=0%%;parts=%s", rows[i].parts);
        reckoning k = reckon("substrate", input);
        assert_near(reckon_get(&k, "total"), 10000, 0);
        assert_int_equal(fen_reckon_lines(k.r, k.in), rows[i].n);
        fen_reckon_line(k.r, k.in, 0, cells);
        assert_int_equal(cells[0].len, strlen(rows[i].first));
        assert_memory_equal(cells[0].text, rows[i].first, cells[0].len);
        assert_near(cells[1].number, rows[i].share, 1e-9);
        double sum = 0;
        for (size_t p = 0; p < rows[i].n; p++) {
            fen_reckon_line(k.r, k.in, p, cells);
            sum += cells[2].number;
        }
        assert_near(sum, 10000, 1e-6);
    }
}

static void a_meal_is_at_most_a_third(void **state)
{
    (void)state; /* growers' rule: common practice, no source */
    assert_near(reckon_one("prey", "trap=24mm", "longest"), 8, 1e-12);
    assert_near(reckon_one("prey", "trap=24mm;prey=8mm", "verdict"), 0, 0);
    assert_near(reckon_one("prey", "trap=24mm;prey=8.1mm", "verdict"), 1, 0);
    assert_near(reckon_one("prey", "trap=1in", "longest"), 25.4 / 3, 1e-12);
    assert_near(reckon_one("prey", "pitcher=90ml", "most"), 30, 1e-12);
}

static void impossible_pots_and_meals_are_refused(void **state)
{
    (void)state;
    assert_refused("pot", "top=10cm;base=8cm;depth=10cm;rim=10cm", "nothing fits in: the pot is only 10 cm deep; leave less below the rim [number]");
    assert_refused("pot", "top=15m;base=10m;depth=10m", "a pot of 1243547 l is a pond; check the units: inside measures, such as 10cm [number]");
    assert_refused("pot", "top=10;base=8cm;depth=10cm", "'10' is not a length; write mm, cm, m, in, ft [number]");
    assert_refused("substrate", "volume=10l;parts=2 peat,,1 sand", "'parts' is not a list of parts; write up to 16 parts like '2 peat, 1 perlite' [bad-value]");
    assert_refused("substrate", "volume=10l;parts=0 peat", "'parts' is not a list of parts; write up to 16 parts like '2 peat, 1 perlite' [bad-value]");
    assert_refused("substrate", "volume=10l;parts=1:1:1:1:1:1:1:1:1:1:1:1:1:1:1:1:1",
                   "'parts' is not a list of parts; write up to 16 parts like '2 peat, 1 perlite' [bad-value]");
    assert_refused("prey", "trap=25cm", "'trap' cannot be 25 cm; give a value from 2 mm to 8 cm [number]");
    assert_refused("prey", "pitcher=90ml;prey=5mm", "a pitcher's meal is told by volume, not by length; leave prey= out, and compare volumes [bad-value]");
    assert_refused("prey", "prey=5mm", "'prey' needs one thing more; give 'trap' or 'pitcher' [missing]");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(pots_hold_what_geometry_says),
        cmocka_unit_test(a_rim_left_empty_is_left_out),
        cmocka_unit_test(parts_are_read_as_growers_write_them),
        cmocka_unit_test(a_meal_is_at_most_a_third),
        cmocka_unit_test(impossible_pots_and_meals_are_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
