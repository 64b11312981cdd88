/* test_textbook.c -- invented plants that have exactly what the books describe, under
 * the shipped rules: whoever has the textbook signs of a cause is told that cause, and
 * about as surely as an experienced grower would say it.
 *
 * tests/textbook/PACK.yaml holds the plants for the causes of rules/PACK.yaml, several in a
 * file; told-in-full.yaml those of which everything is told. Beside the usual keys `where` may say
 *
 *     at least: 60 %     what the settled causes must come to (left out: to lead is enough)
 *     danger: open       little was told, and something deadly is settled: it need not lead, but
 *                        some urgency must be raised, and it must stand above the danger level
 *     asked: 8           told in full, so that the simulated asker is done after so many questions
 *
 * The descriptions are those of growers' handbooks and society pages that the rules name as
 * their sources; how sure to be is common practice, no source. None of these plants was real.
 */
#include "unit/unit.h"

#include "casebook/grade.h"
#include "fenmend/batch.h"
#include "util/file.h"
#include "util/str.h"

enum { TODAY = 20000, PLANTS_MAX = 1200 };

/* What must hold over all plants together. */
#define MEAN_P 0.85

typedef struct plant {
    char name[96], leads[64], was[64], file[64];
    fen_grade grade;
    fen_urgency urgency;
    double at_least; /* 0: leading is enough */
    unsigned asked;  /* 0: any number */
    bool open;
    bool harmless; /* all that is settled is */
    char joined[64]; /* a cause that kills within days and is told beside it; "" */
} plant;

static fen_base *base;
static plant plants[PLANTS_MAX];
static size_t n_plants, n_faults;

static const char *tag(const fen_case *c, const char *key)
{
    for (size_t i = 0; i < c->n_where; i++)
        if (strcmp(c->where[i].key, key) == 0)
            return c->where[i].value;
    return NULL;
}

static const char *name_of(fen_id cause)
{
    return cause == FEN_NONE ? "nothing" : fen_base_cause(base, cause)->id;
}

/* What is told beside something harmless goes into the plan and hurries people. */
static void note_covering(plant *p, const fen_judged *j, const fen_verdict *v)
{
    p->harmless = true;
    for (uint32_t i = 0; i < j->settled.count; i++)
        p->harmless &= fen_base_cause(base, j->settled.at[i])->harmless;
    for (uint32_t i = 0; i < v->covering.count; i++)
        if (fen_base_cause(base, v->covering.at[i])->urgency >= FEN_DAYS)
            snprintf(p->joined, sizeof p->joined, "%s", name_of(v->covering.at[i]));
}

/* Only one worker, so that this may write to PLANTS. */
static void note(void *ctx, fen_judged *j, struct fen_str *out)
{
    (void)ctx;
    (void)out;
    assert_true(n_plants < PLANTS_MAX);
    plant *p = &plants[n_plants++];
    *p = (plant){ .urgency = FEN_NO_URGENCY };
    snprintf(p->name, sizeof p->name, "%s", j->id);
    if (!j->c || !j->settled.count) {
        print_error("%s: %s\n", j->id, j->c ? "nothing is settled" : j->error);
        n_faults++;
        n_plants--;
        return;
    }
    fen_session *user = NULL;
    assert_int_equal(fen_session_new(base, j->c->visits[j->c->n_visits - 1].date, &user), FEN_OK);
    fen_grade_case(j->c, j->settled, j->session, user, &p->grade);
    fen_session_free(user);
    const fen_verdict *v = fen_session_verdict(j->session);
    p->urgency = v->urgency;
    note_covering(p, j, v);
    snprintf(p->was, sizeof p->was, "%s", name_of(p->grade.was));
    snprintf(p->leads, sizeof p->leads, "%s", name_of(p->grade.judged));
    const char *text = tag(j->c, "at least");
    p->at_least = text ? strtod(text, NULL) / 100 : 0;
    text = tag(j->c, "asked");
    p->asked = text ? (unsigned)strtoul(text, NULL, 10) : 0;
    text = tag(j->c, "danger");
    p->open = text && strcmp(text, "open") == 0;
}

static bool deliver(void *ctx, const fen_part *part)
{
    (void)ctx;
    if (part->unusable) {
        print_error("%s", part->err);
        n_faults++;
    }
    return true;
}

