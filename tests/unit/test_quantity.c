/* Quantities: reading, the unit table against published conversions, showing. */
#include "model/light.h"
#include "model/quantity.h"
#include "unit.h"
#include "util/number.h"

static void quantities_are_read_in_any_unit_of_their_dimension(void **state)
{
    (void)state;
    static const struct { const char *text; fen_dim dim; double value; } rows[] = {
        { "180ppm", FEN_DIM_DISSOLVED_SOLIDS, 180 },
        { "180 ppm", FEN_DIM_DISSOLVED_SOLIDS, 180 },
        { "  180   ppm  ", FEN_DIM_DISSOLVED_SOLIDS, 180 },
        { "180 PPM", FEN_DIM_DISSOLVED_SOLIDS, 180 },
        { "140 ppm 700", FEN_DIM_DISSOLVED_SOLIDS, 100 },
        { "128ppm640", FEN_DIM_DISSOLVED_SOLIDS, 100 },
        { "100 ppm 500", FEN_DIM_DISSOLVED_SOLIDS, 100 },
        { "250 \xC2\xB5S/cm", FEN_DIM_DISSOLVED_SOLIDS, 125 },
        { "0.5 mS/cm", FEN_DIM_DISSOLVED_SOLIDS, 250 },
        { "75 F", FEN_DIM_TEMPERATURE, 23.888888888888889 },
        { "24C", FEN_DIM_TEMPERATURE, 24 },
        { "24 \xC2\xB0" "C", FEN_DIM_TEMPERATURE, 24 },
        { "24\xE2\x84\x83", FEN_DIM_TEMPERATURE, 24 },
        { "24 degrees Celsius", FEN_DIM_TEMPERATURE, 24 },
        { "-5 C", FEN_DIM_TEMPERATURE, -5 },
        { "\xE2\x88\x92" "5 C", FEN_DIM_TEMPERATURE, -5 },      /* a typographer's minus */
        { "+5 C", FEN_DIM_TEMPERATURE, 5 },
        { "6 in", FEN_DIM_LENGTH, 152.4 },
        { "6\"", FEN_DIM_LENGTH, 152.4 },
        { "6 in.", FEN_DIM_LENGTH, 152.4 },
        { "1 1/2 in", FEN_DIM_LENGTH, 38.1 },
        { "1/2 in", FEN_DIM_LENGTH, 12.7 },
        { "1\xC2\xBD in", FEN_DIM_LENGTH, 38.1 },
        { "\xC2\xBE\"", FEN_DIM_LENGTH, 19.05 },
        { "-1/2 in", FEN_DIM_LENGTH, -12.7 },
        { "10 cm", FEN_DIM_LENGTH, 100 },
        { "1/2 cup", FEN_DIM_VOLUME, 118.29411825 },
        { "2 fl oz", FEN_DIM_VOLUME, 59.147059125 },
        { "2 oz", FEN_DIM_MASS, 56.69904625 },
        { "1.5 l", FEN_DIM_VOLUME, 1500 },
        { "2 kg", FEN_DIM_MASS, 2000 },
        { "3 weeks", FEN_DIM_TIME_SPAN, 21 },
        { "1 month", FEN_DIM_TIME_SPAN, 30.4375 },
        { "2 years", FEN_DIM_TIME_SPAN, 730.5 },
        { "6 h", FEN_DIM_TIME_SPAN, 0.25 },
        { "1 1/2 hours", FEN_DIM_TIME_SPAN, 0.0625 },
        { "90 min", FEN_DIM_TIME_SPAN, 0.0625 },
        { "200 umol/m2/s", FEN_DIM_LIGHT, 200 },
        { "200 \xC2\xB5mol/m\xC2\xB2/s", FEN_DIM_LIGHT, 200 },  /* U+00B5 */
        { "200 \xCE\xBCmol/m2/s", FEN_DIM_LIGHT, 200 },         /* U+03BC */
        { "200 \xC2\xB5mol\xC2\xB7m\xE2\x81\xBB\xC2\xB2\xC2\xB7s\xE2\x81\xBB\xC2\xB9", FEN_DIM_LIGHT, 200 },
        { "200 PPFD", FEN_DIM_LIGHT, 200 },
        { "54000 lux sun", FEN_DIM_LIGHT, 1000 },
        { "54 klux sunlight", FEN_DIM_LIGHT, 1000 },
        { "6900 lx white LED", FEN_DIM_LIGHT, 100 },
        { "6900 lux white-led", FEN_DIM_LIGHT, 100 },
        { "12 mol/m2/d", FEN_DIM_DAILY_LIGHT, 12 },
        { "40 %", FEN_DIM_PERCENT, 40 },
        { "40%", FEN_DIM_PERCENT, 40 },
        { "40 percent", FEN_DIM_PERCENT, 40 },
        { "3 pieces", FEN_DIM_COUNT, 3 },
        { "1e2 mm", FEN_DIM_LENGTH, 100 },
        { "-459.67 F", FEN_DIM_TEMPERATURE, -273.15 },          /* absolute zero itself */
        { "0 K", FEN_DIM_TEMPERATURE, -273.15 },
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        fen_quantity q = { 0 };
        size_t bad = 0;
        const fen_status st = fen_quantity_parse(rows[i].text, strlen(rows[i].text), FEN_DIM_NONE, &q, &bad);
        if (st || q.dim != rows[i].dim)
            print_error("'%s': bad at %zu, %s\n", rows[i].text, bad, fen_dim_name(q.dim));
        assert_int_equal(st, FEN_OK);
        assert_int_equal(q.dim, rows[i].dim);
        assert_near(q.value, rows[i].value, 1e-12 * fabs(rows[i].value));
    }
}

