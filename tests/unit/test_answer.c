/* What a person writes, read as an answer: words, numbers, starts, lists,
 * quantities, dates, and everything that is refused with its reason.
 *
 * The factors between units are checked in test_quantity; here one row a
 * dimension shows that they are reached. Their sources: SP 811 (NIST 2008) for
 * inches and Fahrenheit; ppm = 0.5 * uS/cm is the scale of most hobby meters
 * (common practice, no source).
 */
#include "model/net.h"
#include "views.h"

static fen_base *base;

static int open_base(void **state)
{
    (void)state;
    base = views_base();
    return 0;
}

static int close_base(void **state)
{
    (void)state;
    fen_base_free(base);
    return 0;
}

#define PICK(...) picks_of((const unsigned[]){ __VA_ARGS__, 99 })
static uint64_t picks_of(const unsigned *options)
{
    uint64_t picks = 0;
    for (; *options != 99; options++)
        picks |= UINT64_C(1) << *options;
    return picks;
}

/* The plain way: compare with each name. */
static fen_id find_plainly(const fen_finding *f, const char *id, size_t len)
{
    for (fen_id o = 0; o < f->n_options; o++)
        if (strlen(f->options[o].id) == len && memcmp(f->options[o].id, id, len) == 0)
            return o;
    return FEN_NONE;
}

static void an_option_is_found_by_the_whole_of_its_name_alone(void **state)
{
    (void)state;
    for (fen_id i = 0; i < fen_base_findings(base); i++) {
        const fen_finding *f = fen_base_finding(base, i);
        for (fen_id other = 0; other < fen_base_findings(base); other++) { /* also names of other findings' options */
            const fen_finding *of = fen_base_finding(base, other);
            for (fen_id o = 0; o < of->n_options; o++)
                for (size_t len = 0; len <= strlen(of->options[o].id); len++)
                    assert_int_equal(fen_base_find_option(base, i, of->options[o].id, len),
                                     find_plainly(f, of->options[o].id, len));
        }
        for (fen_id o = 0; o < f->n_options; o++)
            assert_int_equal(fen_base_find_option(base, i, f->options[o].id, strlen(f->options[o].id)), o);
        assert_int_equal(fen_base_find_option(base, i, "softly", 6), FEN_NONE);
    }
}

static void options_are_met_by_id_say_words_number_and_start(void **state)
{
    (void)state;
    const struct { const char *finding, *text; uint64_t picks; } rows[] = {
        { "crown", "soft", PICK(1) },
        { "crown", "  Soft ", PICK(1) },
        { "crown", "soft or mushy", PICK(1) },
        { "crown", "Soft  or\tmushy", PICK(1) },
        { "crown", "squishy", PICK(1) },
        { "crown", "gone-soft", PICK(1) },       /* a hyphen is a blank */
        { "crown", "2", PICK(1) },
        { "crown", "so", PICK(1) },
        { "crown", "f", PICK(0) },
        { "crown", "dry, and wrinkled", PICK(2) }, /* a comma that is part of the words */
        { "flower", "yes", PICK(0) },
        { "flower", "Y", PICK(0) },
        { "flower", "no", PICK(1) },
        { "flower", "true", PICK(0) },           /* as programs write it */
        { "flower", "False", PICK(1) },
        { "flower", "n", PICK(1) },
        { "blackened", "old-traps", PICK(0) },
        { "blackened", "old, outer traps", PICK(0) },
        { "blackened", "old, outer traps, new leaves in the centre", PICK(0, 1) },
        { "blackened", "new-leaves and stalk", PICK(1, 2) },
        { "blackened", "new leaves in the centre, and the flower stalk", PICK(1, 2) },
        { "blackened", "1,3", PICK(0, 2) },
        { "blackened", "1 3", PICK(0, 2) },
        { "blackened", "3; 1 & 2", PICK(0, 1, 2) },
        { "blackened", "old ones, st", PICK(0, 2) },
        { "blackened", ",1,, 3,", PICK(0, 2) },
        { "blackened", "none", 0 },
        { "blackened", "none of these", 0 },
        { "kind", "snap-trap", PICK(1) },
        { "kind", "flytrap", PICK(1) },
        { "kind", "dionaea exemplaris", PICK(1) },
        { "kind", "Glue leaf", PICK(2) },
        { "kind", "1", PICK(1) },                /* groups have no number */
        { "kind", "2", PICK(2) },
        { "kind", "bog plant", PICK(0) },        /* half an answer is one */
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        fen_answer a = { FEN_OPEN, 0, 0 };
        char err[256] = "";
        const fen_id f = views_finding(base, rows[i].finding);
        if (fen_answer_read(base, f, rows[i].text, strlen(rows[i].text), TODAY, &a, err))
            fail_msg("'%s' to %s: %s", rows[i].text, rows[i].finding, err);
        if (a.state != FEN_KNOWN || a.picks != rows[i].picks)
            fail_msg("'%s' to %s is read as %llx", rows[i].text, rows[i].finding, (unsigned long long)a.picks);
    }
}

