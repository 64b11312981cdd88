/* Blends, flushes, soaks, runoff and trays. */
#include "support/reckoning.h"

/* Minutes to leave LEFT percent at PER-HOUR volume changes: a ventilated room is a
 * flushed pot. */
static double purge_minutes(const char *input)
{
    char line[96];
    snprintf(line, sizeof line, "runoff=1000ppm;water=0ppm;target=%.17gppm;pot=1l;held=100%%", reckon_arg(input, "left") * 10);
    return reckon_one("flush", line, "pot-volumes") / reckon_arg(input, "per-hour") * 60;
}

/* The share at which the nursery guide turns over, found by halving. */
static double guide_turns(const char *input)
{
    double low = 0;
    double high = reckon_arg(input, "poured");
    const double poured = high;
    for (int i = 0; i < 60; i++) {
        char line[96];
        snprintf(line, sizeof line, "poured=%.17gml;runoff=%.17gml", poured, (low + high) / 2);
        *(reckon_one("runoff-share", line, "nursery-guide") == 0 ? &low : &high) = (low + high) / 2;
    }
    return low / poured;
}

static void published_blends_and_washouts_come_out(void **state)
{
    (void)state;
    static const reckon_special specials[] = { { "purge.minutes", purge_minutes }, { "guide.turns", guide_turns }, { NULL, NULL } };
    check_reference("reckon-water", specials, 113);
}

static double random_of(uint64_t *seed, double least, double most)
{
    return least + (most - least) * ((double)(unit_random(seed) >> 11) / 9007199254740992.0);
}

static void a_blend_never_overshoots(void **state)
{
    (void)state;
    uint64_t seed = 42;
    for (int i = 0; i < 2000; i++) {
        char input[256];
        const double pure = random_of(&seed, 0, 100);
        const double tap = pure + random_of(&seed, 0.001, 900);
        const double target = fmin(pure + (tap - pure) * random_of(&seed, 0, 1), tap);
        snprintf(input, sizeof input, "tap=%.17gppm;pure=%.17gppm;target=%.17gppm;total=7l", tap, pure, target);
        const reckoning k = reckon("blend", input);
        const double hard = reckon_get(&k, "tap-volume");
        const double soft = reckon_get(&k, "pure-volume");
        assert_near(hard + soft, 7000, 1e-9);
        assert_true(hard >= 0 && soft >= 0);
        snprintf(input, sizeof input, "first=%.17gppm;first-volume=%.17gml;second=%.17gppm;second-volume=%.17gml", tap, hard, pure, soft);
        const double level = reckon_one("mix", input, "level");
        assert_near(level, target, 1e-9 * (tap + 1));
        assert_true(level >= pure - 1e-9 && level <= tap + 1e-9);
    }
}

static void a_flush_never_overshoots(void **state)
{
    (void)state;
    uint64_t seed = 43;
    for (int i = 0; i < 2000; i++) {
        char input[256];
        const double water = random_of(&seed, 0, 60);
        const double runoff = water + random_of(&seed, 0.01, 600);
        const double target = water + (runoff - water) * random_of(&seed, 0.001, 1);
        const double pot = random_of(&seed, 50, 20000);
        const double held = random_of(&seed, 20, 100);
        snprintf(input, sizeof input, "runoff=%.17gppm;water=%.17gppm;target=%.17gppm;pot=%.17gml;held=%.17g%%", runoff, water, target, pot, held);
        const reckoning k = reckon("flush", input);
        const double volume = reckon_get(&k, "volume");
        double last = runoff;
        for (int part = 1; part <= 4; part++) { /* on the way there, and as far again beyond */
            snprintf(input, sizeof input, "runoff=%.17gppm;water=%.17gppm;poured=%.17gml;pot=%.17gml;held=%.17g%%", runoff, water, volume * part / 2, pot, held);
            const double level = reckon_one("flush-after", input, "level");
            assert_true(level <= last + 1e-9 && level >= water - 1e-9);
            if (part == 2)
                assert_near(level, target, 1e-8 * (runoff + 1));
            if (part < 2)
                assert_true(level >= target - 1e-9);
            last = level;
        }
    }
}

