/* The calculators as pages and as JSON. */
#include <jansson.h>

#include "fenmend/reckon_view.h"
#include "support/reckoning.h"
#include "util/utf8.h"

static fen_page *page_of(uint32_t width, bool us)
{
    fen_page *page = NULL;
    assert_int_equal(fen_page_new((fen_look){ .width = width, .us = us }, &page), FEN_OK);
    return page;
}

static void assert_page(fen_page *page, const char *want)
{
    assert_int_equal(fen_page_status(page), FEN_OK);
    assert_string_equal(fen_page_text(page, NULL), want);
    fen_page_free(page);
}

static void a_result_says_what_went_in_and_how_far_to_trust_it(void **state)
{
    (void)state;
    const reckoning k = reckon("flush", "runoff=600uS/cm;water=5ppm;target=60ppm;pot=1l");
    fen_page *page = page_of(80, false);
    fen_show_reckoning(page, k.r, k.in, k.out, true);
    assert_page(page,
                "  pot-volumes     1.008     how many times the pot's volume to pour\n"
                "  volume          1.01 l    how much to pour in all\n"
                "  portion         202 ml    poured slowly in five portions, ten minutes apart\n"
                "  after-two-pots  15.5 ppm  what the habit of two pot volumes would leave\n"
                "\n"
                "inputs: runoff 300 ppm (600uS/cm), water 5 ppm, target 60 ppm, pot 1 l, held 60\n"
                "  % (usual)\n"
                "formula: volume = pot * held * ln((runoff - water) / (target - water))\n"
                "source: washout of a well-mixed vessel; the share held is common practice, no\n"
                "  source\n"
                "trust: a least amount: water finds channels and salts sit inside the grains, so\n"
                "  lift the pot out of its tray, throw the runoff away, measure the last 50 ml\n"
                "  and go on if it is not there yet\n");
}

static void a_narrow_page_gives_up_its_columns_and_us_units_are_shown(void **state)
{
    (void)state;
    const reckoning k = reckon("prey", "trap=24mm;prey=7mm");
    fen_page *page = page_of(40, true);
    fen_show_reckoning(page, k.r, k.in, k.out, false);
    assert_page(page,
                "  longest: 0.315 in; length an insect\n"
                "    may have\n"
                "  verdict: it fits; on the insect in\n"
                "    question\n"
                "\n"
                "inputs: trap 0.945 in (24mm), prey 0.276\n"
                "  in (7mm)\n"
                "source: growers' rule of a third: common\n"
                "  practice, no source\n"
                "trust: a rule of thumb on the safe side:\n"
                "  what sticks out keeps the trap from\n"
                "  sealing and it rots; smaller is\n"
                "  better, and a weak, resting or newly\n"
                "  moved plant gets none\n");
}

static void a_schedule_is_a_table_and_a_caution_is_shown(void **state)
{
    (void)state;
    const reckoning k = reckon("substrate", "volume=5l;parts=2 torf gro\xC3\x9F, 1 perlite");
    fen_page *page = page_of(80, false);
    fen_show_reckoning(page, k.r, k.in, k.out, false);
    assert_page(page,
                "  total  5.5 l   of loose parts to measure out\n"
                "  part   1.83 l  one part\n"
                "\n"
                "  what       share   how much\n"
                "  torf gro\xC3\x9F  66.7 %  3.67 l\n"
                "  perlite    33.3 %  1.83 l\n"
                "\n"
                "inputs: volume 5 l, parts 2 torf gro\xC3\x9F, 1 perlite, spare 10 % (usual)\n"
                "source: proportion; the tenth to spare is common practice, no source\n"
                "trust: parts are loose volumes, not pressed; fine sand fills the gaps of coarse\n"
                "  parts, so such mixes need more to spare\n"
                "caution: wet perlite, pumice, sand and peat before you tip them and wear a dust\n"
                "mask (quartz and perlite dust harm lungs); gloves with sphagnum: it can carry\n"
                "sporotrichosis into scratches\n");
}

static void assert_narrow(fen_page *page, uint32_t width)
{
    assert_int_equal(fen_page_status(page), FEN_OK);
    for (const char *line = fen_page_text(page, NULL); *line;) {
        const size_t len = strcspn(line, "\n");
        if (fen_utf8_width(line, len) > width)
            fail_msg("wider than %u: %.*s", (unsigned)width, (int)len, line);
        line += len + (line[len] == '\n');
    }
}

static void no_page_is_wider_than_it_may_be(void **state)
{
    (void)state;
    static const uint32_t widths[] = { 32, 50, 63, 64, 80, 100 };
    for (size_t w = 0; w < COUNT(widths); w++) {
        fen_page *page = page_of(widths[w], w % 2);
        fen_show_reckoners(page);
        for (size_t i = 0; i < fen_reckoners(); i++)
            fen_show_reckoner(page, fen_reckoner_at(i));
        const reckoning tray = reckon("tray", "water=20ppm;holds=3l;loss=200ml;days=100 days");
        fen_show_reckoning(page, tray.r, tray.in, tray.out, true);
        const reckoning vpd = reckon("vpd", "air=25C;humidity=60%");
        fen_show_reckoning(page, vpd.r, vpd.in, vpd.out, true);
        assert_narrow(page, widths[w]);
        fen_page_free(page);
    }
}

