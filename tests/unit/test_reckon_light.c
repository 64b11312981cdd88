/* Daily light, lamps, and meters that see with the eye. */
#include "model/light.h"
#include "model/quantity.h"
#include "support/reckoning.h"

static void published_light_figures_come_out(void **state)
{
    (void)state;
    check_reference("reckon-light", NULL, 85);
}

static void hours_and_light_and_integral_undo_each_other(void **state)
{
    (void)state;
    uint64_t seed = 11;
    for (int i = 0; i < 500; i++) {
        char input[96];
        const double light = 1 + (double)(unit_random(&seed) % 10000) / 5;
        const double hours = 1 + (double)(unit_random(&seed) % 2300) / 100;
        snprintf(input, sizeof input, "light=%.17gumol/m2/s;hours=%.17g", light, hours);
        const double daily = reckon_one("daily-light", input, "daily-light");
        if (daily > 80)
            continue;
        snprintf(input, sizeof input, "target=%.17gmol/m2/d;light=%.17gumol/m2/s", daily, light);
        assert_near(reckon_one("lamp-hours", input, "hours"), hours, 1e-9);
        snprintf(input, sizeof input, "target=%.17gmol/m2/d;hours=%.17g", daily, hours);
        assert_near(reckon_one("lamp-light", input, "light"), light, 1e-9 * light);
    }
}

static void lamps_fall_off_with_distance(void **state)
{
    (void)state;
    /* photometry: a quarter at twice the distance for a point, half for a line */
    assert_near(reckon_one("lamp-distance", "light=200umol/m2/s;distance=30cm;want=50umol/m2/s", "distance"), 600, 1e-9);
    assert_near(reckon_one("lamp-distance", "light=200umol/m2/s;distance=30cm;want=100umol/m2/s;lamp=tube", "distance"), 600, 1e-9);
    const reckoning k = reckon("lamp-distance", "light=200umol/m2/s;distance=12in;target=12mol/m2/d;hours=14");
    assert_near(reckon_get(&k, "light"), 238.0952380952381, 1e-9);
    assert_near(reckon_get(&k, "daily-light"), 12, 1e-12);
    assert_true(reckon_get(&k, "distance") < 304.8);
}

/* The table of sources serves quantities too: the same lux must be the same light. */
static void a_typed_lux_is_the_same_light_everywhere(void **state)
{
    (void)state;
    for (size_t i = 0; i < fen_light_sources(); i++) {
        const fen_light_source *s = fen_light_source_at(i);
        char text[96];
        char input[96];
        fen_quantity q;
        size_t bad;
        assert_string_equal(fen_light_names[i], s->name);
        snprintf(text, sizeof text, "1000 lux %s", s->name);
        if (isnan(s->lux)) {
            assert_int_equal(fen_quantity_parse(text, strlen(text), FEN_DIM_LIGHT, &q, &bad), FEN_EINPUT);
            continue;
        }
        assert_int_equal(fen_quantity_parse(text, strlen(text), FEN_DIM_LIGHT, &q, &bad), FEN_OK);
        snprintf(input, sizeof input, "reading=1000lux;source=%s", s->name);
        const reckoning k = reckon("light-meter", input);
        assert_near(q.value, reckon_get(&k, "light"), 1e-12);
        assert_true(reckon_get(&k, "at-least") < q.value && q.value < reckon_get(&k, "at-most"));
    }
    assert_null(fen_light_names[fen_light_sources()]);
}

static void lux_and_foot_candles_and_ppfd_go_both_ways(void **state)
{
    (void)state;
    assert_near(reckon_one("light-meter", "reading=1300fc;source=cool-white-tube", "light"), 189.0957, 1e-3);
    assert_near(reckon_one("light-meter", "light=200umol/m2/s;source=sun", "lux"), 10800, 1e-9); /* not the 40,800 of a misprint */
    assert_near(reckon_one("light-meter", "reading=15klx;source=white-led", "light"), 15000 / 69.0, 1e-9);
}

static void light_that_cannot_be_is_refused(void **state)
{
    (void)state;
    assert_refused("light-meter", "reading=5000lux;source=purple-led",
                   "a light meter cannot read 'purple-led': the eye hardly sees red and blue; borrow a quantum (PAR) meter, or go by the lamp's own chart [bad-value]");
    assert_refused("light-meter", "reading=5000lux;source=sunn", "'source' cannot be 'sunn'; did you mean 'sun' [bad-value]");
    assert_refused("light-meter", "reading=5000;source=sun", "'5000' is not an illuminance; write lux, klx, fc [number]");
    assert_refused("lamp-hours", "target=20mol/m2/d;light=100umol/m2/s",
                   "100 umol/m2/s for a whole day and night gives only 8.64 mol/m2/d; bring the lamp nearer or use a stronger one: see lamp-light [number]");
    assert_refused("lamp-light", "target=60mol/m2/d;hours=2", "that would take 8333 umol/m2/s, more than the sun gives; light it longer, or aim lower [number]");
    assert_refused("lamp-distance", "light=10umol/m2/s;distance=30cm;want=400umol/m2/s",
                   "400 umol/m2/s is too far from the 10 umol/m2/s measured to be reckoned; measure nearer to where the plants will stand, or change the lamp [number]");
    assert_refused("lamp-distance", "light=100umol/m2/s;distance=30cm;target=10mol/m2/d",
                   "a daily target says nothing about the distance without hours; give hours=, how long the lamp is on each day [missing]");
    assert_refused("daily-light", "light=20000 lux;hours=12",
                   "'20000 lux' is not light (PPFD); write umol/m2/s, lux and fc with their source ('20000 lux sun') [number]");
    assert_refused("daily-light", "light=100umol/m2/s;hours=25", "'hours' cannot be 25 h; give a value from 0 h to 24 h [number]");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(published_light_figures_come_out),
        cmocka_unit_test(hours_and_light_and_integral_undo_each_other),
        cmocka_unit_test(lamps_fall_off_with_distance),
        cmocka_unit_test(a_typed_lux_is_the_same_light_everywhere),
        cmocka_unit_test(lux_and_foot_candles_and_ppfd_go_both_ways),
        cmocka_unit_test(light_that_cannot_be_is_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
