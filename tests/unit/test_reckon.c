/* The table of calculators as a whole: every row is complete, whatever goes in, a
 * number or a reason comes out, and units in equal units out.
 */
#include "fenmend/reckon.h"
#include "model/quantity.h"
#include "unit/unit.h"
#include "util/date.h"
#include "util/number.h"

static bool is_text(fen_measure m)
{
    return m == FEN_MEASURE_PARTS || m == FEN_MEASURE_LOG;
}

static bool name_is_sound(const char *name)
{
    const size_t n = strspn(name, "abcdefghijklmnopqrstuvwxyz0123456789-");
    return n > 0 && n < 24 && !name[n];
}

static size_t choices_of(const char *const *choices)
{
    size_t n = 0;
    while (choices[n])
        n++;
    return n;
}

static void check_input(const fen_reckoner *r, size_t i)
{
    const fen_reckon_input *in = &r->inputs[i];
    assert_true(name_is_sound(in->name) && in->about[0]);
    assert_int_equal(fen_reckon_input_find(r, in->name, strlen(in->name)), i);
    if (in->measure == FEN_MEASURE_CHOICE) {
        assert_non_null(in->choices);
        assert_true(in->need != FEN_RECKON_USUAL || in->usual < (double)choices_of(in->choices));
        for (size_t c = 0; in->choices[c]; c++)
            assert_true(strlen(in->choices[c]) < FEN_RECKON_TEXT);
    } else if (!is_text(in->measure)) {
        assert_true(in->least < in->most);
        assert_true(in->need != FEN_RECKON_USUAL || (in->usual >= in->least && in->usual <= in->most));
    }
    assert_true(!in->group || in->need == FEN_RECKON_OPTIONAL); /* a group is required as a whole */
}

static void every_row_is_complete(void **state)
{
    (void)state;
    assert_true(fen_reckoners() >= 25);
    for (size_t i = 0; i < fen_reckoners(); i++) {
        const fen_reckoner *r = fen_reckoner_at(i);
        assert_true(name_is_sound(r->name));
        assert_ptr_equal(fen_reckoner_find(r->name, strlen(r->name)), r); /* no doubles */
        assert_true(r->purpose[0] && r->family[0] && r->formula[0] && r->source[0] && r->trust[0]);
        assert_true(r->n_inputs && r->n_inputs <= FEN_RECKON_INPUTS);
        assert_true(r->n_outputs && r->n_outputs <= FEN_RECKON_OUTPUTS && r->n_columns <= FEN_RECKON_OUTPUTS);
        assert_true(!r->n_columns == !r->lines && !r->lines == !r->line);
        for (size_t k = 0; k < r->n_inputs; k++)
            check_input(r, k);
        for (size_t k = 0; k < r->n_outputs; k++) {
            assert_true(name_is_sound(r->outputs[k].name) && r->outputs[k].about[0]);
            assert_int_equal(fen_reckon_output_find(r, r->outputs[k].name, strlen(r->outputs[k].name)), k);
            assert_true(r->outputs[k].measure != FEN_MEASURE_CHOICE || r->outputs[k].choices);
        }
    }
    assert_null(fen_reckoner_at(fen_reckoners()));
    assert_null(fen_reckoner_find("no-such", 7));
}

static void every_measure_has_its_words(void **state)
{
    (void)state;
    for (fen_measure m = 0; m < FEN_MEASURES; m++) {
        char buf[FEN_RECKON_TEXT];
        assert_true(fen_measure_name(m)[0] && fen_reckon_units(m)[0]);
        assert_non_null(fen_reckon_unit(m));
        assert_true(fen_reckon_show(buf, m, NULL, (double)NAN, false) > 0);
        assert_string_equal(buf, "unknown");
    }
}