/* The same, bucket by small bucket. */
static void a_flush_agrees_with_pouring_it_drop_by_drop(void **state)
{
    (void)state;
    const double volume = reckon_one("flush", "runoff=300ppm;water=5ppm;target=60ppm;pot=1l;held=60%", "volume");
    double level = 300;
    const double drop = 0.01;
    for (double poured = 0; poured < volume; poured += drop)
        level += (5 - level) * drop / 600;
    assert_near(level, 60, 0.02);
    assert_near(reckon_one("flush", "runoff=300ppm;water=5ppm;target=60ppm;pot=1l", "pot-volumes"), 0.6 * log(295.0 / 55), 1e-12);
}

static void as_few_soaks_as_will_do(void **state)
{
    (void)state;
    uint64_t seed = 44;
    for (int i = 0; i < 1000; i++) {
        char input[256];
        const double water = random_of(&seed, 0, 40);
        const double runoff = water + random_of(&seed, 1, 500);
        const double target = water + (runoff - water) * random_of(&seed, 0.002, 0.999);
        const double kept = random_of(&seed, 2, 95);
        snprintf(input, sizeof input, "runoff=%.17gppm;water=%.17gppm;kept=%.17g%%;target=%.17gppm", runoff, water, kept, target);
        const reckoning k = reckon("soaks", input);
        const double n = reckon_get(&k, "number");
        assert_true(reckon_get(&k, "level") <= target + 1e-6);
        assert_true(n >= 1 && water + (runoff - water) * pow(kept / 100, n - 1) > target);
    }
    for (int kept = 5; kept <= 90; kept += 5) {
        for (int n = 1; n <= 6; n++) { /* exact powers must not ask for one soak more */
            char input[128];
            snprintf(input, sizeof input, "runoff=100ppm;kept=%d%%;target=%.15gppm", kept, 100 * pow(kept / 100.0, n));
            assert_near(reckon_one("soaks", input, "number"), n, 0);
        }
    }
    assert_near(reckon_one("soaks", "runoff=40ppm;kept=50%;target=50ppm", "number"), 0, 0);
}

static void nothing_to_flush_takes_no_water(void **state)
{
    (void)state;
    assert_near(reckon_one("flush", "runoff=40ppm;water=5ppm;target=60ppm;pot=1l", "volume"), 0, 0);
    assert_near(reckon_one("flush", "runoff=40ppm;water=80ppm;target=60ppm;pot=1l", "volume"), 0, 0);
}

/* A day in a thousand steps: what leaves as vapour leaves its salt. */
static double simulated_tray(double start, double water, double holds, double loss, double drained, double days)
{
    double level = start;
    const double step = 0.001;
    const double added = loss / (1 - drained);
    for (long i = 0; i < lround(days / step); i++)
        level += (added * water - added * drained * level) * step / holds;
    return level;
}

static void a_tray_agrees_with_filling_it_step_by_step(void **state)
{
    (void)state;
    static const struct {
        double start, water, holds, loss, drained, days;
    } rows[] = { { 20, 20, 1000, 200, 0, 30 }, { 80, 20, 1000, 200, 25, 45 }, { 5, 60, 3000, 500, 90, 20 }, { 10, 10, 500, 500, 10, 60 } };
    for (size_t i = 0; i < COUNT(rows); i++) {
        char input[256];
        snprintf(input, sizeof input, "start=%gppm;water=%gppm;holds=%gml;loss=%gml;drained=%g%%;days=%g days", rows[i].start, rows[i].water,
                 rows[i].holds, rows[i].loss, rows[i].drained, rows[i].days);
        const double level = reckon_one("tray", input, "level");
        const double simulated = simulated_tray(rows[i].start, rows[i].water, rows[i].holds, rows[i].loss, rows[i].drained / 100, rows[i].days);
        assert_near(level, simulated, 1e-3 * simulated);
    }
}

static void a_tray_reaches_its_limit_when_it_says(void **state)
{
    (void)state;
    const double after = reckon_one("tray", "water=20ppm;holds=1l;loss=200ml;limit=100ppm", "limit-after");
    assert_near(after, 20, 1e-9); /* 4 ppm a day */
    char input[128];
    const double drained = reckon_one("tray", "water=20ppm;holds=1l;loss=200ml;drained=10%;limit=100ppm", "limit-after");
    snprintf(input, sizeof input, "water=20ppm;holds=1l;loss=200ml;drained=10%%;days=%.17g days", drained);
    assert_near(reckon_one("tray", input, "level"), 100, 1e-9);
    const reckoning never = reckon("tray", "water=20ppm;holds=1l;loss=200ml;drained=50%;limit=100ppm");
    assert_true(isnan(reckon_get(&never, "limit-after")));
    assert_near(reckon_get(&never, "settles-at"), 40, 1e-12); /* water / share drained */
}