static void what_does_not_fit_is_pointed_at(void **state)
{
    (void)state;
    static const struct { const char *text; size_t bad; } rows[] = {
        { "1,5 C", 1 },               /* a comma is never a point */
        { "1,000 ppm", 1 },
        { "40", 2 },                  /* 40 of what? */
        { "40  ", 2 },
        { "", 0 },
        { "ppm", 0 },
        { "warm", 0 },
        { "5 zork", 2 },
        { "5 Cx", 2 },
        { "5 c|deg c", 3 },           /* the names as the table has them are not one name */
        { "5 C x", 4 },
        { "5 C 6 C", 4 },
        { "--5 C", 1 },
        { "5 m\xC2\xB2", 2 },         /* square metres are no length */
        { "20000 lux", 9 },           /* of which light? */
        { "20000 lux moon", 10 },
        { "5000 lux purple-led", 9 }, /* no factor holds for it */
        { "1/2 ppm", 1 },             /* fractions are for the kitchen's units */
        { "1/0 in", 1 },
        { "1 2 in", 2 },
        { "0x10 mm", 1 },
        { "-300 C", 0 },              /* colder than absolute zero */
        { " -460 F", 1 },
        { "-1 K", 0 },
        { "1e308 l", 0 },             /* not finite in ml */
        { "1e999 g", 0 },
        { "nan C", 0 },
        { "inf C", 0 },
        { "3 in-between", 2 },
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        fen_quantity q = { 12345, FEN_DIM_MASS };
        size_t bad = 999;
        assert_int_equal(fen_quantity_parse(rows[i].text, strlen(rows[i].text), FEN_DIM_NONE, &q, &bad), FEN_EINPUT);
        if (bad != rows[i].bad)
            print_error("'%s'\n", rows[i].text);
        assert_int_equal(bad, rows[i].bad);
        assert_int_equal(q.dim, FEN_DIM_MASS); /* untouched */
    }
}

static void what_is_expected_decides_between_a_temperature_and_a_difference(void **state)
{
    (void)state;
    fen_quantity q;
    size_t bad;
    assert_int_equal(fen_quantity_parse("9 F", 3, FEN_DIM_TEMPERATURE_DIFFERENCE, &q, &bad), FEN_OK);
    assert_int_equal(q.dim, FEN_DIM_TEMPERATURE_DIFFERENCE);
    assert_near(q.value, 5, 0);
    assert_int_equal(fen_quantity_parse("-300 C", 6, FEN_DIM_TEMPERATURE_DIFFERENCE, &q, &bad), FEN_OK);
    assert_int_equal(fen_quantity_parse("5 C", 3, FEN_DIM_LENGTH, &q, &bad), FEN_OK);
    assert_int_equal(q.dim, FEN_DIM_TEMPERATURE); /* told, so that the caller can say what is wrong */
}

