/* No step that touches dust, moss, pesticide, alcohol, sulphur, electricity, blades or
 * collection law can be written without its caution.
 *
 * Shown by mutation: every hazard's words in every place where a step or task can have
 * them are refused without the caution and taken with it; and no shipped step lacks one.
 */
#include "fenmend/base.h"
#include "model/caution.h"
#include "unit.h"
#include "util/file.h"
#include "util/str.h"

#include <unistd.h>

/* What growers write, by what it can do to them. Common practice, no source. */
static const struct { const char *caution, *says[14]; } rows[] = {
    { "dust", { "Mix in perlite.", "Add a third of vermiculite.", "Pumice does as well.", "Do not breathe dry peat.", "Shake the dry mix." } },
    { "moss", { "Top it with live moss.", "Wrap it in sphagnum.", "Pack long-fibred sphagnum round it.", "Press the peat down.", "Pick through the moss." } },
    { "pesticide", { "Spray it at dusk.", "Treat it with an insecticide.", "A fungicide may help.", "Use a systemic granule.", "Neem helps.", "Lay bait.",
                     "Use a product whose label names thrips.", "Pour Bti through.", "A miticide is needed.", "Never pyrethrum twice." , "Kill it with herbicide." } },
    { "alcohol", { "Dab it with alcohol.", "A swab of isopropyl will do.", "Methylated spirits kill them.", "Wipe it with surgical spirit." } },
    { "sulphur", { "Dust it with sulphur.", "Sulfur keeps mould off.", "Use a sulphurous powder." } },
    { "electricity", { "Hang a lamp over it.", "Move the lamps closer.", "Put it on a heat mat.", "Lay a heating cable.", "Let a fan run.", "Set the timer to 14 hours.",
                       "Unplug it at night.", "A humidifier helps.", "Buy an LED.", "Use a pump." } },
    { "blades", { "Cut it off.", "Slice the stem.", "Snip off what is dry.", "Trim the roots.", "Use clean scissors.", "Take a scalpel.", "Prune it back.", "Use a razor.", "Slit the bag." } },
    { "law", { "Take seed from the wild.", "Wild plants cost nothing.", "Import a new one.", "Collect moss in a bog.", "Send it abroad." } },
    { "bleach", { "Soak the pot in bleach.", "Sodium hypochlorite cleans it." } },
    { "heat", { "Scald the pot.", "Pour boiling water on it.", "Microwave the mix.", "Bake it in an oven.", "Steam the mix." } },
};

static const char head[] = "findings:\n  heart:\n    name: heart\n    ask: How is it?\n    effort: touch\n    answers: {firm: , soft: {sign: yes}}\n"
                           "causes:\n  rot: {name: rot, about: It rots., usual: 4 %, urgency: days}\n"
                           "rules:\n  soft: {when: heart is soft, then: strong for rot, why: It is.}\n";

/* Everywhere that a grower is told to do something. %s: the words; the line of the caution. */
static const char *const places[] = {
    "remedies:\n  mend:\n    for: rot\n    steps:\n      one:\n        do: \"%s\"\n%s",
    "remedies:\n  mend:\n    for: rot\n    steps:\n      one:\n        do: \"First this. %s\"\n%s",
    "remedies:\n  mend:\n    for: rot\n    steps:\n      one:\n        do: \"Up to {longest}.\"\n        reckon: prey\n        with: {trap: 2 cm}\n        without: \"%s\"\n%s",
    "remedies:\n  mend:\n    for: rot\n    steps:\n      zero: {do: Wait.}\n      one:\n        do: \"%s\"\n        after: zero\n        when: heart is soft\n%s",
    "remedies: {mend: {for: rot, never: Wait.}}\ntasks:\n  t:\n    north: may\n    do: \"%s\"\n%s",
};

static char path[] = "/tmp/fen-caution-XXXXXX";

/* How many problems of code CAUTION, and of any, TEXT as a pack has. */
static void load(const char *text, size_t *ret_cautions, size_t *ret_errors)
{
    fen_problems *problems;
    fen_base *base = NULL;
    const char *paths[] = { path };
    assert_int_equal(fen_file_write(path, text, strlen(text), 0600), FEN_OK);
    assert_int_equal(fen_problems_new(&problems), FEN_OK);
    const fen_status st = fen_base_load(paths, 1, problems, &base);
    *ret_errors = fen_problems_errors(problems);
    *ret_cautions = 0;
    for (size_t i = 0; i < fen_problems_count(problems); i++)
        *ret_cautions += fen_problems_at(problems, i)->code == FEN_CODE_CAUTION;
    assert_int_equal(st == FEN_OK, *ret_errors == 0);
    fen_base_free(base);
    fen_problems_free(problems);
}

