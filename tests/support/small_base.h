/* small_base.h -- bases made by program, a few lines each, for tests of the
 * engine that should not depend on the pack reader.
 *
 * Every call asserts; the draft is freed by finishing. Names are kept as given
 * (string literals).
 */
#ifndef TESTS_SMALL_BASE_H
#define TESTS_SMALL_BASE_H

#include <math.h>
#include <string.h>

#include "model/draft.h"
#include "near_double.h"

#define NO_PLACE ((fen_place){ 0, 0, 0, 1 })

static inline fen_id sb_finding(fen_draft *d, fen_finding f)
{
    fen_id id;
    assert_int_equal(fen_draft_finding(d, f, &id), FEN_OK);
    return id;
}

static inline fen_finding sb_blank(const char *name, fen_type type)
{
    return (fen_finding){ .id = name, .name = name, .ask = name, .type = type, .default_option = FEN_NONE, .ask_when = FEN_NONE,
                          .from = -INFINITY, .to = INFINITY, .low = NAN, .middle = NAN, .high = NAN };
}

/* A yes-no question, yes in SHARE of the plants. */
static inline fen_id sb_yes_no(fen_draft *d, const char *name, double share)
{
    const fen_option o[2] = { { .id = "yes", .say = "yes", .usual = share }, { .id = "no", .say = "no", .usual = 1 - share } };
    fen_finding f = sb_blank(name, FEN_YES_NO);
    f.options = o;
    f.n_options = 2;
    return sb_finding(d, f);
}

/* A yes-no sign. */
static inline fen_id sb_sign(fen_draft *d, const char *name, double share)
{
    const fen_option o[2] = { { .id = "yes", .say = "yes", .usual = share, .sign = true }, { .id = "no", .say = "no", .usual = 1 - share } };
    fen_finding f = sb_blank(name, FEN_YES_NO);
    f.options = o;
    f.n_options = 2;
    return sb_finding(d, f);
}

/* A derived choice of two values, "a" and "b". */
static inline fen_id sb_derived(fen_draft *d, const char *name, fen_id default_option)
{
    const fen_option o[2] = { { .id = "a", .say = "a" }, { .id = "b", .say = "b" } };
    fen_finding f = sb_blank(name, FEN_CHOICE);
    f.options = o;
    f.n_options = 2;
    f.derived = true;
    f.default_option = default_option;
    return sb_finding(d, f);
}

static inline fen_id sb_quantity(fen_draft *d, const char *name, double from, double to)
{
    fen_finding f = sb_blank(name, FEN_QUANTITY);
    f.dim = FEN_DIM_DISSOLVED_SOLIDS;
    f.from = from;
    f.to = to;
    return sb_finding(d, f);
}

static inline fen_id sb_cause(fen_draft *d, const char *name, double usual)
{
    const fen_cause c = { .id = name, .name = name, .about = name, .usual = usual, .deciding = FEN_NONE };
    assert_true(FEN_VEC_PUSH(&d->causes, c));
    return d->causes.count - 1;
}

static inline fen_id sb_test(fen_draft *d, fen_id test)
{
    fen_id c;
    assert_int_equal(fen_draft_cond(d, FEN_COND_TEST, NULL, 0, test, "", NO_PLACE, &c), FEN_OK);
    return c;
}

/* Condition "option O of FINDING holds". */
static inline fen_id sb_is(fen_draft *d, fen_id finding, uint32_t o)
{
    return sb_test(d, d->findings.at[finding].first_atom + o);
}

static inline fen_id sb_tree(fen_draft *d, fen_cond_op op, uint32_t n, const fen_id *parts)
{
    fen_id c;
    assert_int_equal(fen_draft_cond(d, op, parts, n, FEN_NONE, NULL, NO_PLACE, &c), FEN_OK);
    return c;
}
#define SB_ALL(d, ...) sb_tree((d), FEN_COND_ALL, sizeof((fen_id[]){ __VA_ARGS__ }) / sizeof(fen_id), (fen_id[]){ __VA_ARGS__ })
#define SB_ANY(d, ...) sb_tree((d), FEN_COND_ANY, sizeof((fen_id[]){ __VA_ARGS__ }) / sizeof(fen_id), (fen_id[]){ __VA_ARGS__ })
#define SB_NOT(d, ...) sb_tree((d), FEN_COND_NONE, sizeof((fen_id[]){ __VA_ARGS__ }) / sizeof(fen_id), (fen_id[]){ __VA_ARGS__ })

/* "lo <= finding < hi" */
static inline fen_id sb_range(fen_draft *d, fen_id finding, double lo, double hi)
{
    fen_id t;
    assert_int_equal(fen_draft_test(d, (fen_test){ .op = FEN_TEST_RANGE, .finding = finding, .option = FEN_NONE, .expr = FEN_NONE,
                                                   .lo = lo, .hi = hi, .hi_open = true }, &t), FEN_OK);
    return sb_test(d, t);
}

static inline fen_id sb_state(fen_draft *d, fen_id finding, fen_test_op op)
{
    fen_id t;
    assert_int_equal(fen_draft_test(d, (fen_test){ .op = op, .finding = finding, .option = FEN_NONE, .expr = FEN_NONE }, &t), FEN_OK);
    return sb_test(d, t);
}

static inline fen_id sb_rule(fen_draft *d, const char *name, fen_id cond, uint32_t n, const fen_effect *effects)
{
    fen_rule r = { .id = name, .why = name, .cond = cond, .n_effects = n };
    r.effects = fen_arena_copy(d->arena, effects, n, sizeof *effects);
    assert_non_null(r.effects);
    assert_true(FEN_VEC_PUSH(&d->rules, r));
    return d->rules.count - 1;
}
#define SB_RULE(d, name, cond, ...)                                                                 \
    sb_rule((d), (name), (cond), sizeof((fen_effect[]){ __VA_ARGS__ }) / sizeof(fen_effect), (fen_effect[]){ __VA_ARGS__ })
#define SB_FOR(cause, dban) { FEN_WEIGH, (cause), (fen_weight)((dban) * (double)FEN_DBAN) }
#define SB_SET(d, finding, o) { FEN_DERIVE, (d)->findings.at[finding].first_atom + (o), 0 }
#define SB_EXCLUDE(cause) { FEN_EXCLUDE, (cause), 0 }
#define SB_RAISE(hazard) { FEN_RAISE, (hazard), 0 }

static inline void sb_over(fen_draft *d, fen_id rule, fen_id beaten)
{
    fen_id *over = fen_arena_take(d->arena, 1, sizeof *over);
    assert_non_null(over);
    *over = beaten;
    d->rules.at[rule].over = (fen_list){ over, 1 };
}

static inline fen_draft *sb_new(void)
{
    fen_draft *d = fen_draft_new();
    assert_non_null(d);
    assert_int_equal(fen_draft_seal_kinds(d), FEN_OK);
    return d;
}

static inline fen_base *sb_finish(fen_draft *d)
{
    fen_base *base = NULL;
    fen_cycle cycle;
    assert_int_equal(fen_draft_finish(d, &base, &cycle), FEN_OK);
    return base;
}

static const fen_answer YES = { FEN_KNOWN, 1, 0 }, NO = { FEN_KNOWN, 2, 0 }, OPEN = { FEN_OPEN, 0, 0 }, UNSURE = { FEN_UNSURE, 0, 0 };

#endif
