/* Answers that say that none of the others holds: how they are declared, given,
 * refused beside others, and tried.
 */
#include <unistd.h>

#include "unit.h"

#include "fenmend/base.h"
#include "fenmend/case.h"
#include "fenmend/session.h"
#include "fenmend/why.h"
#include "util/file.h"

enum { TODAY = 20600, NOTHING = 1, APHIDS = 2, MITES = 4 };

static char folder[64];
static fen_base *base;
static fen_id animals, colour;

static const char pack[] = "kinds:\n  bog: {name: bog}\n"
                           "findings:\n"
                           "  animals:\n"
                           "    name: animals\n"
                           "    ask: What do you find?\n"
                           "    effort: glance\n"
                           "    several: yes\n"
                           "    answers:\n"
                           "      nothing: {say: nothing at all, usual: 80 %, alone: yes}\n"
                           "      aphids: {say: aphids, usual: 15 %, sign: yes}\n"
                           "      mites: {say: mites, usual: 5 %, sign: yes}\n"
                           "  colour: {name: colour, ask: Which colour?, effort: glance, several: yes, answers: {red: {}, green: {}}}\n"
                           "causes:\n"
                           "  well: {name: well, about: It is well., usual: 60 %, urgency: none}\n"
                           "  lice: {name: lice, about: It has lice., usual: 30 %, urgency: days}\n"
                           "rules:\n"
                           "  a: {when: animals includes aphids, then: decisive for lice, why: x}\n"
                           "  n: {when: animals includes nothing, then: strong against lice, why: x}\n";

static const char *write_file(const char *name, const char *text)
{
    static char path[128];
    snprintf(path, sizeof path, "%s/%s", folder, name);
    assert_int_equal(fen_file_write(path, text, strlen(text), 0600), FEN_OK);
    return path;
}

static const char *said_of(const fen_problems *problems)
{
    static char text[1024];
    text[0] = '\0';
    for (size_t i = 0; i < fen_problems_count(problems); i++) {
        const fen_problem *p = fen_problems_at(problems, i);
        snprintf(text + strlen(text), sizeof text - strlen(text), "%s; %s\n", p->text, p->right ? p->right : "");
    }
    return text;
}

static int set_up(void **state)
{
    (void)state;
    strcpy(folder, "/tmp/fenmend-alone-XXXXXX");
    if (!mkdtemp(folder))
        return 1;
    fen_problems *problems;
    const char *path = write_file("pack.yaml", pack);
    assert_int_equal(fen_problems_new(&problems), FEN_OK);
    if (fen_base_load(&path, 1, problems, &base))
        fail_msg("%s", said_of(problems));
    fen_problems_free(problems);
    animals = fen_base_find_finding(base, "animals");
    colour = fen_base_find_finding(base, "colour");
    return 0;
}

static int tear_down(void **state)
{
    char path[128];
    (void)state;
    fen_base_free(base);
    for (const char *const *name = (const char *const[]){ "pack.yaml", "other.yaml", "case.yaml", NULL }; *name; name++) {
        snprintf(path, sizeof path, "%s/%s", folder, *name);
        (void)unlink(path);
    }
    return rmdir(folder);
}

static void it_fits_only_by_itself(void **state)
{
    (void)state;
    const fen_finding *f = fen_base_finding(base, animals), *several = fen_base_finding(base, colour), *kind = fen_base_finding(base, FEN_KIND_FINDING);
    assert_true(fen_finding_fits(several, 0) && fen_finding_fits(f, NOTHING) && fen_finding_fits(f, APHIDS | MITES));
    assert_false(fen_finding_fits(f, 0) || fen_finding_fits(f, NOTHING | MITES) || fen_finding_fits(f, 8));
    assert_true(fen_finding_fits(several, 3) && fen_finding_fits(kind, 1));
    assert_false(fen_finding_fits(kind, 0));
    assert_int_equal(fen_finding_with(f, APHIDS, 0), NOTHING);
    assert_int_equal(fen_finding_with(f, NOTHING, 1), APHIDS);
    assert_int_equal(fen_finding_with(f, APHIDS, 2), APHIDS | MITES);
    assert_int_equal(fen_finding_without(f), NOTHING);
    assert_int_equal(fen_finding_without(several), 0);
}

static void none_is_the_answer_that_says_so(void **state)
{
    static const struct {
        const char *text;
        uint64_t picks;
    } rows[] = { { "none", NOTHING }, { "nothing", NOTHING }, { "1", NOTHING }, { "aphids, mites", APHIDS | MITES }, { "3", MITES } };
    (void)state;
    fen_answer a;
    char err[256];
    for (size_t i = 0; i < COUNT(rows); i++) {
        assert_int_equal(fen_answer_read(base, animals, rows[i].text, strlen(rows[i].text), TODAY, &a, err), FEN_OK);
        assert_int_equal(a.picks, rows[i].picks);
    }
    assert_int_equal(fen_answer_read(base, colour, "none", 4, TODAY, &a, err), FEN_OK);
    assert_int_equal(a.picks, 0);
}