static void a_tray_is_told_week_by_week(void **state)
{
    (void)state;
    reckoning k = reckon("tray", "water=20ppm;holds=1l;loss=200ml;days=30 days");
    fen_reckon_value cells[FEN_RECKON_OUTPUTS];
    const size_t n = fen_reckon_lines(k.r, k.in);
    assert_int_equal(n, 6); /* days 0, 7, 14, 21, 28, 30 */
    fen_reckon_line(k.r, k.in, 1, cells);
    assert_near(cells[0].number, 7, 0);
    assert_near(cells[1].number, 48, 1e-9);
    fen_reckon_line(k.r, k.in, n - 1, cells);
    assert_near(cells[0].number, 30, 0);
    assert_near(cells[1].number, reckon_get(&k, "level"), 0);
}

static void units_in_do_not_matter(void **state)
{
    (void)state;
    const double a = reckon_one("flush", "runoff=300ppm;water=5ppm;target=60ppm;pot=1gal", "volume");
    const double b = reckon_one("flush", "runoff=600uS/cm;water=7 ppm 700;target=0.12mS/cm;pot=3.785411784l", "volume");
    assert_near(a, b, 1e-9);
}

static void impossible_waters_are_refused(void **state)
{
    (void)state;
    assert_refused("blend", "tap=300ppm;pure=40ppm;target=30ppm",
                   "no blend reaches 30 ppm, as 'pure' already holds 40 ppm; use cleaner water, or aim higher [number]");
    assert_refused("blend", "tap=30ppm;pure=4ppm;target=50ppm",
                   "'tap' holds 30 ppm: adding 'pure' (4 ppm) cannot bring it up to 50 ppm; use it as it is, or check which water is which [number]");
    assert_refused("blend", "tap=30ppm;pure=30ppm;target=30ppm",
                   "'tap' holds 30 ppm: adding 'pure' (30 ppm) cannot bring it up to 30 ppm; use it as it is, or check which water is which [number]");
    assert_refused("mix", "first=1ppm;first-volume=0l;second=2ppm;second-volume=0l", "nothing is mixed; give at least one volume above zero [number]");
    assert_refused("flush", "runoff=300ppm;water=60ppm;target=60ppm;pot=1l",
                   "no amount of water of 60 ppm brings the runoff down to 60 ppm; flush with cleaner water, or aim higher [number]");
    assert_refused("flush", "runoff=300ppm;water=5ppm;target=60ppm;pot=1kg",
                   "'pot' is a volume, but '1kg' is mass; write ml, l, fl oz, cup, pt, qt, gal [dimension]");
    assert_refused("soaks", "runoff=300ppm;water=60ppm;kept=50%;target=50ppm",
                   "no number of soaks in water of 60 ppm brings the runoff down to 50 ppm; soak in cleaner water, or aim higher [number]");
    assert_refused("soaks", "runoff=300ppm;kept=50%", "'soaks' needs one thing more; give 'soaks' or 'target' [missing]");
    assert_refused("runoff-share", "poured=200ml;runoff=300ml",
                   "more ran out (300 ml) than was poured (200 ml); let the pot drain before you pour, and catch all of one pouring [number]");
    assert_refused("leaching", "water=500ppm;limit=100ppm", "with water of 500 ppm no runoff keeps the mix at 100 ppm; use cleaner water [number]");
    assert_refused("tray", "water=20ppm;holds=100ml;loss=200ml",
                   "a tray that holds 100 ml cannot lose 200 ml a day between toppings-up; check the two volumes [number]");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(published_blends_and_washouts_come_out),
        cmocka_unit_test(a_blend_never_overshoots),
        cmocka_unit_test(a_flush_never_overshoots),
        cmocka_unit_test(a_flush_agrees_with_pouring_it_drop_by_drop),
        cmocka_unit_test(as_few_soaks_as_will_do),
        cmocka_unit_test(nothing_to_flush_takes_no_water),
        cmocka_unit_test(a_tray_agrees_with_filling_it_step_by_step),
        cmocka_unit_test(a_tray_reaches_its_limit_when_it_says),
        cmocka_unit_test(a_tray_is_told_week_by_week),
        cmocka_unit_test(units_in_do_not_matter),
        cmocka_unit_test(impossible_waters_are_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