static int judge_all(void **state)
{
    const char *rules = FEN_RULES_DIR;
    char **names = NULL;
    size_t n = 0;
    fen_problems *problems = NULL;
    (void)state;
    assert_int_equal(fen_problems_new(&problems), FEN_OK);
    if (fen_base_load(&rules, 1, problems, &base) != FEN_OK)
        fail_msg("%s", fen_problems_at(problems, 0)->text);
    fen_problems_free(problems);
    assert_int_equal(fen_file_list(FEN_TESTS_DIR "/textbook", ".yaml", &names, &n), FEN_OK);
    const fen_batch batch = { .base = base, .today = TODAY, .jobs = 1, .judge = note, .deliver = deliver };
    for (size_t i = 0; i < n; i++) {
        const size_t first = n_plants;
        const char *path = names[i];
        assert_int_equal(fen_batch_run(&batch, &path, 1), FEN_OK);
        for (size_t k = first; k < n_plants; k++)
            snprintf(plants[k].file, sizeof plants[k].file, "%s", strrchr(path, '/') + 1);
    }
    fen_file_names_free(names, n);
    return 0;
}

static int tear_down(void **state)
{
    (void)state;
    fen_base_free(base);
    return 0;
}

static void tell(const plant *p, const char *fault)
{
    print_message("  %s, %s: %s; %s %.0f %%, %s leads with %.0f %%, asked %u (%u answered)\n", p->file, p->name, fault, p->was,
                  100 * p->grade.p, p->leads, 100 * p->grade.p_top, (unsigned)p->grade.asked, (unsigned)p->grade.answered);
}

static void every_plant_can_be_read(void **state)
{
    (void)state;
    assert_int_equal(n_faults, 0);
    assert_true(n_plants > 0);
}

static void a_textbook_plant_is_told_what_it_has(void **state)
{
    size_t wrong = 0;
    (void)state;
    for (size_t i = 0; i < n_plants; i++) {
        const plant *p = &plants[i];
        if (p->open || p->grade.rank == 1)
            continue;
        tell(p, "something else leads");
        wrong++;
    }
    assert_int_equal(wrong, 0);
}

static void a_textbook_plant_is_told_as_surely_as_a_grower_would(void **state)
{
    double sum = 0;
    size_t n = 0, timid = 0;
    (void)state;
    for (size_t i = 0; i < n_plants; i++) {
        const plant *p = &plants[i];
        if (p->grade.p < p->at_least) {
            tell(p, "too timid");
            timid++;
        }
        if (p->open)
            continue;
        sum += p->grade.p;
        n++;
    }
    assert_true(n > 0);
    print_message("%u plants, the settled cause at %.1f %% on average\n", (unsigned)n, 100 * sum / (double)n);
    assert_int_equal(timid, 0);
    assert_true(sum / (double)n >= MEAN_P);
}

/* Someone who says little must not be sent home: as long as what kills is above the danger
 * level, some urgency is raised. */
static void an_open_danger_is_not_talked_away(void **state)
{
    size_t wrong = 0;
    (void)state;
    for (size_t i = 0; i < n_plants; i++) {
        const plant *p = &plants[i];
        if (!p->open)
            continue;
        if (p->urgency == FEN_NO_URGENCY) {
            tell(p, "no urgency");
            wrong++;
        } else if (p->grade.p < fen_base_settings(base)->danger_level) {
            tell(p, "below the danger level");
            wrong++;
        }
    }
    assert_int_equal(wrong, 0);
}

static void what_is_harmless_is_not_joined_by_a_killer(void **state)
{
    size_t wrong = 0, n = 0;
    (void)state;
    for (size_t i = 0; i < n_plants; i++) {
        const plant *p = &plants[i];
        n += p->harmless;
        if (!p->harmless || p->grade.rank != 1 || !p->joined[0])
            continue;
        tell(p, p->joined);
        wrong++;
    }
    assert_true(n > 100);
    assert_int_equal(wrong, 0);
}

/* The settled cause leads when the asker has been asked as long as there is something worth
 * asking, and where the file says how long that may take, it takes no longer. */
static void who_has_told_all_is_not_asked_for_ever(void **state)
{
    size_t wrong = 0;
    (void)state;
    for (size_t i = 0; i < n_plants; i++) {
        const plant *p = &plants[i];
        if (!p->asked)
            continue;
        if (p->grade.asked > p->asked || !p->grade.right_when_asked) {
            tell(p, p->grade.right_when_asked ? "asked too much" : "asked to the wrong end");
            wrong++;
        }
    }
    assert_int_equal(wrong, 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_plant_can_be_read),
        cmocka_unit_test(a_textbook_plant_is_told_what_it_has),
        cmocka_unit_test(a_textbook_plant_is_told_as_surely_as_a_grower_would),
        cmocka_unit_test(an_open_danger_is_not_talked_away),
        cmocka_unit_test(what_is_harmless_is_not_joined_by_a_killer),
        cmocka_unit_test(who_has_told_all_is_not_asked_for_ever),
    };
    return cmocka_run_group_tests(tests, judge_all, tear_down);
}
