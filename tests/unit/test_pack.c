/* Packs that are right: what they become. Wrong ones are in test_bad_packs.c.
 *
 * The format is the project's own (rules/README.md). Conversions in conditions
 * are checked against the exact definitions of the units: 1 in = 2.54 cm
 * (international yard and pound agreement 1959), C = (F - 32) / 1.8 (NIST SP 811).
 */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

#include <cmocka.h>

#include "fenmend/base.h"
#include "support/near_double.h"
#include "util/alloc.h"
#include "util/file.h"
#include "util/problem_text.h"
#include "util/vec.h"

#define README FEN_TESTS_DIR "/packs/good/readme.yaml"

/* ---- loading ---- */

static fen_status load(const char *const *paths, size_t n, char *said, size_t said_size, fen_base **base)
{
    fen_problems *problems;
    fen_str s;
    *base = NULL;
    assert_int_equal(fen_problems_new(&problems), FEN_OK);
    const fen_status st = fen_base_load(paths, n, problems, base);
    fen_str_init(&s, 1 << 20);
    for (size_t i = 0; i < fen_problems_count(problems); i++)
        fen_problem_write(&s, problems, fen_problems_at(problems, i));
    snprintf(said, said_size, "%s", s.at);
    fen_str_free(&s);
    fen_problems_free(problems);
    return st;
}

static fen_base *load_good(const char *path)
{
    char said[4096];
    fen_base *base;
    const fen_status st = load(&path, 1, said, sizeof said, &base);
    if (st || said[0])
        fail_msg("%s", said);
    return base;
}

static char folder[] = "/tmp/fenmend-test-pack-XXXXXX";

static int make_folder(void **state)
{
    (void)state;
    return mkdtemp(folder) ? 0 : -1;
}

static int remove_folder(void **state)
{
    char path[256];
    (void)state;
    for (char c = 'a'; c <= 'f'; c++) {
        snprintf(path, sizeof path, "%s/%c.yaml", folder, c);
        (void)unlink(path);
    }
    return rmdir(folder);
}

static const char *write_pack(char name, const char *text, size_t len)
{
    static char path[6][256];
    char *p = path[name - 'a'];
    snprintf(p, sizeof path[0], "%s/%c.yaml", folder, name);
    assert_int_equal(fen_file_write(p, text, len, 0600), FEN_OK);
    return p;
}

/* A base with some findings of every type, and RULES behind it. */
static const char stock[] =
    "kinds:\n"
    "  bog: {name: bog}\n"
    "  trap: {name: trap, within: bog}\n"
    "  glue: {name: glue, within: bog}\n"
    "  fly: {name: fly, within: trap}\n"
    "findings:\n"
    "  crown: {name: c, ask: c?, effort: touch, answers: {firm: {usual: 60 %}, soft: {usual: 30 %, sign: yes}, slimy: {usual: 30 %}}}\n"
    "  black: {name: b, ask: b?, effort: glance, several: yes, answers: {old: {usual: 60 %}, new: {}}}\n"
    "  stalk: {name: s, ask: s?, effort: glance, yes-no: {usual: 15 %, sign: yes, words: spike}}\n"
    "  water: {name: w, ask: w?, effort: meter, quantity: dissolved solids, from: 0 ppm, to: 5000 ppm}\n"
    "  runoff: {name: r, ask: r?, effort: meter, quantity: dissolved solids}\n"
    "  day: {name: d, ask: d?, effort: meter, quantity: temperature}\n"
    "  night: {name: n, ask: n?, effort: meter, quantity: temperature}\n"
    "  swing: {name: n, ask: n?, effort: meter, quantity: temperature difference}\n"
    "  depth: {name: d, ask: d?, effort: meter, quantity: length}\n"
    "  leaves: {name: l, ask: l?, effort: glance, quantity: count}\n"
    "  share: {name: l, ask: l?, effort: glance, quantity: percent}\n"
    "  moved: {name: m, ask: m?, effort: glance, date: yes}\n"
    "  potted: {name: p, ask: p?, effort: glance, date: yes}\n"
    "  stress: {name: s, derived: yes, answers: {none: {}, recent: {}}, default: none}\n"
    "  marks: {name: m, derived: yes, several: yes, answers: {spots: , webs: }}\n"
    "causes:\n"
    "  rot: {name: rot, about: It rots., usual: 4 %, urgency: days}\n"
    "hazards:\n"
    "  wet: {name: wet, about: It is wet., urgency: weeks}\n"
    "rules:\n"
    "  sets: {then: [stress is recent, marks includes spots, marks includes webs, hazard wet], why: x}\n";

static fen_base *load_rules(const char *rules)
{
    char text[8192], said[8192];
    fen_base *base;
    const int n = snprintf(text, sizeof text, "%s%s", stock, rules);
    const char *path = write_pack('a', text, (size_t)n);
    const fen_status st = load(&path, 1, said, sizeof said, &base);
    if (st)
        fail_msg("%s", said);
    return base;
}