static void a_bare_number_is_a_count_where_one_is_expected(void **state)
{
    (void)state;
    fen_quantity q;
    size_t bad;
    assert_int_equal(fen_quantity_parse("3", 1, FEN_DIM_COUNT, &q, &bad), FEN_OK);
    assert_int_equal(q.dim, FEN_DIM_COUNT);
    assert_int_equal(fen_quantity_parse("3 mm", 4, FEN_DIM_COUNT, &q, &bad), FEN_OK);
    assert_int_equal(q.dim, FEN_DIM_LENGTH);
    assert_int_equal(fen_quantity_parse("3 zork", 6, FEN_DIM_COUNT, &q, &bad), FEN_EINPUT);
    assert_int_equal(fen_quantity_parse("3x", 2, FEN_DIM_COUNT, &q, &bad), FEN_EINPUT);
    assert_int_equal(fen_quantity_parse("3", 1, FEN_DIM_LENGTH, &q, &bad), FEN_EINPUT);
}

static void a_quantity_at_the_front_of_a_sentence_takes_just_its_bytes(void **state)
{
    (void)state;
    static const struct { const char *text; size_t len; } rows[] = {
        { "50 ppm to below 100 ppm", 6 }, { "30 C)", 4 }, { "30 ppm*2", 6 }, { "14 days, then", 7 },
        { "30 ppm - runoff", 6 },         { "5 % of", 3 }, { "6 in\xE2\x80\x93" "8 in", 4 }, { "1 1/2 in of", 8 },
        { "54 lux sun and", 10 },         { "140 ppm 700 or", 11 }, { "30 ppm 70", 6 },
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        fen_quantity q;
        size_t len = 0;
        assert_int_equal(fen_quantity_scan(rows[i].text, strlen(rows[i].text), FEN_DIM_NONE, &q, &len), FEN_OK);
        assert_int_equal(len, rows[i].len);
        char *exact = malloc(len); /* and looks at none beyond them */
        memcpy(exact, rows[i].text, len);
        assert_int_equal(fen_quantity_scan(exact, len, FEN_DIM_NONE, &q, &len), FEN_OK);
        assert_int_equal(len, rows[i].len);
        free(exact);
    }
}

static void a_value_on_a_threshold_is_on_it_in_every_unit(void **state)
{
    (void)state;
    static const char *const same[][2] = {
        { "212 F", "100 C" },    { "32 F", "0 C" },        { "50 F", "10 C" },       { "86 F", "30 C" },
        { "6 in", "152.4 mm" },  { "4 in", "10.16 cm" },   { "1 ft", "12 in" },      { "100 ppm", "200 uS/cm" },
        { "0.2 mS/cm", "100 ppm" }, { "64 ppm 640", "50 ppm" }, { "2 weeks", "14 days" }, { "12 h", "0.5 days" },
        { "1 gal", "4 qt" },     { "1 lb", "16 oz" },      { "0.1 m", "10 cm" },     { "1 l", "1000 ml" },
        { "1/2 cup", "4 fl oz" },
    };
    for (size_t i = 0; i < COUNT(same); i++) {
        fen_quantity a, b;
        size_t bad;
        assert_int_equal(fen_quantity_parse(same[i][0], strlen(same[i][0]), FEN_DIM_NONE, &a, &bad), FEN_OK);
        assert_int_equal(fen_quantity_parse(same[i][1], strlen(same[i][1]), FEN_DIM_NONE, &b, &bad), FEN_OK);
        assert_int_equal(a.dim, b.dim);
        assert_near(a.value, b.value, 0);
    }
}

/* ---- published conversions: tests/reference ---- */

typedef struct row {
    char line[512];
    char *cell[8];
} row;

static FILE *open_reference(const char *name)
{
    char path[512], heading[512];
    snprintf(path, sizeof path, "%s/reference/%s", FEN_TESTS_DIR, name);
    FILE *f = fopen(path, "r");
    assert_non_null(f);
    assert_non_null(fgets(heading, sizeof heading, f));
    return f;
}

static bool next_row(FILE *f, row *r)
{
    if (!fgets(r->line, sizeof r->line, f))
        return false;
    r->line[strcspn(r->line, "\n")] = '\0';
    char *p = r->line;
    for (size_t i = 0; i < COUNT(r->cell); i++) {
        r->cell[i] = p;
        p += strcspn(p, ",");
        if (*p)
            *p++ = '\0';
    }
    return true;
}

