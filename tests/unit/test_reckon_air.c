/* Vapour pressure deficit and temperatures. */
#include "support/reckoning.h"

static void published_vapour_pressures_and_temperatures_come_out(void **state)
{
    (void)state;
    check_reference("reckon-air", NULL, 139);
}

/* FAO-56, remark on equation 12: the mean temperature would give 2.30 kPa, not 2.39. */
static void a_day_is_not_reckoned_from_its_mean_temperature(void **state)
{
    (void)state;
    const double day = reckon_one("vpd-day", "high=24.5C;low=15C;mean-humidity=60%", "saturation");
    const double mean = reckon_one("vpd", "air=19.75C;humidity=60%", "saturation");
    assert_true(day - mean > 0.08);
}

static void the_four_ways_to_tell_moisture_agree(void **state)
{
    (void)state;
    const reckoning k = reckon("vpd", "air=24C;humidity=65%");
    char input[96];
    snprintf(input, sizeof input, "air=24C;vapour=%.17gkPa", reckon_get(&k, "vapour"));
    assert_near(reckon_one("vpd", input, "humidity"), 65, 1e-9);
    snprintf(input, sizeof input, "air=24C;dew-point=%.17gC", reckon_get(&k, "dew-point"));
    assert_near(reckon_one("vpd", input, "humidity"), 65, 0.05); /* the paper's inverse is rounded */
}

/* Stull 2011, J. Appl. Meteorol. Climatol. 50:2267-2269 (formula from memory): a fit
 * that its author finds within 0.65 C between 5 and 99 % at sea level. */
static double stull_wet_bulb(double t, double rh)
{
    return t * atan(0.151977 * sqrt(rh + 8.313659)) + atan(t + rh) - atan(rh - 1.676331) + 0.00391838 * pow(rh, 1.5) * atan(0.023101 * rh) - 4.686035;
}

static void wet_bulbs_agree_with_an_independent_fit(void **state)
{
    (void)state;
    for (int t = 10; t <= 35; t += 5) {
        for (int rh = 20; rh <= 95; rh += 15) {
            char input[96];
            double low = -5;
            double high = t;
            for (int i = 0; i < 50; i++) { /* find the wet bulb by halving */
                snprintf(input, sizeof input, "air=%dC;wet-bulb=%.17gC", t, (low + high) / 2);
                const reckoning k = reckon("vpd", input);
                *(k.status || reckon_get(&k, "humidity") < rh ? &low : &high) = (low + high) / 2;
            }
            assert_near(low, stull_wet_bulb(t, rh), 0.65);
        }
    }
}

static void a_warm_leaf_dries_and_a_cold_one_is_bedewed(void **state)
{
    (void)state;
    assert_true(reckon_one("vpd", "air=22C;humidity=70%;leaf=25C", "leaf-deficit") > reckon_one("vpd", "air=22C;humidity=70%", "deficit"));
    assert_true(reckon_one("vpd", "air=22C;humidity=70%;leaf=10C", "leaf-deficit") < 0);
    assert_true(isnan(reckon_one("vpd", "air=22C;humidity=70%", "leaf-deficit")));
    assert_near(reckon_one("vpd", "air=15C;humidity=95%", "means"), 0, 0);
    assert_near(reckon_one("vpd", "air=25C;humidity=80%", "means"), 1, 0);
    assert_near(reckon_one("vpd", "air=25C;humidity=60%", "means"), 2, 0);
    assert_near(reckon_one("vpd", "air=25C;humidity=40%", "means"), 3, 0);
}

static void fahrenheit_in_is_the_same_air(void **state)
{
    (void)state;
    assert_near(reckon_one("vpd", "air=77F;humidity=60%", "deficit"), reckon_one("vpd", "air=25C;humidity=60%", "deficit"), 1e-12);
    assert_near(reckon_one("degrees", "change=9F", "celsius"), 5, 1e-12);
    assert_near(reckon_one("degrees", "reading=9F", "celsius"), -12.777777777777779, 1e-12);
}

static void impossible_air_is_refused(void **state)
{
    (void)state;
    assert_refused("vpd", "air=20C;dew-point=21C", "air of 20 C cannot hold that much water: 'dew-point' is too high; check which reading is which [number]");
    assert_refused("vpd", "air=20C;wet-bulb=22C", "air of 20 C cannot hold that much water: 'wet-bulb' is too high; check which reading is which [number]");
    assert_refused("vpd", "air=30C;wet-bulb=2C",
                   "a wet bulb at 2 C in air of 30 C is colder than bone-dry air could make it; wet the sleeve and read again once it is steady [number]");
    assert_refused("vpd", "air=20C;humidity=101%", "'humidity' cannot be 101 %; give a value from 1 % to 100 % [number]");
    assert_refused("vpd", "air=20C", "'vpd' needs one thing more; give 'humidity', 'dew-point', 'wet-bulb' or 'vapour' [missing]");
    assert_refused("vpd", "air=20C;humidity=50%;dew-point=10C",
                   "'humidity' and 'dew-point' cannot both be given; give only one of 'humidity', 'dew-point', 'wet-bulb' or 'vapour' [duplicate]");
    assert_refused("vpd-day", "high=10C;low=20C;mean-humidity=50%", "'low' is warmer than 'high'; give the colder of the two as low= [number]");
    assert_refused("vpd-day", "high=20C;low=10C;mean-humidity=50%;least-humidity=30%",
                   "the lowest humidity of a day says too little by itself; give most-humidity= as well, or mean-humidity= alone [missing]");
    assert_refused("degrees", "reading=-300C", "'-300C' is not a temperature; write C, F, K [number]");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(published_vapour_pressures_and_temperatures_come_out),
        cmocka_unit_test(a_day_is_not_reckoned_from_its_mean_temperature),
        cmocka_unit_test(the_four_ways_to_tell_moisture_agree),
        cmocka_unit_test(wet_bulbs_agree_with_an_independent_fit),
        cmocka_unit_test(a_warm_leaf_dries_and_a_cold_one_is_bedewed),
        cmocka_unit_test(fahrenheit_in_is_the_same_air),
        cmocka_unit_test(impossible_air_is_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
