/* Latin names as they stand on labels and in nursery sheets, under the shipped rules. */
#include "casebook/kind_name.h"
#include "fenmend/base.h"
#include "unit.h"

static fen_base *base;

static int load(void **state)
{
    (void)state;
    const char *const paths[] = { FEN_RULES_DIR };
    fen_problems *problems;
    if (fen_problems_new(&problems))
        return 1;
    const fen_status st = fen_base_load(paths, 1, problems, &base);
    fen_problems_free(problems);
    return st != FEN_OK;
}

static int drop(void **state)
{
    (void)state;
    fen_base_free(base);
    return 0;
}

/* Which kind a species is kept as: common practice, no source. KIND NULL: no Latin name that is known. */
static const struct {
    const char *text, *kind;
    bool loose;
} rows[] = {
    { "Drosera capensis", "subtropical-sundew", false },
    { "DROSERA  CAPENSIS", "subtropical-sundew", false },
    { "D. capensis", "subtropical-sundew", false },
    { "Drosera capensis 'Albino'", "subtropical-sundew", false },
    { "Drosera capensis var. alba", "subtropical-sundew", false },     /* alba alone is another kind */
    { "Drosera intermedia", "temperate-sundew", false },
    { "Drosera peltata subsp. auriculata", "tuberous-sundew", false },
    { "Drosera cf. regia", "subtropical-sundew", false },
    { "Drosera x obovata", "temperate-sundew", false },
    { "Drosera anglica x rotundifolia", "temperate-sundew", false },
    { "Sarracenia \u00D7moorei", "upright-trumpet", false },
    { "Sarracenia \u00D7 moorei 'Some Clone'", "upright-trumpet", false },
    { "S. purpurea ssp. venosa var. burkii", "purple-pitcher", false },
    { "S. flava x S. leucophylla", "upright-trumpet", false },
    { "Nepenthes ventrata", "intermediate-pitcher", false },
    { "Nepenthes 'Ventrata'", "intermediate-pitcher", false },
    { "Nepenthes \u2018Mixta\u2019", "intermediate-pitcher", false },
    { "N. (ventricosa x alata) x sanguinea", "intermediate-pitcher", false },
    { "Pinguicula alpina", "temperate-butterwort", false },
    { "Utricularia alpina", "epiphytic-bladderwort", false },           /* the same word behind another genus */
    { "U. gibba", "aquatic-bladderwort", false },
    { "Utricularia novae-zelandiae", "terrestrial-bladderwort", false },
    { "Catopsis berteroniana", "carnivorous-bromeliad", false },        /* not the genus that `latin` begins with */
    { "Dionaea muscipula cv. Some Clone", "venus-flytrap", false },
    { "Dionaea 'Some Clone'", "venus-flytrap", false },                   /* one kind has the genus: nothing is lost */
    { "Genlisea violacea", "corkscrew-plant", false },
    /* the genus alone: not told which, or not known, or between kinds */
    { "Drosera sp.", "sundew", false },
    { "Sarracenia hybrid", "trumpet-pitcher", false },
    { "Drosera nonsuchia", "sundew", true },
    { "N. nonsuchia", "tropical-pitcher", true },                       /* no other genus begins so */
    { "Sarracenia purpurea x flava", "trumpet-pitcher", true },
    { "N. ventricosa \u00D7 hamata", "tropical-pitcher", true },
    { "Sarracenia x catesbaei", "trumpet-pitcher", true },
    { "Nepenthes truncata", "tropical-pitcher", true },                 /* of the lowland and of the highland */
    /* no name that leads to a kind */
    { "D. nonsuchia", NULL, false },
    { "D. sp.", NULL, false },
    { "N.", NULL, false },
    { "Rosa canina", NULL, false },
    { "capensis", NULL, false },                                        /* a word, not a Latin name: others look for it */
    { "", NULL, false },
    { " '", NULL, false },
    { "Drosera '", "sundew", false },
};

static void a_latin_name_leads_to_the_kind_of_its_species_or_else_of_its_genus(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT(rows); i++) {
        fen_kind_name name;
        const bool found = fen_kind_by_latin(base, (fen_piece){ rows[i].text, strlen(rows[i].text) }, &name);
        if (found != (rows[i].kind != NULL) || (found && (strcmp(fen_base_kind(base, name.kind)->id, rows[i].kind) || name.loose != rows[i].loose)))
            fail_msg("'%s' leads to %s%s", rows[i].text, found ? fen_base_kind(base, name.kind)->id : "nothing", found && name.loose ? ", loosely" : "");
    }
}

static void a_slip_is_told_with_the_species_it_is_near_to(void **state)
{
    (void)state;
    fen_kind_name name;
    assert_true(fen_kind_by_latin(base, (fen_piece){ "Drosera capensi", 15 }, &name));
    assert_true(name.loose);
    assert_string_equal(name.near, "capensis");
    assert_true(fen_kind_by_latin(base, (fen_piece){ "S. flva", 7 }, &name));
    assert_memory_equal(name.genus.at, "Sarracenia", name.genus.len);
    assert_string_equal(name.near, "flava");
}

/* Two packs that list a species under two kinds would make it ambiguous. */
static void every_species_that_the_rules_list_leads_to_its_kind(void **state)
{
    (void)state;
    size_t n = 0;
    for (fen_id k = 0; k < fen_base_kinds(base); k++) {
        const fen_kind *kind = fen_base_kind(base, k);
        for (uint32_t i = 0; i < kind->species.count; i++, n++) {
            char text[128];
            fen_kind_name name;
            const char *species = kind->species.at[i];
            const bool own = *species >= 'A' && *species <= 'Z', quoted = !own && strchr(species, ' ');
            if (own)
                snprintf(text, sizeof text, "%s", species);
            else
                snprintf(text, sizeof text, "%.*s %s%s%s", (int)strcspn(kind->latin, " "), kind->latin, quoted ? "'" : "", species, quoted ? "'" : "");
            if (!fen_kind_by_latin(base, (fen_piece){ text, strlen(text) }, &name) || name.kind != k || name.loose)
                fail_msg("'%s' does not lead to '%s'", text, kind->id);
        }
    }
    assert_true(n > 300);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_latin_name_leads_to_the_kind_of_its_species_or_else_of_its_genus),
        cmocka_unit_test(a_slip_is_told_with_the_species_it_is_near_to),
        cmocka_unit_test(every_species_that_the_rules_list_leads_to_its_kind),
    };
    return cmocka_run_group_tests(tests, load, drop);
}