static void unsure_is_said_in_many_ways(void **state)
{
    (void)state;
    static const char *const texts[] = { "unsure", "Not sure", "don't know", "don\xe2\x80\x99t know", "dunno", "can't tell", "no idea" };
    static const char *const findings[] = { "crown", "blackened", "flower", "water", "moved", "kind" };
    for (size_t i = 0; i < COUNT(texts); i++)
        for (size_t k = 0; k < COUNT(findings); k++) {
            fen_answer a;
            char err[256];
            assert_int_equal(fen_answer_read(base, views_finding(base, findings[k]), texts[i], strlen(texts[i]), TODAY, &a, err), FEN_OK);
            assert_int_equal(a.state, FEN_UNSURE);
        }
}

static void quantities_come_in_any_unit_of_their_dimension(void **state)
{
    (void)state;
    static const struct { const char *finding, *text; double value; } rows[] = {
        { "water", "180 ppm", 180 },
        { "water", "180ppm", 180 },
        { "water", "360 uS/cm", 180 },
        { "water", "0.36 mS/cm", 180 },
        { "water", "0 ppm", 0 },
        { "water", "5000 ppm", 5000 },          /* the limits themselves are believed */
        { "coldest", "50 F", 10 },              /* (F - 32) / 1.8, SP 811 */
        { "coldest", "-5C", -5 },
        { "shoots", "3", 3 },
        { "shade", "40 %", 40 },
        { "shade", "40", 40 },                  /* percent can mean nothing else */
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        fen_answer a = { FEN_OPEN, 0, 0 };
        char err[256] = "";
        if (fen_answer_read(base, views_finding(base, rows[i].finding), rows[i].text, strlen(rows[i].text), TODAY, &a, err))
            fail_msg("'%s': %s", rows[i].text, err);
        assert_int_equal(a.state, FEN_KNOWN);
        assert_near(a.value, rows[i].value, 1e-9);
    }
}

static void minus_zero_is_zero_in_every_bit(void **state)
{
    (void)state;
    fen_answer a, b;
    char err[256];
    const fen_id f = views_finding(base, "water");
    assert_int_equal(fen_answer_read(base, f, "-0 ppm", 6, TODAY, &a, err), FEN_OK);
    assert_int_equal(fen_answer_read(base, f, "0 ppm", 5, TODAY, &b, err), FEN_OK);
    assert_true(same_answer(a, b));
}

