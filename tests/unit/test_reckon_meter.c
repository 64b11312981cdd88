/* Water meters: scales, temperature, calibration solutions, membranes. */
#include "support/reckoning.h"

static void published_conductivities_and_scales_come_out(void **state)
{
    (void)state;
    check_reference("reckon-meter", NULL, 116);
}

static void a_reading_of_any_scale_is_brought_to_all(void **state)
{
    (void)state;
    /* 360 uS/cm by every habit: common practice of meter makers */
    static const char *const readings[] = { "reading=360uS/cm", "reading=180ppm", "reading=180 ppm 500", "reading=230.4 ppm 640", "reading=252ppm700" };
    for (size_t i = 0; i < COUNT(readings); i++) {
        const reckoning k = reckon("scale", readings[i]);
        assert_near(reckon_get(&k, "conductivity"), 360, 1e-9);
        assert_near(reckon_get(&k, "ppm-500"), 180, 1e-9);
        assert_near(reckon_get(&k, "ppm-640"), 230.4, 1e-9);
        assert_near(reckon_get(&k, "ppm-700"), 252, 1e-9);
        assert_near(reckon_get(&k, "factor"), 1, 0);
    }
}

static void the_two_compensations_agree_near_25_and_part_in_the_cold(void **state)
{
    (void)state;
    for (int t = 20; t <= 30; t++) {
        char linear[64];
        char natural[64];
        snprintf(linear, sizeof linear, "reading=100uS/cm;sample=%dC", t);
        snprintf(natural, sizeof natural, "reading=100uS/cm;sample=%dC;by=natural", t);
        assert_near(reckon_one("scale", linear, "factor"), reckon_one("scale", natural, "factor"), 0.012);
    }
    assert_true(reckon_one("scale", "reading=100uS/cm;sample=0C", "factor") - reckon_one("scale", "reading=100uS/cm;sample=0C;by=natural", "factor") > 0.08);
}

static void the_natural_curve_only_falls(void **state)
{
    (void)state;
    double last = 3;
    for (int tenth = 0; tenth < 360; tenth++) {
        char input[64];
        snprintf(input, sizeof input, "reading=100uS/cm;sample=%d.%dC;by=natural", tenth / 10, tenth % 10);
        const double f = reckon_one("scale", input, "factor");
        assert_true(f <= last && last - f < 0.008 + (tenth == 0) * 2);
        last = f;
    }
}

/* 0.01 mol/l KCl conducts 1413 uS/cm at 25 C; the printed table goes down to 1020
 * at 10 C, which the linear rule with 1.91 % brings back to within 1.5 %. */
static void the_linear_rule_brings_printed_standards_back(void **state)
{
    (void)state;
    for (int t = 10; t <= 30; t += 5) {
        char input[96];
        snprintf(input, sizeof input, "solution=1413;sample=%dC", t);
        const double printed = reckon_one("pen-check", input, "expected");
        snprintf(input, sizeof input, "reading=%.0fuS/cm;sample=%dC;coefficient=1.91", printed, t);
        assert_near(reckon_one("scale", input, "conductivity"), 1413, 1413 * 0.015);
    }
}

static void pens_are_told_apart(void **state)
{
    (void)state;
    assert_near(reckon_one("pen-scale", "ppm=180;conductivity=360uS/cm", "nearest"), 0, 0);
    assert_near(reckon_one("pen-scale", "ppm=230;conductivity=360uS/cm", "nearest"), 1, 0);
    assert_near(reckon_one("pen-scale", "ppm=250;conductivity=360uS/cm", "nearest"), 2, 0);
    assert_near(reckon_one("pen-check", "solution=1413;sample=25C;reading=1484uS/cm", "off"), 5.0247700, 1e-6);
    /* 500 to 75 ppm is a rejection of 85 %: a meter supplier's page, common practice */
    assert_near(reckon_one("membrane", "feed=500ppm;product=75ppm", "rejection"), 85, 1e-9);
    assert_near(reckon_one("membrane", "feed=500ppm;product=76ppm", "membrane"), 1, 0);
}

static void what_no_meter_can_show_is_refused(void **state)
{
    (void)state;
    assert_refused("scale", "reading=100uS/cm;sample=36C;by=natural",
                   "the curve for natural water ends at 35.9 C, below 36 C; let the sample cool, or use by=linear [number]");
    assert_refused("scale", "reading=100uS/cm;sample=0C;coefficient=4",
                   "4 % a degree leaves nothing to measure at 0 C; use about 2, or let the sample warm up [number]");
    assert_refused("scale", "reading=180", "'180' is not dissolved solids; write ppm, ppm 640, ppm 700, uS/cm, mS/cm [number]");
    assert_refused("scale", "reading=30 C", "'reading' is dissolved solids, but '30 C' is temperature; write ppm, ppm 640, ppm 700, uS/cm, mS/cm [dimension]");
    assert_refused("scale", "reading=-5ppm", "'reading' cannot be -5 ppm; give a value from 0 ppm to 50000 ppm [number]");
    assert_refused("scale", "", "'scale' needs 'reading'; give reading=, what the meter shows, with its scale: 180ppm, '180 ppm 700', 360uS/cm [missing]");
    assert_refused("pen-scale", "ppm=1200;conductivity=2.4uS/cm",
                   "no pen turns 2.4 uS/cm into 1200 ppm; dip both meters in the same water, and mind uS/cm against mS/cm [number]");
    assert_refused("pen-check", "solution=84;sample=5C", "'sample' cannot be 5 C; give a value from 10 C to 35 C [number]");
    assert_refused("true-solids", "conductivity=1mS/cm;salt=sugar",
                   "'salt' cannot be 'sugar'; write one of potassium-chloride, sodium-chloride, 442 [bad-value]");
    assert_refused("membrane", "feed=50ppm;product=60ppm",
                   "cleaned water cannot hold more salt than what went in; check which tube is which, and measure both again [number]");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(published_conductivities_and_scales_come_out),
        cmocka_unit_test(a_reading_of_any_scale_is_brought_to_all),
        cmocka_unit_test(the_two_compensations_agree_near_25_and_part_in_the_cold),
        cmocka_unit_test(the_natural_curve_only_falls),
        cmocka_unit_test(the_linear_rule_brings_printed_standards_back),
        cmocka_unit_test(pens_are_told_apart),
        cmocka_unit_test(what_no_meter_can_show_is_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