/* "1e-9" is absolute, "5%" relative. What is from memory is told, and fails nothing. */
static void compare(const row *r, double got, const char *want_text, const char *tolerance_text, const char *source,
                    const char *trust)
{
    const double want = atof(want_text);
    double tolerance = atof(tolerance_text);
    if (strchr(tolerance_text, '%'))
        tolerance = tolerance / 100 * fabs(want);
    if (fabs(got - want) <= tolerance)
        return;
    print_error("%s %s %s: %.12g, not %s (%s; %s)\n", r->cell[0], r->cell[1], r->cell[2], got, want_text, source, trust);
    if (strcmp(trust, "memory") != 0)
        fail();
}

static void conversions_are_those_published(void **state)
{
    (void)state;
    FILE *f = open_reference("units.csv");
    size_t count = 0;
    for (row r; next_row(f, &r); count++) {
        fen_dim dim;
        fen_quantity q;
        size_t bad;
        double got;
        assert_true(fen_dim_find(r.cell[0], strlen(r.cell[0]), &dim));
        assert_int_equal(fen_quantity_parse(r.cell[1], strlen(r.cell[1]), dim, &q, &bad), FEN_OK);
        assert_int_equal(q.dim, dim);
        assert_true(fen_quantity_in(q, r.cell[2], &got));
        compare(&r, got, r.cell[3], r.cell[4], r.cell[5], r.cell[6]);
    }
    fclose(f);
    assert_true(count >= 130);
}

static void conductivity_at_25_degrees_is_that_published(void **state)
{
    (void)state;
    FILE *f = open_reference("units-conductivity.csv");
    size_t count = 0;
    for (row r; next_row(f, &r); count++) {
        const double got = fen_conductivity_25(atof(r.cell[2]), atof(r.cell[1]), atof(r.cell[0]));
        compare(&r, got, r.cell[3], r.cell[4], r.cell[5], r.cell[6]);
    }
    fclose(f);
    assert_true(count >= 60);
}

static void every_light_source_converts_by_its_own_factor(void **state)
{
    (void)state;
    for (size_t i = 0; i < fen_light_sources(); i++) {
        const fen_light_source *s = fen_light_source_at(i);
        char text[64];
        fen_quantity q;
        size_t bad;
        const int n = snprintf(text, sizeof text, "1000 lux %s", s->name);
        const fen_status st = fen_quantity_parse(text, (size_t)n, FEN_DIM_LIGHT, &q, &bad);
        assert_int_equal(st, isnan(s->lux) ? FEN_EINPUT : FEN_OK);
        if (!st)
            assert_near(q.value, 1000 / s->lux, 1e-12);
    }
}

/* ---- showing and keeping ---- */