static json_t *parse(const fen_str *text)
{
    json_error_t e;
    json_t *root = json_loadb(text->at, text->len, 0, &e);
    if (!root)
        fail_msg("not JSON: %s at %d", e.text, e.position);
    assert_int_equal(text->at[text->len - 1], '\n');
    return root;
}

static void json_reads_back_to_the_same_numbers(void **state)
{
    (void)state;
    fen_str text;
    fen_str_init(&text, 1u << 20);
    const reckoning k = reckon("flush", "runoff=600uS/cm;water=5ppm;target=60ppm;pot=1gal");
    fen_json_reckoning(&text, k.r, k.in, k.out);
    json_t *root = parse(&text);
    assert_string_equal(json_string_value(json_object_get(root, "reckoner")), "flush");
    json_t *results = json_object_get(root, "results");
    for (size_t i = 0; i < k.r->n_outputs; i++) {
        json_t *value = json_object_get(json_object_get(results, k.r->outputs[i].name), "value");
        assert_near(json_number_value(value), k.out[i], 0);
    }
    json_t *pot = json_object_get(json_object_get(root, "inputs"), "pot");
    assert_near(json_number_value(json_object_get(pot, "value")), 3785.411784, 1e-9);
    assert_string_equal(json_string_value(json_object_get(pot, "unit")), "ml");
    assert_string_equal(json_string_value(json_object_get(pot, "typed")), "1gal");
    assert_true(json_is_false(json_object_get(json_object_get(json_object_get(root, "inputs"), "held"), "given")));
    assert_true(json_is_null(json_object_get(root, "caution")));
    json_decref(root);
    fen_str_free(&text);
}

static void what_is_unknown_is_null_and_lines_are_objects(void **state)
{
    (void)state;
    fen_str text;
    fen_str_init(&text, 1u << 20);
    const reckoning k = reckon("sun-ramp", "target=6h");
    fen_json_reckoning(&text, k.r, k.in, k.out);
    json_t *root = parse(&text);
    assert_true(json_is_null(json_object_get(json_object_get(json_object_get(root, "results"), "full-sun"), "value")));
    json_t *lines = json_object_get(root, "lines");
    assert_int_equal(json_array_size(lines), 9);
    assert_near(json_number_value(json_object_get(json_array_get(lines, 8), "sun")), 6, 0);
    assert_true(json_is_null(json_object_get(json_array_get(lines, 0), "date")));
    json_decref(root);
    fen_str_clear(&text);
    const reckoning dated = reckon("sun-ramp", "target=6h;start=2026-05-01");
    fen_json_reckoning(&text, dated.r, dated.in, dated.out);
    root = parse(&text);
    assert_string_equal(json_string_value(json_object_get(json_array_get(json_object_get(root, "lines"), 1), "date")), "2026-05-02");
    json_decref(root);
    fen_str_clear(&text);
    fen_json_reckoners(&text);
    root = parse(&text);
    assert_int_equal(json_array_size(json_object_get(root, "reckoners")), fen_reckoners());
    json_decref(root);
    fen_str_free(&text);
}

static void control_sequences_reach_neither_page_nor_json(void **state)
{
    (void)state;
    const reckoning k = reckon("substrate", "volume=5l;parts=2 \x1b[31mpeat\x07, 1 \xC3(sand");
    fen_page *page = page_of(80, false);
    fen_show_reckoning(page, k.r, k.in, k.out, false);
    assert_null(strchr(fen_page_text(page, NULL), 0x1b));
    assert_null(strchr(fen_page_text(page, NULL), 0x07));
    fen_page_free(page);
    fen_str text;
    fen_str_init(&text, 1u << 20);
    fen_json_reckoning(&text, k.r, k.in, k.out);
    assert_null(strchr(text.at, 0x1b));
    json_decref(parse(&text));
    fen_str_free(&text);
}

static fen_status show_all(void *arg)
{
    const reckoning *k = arg;
    fen_page *page = NULL;
    fen_str text;
    fen_status st = fen_page_new((fen_look){ .width = 80 }, &page);
    if (st)
        return st;
    fen_show_reckoners(page);
    fen_show_reckoner(page, k->r);
    fen_show_reckoning(page, k->r, k->in, k->out, true);
    st = fen_page_status(page);
    fen_page_free(page);
    if (st)
        return st;
    fen_str_init(&text, 1u << 20);
    fen_json_reckoners(&text);
    fen_json_reckoning(&text, k->r, k->in, k->out);
    st = fen_str_status(&text);
    fen_str_free(&text);
    return st;
}

static void a_refused_allocation_is_told(void **state)
{
    (void)state;
    reckoning k = reckon("substrate", "volume=5l;parts=2 peat, 1 perlite");
    unit_refuse_each(show_all, &k);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_result_says_what_went_in_and_how_far_to_trust_it),
        cmocka_unit_test(a_narrow_page_gives_up_its_columns_and_us_units_are_shown),
        cmocka_unit_test(a_schedule_is_a_table_and_a_caution_is_shown),
        cmocka_unit_test(no_page_is_wider_than_it_may_be),
        cmocka_unit_test(json_reads_back_to_the_same_numbers),
        cmocka_unit_test(what_is_unknown_is_null_and_lines_are_objects),
        cmocka_unit_test(control_sequences_reach_neither_page_nor_json),
        cmocka_unit_test(a_refused_allocation_is_told),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
