/* Cautions: each says its danger and who decides; words that call for one are found.
 *
 * What is dangerous is checked against published advice, named beside the row.
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "model/caution.h"
#include "util/vec.h"

static void every_caution_is_found_by_its_name(void **state)
{
    (void)state;
    for (int i = 0; i < FEN_CAUTIONS; i++) {
        fen_caution c;
        assert_true(fen_caution_find(fen_caution_name((fen_caution)i), &c));
        assert_int_equal(c, i);
    }
    fen_caution c;
    assert_false(fen_caution_find("blade", &c));
}

static void a_caution_names_what_its_danger_needs(void **state)
{
    (void)state;
    static const struct {
        fen_caution caution;
        const char *says;
    } rows[] = {
        { FEN_CAUTION_MOSS, "gloves" },          /* CDC, Sporotrichosis: gloves when handling sphagnum moss */
        { FEN_CAUTION_MOSS, "Legionella" },      /* NHS and state health boards on potting mix: Legionella longbeachae */
        { FEN_CAUTION_PESTICIDE, "label" },      /* EPA: "the label is the law" */
        { FEN_CAUTION_PESTICIDE, "law" },
        { FEN_CAUTION_ELECTRICITY, "unplug" },   /* HSE, electricity at work: isolate before work near water */
        { FEN_CAUTION_ELECTRICITY, "licensed" },
        { FEN_CAUTION_BLEACH, "ammonia" },       /* CDC, cleaning with bleach: never mix with ammonia */
        { FEN_CAUTION_LAW, "CITES" },            /* Dionaea and Sarracenia are listed: CITES appendices */
        { FEN_CAUTION_DUST, "mask" },            /* common practice, no source */
        { FEN_CAUTION_ALCOHOL, "flame" },        /* common practice, no source */
        { FEN_CAUTION_BLADES, "doctor" },        /* common practice, no source */
    };
    for (size_t i = 0; i < FEN_COUNT(rows); i++)
        if (!strstr(fen_caution_text(rows[i].caution), rows[i].says))
            fail_msg("%s does not say '%s'", fen_caution_name(rows[i].caution), rows[i].says);
}

static void words_that_call_for_a_caution_are_found_where_they_stand(void **state)
{
    (void)state;
    static const struct {
        const char *text, *word;
        fen_caution caution;
    } rows[] = {
        { "Cut it away.", "Cut", FEN_CAUTION_BLADES },
        { "Use a clean KNIFE.", "KNIFE", FEN_CAUTION_BLADES },
        { "After spraying, wait.", "spraying", FEN_CAUTION_PESTICIDE },
        { "An insecticidal soap.", "insecticidal", FEN_CAUTION_PESTICIDE },
        { "Mix in perlite.", "perlite", FEN_CAUTION_DUST },
        { "Long-fibred sphagnum", "sphagnum", FEN_CAUTION_MOSS },
        { "Dust with sulfur", "sulfur", FEN_CAUTION_SULPHUR },
        { "Move the lamp.", "lamp", FEN_CAUTION_ELECTRICITY },
        { "Dab the cut with alcohol.", "alcohol", FEN_CAUTION_ALCOHOL },
        { "Cut the cut again.", "Cut", FEN_CAUTION_BLADES },
    };
    for (size_t i = 0; i < FEN_COUNT(rows); i++) {
        fen_caution_word w;
        if (!fen_caution_next(rows[i].text, strlen(rows[i].text), 0, &w))
            fail_msg("nothing found in '%s'", rows[i].text);
        assert_int_equal(w.caution, rows[i].caution);
        assert_int_equal(w.len, strlen(rows[i].word));
        assert_memory_equal(rows[i].text + w.at, rows[i].word, w.len);
    }
}

static void harmless_words_are_left_alone(void **state)
{
    (void)state;
    static const char *const rows[] = {
        "", "Acute care", "the cuticle", "a clamp", "Let the cut dry.", "keep it from hot lamps", "each cut must dry",
        "resprayed", "bladeless", "undercut",
    };
    for (size_t i = 0; i < FEN_COUNT(rows); i++) {
        fen_caution_word w;
        if (fen_caution_next(rows[i], strlen(rows[i]), 0, &w))
            fail_msg("'%.*s' found in '%s'", (int)w.len, rows[i] + w.at, rows[i]);
    }
}

static void the_search_goes_on_behind_a_word(void **state)
{
    (void)state;
    static const char text[] = "Spray, then cut, then bleach the knife";
    static const fen_caution want[] = { FEN_CAUTION_PESTICIDE, FEN_CAUTION_BLADES, FEN_CAUTION_BLEACH, FEN_CAUTION_BLADES };
    size_t at = 0, n = 0;
    for (fen_caution_word w; fen_caution_next(text, strlen(text), at, &w); at = w.at + w.len) {
        assert_true(n < FEN_COUNT(want));
        assert_int_equal(w.caution, want[n++]);
    }
    assert_int_equal(n, FEN_COUNT(want));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_caution_is_found_by_its_name),
        cmocka_unit_test(a_caution_names_what_its_danger_needs),
        cmocka_unit_test(words_that_call_for_a_caution_are_found_where_they_stand),
        cmocka_unit_test(harmless_words_are_left_alone),
        cmocka_unit_test(the_search_goes_on_behind_a_word),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