static void quantities_are_shown_as_growers_say_them(void **state)
{
    (void)state;
    static const struct { double value; fen_dim dim; const char *metric, *us; } rows[] = {
        { 24, FEN_DIM_TEMPERATURE, "24 C", "75.2 F" },
        { -5, FEN_DIM_TEMPERATURE, "-5 C", "23 F" },
        { 23.888888888888889, FEN_DIM_TEMPERATURE, "23.9 C", "75 F" },
        { 5, FEN_DIM_TEMPERATURE_DIFFERENCE, "5 C", "9 F" },
        { 180, FEN_DIM_DISSOLVED_SOLIDS, "180 ppm", "180 ppm" },
        { 1234.4, FEN_DIM_DISSOLVED_SOLIDS, "1234 ppm", "1234 ppm" },
        { 0, FEN_DIM_DISSOLVED_SOLIDS, "0 ppm", "0 ppm" },
        { 150, FEN_DIM_LENGTH, "15 cm", "5.91 in" },
        { 152.4, FEN_DIM_LENGTH, "15.2 cm", "6 in" },
        { 4, FEN_DIM_LENGTH, "4 mm", "0.157 in" },
        { 2000, FEN_DIM_LENGTH, "2 m", "6.56 ft" },
        { 914.4, FEN_DIM_LENGTH, "91.4 cm", "3 ft" },
        { 250, FEN_DIM_VOLUME, "250 ml", "1.06 cups" },
        { 236.5882365, FEN_DIM_VOLUME, "237 ml", "1 cup" },
        { 5000, FEN_DIM_VOLUME, "5 l", "1.32 gal" },
        { 28.349523125, FEN_DIM_MASS, "28.3 g", "1 oz" },
        { 907.18474, FEN_DIM_MASS, "907 g", "2 lb" },
        { 21, FEN_DIM_TIME_SPAN, "3 weeks", "3 weeks" },
        { 7, FEN_DIM_TIME_SPAN, "7 days", "7 days" },
        { 1, FEN_DIM_TIME_SPAN, "1 day", "1 day" },
        { 90, FEN_DIM_TIME_SPAN, "90 days", "90 days" },
        { 91.3125, FEN_DIM_TIME_SPAN, "3 months", "3 months" },
        { 365.25, FEN_DIM_TIME_SPAN, "1 year", "1 year" },
        { 0.25, FEN_DIM_TIME_SPAN, "6 hours", "6 hours" },
        { 1.0 / 1440, FEN_DIM_TIME_SPAN, "1 minute", "1 minute" },
        { 0, FEN_DIM_TIME_SPAN, "0 days", "0 days" },
        { -14, FEN_DIM_TIME_SPAN, "-2 weeks", "-2 weeks" },
        { 200, FEN_DIM_LIGHT, "200 umol/m2/s", "200 umol/m2/s" },
        { 12.5, FEN_DIM_DAILY_LIGHT, "12.5 mol/m2/d", "12.5 mol/m2/d" },
        { 40, FEN_DIM_PERCENT, "40 %", "40 %" },
        { 3, FEN_DIM_COUNT, "3", "3" },
        { 0.5, FEN_DIM_NONE, "0.5", "0.5" },
    };
    char buf[FEN_QUANTITY_TEXT];
    for (size_t i = 0; i < COUNT(rows); i++) {
        const fen_quantity q = { rows[i].value, rows[i].dim };
        assert_int_equal(fen_quantity_show(buf, q, FEN_UNITS_METRIC), strlen(rows[i].metric));
        assert_string_equal(buf, rows[i].metric);
        fen_quantity_show(buf, q, FEN_UNITS_US);
        assert_string_equal(buf, rows[i].us);
    }
}

static void what_is_written_reads_back_to_the_same_double(void **state)
{
    (void)state;
    uint64_t random = 17;
    char buf[FEN_QUANTITY_TEXT];
    for (int i = 0; i < 50000; i++) {
        const fen_dim dim = (fen_dim)(FEN_DIM_NONE + 1 + unit_random(&random) % (FEN_DIMS - 1));
        double value = (double)(unit_random(&random) % 1000000) / (double)(1 + unit_random(&random) % 1000);
        value = ldexp(value, (int)(unit_random(&random) % 60) - 30);
        fen_quantity back;
        size_t bad;
        const size_t n = fen_quantity_write(buf, (fen_quantity){ value, dim });
        assert_true(n < FEN_QUANTITY_TEXT);
        assert_int_equal(fen_quantity_parse(buf, n, dim, &back, &bad), FEN_OK);
        assert_int_equal(back.dim, dim);
        assert_memory_equal(&back.value, &value, sizeof value);
    }
}

static void what_is_shown_reads_back_to_what_it_says(void **state)
{
    (void)state;
    uint64_t random = 23;
    char buf[FEN_QUANTITY_TEXT];
    for (int i = 0; i < 50000; i++) {
        const fen_dim dim = (fen_dim)(FEN_DIM_NONE + 1 + unit_random(&random) % (FEN_DIMS - 1));
        const double value = (double)(unit_random(&random) % 1000000) / (double)(1 + unit_random(&random) % 1000);
        fen_quantity back;
        size_t bad;
        const size_t n = fen_quantity_show(buf, (fen_quantity){ value, dim }, i % 2 ? FEN_UNITS_US : FEN_UNITS_METRIC);
        assert_int_equal(fen_quantity_parse(buf, n, dim, &back, &bad), FEN_OK);
        assert_int_equal(back.dim, dim);
        assert_near(back.value, value, 0.006 * fabs(value) + (dim == FEN_DIM_TEMPERATURE ? 0.1 : 1e-9));
    }
}