static void values_are_shown_for_people(void **state)
{
    (void)state;
    static const struct {
        fen_measure m;
        double number;
        const char *metric, *us;
    } rows[] = {
        { FEN_MEASURE_TEMPERATURE, 24, "24 C", "75.2 F" },
        { FEN_MEASURE_HOURS, 13.4, "13 h 24 min", "13 h 24 min" },
        { FEN_MEASURE_HOURS, -0.3, "-18 min", "-18 min" },
        { FEN_MEASURE_HOURS, 14, "14 h", "14 h" },
        { FEN_MEASURE_HOURS, 23.9999, "24 h", "24 h" },
        { FEN_MEASURE_CHILL, 1680, "1680 h", "1680 h" },
        { FEN_MEASURE_DEGREE_DAYS, 10, "10 C d", "18 F d" },
        { FEN_MEASURE_HEIGHT, 1800, "1800 m", "5906 ft" },
        { FEN_MEASURE_CONDUCTIVITY, 216.2162, "216.2 uS/cm", "216.2 uS/cm" },
        { FEN_MEASURE_PRESSURE, 0.81231, "0.8123 kPa", "0.8123 kPa" },
        { FEN_MEASURE_ILLUMINANCE, 10763.91, "10760 lux", "1000 fc" },
        { FEN_MEASURE_DATE, 20545, "2026-04-02", "2026-04-02" },
        { FEN_MEASURE_VOLUME, 1500, "1.5 l", "1.59 qt" },
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        char buf[FEN_RECKON_TEXT];
        fen_reckon_show(buf, rows[i].m, NULL, rows[i].number, false);
        assert_string_equal(buf, rows[i].metric);
        fen_reckon_show(buf, rows[i].m, NULL, rows[i].number, true);
        assert_string_equal(buf, rows[i].us);
    }
}

static void values_are_read_as_typed(void **state)
{
    (void)state;
    static const struct {
        const char *reckoner, *input, *text;
        fen_status st;
        double value;
        size_t at;
    } rows[] = {
        { "daily-light", "hours", "14:30", FEN_OK, 14.5, 0 },
        { "daily-light", "hours", "14", FEN_OK, 14, 0 },
        { "daily-light", "hours", "90 min", FEN_OK, 1.5, 0 },
        { "daily-light", "hours", "14:60", FEN_EINPUT, 0, 2 },
        { "daily-light", "hours", "14,5", FEN_EINPUT, 0, 2 },  /* a comma is never a point */
        { "daily-light", "hours", "", FEN_EINPUT, 0, 0 },
        { "daily-light", "hours", "all day", FEN_EINPUT, 0, 0 },
        { "day-length", "latitude", "33.9 S", FEN_OK, -33.9, 0 },
        { "day-length", "latitude", "33.9\xC2\xB0S", FEN_OK, -33.9, 0 },
        { "day-length", "latitude", "-33.9", FEN_OK, -33.9, 0 },
        { "day-length", "latitude", "51.5n", FEN_OK, 51.5, 0 },
        { "day-length", "longitude", "118.25W", FEN_OK, -118.25, 0 },
        { "day-length", "longitude", "118.25N", FEN_EINPUT, 0, 6 },
        { "day-length", "date", "2026-02-28", FEN_OK, 20512, 0 },
        { "day-length", "by", "civ", FEN_OK, 2, 0 },           /* an unambiguous beginning */
        { "day-length", "by", "c", FEN_EINPUT, 0, 0 },         /* centre, civil, crop */
        { "light-meter", "source", "sun", FEN_OK, 0, 0 },
        { "light-meter", "source", "sodium", FEN_OK, 16, 0 },  /* itself, though another begins with it */
        { "scale", "reading", "1.2 mS/cm  ", FEN_OK, 600, 0 },
        { "pen-check", "reading", "1413 \xC2\xB5S/cm", FEN_OK, 1413, 0 },
        { "pen-check", "reading", "1.413 dS/m", FEN_OK, 1413, 0 },
        { "pen-check", "reading", "1413 ppm", FEN_EINPUT, 0, 5 },
        { "air-pressure", "height", "5905.511811 ft", FEN_OK, 1800, 0 },
        { "air-pressure", "pressure", "1013.25 hPa", FEN_OK, 101.325, 0 },
        { "chill", "need", "10 weeks", FEN_OK, 1680, 0 },
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        const fen_reckoner *r = fen_reckoner_find(rows[i].reckoner, strlen(rows[i].reckoner));
        const size_t k = fen_reckon_input_find(r, rows[i].input, strlen(rows[i].input));
        fen_reckon_value v;
        fen_reckon_error e;
        const fen_status st = fen_reckon_read(r, k, rows[i].text, strlen(rows[i].text), &v, &e);
        if (st != rows[i].st)
            fail_msg("%s=%s: status %d", rows[i].input, rows[i].text, (int)st);
        if (st) {
            assert_int_equal(e.input, k);
            assert_int_equal(e.at, rows[i].at);
            assert_true(e.wrong[0] && e.right[0]);
        } else {
            assert_near(v.number, rows[i].value, 1e-6);
            assert_true(v.given);
        }
    }
}