/* The condition of the one sentence SENTENCE. */
static fen_base *load_sentence(const char *sentence, const fen_cond **cond)
{
    char rules[512];
    snprintf(rules, sizeof rules, "  r:\n    when: \"%s\"\n    then: strong for rot\n    why: x\n", sentence);
    fen_base *base = load_rules(rules);
    *cond = fen_base_cond(base, fen_base_rule(base, fen_base_find_rule(base, "r"))->cond);
    return base;
}

/* ---- the examples ---- */

static void the_examples_of_the_author_guide_load(void **state)
{
    (void)state;
    fen_base *b = load_good(README);
    const fen_kind *fly = fen_base_kind(b, fen_base_find_kind(b, "venus-flytrap"));
    assert_string_equal(fly->latin, "Dionaea muscipula");
    assert_int_equal(fly->called.count, 2);
    assert_int_equal(fly->parent, fen_base_find_kind(b, "carnivorous-plant"));
    assert_true(fen_base_kind(b, fly->parent)->group);
    assert_int_equal(fen_base_rules(b), 4);
    assert_int_equal(fen_base_remedies(b), 2);
    const fen_cause *rot = fen_base_cause(b, fen_base_find_cause(b, "crown-rot"));
    assert_int_equal(rot->urgency, FEN_DAYS);
    assert_int_equal(rot->deciding, fen_base_find_finding(b, "crown-feel"));
    assert_near(rot->usual, 0.04, 1e-15);
    assert_int_equal(rot->remedies.count, 1);
    assert_true(fen_base_cause(b, fen_base_find_cause(b, "winter-rest"))->harmless);
    assert_int_equal(fen_base_hazard(b, fen_base_find_hazard(b, "undrained-pot"))->remedies.count, 1);
    fen_base_free(b);
}

static void a_finding_keeps_what_was_written_about_it(void **state)
{
    (void)state;
    fen_base *b = load_good(README);
    const fen_finding *crown = fen_base_finding(b, fen_base_find_finding(b, "crown-feel"));
    assert_int_equal(crown->type, FEN_CHOICE);
    assert_int_equal(crown->effort, FEN_TOUCH);
    assert_int_equal(crown->n_options, 2);
    assert_string_equal(crown->options[1].say, "soft or mushy");
    assert_true(crown->options[1].sign && !crown->options[0].sign);
    assert_int_equal(crown->options[1].words.count, 3);
    assert_string_equal(crown->options[1].words.at[2], "gone soft");
    assert_int_equal(crown->kinds.count, 1);
    const fen_cond *when = fen_base_cond(b, crown->ask_when);
    assert_int_equal(when->op, FEN_COND_ANY);
    assert_int_equal(when->parts.count, 2);
    assert_string_equal(when->text, "leaf-loss is many or season is winter");
    assert_string_equal(fen_base_cond(b, when->parts.at[1])->text, "season is winter");
    const fen_finding *stress = fen_base_finding(b, fen_base_find_finding(b, "stress"));
    assert_true(stress->derived);
    assert_int_equal(stress->default_option, 0);
    const fen_finding *water = fen_base_finding(b, fen_base_find_finding(b, "water-reading"));
    assert_near(water->to, 5000, 0);
    assert_near(water->middle, 80, 0);
    const fen_finding *move = fen_base_finding(b, fen_base_find_finding(b, "last-move"));
    assert_int_equal(move->type, FEN_DATE);
    assert_near(move->high, 700, 0);
    fen_base_free(b);
}

static void a_rule_keeps_its_weights_exactly(void **state)
{
    (void)state;
    fen_base *b = load_good(README);
    const fen_rule *r = fen_base_rule(b, fen_base_find_rule(b, "soft-crown-in-a-full-tray"));
    assert_int_equal(r->n_effects, 6);
    static const struct {
        fen_effect_op op;
        fen_weight weight;
    } want[] = { { FEN_WEIGH, 10 * FEN_DBAN }, { FEN_WEIGH, -5 * FEN_DBAN }, { FEN_WEIGH, INT64_C(7500000000000) },
                 { FEN_EXCLUDE, 0 }, { FEN_RAISE, 0 }, { FEN_DERIVE, 0 } };
    for (size_t i = 0; i < FEN_COUNT(want); i++) {
        assert_int_equal(r->effects[i].op, want[i].op);
        assert_true(r->effects[i].weight == want[i].weight);
    }
    const fen_test *t = fen_base_test(b, r->effects[5].target);
    assert_int_equal(t->finding, fen_base_find_finding(b, "stress"));
    assert_int_equal(t->option, 1);
    assert_int_equal(r->over.count, 1);
    assert_int_equal(r->over.at[0], fen_base_find_rule(b, "soft-crown"));
    assert_string_equal(r->source, "common practice, no source");
    fen_base_free(b);
}