static void dates_come_in_full_or_as_how_long_ago(void **state)
{
    (void)state;
    static const struct { const char *text; int days_ago; } rows[] = {
        { "2026-07-01", 11 },     { "today", 0 },          { "Yesterday", 1 },    { "12 days ago", 12 },
        { "12 days", 12 },        { "2 weeks ago", 14 },   { "two weeks ago", 14 }, { "a week ago", 7 },
        { "a week back", 7 },    { "3 months ago", 91 },  { "1 year ago", 365 }, { "2024-02-29", 864 },
        { "0 days ago", 0 },
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        fen_answer a = { FEN_OPEN, 0, 0 };
        char err[256] = "";
        if (fen_answer_read(base, views_finding(base, "moved"), rows[i].text, strlen(rows[i].text), TODAY, &a, err))
            fail_msg("'%s': %s", rows[i].text, err);
        if (a.value < TODAY - rows[i].days_ago || a.value > TODAY - rows[i].days_ago)
            fail_msg("'%s' is %g days ago", rows[i].text, TODAY - a.value);
    }
}

static void what_cannot_be_read_says_why_and_what_would_be_right(void **state)
{
    (void)state;
    static const struct { const char *finding, *text, *err; } rows[] = {
        { "crown", "sfot", "'sfot' is not an answer to 'crown'; did you mean 'soft'" },
        { "crown", "purple", "'purple' is not an answer to 'crown'; write one of 'firm', 'soft', 'dry', or 'unsure'" },
        { "crown", "4", "'4' is not an answer to 'crown'; write one of 'firm', 'soft', 'dry', or 'unsure'" },
        { "crown", "0", "'0' is not an answer to 'crown'; write one of 'firm', 'soft', 'dry', or 'unsure'" },
        { "crown", "", "there is no answer here; write one, or 'unsure'" },
        { "crown", "firm, soft", "'firm, soft' is not an answer to 'crown'; did you mean 'firm'" },
        { "crown", "none", "'none' is not an answer to 'crown'; write one of 'firm', 'soft', 'dry', or 'unsure'" },
        { "flower", "maybe", "'maybe' is not an answer to 'flower'; write one of 'yes', 'no', or 'unsure'" },
        { "blackened", "old-traps, rots", "'rots' is not an answer to 'blackened'; write one of 'old-traps', 'new-leaves', 'stalk', or 'unsure'" },
        { "blackened", "old-traps, none", "'none' is not an answer to 'blackened'; write one of 'old-traps', 'new-leaves', 'stalk', or 'unsure'" },
        { "blackened", ",", "',' is not an answer to 'blackened'; write one of 'old-traps', 'new-leaves', 'stalk', or 'unsure'" },
        { "water", "180", "'180' has no unit; write for instance '180 ppm' (units: " },
        { "water", "1,5 ppm", "'1,5 ppm' is not a number with a unit; write a point for the decimals, as in '1.5', and a unit: " },
        { "water", "lots", "'lots' is not a number with a unit; write for instance '80 ppm' (units: " },
        { "water", "30 C", "'water' is in dissolved solids, but '30 C' is a temperature; write it in one of: " },
        { "water", "9000 ppm", "'9000 ppm' is not believed for 'water', which lies from 0 ppm to 5000 ppm; look at the unit, and measure again" },
        { "water", "-1 ppm", "'-1 ppm' is not believed for 'water', which lies from 0 ppm to 5000 ppm; look at the unit, and measure again" },
        { "moved", "2026-07-13", "'2026-07-13' is after the day on which the plant was looked at, 2026-07-12; write a date up to that day" },
        { "moved", "tomorrow", "'tomorrow' is after the day on which the plant was looked at, 2026-07-12; write a date up to that day" },
        { "moved", "2026-02-30", "'2026-02-30' is not a date, but 'moved' is one; write it as 2026-07-01 (year, month, day), or as '3 weeks ago'" },
        { "moved", "1/7/2026", "'1/7/2026' is not a date, but 'moved' is one; write it as 2026-07-01 (year, month, day), or as '3 weeks ago'" },
        { "moved", "9999999 days ago", "'9999999 days ago' is not a date, but 'moved' is one; write it as 2026-07-01 (year, month, day), or as '3 weeks ago'" },
        { "stress", "recent", "'stress' is never asked: the rules work it out; leave it out" },
        { "crown", "\033[31msoft", "'?[31msoft' is not an answer to 'crown'; write one of 'firm', 'soft', 'dry', or 'unsure'" },
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        fen_answer a;
        char err[256] = "";
        if (!fen_answer_read(base, views_finding(base, rows[i].finding), rows[i].text, strlen(rows[i].text), TODAY, &a, err))
            fail_msg("'%s' to %s is taken", rows[i].text, rows[i].finding);
        if (strncmp(err, rows[i].err, strlen(rows[i].err)) != 0)
            fail_msg("'%s' to %s says: %s", rows[i].text, rows[i].finding, err);
    }
}