static void long_and_wild_texts_are_quoted_in_part(void **state)
{
    (void)state;
    char text[4096];
    fen_reckon_value v;
    fen_reckon_error e;
    memset(text, 0xC3, sizeof text); /* half characters all the way */
    for (size_t i = 0; i < fen_reckoners(); i++) {
        const fen_reckoner *r = fen_reckoner_at(i);
        for (size_t k = 0; k < r->n_inputs; k++) {
            if (is_text(r->inputs[k].measure))
                continue;
            assert_int_equal(fen_reckon_read(r, k, text, sizeof text, &v, &e), FEN_EINPUT);
            assert_true(strlen(e.wrong) < 200);
        }
    }
}

/* ---- random inputs ---- */

static double random_in(uint64_t *seed, const fen_reckon_input *in)
{
    if (in->measure == FEN_MEASURE_CHOICE)
        return (double)(unit_random(seed) % choices_of(in->choices));
    const uint64_t dice = unit_random(seed) % 8;
    if (dice == 0)
        return in->least;
    if (dice == 1)
        return in->most;
    double share = (double)(unit_random(seed) >> 11) / 9007199254740992.0;
    if (dice < 5)
        share = share * share * share; /* small values are the usual ones */
    const double number = in->least + share * (in->most - in->least);
    return in->measure == FEN_MEASURE_COUNT || in->measure == FEN_MEASURE_DATE ? floor(number) : number;
}

/* Some inputs, never more than one of a group. */
static void random_inputs(uint64_t *seed, const fen_reckoner *r, fen_reckon_value in[])
{
    static const char parts[] = "2 peat, 1 perlite";
    static const char log[] = "date,low C,high C\n2026-01-01,-2,8\n2026-01-02,1,15\n2026-01-05,4,22\n";
    fen_reckon_begin(r, in);
    for (size_t i = 0; i < r->n_inputs; i++) {
        const fen_reckon_input *row = &r->inputs[i];
        bool taken = row->need != FEN_RECKON_REQUIRED && unit_random(seed) % 2;
        for (size_t j = 0; row->group && j < i; j++)
            taken = taken || (r->inputs[j].group == row->group && in[j].given);
        if (taken)
            continue;
        in[i].given = true;
        if (row->measure == FEN_MEASURE_PARTS || row->measure == FEN_MEASURE_LOG) {
            in[i].text = row->measure == FEN_MEASURE_PARTS ? parts : log;
            in[i].len = strlen(in[i].text);
        } else {
            in[i].number = random_in(seed, row);
        }
    }
}

static void check_lines(const fen_reckoner *r, const fen_reckon_value in[])
{
    fen_reckon_value cells[FEN_RECKON_OUTPUTS];
    const size_t n = fen_reckon_lines(r, in);
    assert_true(n < 100000);
    for (size_t i = 0; i < n; i += 1 + n / 7) {
        fen_reckon_line(r, in, i, cells);
        for (size_t c = 0; c < r->n_columns; c++)
            assert_true(!isinf(cells[c].number));
    }
}