static void a_remedy_keeps_the_order_of_its_steps(void **state)
{
    (void)state;
    fen_base *b = load_good(README);
    const fen_remedy *r = fen_base_remedy(b, 0);
    assert_int_equal(r->n_steps, 2);
    assert_string_equal(r->steps[1].id, "cut");
    assert_int_equal(r->steps[1].after.count, 1);
    assert_int_equal(r->steps[1].after.at[0], 0);
    assert_string_equal(r->steps[0].cautions.at[0], "blades");
    assert_int_not_equal(r->steps[1].when, FEN_NONE);
    assert_near(r->look_again, 14, 0);
    assert_int_equal(r->never.count, 1);
    assert_true(isnan(fen_base_remedy(b, 1)->look_again));
    assert_int_equal(fen_base_remedy(b, 1)->hazards.count, 2);
    assert_int_equal(fen_base_remedy(b, 1)->causes.count, 1);
    fen_base_free(b);
}

static void the_shipped_packs_load_without_a_word(void **state)
{
    (void)state;
    fen_base_free(load_good(FEN_RULES_DIR));
}

/* ---- shares ---- */

static void shares_left_out_take_what_is_left(void **state)
{
    (void)state;
    fen_base *b = load_rules("  r: {when: crown is soft, then: strong for rot, why: x}\n");
    const fen_finding *crown = fen_base_finding(b, fen_base_find_finding(b, "crown"));
    assert_near(crown->options[0].usual, 0.5, 1e-12); /* 60 of 120 */
    const fen_finding *black = fen_base_finding(b, fen_base_find_finding(b, "black"));
    assert_near(black->options[0].usual, 0.6, 1e-12); /* several: not scaled */
    assert_near(black->options[1].usual, 0.5, 1e-12); /* nothing known: even odds */
    const fen_finding *stalk = fen_base_finding(b, fen_base_find_finding(b, "stalk"));
    assert_near(stalk->options[0].usual, 0.15, 1e-12);
    assert_near(stalk->options[1].usual, 0.85, 1e-12);
    assert_true(stalk->options[0].sign && !stalk->options[1].sign);
    assert_string_equal(stalk->options[0].words.at[0], "spike");
    fen_base_free(b);
}

/* ---- sentences ---- */

static void a_comparison_becomes_a_range_on_the_side_one_can_read(void **state)
{
    (void)state;
    static const struct {
        const char *sentence, *finding;
        double lo, hi;
        bool lo_open, hi_open;
    } rows[] = {
        { "water > 100 ppm", "water", 100, INFINITY, true, false },
        { "water >= 100 ppm", "water", 100, INFINITY, false, false },
        { "water < 100 ppm", "water", -INFINITY, 100, false, true },
        { "water <= 100 ppm", "water", -INFINITY, 100, false, false },
        { "water = 100 ppm", "water", 100, 100, false, false },
        { "100 ppm < water", "water", 100, INFINITY, true, false },
        { "100 ppm >= water", "water", -INFINITY, 100, false, false },
        { "water from 50 ppm to 100 ppm", "water", 50, 100, false, false },
        { "water from 50 ppm to below 100 ppm", "water", 50, 100, false, true },
        { "water from above 50 ppm to 100 ppm", "water", 50, 100, true, false },
        { "(water) > 2 * (30 ppm + 20 ppm)", "water", 100, INFINITY, true, false },
        { "water > 200 uS/cm", "water", 100, INFINITY, true, false },     /* the 0.5 scale */
        { "moved < 14 days", "moved", -INFINITY, 14, false, true },
        { "moved < 2 weeks", "moved", -INFINITY, 14, false, true },
        { "depth < 6 in", "depth", -INFINITY, 152.4, false, true },
        { "day > 86 F", "day", 30, INFINITY, true, false },
        { "swing > 18 F", "swing", 10, INFINITY, true, false },           /* a difference has no offset */
        { "leaves = 3", "leaves", 3, 3, false, false },
        { "share > 40 %", "share", 40, INFINITY, true, false },
        { "night < -5 C", "night", -INFINITY, -5, false, true },
    };
    for (size_t i = 0; i < FEN_COUNT(rows); i++) {
        const fen_cond *c;
        fen_base *b = load_sentence(rows[i].sentence, &c);
        assert_int_equal(c->op, FEN_COND_TEST);
        assert_string_equal(c->text, rows[i].sentence);
        const fen_test *t = fen_base_test(b, c->test);
        assert_int_equal(t->op, FEN_TEST_RANGE);
        assert_string_equal(fen_base_finding(b, t->finding)->id, rows[i].finding);
        if (isinf(rows[i].lo) ? t->lo != rows[i].lo : !(fabs(t->lo - rows[i].lo) < 1e-9))
            fail_msg("%s: from %.17g", rows[i].sentence, t->lo);
        if (isinf(rows[i].hi) ? t->hi != rows[i].hi : !(fabs(t->hi - rows[i].hi) < 1e-9))
            fail_msg("%s: to %.17g", rows[i].sentence, t->hi);
        assert_int_equal(t->lo_open, rows[i].lo_open);
        assert_int_equal(t->hi_open, rows[i].hi_open);
        fen_base_free(b);
    }
}