/* PLACE with its first "%s" replaced by WORDS and its second by LINE, behind HEAD. */
static void compose(char *out, size_t size, const char *place, const char *words, const char *line)
{
    const char *first = strstr(place, "%s"), *second = strstr(first + 2, "%s");
    snprintf(out, size, "%s%.*s%s%.*s%s", head, (int)(first - place), place, words, (int)(second - first - 2), first + 2, line);
}

static void try_words(const char *place, const char *caution, const char *words)
{
    char pack[2048], line[128];
    size_t cautions, errors;
    const bool task = strstr(place, "tasks:") != NULL;
    compose(pack, sizeof pack, place, words, "");
    load(pack, &cautions, &errors);
    if (!cautions || !errors)
        fail_msg("'%s' is taken without a caution (%s) in\n%s", words, caution, pack);
    /* with everything that the words may need, it is taken */
    snprintf(line, sizeof line, "%s    caution: [%s, dust, moss]\n", task ? "" : "    ", caution);
    if (strcmp(caution, "dust") == 0 || strcmp(caution, "moss") == 0)
        snprintf(line, sizeof line, "%s    caution: [dust, moss]\n", task ? "" : "    ");
    compose(pack, sizeof pack, place, words, line);
    load(pack, &cautions, &errors);
    if (cautions || errors)
        fail_msg("'%s' is refused with its caution (%s) in\n%s", words, caution, pack);
}

static void no_hazard_can_be_written_without_its_caution(void **state)
{
    (void)state;
    for (size_t r = 0; r < COUNT(rows); r++)
        for (size_t i = 0; i < COUNT(rows[r].says) && rows[r].says[i]; i++)
            for (size_t p = 0; p < COUNT(places); p++)
                try_words(places[p], rows[r].caution, rows[r].says[i]);
}

static bool needs(const char *text, const char *caution)
{
    fen_caution_word w;
    for (size_t at = 0; text && fen_caution_next(text, strlen(text), at, &w); at = w.at + w.len)
        if (strcmp(fen_caution_name(w.caution), caution) == 0)
            return true;
    return false;
}

static bool has(fen_texts cautions, const char *name)
{
    for (uint32_t i = 0; i < cautions.count; i++)
        if (strcmp(cautions.at[i], name) == 0)
            return true;
    return false;
}

/* Of the shipped steps, how many carry each caution because of a word; and none lacks one. */
static void the_shipped_steps_carry_what_their_words_call_for(void **state)
{
    (void)state;
    const char *const paths[] = { FEN_RULES_DIR };
    size_t by_word[FEN_CAUTIONS] = { 0 };
    fen_problems *problems;
    fen_base *base = NULL;
    assert_int_equal(fen_problems_new(&problems), FEN_OK);
    assert_int_equal(fen_base_load(paths, 1, problems, &base), FEN_OK);
    for (fen_id r = 0; r < fen_base_remedies(base); r++) {
        const fen_remedy *remedy = fen_base_remedy(base, r);
        for (uint32_t i = 0; i < remedy->n_steps; i++)
            for (int c = 0; c < FEN_CAUTIONS; c++) {
                const char *name = fen_caution_name((fen_caution)c);
                const bool wanted = needs(remedy->steps[i].text, name) || needs(remedy->steps[i].without, name);
                assert_true(!wanted || has(remedy->steps[i].cautions, name));
                by_word[c] += wanted;
            }
    }
    static const fen_caution met[] = { FEN_CAUTION_DUST, FEN_CAUTION_MOSS, FEN_CAUTION_PESTICIDE, FEN_CAUTION_ALCOHOL, FEN_CAUTION_SULPHUR,
                                       FEN_CAUTION_ELECTRICITY, FEN_CAUTION_BLADES, FEN_CAUTION_HEAT };
    for (size_t i = 0; i < COUNT(met); i++)
        assert_true(by_word[met[i]] > 0);
    fen_base_free(base);
    fen_problems_free(problems);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(no_hazard_can_be_written_without_its_caution),
        cmocka_unit_test(the_shipped_steps_carry_what_their_words_call_for),
    };
    const int fd = mkstemp(path);
    if (fd < 0)
        return 1;
    close(fd);
    const int failed = cmocka_run_group_tests(tests, NULL, NULL);
    unlink(path);
    return failed;
}
