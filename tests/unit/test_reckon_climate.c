/* Day length and water use. */
#include "advice/sun.h"
#include "support/reckoning.h"
#include "util/date.h"

static double declination(const char *input)
{
    return fen_sun_declination((int)reckon_arg(input, "day"));
}

static double set_angle(const char *input)
{
    return fen_sun_set_angle(reckon_arg(input, "latitude") * 3.14159265358979323846 / 180, reckon_arg(input, "declination"));
}

static double distance(const char *input)
{
    return fen_sun_distance((int)reckon_arg(input, "day"));
}

static double hours_of_angle(const char *input)
{
    return fen_sun_hours(reckon_arg(input, "angle"));
}

/* Mean length of the days of a month. */
static double month_hours(const char *input)
{
    const int year = (int)reckon_arg(input, "year");
    const int month = (int)reckon_arg(input, "month");
    const bool crop = reckon_arg_is(input, "by", "crop");
    const double latitude = reckon_arg(input, "latitude");
    double sum = 0;
    int days = 0;
    for (; fen_date_valid(year, month, days + 1); days++) {
        char line[96];
        snprintf(line, sizeof line, "latitude=%.4f;date=%04d-%02d-%02d;%s", latitude, year, month, days + 1, crop ? "by=crop" : "longitude=118.25W");
        sum += reckon_one("day-length", line, "hours");
    }
    return sum / days;
}

/* The zenith that gives the same day as the named horizon. */
static double horizon_zenith(const char *input)
{
    static const char *const names[] = { "sunrise", "civil", "nautical", "astronomical" };
    char line[96];
    for (size_t i = 0; i < COUNT(names); i++)
        if (reckon_arg_is(input, "by", names[i]))
            snprintf(line, sizeof line, "latitude=40N;date=2024-03-20;by=%s", names[i]);
    const double hours = reckon_one("day-length", line, "hours");
    double low = 85;
    double high = 115;
    for (int i = 0; i < 60; i++) {
        const double middle = (low + high) / 2;
        *(fen_sun_day_length(40, 0, fen_date_day(2024, 3, 20), middle) < hours ? &low : &high) = middle;
    }
    return low;
}

static void published_day_lengths_come_out(void **state)
{
    (void)state;
    static const reckon_special specials[] = {
        { "sun.declination", declination }, { "sun.set-angle", set_angle },       { "sun.distance", distance }, { "sun.hours", hours_of_angle },
        { "month.hours", month_hours },     { "horizon.zenith", horizon_zenith }, { NULL, NULL },
    };
    check_reference("reckon-day", specials, 275);
}

static void polar_days_and_nights_are_whole(void **state)
{
    (void)state;
    assert_near(reckon_one("day-length", "latitude=70N;date=2024-06-20", "hours"), 24, 0);
    assert_near(reckon_one("day-length", "latitude=70N;date=2024-12-21", "hours"), 0, 0);
    assert_near(reckon_one("day-length", "latitude=90S;date=2024-12-21", "hours"), 24, 0);
    assert_near(reckon_one("day-length", "latitude=90N;date=2024-12-21", "hours"), 0, 0);
    assert_near(reckon_one("day-length", "latitude=70S;date=2024-06-20", "energy"), 0, 1e-9);
}

static void the_year_is_spanned_by_its_shortest_and_longest_day(void **state)
{
    (void)state;
    static const char *const places[] = { "0N", "15N", "34.08N", "51.5N", "65N", "33.9S", "54S" };
    for (size_t p = 0; p < COUNT(places); p++) {
        for (int month = 1; month <= 12; month++) {
            char input[64];
            snprintf(input, sizeof input, "latitude=%s;date=2025-%02d-11", places[p], month);
            const reckoning k = reckon("day-length", input);
            assert_true(reckon_get(&k, "hours") >= reckon_get(&k, "shortest"));
            assert_true(reckon_get(&k, "hours") <= reckon_get(&k, "longest"));
        }
    }
    /* summer there is winter here, but for the half day of June and December and refraction */
    assert_near(reckon_one("day-length", "latitude=50S;date=2025-12-21", "longest"), reckon_one("day-length", "latitude=50N;date=2025-06-21", "longest"), 0.01);
}

static void twilights_lie_outside_one_another(void **state)
{
    (void)state;
    static const char *const by[] = { "centre", "sunrise", "civil", "nautical", "astronomical" };
    double last = 0;
    for (size_t i = 0; i < COUNT(by); i++) {
        char input[64];
        snprintf(input, sizeof input, "latitude=45N;date=2025-04-10;by=%s", by[i]);
        const double hours = reckon_one("day-length", input, "hours");
        assert_true(hours > last);
        last = hours;
    }
}

/* FAO-56, example 20 (July at 45.72 N, 26.6 and 14.8 C): 5.0 mm a day by Hargreaves;
 * from memory. */
static void water_use_follows_the_published_example(void **state)
{
    (void)state;
    const reckoning k = reckon("water-use", "latitude=45.72N;date=2023-07-15;high=26.6C;low=14.8C;across=10cm;factor=1;pots=12;days=14 days");
    assert_near(reckon_get(&k, "depth"), 5.0, 0.05);
    assert_near(reckon_get(&k, "each"), reckon_get(&k, "depth") * 7.853981633974483, 1e-9); /* a circle of 78.5 cm2 */
    assert_near(reckon_get(&k, "store"), reckon_get(&k, "each") * 12 * 14, 1e-6);
}

static void hotter_days_use_more(void **state)
{
    (void)state;
    double last = 0;
    for (int high = 20; high <= 45; high += 5) {
        char input[96];
        snprintf(input, sizeof input, "latitude=40N;date=2025-07-10;high=%dC;low=15C;across=20cm", high);
        const double each = reckon_one("water-use", input, "each");
        assert_true(each > last);
        last = each;
    }
}

static void impossible_places_and_days_are_refused(void **state)
{
    (void)state;
    assert_refused("day-length", "latitude=95N;date=2024-06-20", "'latitude' cannot be 95 deg; give a value from -90 deg to 90 deg [number]");
    assert_refused("day-length", "latitude=-33S;date=2024-06-20", "'-33S' is not a latitude; write degrees like 51.5N, 33.9S or -33.9 [number]");
    assert_refused("day-length", "latitude=51E;date=2024-06-20", "'51E' is not a latitude; write degrees like 51.5N, 33.9S or -33.9 [number]");
    assert_refused("day-length", "latitude=51N;date=2023-02-29", "'2023-02-29' is not a date; write a date like 2026-03-01 [number]");
    assert_refused("water-use", "latitude=40N;date=2025-07-10;high=20C;low=25C;across=20cm",
                   "'low' is warmer than 'high'; give the colder of the two as low= [number]");
    assert_refused("water-use", "latitude=40N;date=2025-07-10;high=30C;low=20C;across=20cm;pots=2.5",
                   "'pots' cannot be 2.5; give a whole number from 1 to 100000 [number]");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(published_day_lengths_come_out),
        cmocka_unit_test(polar_days_and_nights_are_whole),
        cmocka_unit_test(the_year_is_spanned_by_its_shortest_and_longest_day),
        cmocka_unit_test(twilights_lie_outside_one_another),
        cmocka_unit_test(water_use_follows_the_published_example),
        cmocka_unit_test(hotter_days_use_more),
        cmocka_unit_test(impossible_places_and_days_are_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