/* The value of an expression, with each finding worth what FINDINGS gives it. */
static double reckon(const fen_base *b, const fen_expr *e)
{
    static const struct {
        const char *id;
        double value;
    } worth[] = { { "water", 80 }, { "runoff", 200 }, { "day", 30 }, { "night", 18 }, { "swing", 7 },
                  { "depth", 120 }, { "leaves", 4 }, { "moved", 10 }, { "potted", 400 } };
    double stack[40];
    uint32_t n = 0;
    for (uint32_t i = 0; i < e->n_steps; i++) {
        const fen_expr_step s = e->steps[i];
        if (s.op == FEN_EXPR_NUMBER || s.op == FEN_EXPR_FINDING) {
            stack[n] = s.number;
            for (size_t k = 0; s.op == FEN_EXPR_FINDING && k < FEN_COUNT(worth); k++)
                if (strcmp(fen_base_finding(b, s.finding)->id, worth[k].id) == 0)
                    stack[n] = worth[k].value;
            n++;
            continue;
        }
        n--;
        stack[n - 1] = s.op == FEN_EXPR_ADD   ? stack[n - 1] + stack[n]
                       : s.op == FEN_EXPR_SUB ? stack[n - 1] - stack[n]
                       : s.op == FEN_EXPR_MUL ? stack[n - 1] * stack[n]
                                              : stack[n - 1] / stack[n];
    }
    assert_int_equal(n, 1);
    return stack[0];
}

static void sums_compare_by_their_dimension(void **state)
{
    (void)state;
    static const struct {
        const char *sentence;
        double value, lo, hi; /* of the expression with the worths above, and the bounds */
        fen_dim dim;
    } rows[] = {
        { "runoff - water > 30 ppm", 120, 30, INFINITY, FEN_DIM_DISSOLVED_SOLIDS },
        { "30 ppm < runoff - water", 120, 30, INFINITY, FEN_DIM_DISSOLVED_SOLIDS },
        { "runoff > water", 120, 0, INFINITY, FEN_DIM_DISSOLVED_SOLIDS },
        { "runoff > water + 30 ppm", 90, 0, INFINITY, FEN_DIM_DISSOLVED_SOLIDS },
        { "runoff / water > 2", 2.5, 2, INFINITY, FEN_DIM_COUNT },
        { "2 * water < 100 ppm", 160, -INFINITY, 100, FEN_DIM_DISSOLVED_SOLIDS },
        { "(runoff + water) / 2 > 100 ppm", 140, 100, INFINITY, FEN_DIM_DISSOLVED_SOLIDS },
        { "day - night > 18 F", 12, 10, INFINITY, FEN_DIM_TEMPERATURE_DIFFERENCE },
        { "day - night < swing", 5, -INFINITY, 0, FEN_DIM_TEMPERATURE_DIFFERENCE },
        { "day - swing > 68 F", 23, 20, INFINITY, FEN_DIM_TEMPERATURE },
        { "day - 9 F > 68 F", 25, 20, INFINITY, FEN_DIM_TEMPERATURE },      /* 9 F here is a difference of 5 C */
        { "day > night + 9 F", 7, 0, INFINITY, FEN_DIM_TEMPERATURE_DIFFERENCE },
        { "86 F - night > 9 F", 12, 5, INFINITY, FEN_DIM_TEMPERATURE_DIFFERENCE }, /* 86 F is a temperature of 30 C */
        { "2 * swing > 9 F + 9 F", 14, 10, INFINITY, FEN_DIM_TEMPERATURE_DIFFERENCE },
        { "day > 50 F + 18 F + swing", 3, 0, INFINITY, FEN_DIM_TEMPERATURE_DIFFERENCE },
        { "potted - moved > 1 year", 390, 365.25, INFINITY, FEN_DIM_TIME_SPAN },
        { "leaves - 1 = 3", 3, 3, 3, FEN_DIM_COUNT },
        { "depth / leaves > 1 in", 30, 25.4, INFINITY, FEN_DIM_LENGTH },
    };
    for (size_t i = 0; i < FEN_COUNT(rows); i++) {
        const fen_cond *c;
        fen_base *b = load_sentence(rows[i].sentence, &c);
        const fen_test *t = fen_base_test(b, c->test);
        assert_int_equal(t->op, FEN_TEST_EXPR);
        const fen_expr *e = fen_base_expr(b, t->expr);
        if (e->dim != rows[i].dim || fabs(reckon(b, e) - rows[i].value) > 1e-9)
            fail_msg("%s: dimension %d, value %.17g", rows[i].sentence, (int)e->dim, reckon(b, e));
        if (isfinite(rows[i].lo))
            assert_near(t->lo, rows[i].lo, 1e-9);
        if (isfinite(rows[i].hi))
            assert_near(t->hi, rows[i].hi, 1e-9);
        fen_base_free(b);
    }
}