static void a_text_without_end_is_refused_and_its_message_stays_short(void **state)
{
    (void)state;
    static char text[100000];
    char err[256];
    fen_answer a;
    memset(text, 'x', sizeof text);
    assert_int_equal(fen_answer_read(base, views_finding(base, "crown"), text, sizeof text, TODAY, &a, err), FEN_EINPUT);
    assert_true(strlen(err) < 256);
    /* cut in the middle of a character: nothing broken comes out */
    for (size_t i = 0; i + 1 < 200; i += 2)
        memcpy(text + i, "\xc3\xa4", 2);
    assert_int_equal(fen_answer_read(base, views_finding(base, "crown"), text, 200, TODAY, &a, err), FEN_EINPUT);
    assert_non_null(strstr(err, "\xc3\xa4...'"));
}

static void two_starts_that_fit_are_both_named(void **state)
{
    (void)state;
    fen_answer a;
    char err[256] = "";
    /* "e" begins 'empty' alone, "d" both 'dewy' and 'dull' */
    assert_int_equal(fen_answer_read(base, views_finding(base, "tray"), "e", 1, TODAY, &a, err), FEN_OK);
    assert_int_equal(fen_answer_read(base, views_finding(base, "dew"), "d", 1, TODAY, &a, err), FEN_EINPUT);
    assert_string_equal(err, "'d' could be 'dewy' or 'dull'; write more of the one you mean");
}

static void random_bytes_are_read_or_refused_but_never_believed_wrongly(void **state)
{
    (void)state;
    uint64_t seed = 20260712;
    for (int round = 0; round < 20000; round++) {
        char text[24], err[256];
        const size_t len = unit_random(&seed) % sizeof text;
        for (size_t i = 0; i < len; i++)
            text[i] = (char)(unit_random(&seed) % 4 ? " ,-0123456789ampCFunosredyt"[unit_random(&seed) % 27] : (int)(unit_random(&seed) % 256));
        const fen_id f = 1 + (fen_id)(unit_random(&seed) % (fen_base_findings(base) - 1));
        fen_answer a = { FEN_OPEN, 0, 0 };
        const fen_status st = fen_answer_read(base, f, text, len, TODAY, &a, err);
        if (st) {
            assert_int_equal(st, FEN_EINPUT);
            assert_int_equal(a.state, FEN_OPEN); /* untouched */
            continue;
        }
        fen_session *s = views_session(base);
        assert_int_equal(fen_session_answer(s, f, a), FEN_OK); /* what is read, a session takes */
        fen_session_free(s);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(an_option_is_found_by_the_whole_of_its_name_alone),
        cmocka_unit_test(options_are_met_by_id_say_words_number_and_start),
        cmocka_unit_test(unsure_is_said_in_many_ways),
        cmocka_unit_test(quantities_come_in_any_unit_of_their_dimension),
        cmocka_unit_test(minus_zero_is_zero_in_every_bit),
        cmocka_unit_test(dates_come_in_full_or_as_how_long_ago),
        cmocka_unit_test(what_cannot_be_read_says_why_and_what_would_be_right),
        cmocka_unit_test(a_text_without_end_is_refused_and_its_message_stays_short),
        cmocka_unit_test(two_starts_that_fit_are_both_named),
        cmocka_unit_test(random_bytes_are_read_or_refused_but_never_believed_wrongly),
    };
    return cmocka_run_group_tests(tests, open_base, close_base);
}