static void whatever_goes_in_a_number_or_a_reason_comes_out(void **state)
{
    (void)state;
    uint64_t seed = 2026;
    for (size_t i = 0; i < fen_reckoners(); i++) {
        const fen_reckoner *r = fen_reckoner_at(i);
        size_t reckoned = 0;
        for (int round = 0; round < 1500; round++) {
            fen_reckon_value in[FEN_RECKON_INPUTS];
            double out[FEN_RECKON_OUTPUTS];
            fen_reckon_error e;
            random_inputs(&seed, r, in);
            for (size_t k = 0; k < FEN_RECKON_OUTPUTS; k++)
                out[k] = 12345;
            if (fen_reckon_run(r, in, out, &e)) {
                assert_true(e.wrong[0] && e.right[0] && e.code < FEN_CODE_COUNT);
                assert_near(out[0], 12345, 0); /* untouched */
                continue;
            }
            reckoned++;
            for (size_t k = 0; k < r->n_outputs; k++) {
                const fen_reckon_output *o = &r->outputs[k];
                if (isinf(out[k]))
                    fail_msg("%s: %s is infinite", r->name, o->name);
                assert_true(isnan(out[k]) || o->measure != FEN_MEASURE_CHOICE || out[k] < (double)choices_of(o->choices));
            }
            check_lines(r, in);
        }
        if (!reckoned)
            fail_msg("%s refuses everything", r->name);
    }
}

static void values_outside_their_limits_are_refused(void **state)
{
    (void)state;
    uint64_t seed = 8;
    for (size_t i = 0; i < fen_reckoners(); i++) {
        const fen_reckoner *r = fen_reckoner_at(i);
        for (size_t k = 0; k < r->n_inputs; k++) {
            if (is_text(r->inputs[k].measure))
                continue;
            const bool choice = r->inputs[k].measure == FEN_MEASURE_CHOICE;
            const double wild[] = { choice ? -1 : r->inputs[k].least - 1e-3 * (1 + fabs(r->inputs[k].least)), choice ? 99 : r->inputs[k].most * 1.001 + 1,
                                    (double)NAN, (double)INFINITY, -(double)INFINITY };
            for (size_t w = 0; w < COUNT(wild); w++) {
                fen_reckon_value in[FEN_RECKON_INPUTS];
                double out[FEN_RECKON_OUTPUTS];
                fen_reckon_error e;
                random_inputs(&seed, r, in);
                in[k].given = true;
                in[k].number = wild[w];
                assert_int_equal(fen_reckon_run(r, in, out, &e), FEN_EINPUT);
            }
        }
    }
}

/* NUMBER (stored unit) of M as typed in US units, with all its digits; false if the
 * measure is the same there. */
static bool write_us(char *buf, size_t size, fen_measure m, double number)
{
    static const struct {
        fen_measure m;
        double factor, add;
        const char *unit;
    } us[] = {
        { FEN_MEASURE_TEMPERATURE, 1.8, 32, "F" },        { FEN_MEASURE_DIFFERENCE, 1.8, 0, "F" },
        { FEN_MEASURE_LENGTH, 1 / 25.4, 0, "in" },        { FEN_MEASURE_VOLUME, 1 / 3785.411784, 0, "gal" },
        { FEN_MEASURE_SOLIDS, 2, 0, "uS/cm" },            { FEN_MEASURE_TIME, 1.0 / 7, 0, "weeks" },
        { FEN_MEASURE_ILLUMINANCE, 0.09290304, 0, "fc" }, { FEN_MEASURE_PRESSURE, 10, 0, "hPa" },
        { FEN_MEASURE_HEIGHT, 1 / 0.3048, 0, "ft" },      { FEN_MEASURE_CONDUCTIVITY, 0.001, 0, "mS/cm" },
        { FEN_MEASURE_HOURS, 60, 0, "min" },              { FEN_MEASURE_CHILL, 1.0 / 24, 0, "days" },
    };
    for (size_t i = 0; i < COUNT(us); i++) {
        if (us[i].m != m)
            continue;
        char digits[FEN_NUMBER_MAX];
        fen_number_write(digits, number * us[i].factor + us[i].add);
        snprintf(buf, size, "%s %s", digits, us[i].unit);
        return true;
    }
    return false;
}

static bool same(const fen_reckon_output *o, double a, double b)
{
    if (isnan(a) || isnan(b))
        return isnan(a) && isnan(b);
    const bool whole = o->measure == FEN_MEASURE_CHOICE || o->measure == FEN_MEASURE_DATE || o->measure == FEN_MEASURE_COUNT;
    return fabs(a - b) <= (whole ? 0 : 1e-6 * fmax(fabs(a), 1e-3));
}