/* A condition as text: "any(crown=soft crown=slimy)". */
static size_t show(const fen_base *b, fen_id cond, char *buf, size_t size)
{
    static const char *const ops[] = { "all", "any", "none" };
    const fen_cond *c = fen_base_cond(b, cond);
    size_t n = 0;
    if (c->op != FEN_COND_TEST) {
        n += (size_t)snprintf(buf + n, size - n, "%s(", ops[c->op]);
        for (uint32_t i = 0; i < c->parts.count; i++) {
            n += (size_t)snprintf(buf + n, size - n, "%s", i ? " " : "");
            n += show(b, c->parts.at[i], buf + n, size - n);
        }
        return n + (size_t)snprintf(buf + n, size - n, ")");
    }
    const fen_test *t = fen_base_test(b, c->test);
    if (t->op == FEN_TEST_EXPR)
        return (size_t)snprintf(buf, size, "expr");
    const fen_finding *f = fen_base_finding(b, t->finding);
    const char *what = t->op == FEN_TEST_ATOM ? f->options[t->option].id : t->op == FEN_TEST_UNSURE ? "?unsure" : t->op == FEN_TEST_UNKNOWN ? "?unknown" : "range";
    return (size_t)snprintf(buf, size, "%s=%s", f->id, what);
}

static void sentences_about_answers_become_trees_of_tests(void **state)
{
    (void)state;
    static const struct {
        const char *sentence, *tree;
    } rows[] = {
        { "crown is soft", "crown=soft" },
        { "crown is not soft", "none(crown=soft)" },
        { "crown is soft or slimy", "any(crown=soft crown=slimy)" },
        { "crown is not soft or slimy", "none(crown=soft crown=slimy)" },
        { "crown is unsure", "crown=?unsure" },
        { "crown is unknown", "crown=?unknown" },
        { "crown is not unknown", "none(crown=?unknown)" },
        { "crown is soft or unsure", "any(crown=?unsure crown=soft)" },
        { "water is unknown", "water=?unknown" },
        { "moved is unsure", "moved=?unsure" },
        { "black includes new", "black=new" },
        { "black includes old or new", "any(black=old black=new)" },
        { "black excludes new", "none(black=new)" },
        { "stalk is no", "stalk=no" },
        { "stress is recent", "stress=recent" },
        { "kind is fly", "kind=fly" },
        { "kind is trap", "any(kind=trap kind=fly)" },
        { "kind is not trap or glue", "none(kind=trap kind=glue kind=fly)" },
        { "crown is soft or stalk is yes", "any(crown=soft stalk=yes)" },
        { "crown is soft or slimy and stalk is yes", "all(any(crown=soft crown=slimy) stalk=yes)" },
        { "water from 50 ppm to runoff", "all(water=range expr)" },
    };
    for (size_t i = 0; i < FEN_COUNT(rows); i++) {
        const fen_cond *c;
        char got[256];
        fen_base *b = load_sentence(rows[i].sentence, &c);
        show(b, fen_base_rule(b, fen_base_find_rule(b, "r"))->cond, got, sizeof got);
        assert_string_equal(got, rows[i].tree);
        assert_string_equal(c->text, rows[i].sentence);
        fen_base_free(b);
    }
}

static void trees_may_be_written_in_any_mixture(void **state)
{
    (void)state;
    static const struct {
        const char *rule, *tree;
    } rows[] = {
        { "  r: {when: [crown is soft], then: strong for rot, why: x}\n", "crown=soft" },
        { "  r: {when: [crown is soft, stalk is no], then: strong for rot, why: x}\n", "all(crown=soft stalk=no)" },
        { "  r: {when: {any: [crown is soft, {none: [stalk is no, {all: [black includes old, crown is firm]}]}]}, then: strong for rot, why: x}\n",
          "any(crown=soft none(stalk=no all(black=old crown=firm)))" },
        { "  r: {when: {any: [crown is soft, crown is firm], none: stalk is no}, then: strong for rot, why: x}\n",
          "all(any(crown=soft crown=firm) none(stalk=no))" },
    };
    for (size_t i = 0; i < FEN_COUNT(rows); i++) {
        char got[256];
        fen_base *b = load_rules(rows[i].rule);
        show(b, fen_base_rule(b, fen_base_find_rule(b, "r"))->cond, got, sizeof got);
        assert_string_equal(got, rows[i].tree);
        fen_base_free(b);
    }
    fen_base *b = load_rules("  r: {then: excludes rot, kinds: glue, why: x}\n");
    const fen_rule *r = fen_base_rule(b, fen_base_find_rule(b, "r"));
    assert_int_equal(r->cond, FEN_NONE);
    assert_int_equal(r->kinds.count, 1);
    fen_base_free(b);
}

static void equal_comparisons_are_one_test(void **state)
{
    (void)state;
    fen_base *b = load_rules("  r: {when: [water > 100 ppm, runoff - water > 30 ppm, crown is unsure], then: strong for rot, why: x}\n"
                             "  s: {when: [water > 0.1 ppm * 1000, 30 ppm < runoff - water, crown is unsure], then: strong for rot, why: x}\n"
                             "  t: {when: [water >= 100 ppm], then: strong for rot, why: x}\n");
    const fen_list r = fen_base_cond(b, fen_base_rule(b, fen_base_find_rule(b, "r"))->cond)->parts;
    const fen_list s = fen_base_cond(b, fen_base_rule(b, fen_base_find_rule(b, "s"))->cond)->parts;
    for (uint32_t i = 0; i < 3; i++)
        assert_int_equal(fen_base_cond(b, r.at[i])->test, fen_base_cond(b, s.at[i])->test);
    assert_int_not_equal(fen_base_cond(b, r.at[0])->test, fen_base_cond(b, fen_base_rule(b, fen_base_find_rule(b, "t"))->cond)->test);
    fen_base_free(b);
}