/* Each unit that a message offers can be typed, and is of that dimension. */
static void units_that_messages_offer_can_be_typed(void **state)
{
    (void)state;
    for (fen_dim d = FEN_DIM_NONE + 1; d < FEN_DIMS; d++) {
        fen_dim found;
        assert_true(fen_dim_find(fen_dim_name(d), strlen(fen_dim_name(d)), &found));
        assert_int_equal(found, d);
        if (d == FEN_DIM_LIGHT || d == FEN_DIM_COUNT)
            continue; /* a sentence, not a list */
        char text[300];
        snprintf(text, sizeof text, "%s", fen_dim_units(d));
        for (char *name = strtok(text, ","); name; name = strtok(NULL, ",")) {
            char typed[100];
            fen_quantity q;
            size_t bad;
            const int n = snprintf(typed, sizeof typed, "7 %s", name + (*name == ' '));
            assert_int_equal(fen_quantity_parse(typed, (size_t)n, d, &q, &bad), FEN_OK);
            assert_int_equal(q.dim, d);
        }
        for (int us = 0; us < 2; us++) {
            char typed[100];
            fen_quantity q;
            size_t bad;
            const int n = snprintf(typed, sizeof typed, "7 %s", fen_quantity_unit(d, us ? FEN_UNITS_US : FEN_UNITS_METRIC));
            assert_int_equal(fen_quantity_parse(typed, (size_t)n, d, &q, &bad), FEN_OK);
            if (!us)
                assert_near(q.value, 7, 0); /* the stored unit */
        }
    }
    fen_dim none = FEN_DIM_MASS;
    assert_false(fen_dim_find("colour", 6, &none));
    assert_false(fen_dim_find("", 0, &none));
    assert_false(fen_dim_find("lengths", 7, &none));
    assert_int_equal(none, FEN_DIM_MASS);
    assert_string_equal(fen_dim_name((fen_dim)99), "no dimension");
    assert_non_null(fen_dim_units((fen_dim)99));
}

static void a_unit_of_another_dimension_is_none(void **state)
{
    (void)state;
    double got;
    assert_false(fen_quantity_in((fen_quantity){ 1, FEN_DIM_LENGTH }, "ppm", &got));
    assert_false(fen_quantity_in((fen_quantity){ 1, FEN_DIM_LENGTH }, "mm x", &got));
    assert_false(fen_quantity_in((fen_quantity){ 1, FEN_DIM_LENGTH }, "", &got));
    assert_false(fen_quantity_in((fen_quantity){ 1, FEN_DIM_LIGHT }, "lux", &got));
}

static void random_text_is_read_or_refused_within_its_length(void **state)
{
    (void)state;
    uint64_t random = 31;
    static const char alphabet[] = "0123456789 ./-+eCFKppm inlux sun\xC2\xB0\xBD\xE2\x88\x92%\"'_,";
    for (int round = 0; round < 200000; round++) {
        char text[16];
        const size_t len = unit_random(&random) % sizeof text;
        for (size_t i = 0; i < len; i++)
            text[i] = alphabet[unit_random(&random) % (sizeof alphabet - 1)];
        char *exact = malloc(len ? len : 1);
        memcpy(exact, text, len);
        fen_quantity q;
        size_t bad = 0;
        if (fen_quantity_parse(exact, len, (fen_dim)(round % FEN_DIMS), &q, &bad))
            assert_true(bad <= len);
        else
            assert_true(isfinite(q.value) && q.dim > FEN_DIM_NONE && q.dim < FEN_DIMS);
        free(exact);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(quantities_are_read_in_any_unit_of_their_dimension),
        cmocka_unit_test(what_does_not_fit_is_pointed_at),
        cmocka_unit_test(what_is_expected_decides_between_a_temperature_and_a_difference),
        cmocka_unit_test(a_bare_number_is_a_count_where_one_is_expected),
        cmocka_unit_test(a_quantity_at_the_front_of_a_sentence_takes_just_its_bytes),
        cmocka_unit_test(a_value_on_a_threshold_is_on_it_in_every_unit),
        cmocka_unit_test(conversions_are_those_published),
        cmocka_unit_test(conductivity_at_25_degrees_is_that_published),
        cmocka_unit_test(every_light_source_converts_by_its_own_factor),
        cmocka_unit_test(quantities_are_shown_as_growers_say_them),
        cmocka_unit_test(what_is_written_reads_back_to_the_same_double),
        cmocka_unit_test(what_is_shown_reads_back_to_what_it_says),
        cmocka_unit_test(units_that_messages_offer_can_be_typed),
        cmocka_unit_test(a_unit_of_another_dimension_is_none),
        cmocka_unit_test(random_text_is_read_or_refused_within_its_length),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