/* Each case is reckoned from its numbers and again from the same values typed in
 * other units. Inputs on a limit are left out: a last bit may fall outside it. */
static void units_in_equal_units_out(void **state)
{
    (void)state;
    uint64_t seed = 77;
    size_t compared = 0;
    for (size_t i = 0; i < fen_reckoners(); i++) {
        const fen_reckoner *r = fen_reckoner_at(i);
        for (int round = 0; round < 300; round++) {
            fen_reckon_value in[FEN_RECKON_INPUTS];
            fen_reckon_value typed[FEN_RECKON_INPUTS];
            double out[FEN_RECKON_OUTPUTS];
            double again[FEN_RECKON_OUTPUTS];
            fen_reckon_error e;
            bool edge = false;
            random_inputs(&seed, r, in);
            memcpy(typed, in, sizeof in);
            for (size_t k = 0; k < r->n_inputs; k++) {
                char text[96];
                edge = edge || (in[k].given && !is_text(r->inputs[k].measure) && (in[k].number <= r->inputs[k].least || in[k].number >= r->inputs[k].most) &&
                                r->inputs[k].measure != FEN_MEASURE_CHOICE);
                if (in[k].given && write_us(text, sizeof text, r->inputs[k].measure, in[k].number))
                    assert_int_equal(fen_reckon_read(r, k, text, strlen(text), &typed[k], &e), FEN_OK);
            }
            if (edge)
                continue;
            const fen_status st = fen_reckon_run(r, in, out, &e);
            assert_int_equal(fen_reckon_run(r, typed, again, &e), st);
            for (size_t k = 0; !st && k < r->n_outputs; k++) {
                if (!same(&r->outputs[k], out[k], again[k]))
                    fail_msg("%s: %s is %.17g, and %.17g in other units", r->name, r->outputs[k].name, out[k], again[k]);
                compared++;
            }
        }
    }
    assert_true(compared > 2000);
}

/* One word of a shell line with single quotes, as examples are written. */
static size_t next_word(const char **line, char *ret, size_t size)
{
    size_t n = 0;
    bool quoted = false;
    while (**line == ' ')
        (*line)++;
    for (; **line && (quoted || **line != ' '); (*line)++) {
        if (**line == '\'')
            quoted = !quoted;
        else if (n + 1 < size)
            ret[n++] = **line;
    }
    ret[n] = '\0';
    assert_false(quoted);
    return n;
}

static void every_example_works(void **state)
{
    (void)state;
    for (size_t i = 0; i < fen_reckoners(); i++) {
        const fen_reckoner *r = fen_reckoner_at(i);
        fen_reckon_value in[FEN_RECKON_INPUTS];
        double out[FEN_RECKON_OUTPUTS];
        fen_reckon_error e = { .wrong = "" };
        char words[FEN_RECKON_INPUTS][96];
        const char *line = r->example;
        size_t n = 0;
        fen_reckon_begin(r, in);
        while (next_word(&line, words[n], sizeof words[n])) {
            const char *is = strchr(words[n], '=');
            assert_non_null(is);
            const size_t k = fen_reckon_input_find(r, words[n], (size_t)(is - words[n]));
            assert_true(k != FEN_RECKON_NONE && !in[k].given);
            if (fen_reckon_read(r, k, is + 1, strlen(is + 1), &in[k], &e))
                fail_msg("%s: %s; %s", r->name, e.wrong, e.right);
            n++;
            assert_true(n < FEN_RECKON_INPUTS);
        }
        assert_true(n > 0);
        if (fen_reckon_run(r, in, out, &e))
            fail_msg("%s: %s; %s", r->name, e.wrong, e.right);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_row_is_complete),
        cmocka_unit_test(every_measure_has_its_words),
        cmocka_unit_test(values_are_shown_for_people),
        cmocka_unit_test(values_are_read_as_typed),
        cmocka_unit_test(long_and_wild_texts_are_quoted_in_part),
        cmocka_unit_test(whatever_goes_in_a_number_or_a_reason_comes_out),
        cmocka_unit_test(values_outside_their_limits_are_refused),
        cmocka_unit_test(units_in_equal_units_out),
        cmocka_unit_test(every_example_works),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