/* ---- several packs ---- */

static const char finding_pack[] = "settings: {stop level: 80 %, effort: {unpot: 30}}\n"
                                   "findings:\n  crown: {name: c, ask: c?, effort: touch, answers: {firm: {}, soft: {}}}\n";
static const char rule_pack[] = "settings: {stop level: 95 %}\n"
                                "rules:\n  r: {when: crown is soft, then: strong for rot, why: x, over: s}\n";
static const char cause_pack[] = "causes:\n  rot: {name: rot, about: It rots., usual: 4 %, urgency: days}\n"
                                 "rules:\n  s: {when: crown is soft, then: fair for rot, why: x}\n";

static void packs_may_come_in_any_order(void **state)
{
    (void)state;
    const char *paths[3] = { write_pack('a', rule_pack, strlen(rule_pack)), write_pack('b', cause_pack, strlen(cause_pack)),
                             write_pack('c', finding_pack, strlen(finding_pack)) };
    static const int orders[][3] = { { 0, 1, 2 }, { 2, 1, 0 }, { 1, 0, 2 }, { 0, 2, 1 } };
    for (size_t i = 0; i < FEN_COUNT(orders); i++) {
        const char *in[3] = { paths[orders[i][0]], paths[orders[i][1]], paths[orders[i][2]] };
        char said[4096];
        fen_base *b;
        const fen_status st = load(in, 3, said, sizeof said, &b);
        if (st)
            fail_msg("%s", said);
        assert_int_equal(fen_base_rules(b), 2);
        assert_int_equal(fen_base_rule(b, fen_base_find_rule(b, "r"))->over.at[0], fen_base_find_rule(b, "s"));
        fen_base_free(b);
    }
}

static void the_settings_of_the_last_pack_win_one_by_one(void **state)
{
    (void)state;
    const char *paths[3] = { write_pack('a', finding_pack, strlen(finding_pack)), write_pack('b', cause_pack, strlen(cause_pack)),
                             write_pack('c', rule_pack, strlen(rule_pack)) };
    char said[4096];
    fen_base *b;
    assert_int_equal(load(paths, 3, said, sizeof said, &b), FEN_OK);
    assert_near(fen_base_settings(b)->stop_level, 0.95, 1e-15);
    assert_near(fen_base_settings(b)->effort[FEN_UNPOT], 30, 0);
    assert_near(fen_base_settings(b)->effort[FEN_TOUCH], 2, 0);
    fen_base_free(b);
}

static void a_folder_gives_its_packs_by_name(void **state)
{
    (void)state;
    write_pack('b', finding_pack, strlen(finding_pack));
    write_pack('c', rule_pack, strlen(rule_pack));
    write_pack('a', cause_pack, strlen(cause_pack));
    const char *path = folder;
    char said[4096];
    fen_base *b;
    assert_int_equal(load(&path, 1, said, sizeof said, &b), FEN_OK);
    assert_int_equal(fen_base_find_rule(b, "s"), 0);
    assert_int_equal(fen_base_find_rule(b, "r"), 1);
    fen_base_free(b);
    for (char c = 'a'; c <= 'c'; c++) {
        char one[256];
        snprintf(one, sizeof one, "%s/%c.yaml", folder, c);
        assert_int_equal(unlink(one), 0);
    }
    assert_int_equal(load(&path, 1, said, sizeof said, &b), FEN_EINPUT);
    assert_non_null(strstr(said, "has no packs"));
}

static void no_packs_at_all_are_an_empty_base(void **state)
{
    (void)state;
    char said[4096];
    fen_base *b;
    assert_int_equal(load(NULL, 0, said, sizeof said, &b), FEN_OK);
    assert_int_equal(fen_base_kinds(b), 1);
    assert_int_equal(fen_base_causes(b), 1);
    assert_int_equal(fen_base_rules(b), 0);
    fen_base_free(b);
}

static void a_file_that_is_not_there_does_not_hide_the_others(void **state)
{
    (void)state;
    static const char bad[] = "ruels: {}\n";
    const char *paths[2] = { "/no/such/pack.yaml", write_pack('a', bad, strlen(bad)) };
    char said[4096];
    fen_base *b;
    assert_int_equal(load(paths, 2, said, sizeof said, &b), FEN_EINPUT);
    assert_null(b);
    assert_non_null(strstr(said, "/no/such/pack.yaml: error: "));
    assert_non_null(strstr(said, "did you mean 'rules'"));
}

static void a_pack_named_twice_is_one_problem(void **state)
{
    (void)state;
    const char *path = write_pack('a', cause_pack, strlen(cause_pack)), *paths[2] = { path, path };
    char said[4096], want[2048];
    fen_base *b;
    assert_int_equal(load(paths, 2, said, sizeof said, &b), FEN_EINPUT);
    snprintf(want, sizeof want, "%s: error: the pack is named twice; name it once [duplicate]\n", path);
    assert_non_null(strstr(said, want));
    assert_null(strstr(said, "is declared already"));
}