static void beside_others_it_is_refused(void **state)
{
    static const char *const texts[] = { "nothing, mites", "mites and nothing at all", "1 2" };
    (void)state;
    fen_answer a;
    char err[256];
    for (size_t i = 0; i < COUNT(texts); i++) {
        assert_int_equal(fen_answer_read(base, animals, texts[i], strlen(texts[i]), TODAY, &a, err), FEN_EINPUT);
        assert_string_equal(err, "'nothing' says that none of the others holds; write it alone, or leave it out");
    }
    fen_session *s;
    assert_int_equal(fen_session_new(base, TODAY, &s), FEN_OK);
    assert_int_not_equal(fen_session_answer(s, animals, (fen_answer){ FEN_KNOWN, NOTHING | MITES, 0 }), FEN_OK);
    assert_int_equal(fen_session_answer(s, animals, (fen_answer){ FEN_KNOWN, APHIDS | MITES, 0 }), FEN_OK);
    fen_session_free(s);
}

static fen_status load_case(const char *findings, uint64_t *ret_picks, char said[1024])
{
    char text[256];
    fen_problems *problems;
    fen_case *c = NULL;
    fen_session *s;
    snprintf(text, sizeof text, "kind: bog\nfindings: {%s}\n", findings);
    assert_int_equal(fen_problems_new(&problems), FEN_OK);
    const fen_status st = fen_case_load(base, write_file("case.yaml", text), TODAY, problems, &c);
    snprintf(said, 1024, "%s", said_of(problems));
    fen_problems_free(problems);
    if (st)
        return st;
    assert_int_equal(fen_session_new(base, TODAY, &s), FEN_OK);
    fen_case_answer(c, 0, s);
    *ret_picks = fen_session_given(s, animals).picks;
    fen_session_free(s);
    fen_case_free(c);
    return st;
}

static void a_list_in_a_case_is_held_to_it(void **state)
{
    (void)state;
    char said[1024];
    uint64_t picks = 0;
    assert_int_equal(load_case("animals: []", &picks, said), FEN_OK);
    assert_int_equal(picks, NOTHING);
    assert_int_equal(load_case("animals: [mites, aphids]", &picks, said), FEN_OK);
    assert_int_equal(picks, APHIDS | MITES);
    assert_int_equal(load_case("animals: [mites, nothing]", &picks, said), FEN_EINPUT);
    assert_non_null(strstr(said, "'nothing' says that none of the others holds; write it alone, or leave it out"));
}

static void a_change_of_mind_takes_its_place(void **state)
{
    (void)state;
    fen_session *s;
    fen_flip flip;
    assert_int_equal(fen_session_new(base, TODAY, &s), FEN_OK);
    assert_int_equal(fen_session_answer(s, animals, (fen_answer){ FEN_KNOWN, NOTHING, 0 }), FEN_OK);
    assert_int_equal(fen_why_flip(s, &flip), FEN_OK);
    assert_int_equal(flip.n_changes, 1);
    assert_int_equal(flip.change[0].to.picks, APHIDS);
    assert_int_equal(fen_session_answer(s, animals, (fen_answer){ FEN_KNOWN, APHIDS, 0 }), FEN_OK);
    assert_int_equal(fen_why_flip(s, &flip), FEN_OK);
    assert_int_equal(flip.n_changes, 1);
    assert_int_equal(flip.change[0].to.picks, NOTHING);
    fen_session_free(s);
}

/* Then the shares are those of a choice, and nobody answers with an empty list. */
static void what_may_be_answered_is_one_or_the_other(void **state)
{
    (void)state;
    fen_session *s;
    fen_outcomes *o;
    double sum = 0;
    assert_int_equal(fen_session_new(base, TODAY, &s), FEN_OK);
    assert_int_equal(fen_why_outcomes(s, animals, &o), FEN_OK);
    assert_int_equal(o->count, 3);
    for (size_t i = 0; i < o->count; i++) {
        assert_int_not_equal(o->at[i].answer.picks, 0);
        sum += o->at[i].chance;
    }
    assert_near(sum, 1, 1e-12);
    fen_outcomes_free(o);
    fen_session_free(s);
}

static void it_is_declared_where_several_may_hold(void **state)
{
    static const char *const packs[] = {
        "findings:\n  f: {name: f, ask: F?, effort: glance, answers: {a: {alone: yes}, b: {}}}\n",
        "findings:\n  f: {name: f, ask: F?, effort: glance, yes-no: {alone: yes}}\n",
    };
    (void)state;
    for (size_t i = 0; i < COUNT(packs); i++) {
        fen_problems *problems;
        fen_base *b = NULL;
        const char *path = write_file("other.yaml", packs[i]);
        assert_int_equal(fen_problems_new(&problems), FEN_OK);
        assert_int_equal(fen_base_load(&path, 1, problems, &b), FEN_EINPUT);
        if (!strstr(said_of(problems), "'alone'"))
            fail_msg("%s", said_of(problems));
        fen_problems_free(problems);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(it_fits_only_by_itself),
        cmocka_unit_test(none_is_the_answer_that_says_so),
        cmocka_unit_test(beside_others_it_is_refused),
        cmocka_unit_test(a_list_in_a_case_is_held_to_it),
        cmocka_unit_test(a_change_of_mind_takes_its_place),
        cmocka_unit_test(what_may_be_answered_is_one_or_the_other),
        cmocka_unit_test(it_is_declared_where_several_may_hold),
    };
    return cmocka_run_group_tests(tests, set_up, tear_down);
}