static void a_pack_met_again_on_another_way_is_the_same_pack(void **state)
{
    (void)state;
    const char *paths[4] = { write_pack('a', rule_pack, strlen(rule_pack)), write_pack('b', cause_pack, strlen(cause_pack)),
                             write_pack('c', finding_pack, strlen(finding_pack)) };
    char other[300], said[4096];
    snprintf(other, sizeof other, "%s/./b.yaml", folder);
    paths[3] = other;
    fen_base *b;
    assert_int_equal(load(paths, 4, said, sizeof said, &b), FEN_OK);
    assert_string_equal(said, "");
    fen_base_free(b);
}

/* ---- the machine fails, and hostile input ---- */

static void a_load_survives_every_failed_allocation(void **state)
{
    (void)state;
    const char *path = README;
    for (size_t nth = 0;; nth++) {
        const size_t before = fen_alloc_live();
        fen_problems *problems;
        fen_base *base = NULL;
        assert_int_equal(fen_problems_new(&problems), FEN_OK);
        fen_alloc_fail_at(nth);
        const fen_status st = fen_base_load(&path, 1, problems, &base);
        fen_alloc_fail_at(FEN_ALLOC_NEVER_FAIL);
        if (st)
            assert_null(base);
        fen_base_free(base);
        fen_problems_free(problems);
        assert_int_equal(fen_alloc_live(), before);
        if (st == FEN_OK)
            return; /* the load makes no nth allocation */
        assert_int_equal(st, FEN_ENOMEM);
    }
}

/* A pack with every sort of problem in it, so that telling them can fail too. */
static void a_refusal_survives_every_failed_allocation(void **state)
{
    (void)state;
    char text[8192];
    const int n = snprintf(text, sizeof text, "%s%s", stock,
                           "  r: {when: [crown is sft, water > 3 C, runof > 1 ppm], then: [strong for rott, x], why: }\n"
                           "  r2: {wen: 3}\nfoo: 3\n");
    const char *path = write_pack('a', text, (size_t)n);
    for (size_t nth = 0;; nth++) {
        const size_t before = fen_alloc_live();
        fen_problems *problems;
        fen_base *base = NULL;
        assert_int_equal(fen_problems_new(&problems), FEN_OK);
        fen_alloc_fail_at(nth);
        const fen_status st = fen_base_load(&path, 1, problems, &base);
        fen_alloc_fail_at(FEN_ALLOC_NEVER_FAIL);
        assert_null(base);
        const size_t count = fen_problems_count(problems);
        fen_problems_free(problems);
        assert_int_equal(fen_alloc_live(), before);
        if (st == FEN_EINPUT) {
            assert_true(count >= 7);
            return;
        }
        assert_int_equal(st, FEN_ENOMEM);
    }
}

static void a_pack_with_any_bytes_changed_is_read_or_refused(void **state)
{
    (void)state;
    static const char bytes[] = "\n\t :-,[]{}#&*!|>'\"%@`ax09\xC3\xFF";
    char *text;
    size_t len;
    uint32_t seed = 7;
    size_t good = 0;
    assert_int_equal(fen_file_read(README, 1 << 20, &text, &len), FEN_OK);
    char *changed = fen_alloc(len);
    assert_non_null(changed);
    for (unsigned round = 0; round < 4000; round++) {
        char said[4096];
        fen_base *b;
        memcpy(changed, text, len);
        for (unsigned k = 0; k < 1 + round % 3; k++) {
            seed = seed * 1664525u + 1013904223u;
            const size_t at = (seed >> 8) % len;
            seed = seed * 1664525u + 1013904223u;
            changed[at] = bytes[(seed >> 16) % (sizeof bytes - 1)];
        }
        const char *path = write_pack('a', changed, len);
        const fen_status st = load(&path, 1, said, sizeof said, &b);
        assert_true(st == FEN_OK ? b != NULL : st == FEN_EINPUT && !b && strstr(said, ": error: "));
        good += st == FEN_OK;
        fen_base_free(b);
    }
    assert_true(good > 100); /* many bytes are in texts, where most others do as well */
    fen_free(changed);
    fen_free(text);
}

/* ---- limits too large for a file kept in the tree ---- */

typedef void (*line_writer)(fen_str *s, unsigned i);

/* Load stock with N things written by WRITE behind it. */
static fen_status load_many(line_writer write, unsigned n, char *said, size_t said_size)
{
    fen_str s;
    fen_base *b;
    fen_str_init(&s, 64u << 20);
    fen_str_puts(&s, stock);
    for (unsigned i = 0; i < n; i++)
        write(&s, i);
    assert_int_equal(fen_str_status(&s), FEN_OK);
    const char *path = write_pack('a', s.at, s.len);
    fen_str_free(&s);
    const fen_status st = load(&path, 1, said, said_size, &b);
    fen_base_free(b);
    return st;
}

static void write_over_the_next(fen_str *s, unsigned i)
{
    fen_str_printf(s, "  r%u: {when: crown is soft, then: slight for rot, why: x, over: %s%u}\n", i, i < 1099 ? "r" : "s", i + 1);
    if (i == 1099)
        fen_str_puts(s, "  s1100: {when: crown is firm, then: slight against rot, why: x}\n");
}

static void exceptions_on_exceptions_have_a_limit(void **state)
{
    (void)state;
    char said[4096];
    assert_int_equal(load_many(write_over_the_next, 1100, said, sizeof said), FEN_EINPUT);
    assert_non_null(strstr(said, "rules wait for each other more than 1024 deep"));
    assert_non_null(strstr(said, "[too-large]"));
}

static void write_heavy(fen_str *s, unsigned i)
{
    fen_str_printf(s, "  r%u: {when: crown is soft, then: 100 dBan for rot, why: x}\n", i);
}

static void weights_of_one_cause_can_be_added_up(void **state)
{
    (void)state;
    char said[16384];
    if (load_many(write_heavy, 46000, said, sizeof said)) /* 4.6e18 units: half of INT64_MAX is 4.61e18 */
        fail_msg("%s", said);
    assert_int_equal(load_many(write_heavy, 46200, said, sizeof said), FEN_EINPUT);
    assert_non_null(strstr(said, "all weights for 'rot' together are too large"));
}

static void write_unknown(fen_str *s, unsigned i)
{
    fen_str_printf(s, "  r%u: {when: crowns%u is soft, then: slight for rott%u, why: x, over: rr%u}\n", i, i, i, i);
}

/* Every name unknown, with as many to compare each with: time must not be the
 * square of them. The limit is far above what it takes, and far below that. */
static void a_pack_full_of_mistakes_is_refused_in_time(void **state)
{
    (void)state;
    char said[4096];
    const clock_t start = clock();
    assert_int_equal(load_many(write_unknown, 50000, said, sizeof said), FEN_EINPUT);
    assert_non_null(strstr(said, "did you mean 'crown'"));
    assert_true((double)(clock() - start) / CLOCKS_PER_SEC < 30);
}

static void write_asking_circle(fen_str *s, unsigned i)
{
    if (i == 0)
        fen_str_puts(s, "findings:\n");
    fen_str_printf(s, "  f%u: {name: x, ask: x?, effort: glance, answers: {a: , b: }, ask when: f%u is a}\n", i, (i + 1) % 20000);
}

static void a_long_circle_of_questions_is_refused_in_time(void **state)
{
    (void)state;
    fen_str s;
    char said[4096];
    fen_base *b;
    fen_str_init(&s, 16u << 20);
    for (unsigned i = 0; i < 20000; i++)
        write_asking_circle(&s, i);
    const char *path = write_pack('a', s.at, s.len);
    fen_str_free(&s);
    const clock_t start = clock();
    assert_int_equal(load(&path, 1, said, sizeof said, &b), FEN_EINPUT);
    assert_non_null(strstr(said, "can never be asked"));
    assert_true((double)(clock() - start) / CLOCKS_PER_SEC < 30);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_examples_of_the_author_guide_load),
        cmocka_unit_test(a_finding_keeps_what_was_written_about_it),
        cmocka_unit_test(a_rule_keeps_its_weights_exactly),
        cmocka_unit_test(a_remedy_keeps_the_order_of_its_steps),
        cmocka_unit_test(the_shipped_packs_load_without_a_word),
        cmocka_unit_test(shares_left_out_take_what_is_left),
        cmocka_unit_test(a_comparison_becomes_a_range_on_the_side_one_can_read),
        cmocka_unit_test(sums_compare_by_their_dimension),
        cmocka_unit_test(sentences_about_answers_become_trees_of_tests),
        cmocka_unit_test(trees_may_be_written_in_any_mixture),
        cmocka_unit_test(equal_comparisons_are_one_test),
        cmocka_unit_test(packs_may_come_in_any_order),
        cmocka_unit_test(the_settings_of_the_last_pack_win_one_by_one),
        cmocka_unit_test(a_folder_gives_its_packs_by_name),
        cmocka_unit_test(no_packs_at_all_are_an_empty_base),
        cmocka_unit_test(a_file_that_is_not_there_does_not_hide_the_others),
        cmocka_unit_test(a_pack_named_twice_is_one_problem),
        cmocka_unit_test(a_pack_met_again_on_another_way_is_the_same_pack),
        cmocka_unit_test(a_load_survives_every_failed_allocation),
        cmocka_unit_test(a_refusal_survives_every_failed_allocation),
        cmocka_unit_test(a_pack_with_any_bytes_changed_is_read_or_refused),
        cmocka_unit_test(exceptions_on_exceptions_have_a_limit),
        cmocka_unit_test(weights_of_one_cause_can_be_added_up),
        cmocka_unit_test(a_pack_full_of_mistakes_is_refused_in_time),
        cmocka_unit_test(a_long_circle_of_questions_is_refused_in_time),
    };
    return cmocka_run_group_tests(tests, make_folder, remove_folder);
}
