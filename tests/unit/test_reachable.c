/* Nothing in the shipped packs is there for show: every cause can be walked to by
 * answering what may be asked, every question can come up, every rule can fire,
 * and no two rules count one observation twice for the same cause unless one says that it
 * goes over the other. All of it is tried out on sessions, not read off the files.
 */
#include "unit.h"

#include "fenmend/session.h"

enum { TODAY = 20000, VALUES_MAX = 64, RELEVANT_MAX = 48, STEPS_MAX = 24, TRIES = 40000 };

/* What may be answered to a finding: an answer for every option, or for every side of
 * every threshold that the rules compare with. */
typedef struct values {
    fen_answer at[VALUES_MAX];
    uint32_t n;
} values;

typedef struct fixture {
    fen_base *base;
    fen_session *s;
    values *of;      /* by finding */
    bool *looked_at; /* by finding: met while gathering */
} fixture;

static void add_value(const fen_finding *f, values *v, double x)
{
    if (f->type == FEN_DATE) {
        if (!(x >= 0) || x > 15000)
            return;
        x = TODAY - floor(x); /* an age becomes a day */
    } else if (!(x >= f->from && x <= f->to))
        return;
    if (f->dim == FEN_DIM_COUNT && f->type == FEN_QUANTITY)
        x = floor(x);
    for (uint32_t i = 0; i < v->n; i++)
        if (v->at[i].value == x)
            return;
    assert_true(v->n < VALUES_MAX);
    v->at[v->n++] = (fen_answer){ .state = FEN_KNOWN, .value = x };
}

static void add_threshold(const fen_finding *f, values *v, double x)
{
    if (!isfinite(x))
        return;
    const double step = f->type == FEN_DATE || f->dim == FEN_DIM_COUNT ? 1 : fabs(x) * 1e-3 + 1e-3;
    add_value(f, v, x - step);
    add_value(f, v, x);
    add_value(f, v, x + step);
}

static void gather_thresholds(fixture *w, fen_id cond)
{
    if (cond == FEN_NONE)
        return;
    const fen_cond *c = fen_base_cond(w->base, cond);
    for (uint32_t i = 0; i < c->parts.count; i++)
        gather_thresholds(w, c->parts.at[i]);
    if (c->op != FEN_COND_TEST)
        return;
    const fen_test *t = fen_base_test(w->base, c->test);
    if (t->op != FEN_TEST_RANGE)
        return;
    const fen_finding *f = fen_base_finding(w->base, t->finding);
    add_threshold(f, &w->of[t->finding], t->lo);
    add_threshold(f, &w->of[t->finding], t->hi);
}

static void gather_options(fixture *w, fen_id finding)
{
    const fen_finding *f = fen_base_finding(w->base, finding);
    values *v = &w->of[finding];
    for (uint32_t i = 0; i < f->n_options; i++)
        if (finding != FEN_KIND_FINDING)
            v->at[v->n++] = (fen_answer){ .state = FEN_KNOWN, .picks = UINT64_C(1) << i };
    if (f->type != FEN_QUANTITY && f->type != FEN_DATE)
        return;
    const double some[] = { f->low, f->middle, f->high, f->from, f->to };
    for (size_t i = 0; i < COUNT(some); i++)
        if (isfinite(some[i]))
            add_value(f, v, some[i]);
}

static int set_up(void **state)
{
    static fixture w;
    const char *rules = FEN_RULES_DIR;
    fen_problems *problems = NULL;
    assert_int_equal(fen_problems_new(&problems), FEN_OK);
    if (fen_base_load(&rules, 1, problems, &w.base) != FEN_OK)
        fail_msg("%s", fen_problems_at(problems, 0)->text);
    fen_problems_free(problems);
    assert_int_equal(fen_session_new(w.base, TODAY, &w.s), FEN_OK);
    const uint32_t n = fen_base_findings(w.base);
    w.of = calloc(n, sizeof *w.of);
    w.looked_at = calloc(n, sizeof *w.looked_at);
    assert_true(w.of && w.looked_at);
    for (fen_id f = 0; f < n; f++)
        gather_options(&w, f);
    for (fen_id r = 0; r < fen_base_rules(w.base); r++)
        gather_thresholds(&w, fen_base_rule(w.base, r)->cond);
    for (fen_id f = 0; f < n; f++)
        gather_thresholds(&w, fen_base_finding(w.base, f)->ask_when);
    *state = &w;
    return 0;
}

static int tear_down(void **state)
{
    fixture *w = *state;
    free(w->looked_at);
    free(w->of);
    fen_session_free(w->s);
    fen_base_free(w->base);
    return 0;
}

static void begin(fixture *w, fen_id kind)
{
    fen_session_clear(w->s);
    const fen_answer a = { .state = FEN_KNOWN, .picks = UINT64_C(1) << kind };
    assert_int_equal(fen_session_answer(w->s, FEN_KIND_FINDING, a), FEN_OK);
}

static void give(fixture *w, fen_id finding, fen_answer a)
{
    assert_int_equal(fen_session_answer(w->s, finding, a), FEN_OK);
}

/* -- every cause can be walked to ---------------------------------------------------------------------------------- */

/* Answer the one question, in the one way, that brings CAUSE furthest. */
static bool step_towards(fixture *w, fen_id cause)
{
    fen_id best = FEN_NONE;
    uint32_t how = 0;
    double top = fen_session_verdict(w->s)->p[cause];
    for (fen_id f = 1; f < fen_base_findings(w->base); f++) {
        if (!fen_session_askable(w->s, f))
            continue;
        for (uint32_t i = 0; i < w->of[f].n; i++) {
            give(w, f, w->of[f].at[i]);
            const double p = fen_session_verdict(w->s)->p[cause];
            if (p > top * (1 + 1e-9)) {
                top = p;
                best = f;
                how = i;
            }
        }
        give(w, f, (fen_answer){ .state = FEN_OPEN });
    }
    if (best == FEN_NONE)
        return false;
    give(w, best, w->of[best].at[how]);
    return true;
}

static bool walk_to(fixture *w, fen_id kind, fen_id cause)
{
    begin(w, kind);
    for (uint32_t i = 0; i <= STEPS_MAX; i++) {
        if (fen_session_verdict(w->s)->ranking.at[0] == cause)
            return true;
        if (!step_towards(w, cause))
            return false;
    }
    return false;
}

static void every_cause_can_lead(void **state)
{
    fixture *w = *state;
    uint32_t lost = 0;
    for (fen_id c = 0; c + 1 < fen_base_causes(w->base); c++) {
        const fen_cause *cause = fen_base_cause(w->base, c);
        bool found = false;
        for (fen_id k = 0; k < fen_base_kinds(w->base) && !found; k++)
            if (!fen_base_kind(w->base, k)->group && fen_base_kind_within(w->base, k, cause->kinds))
                found = walk_to(w, k, c);
        if (!found)
            print_error("'%s' never leads\n", cause->id);
        lost += !found;
    }
    assert_int_equal(lost, 0);
}

/* -- chance, for what needs several answers at once ---------------------------------------------------------------- */

/* Findings on which COND depends, also by way of derived ones. */
static void relevant(fixture *w, fen_id cond, fen_id *list, uint32_t *n);

static void relevant_finding(fixture *w, fen_id finding, fen_id *list, uint32_t *n)
{
    if (finding == FEN_KIND_FINDING || w->looked_at[finding])
        return;
    w->looked_at[finding] = true;
    const fen_finding *f = fen_base_finding(w->base, finding);
    if (!f->derived) {
        assert_true(*n < RELEVANT_MAX);
        list[(*n)++] = finding;
        return;
    }
    for (fen_id r = 0; r < fen_base_rules(w->base); r++) {
        const fen_rule *rule = fen_base_rule(w->base, r);
        for (uint32_t i = 0; i < rule->n_effects; i++)
            if (rule->effects[i].op == FEN_DERIVE && rule->effects[i].target >= f->first_atom && rule->effects[i].target < f->first_atom + f->n_options)
                relevant(w, rule->cond, list, n);
    }
}

static void relevant(fixture *w, fen_id cond, fen_id *list, uint32_t *n)
{
    if (cond == FEN_NONE)
        return;
    const fen_cond *c = fen_base_cond(w->base, cond);
    for (uint32_t i = 0; i < c->parts.count; i++)
        relevant(w, c->parts.at[i], list, n);
    if (c->op != FEN_COND_TEST)
        return;
    const fen_test *t = fen_base_test(w->base, c->test);
    if (t->op == FEN_TEST_EXPR) {
        const fen_expr *e = fen_base_expr(w->base, t->expr);
        for (uint32_t i = 0; i < e->findings.count; i++)
            relevant_finding(w, e->findings.at[i], list, n);
    } else
        relevant_finding(w, t->finding, list, n);
}

static uint32_t gather(fixture *w, fen_id cond, fen_id list[RELEVANT_MAX])
{
    uint32_t n = 0;
    memset(w->looked_at, 0, fen_base_findings(w->base) * sizeof *w->looked_at);
    relevant(w, cond, list, &n);
    return n;
}

static void answer_by_chance(fixture *w, const fen_id *list, uint32_t n, uint64_t *random)
{
    fen_id kind;
    do
        kind = (fen_id)(unit_random(random) >> 33) % fen_base_kinds(w->base);
    while (fen_base_kind(w->base, kind)->group);
    begin(w, kind);
    for (uint32_t i = 0; i < n; i++) {
        const values *v = &w->of[list[i]];
        const uint64_t r = unit_random(random) >> 33;
        if (r % 4 == 0)
            continue;
        give(w, list[i], r % 31 == 1 ? (fen_answer){ .state = FEN_UNSURE } : v->at[r / 31 % v->n]);
    }
}

static void every_rule_can_fire(void **state)
{
    fixture *w = *state;
    fen_id list[RELEVANT_MAX];
    uint32_t dead = 0;
    uint64_t random = 88172645463325252u;
    for (fen_id r = 0; r < fen_base_rules(w->base); r++) {
        const fen_rule *rule = fen_base_rule(w->base, r);
        const uint32_t n = gather(w, rule->cond, list);
        bool fired = false;
        for (uint32_t i = 0; i < TRIES && !fired; i++) {
            answer_by_chance(w, list, n, &random);
            fired = fen_session_rule(w->s, r) == FEN_FIRED;
        }
        if (!fired)
            print_error("'%s' never fires\n", rule->id);
        dead += !fired;
    }
    assert_int_equal(dead, 0);
}

static void every_finding_can_be_asked(void **state)
{
    fixture *w = *state;
    fen_id list[RELEVANT_MAX];
    uint32_t mute = 0;
    uint64_t random = 88172645463325252u;
    for (fen_id f = 1; f < fen_base_findings(w->base); f++) {
        const fen_finding *finding = fen_base_finding(w->base, f);
        if (finding->derived)
            continue;
        const uint32_t n = gather(w, finding->ask_when, list);
        bool asked = false;
        for (uint32_t i = 0; i < TRIES && !asked; i++) {
            answer_by_chance(w, list, n, &random);
            asked = fen_session_askable(w->s, f);
        }
        if (!asked)
            print_error("'%s' can never be asked\n", finding->id);
        mute += !asked;
    }
    assert_int_equal(mute, 0);
}

/* -- nothing is counted twice -------------------------------------------------------------------------------------- */

/* Does COND look at option OPTION of FINDING, or at its value? */
static bool looks_at(const fixture *w, fen_id cond, fen_id finding, uint32_t option)
{
    if (cond == FEN_NONE)
        return false;
    const fen_cond *c = fen_base_cond(w->base, cond);
    for (uint32_t i = 0; i < c->parts.count; i++)
        if (looks_at(w, c->parts.at[i], finding, option))
            return true;
    if (c->op != FEN_COND_TEST)
        return false;
    const fen_test *t = fen_base_test(w->base, c->test);
    return t->finding == finding && (t->op != FEN_TEST_ATOM || t->option == option);
}

/* One answer was given: the rules that fire on account of it. */
static uint32_t told_twice(const fixture *w, fen_id finding, const fen_answer *a, const fen_id *fired, uint32_t n)
{
    uint32_t twice = 0;
    uint32_t option = 0;
    while (a->picks && !(a->picks >> option & 1))
        option++;
    for (uint32_t i = 0; i < n; i++)
        for (uint32_t k = i + 1; k < n; k++) {
            const fen_rule *one = fen_base_rule(w->base, fired[i]), *two = fen_base_rule(w->base, fired[k]);
            if (!looks_at(w, one->cond, finding, option) || !looks_at(w, two->cond, finding, option))
                continue;
            for (fen_id c = 0; c < fen_base_causes(w->base); c++) {
                const fen_weight a1 = fen_base_rule_weight(w->base, fired[i], c), a2 = fen_base_rule_weight(w->base, fired[k], c);
                if (a1 == 0 || a2 == 0 || (a1 > 0) != (a2 > 0))
                    continue; /* of opposite signs: one corrects the other for its kind */
                print_error("'%s' and '%s' both count '%s' for '%s'\n", one->id, two->id, fen_base_finding(w->base, finding)->id,
                            fen_base_cause(w->base, c)->id);
                twice++;
            }
        }
    return twice;
}

static void no_answer_counts_twice_for_a_cause(void **state)
{
    fixture *w = *state;
    uint32_t twice = 0;
    for (fen_id k = 0; k < fen_base_kinds(w->base); k++) {
        if (fen_base_kind(w->base, k)->group)
            continue;
        for (fen_id f = 1; f < fen_base_findings(w->base); f++)
            for (uint32_t i = 0; i < w->of[f].n; i++) {
                fen_id fired[512];
                uint32_t n = 0;
                begin(w, k);
                if (fen_base_finding(w->base, f)->derived || !fen_session_applies(w->s, f))
                    break;
                give(w, f, w->of[f].at[i]);
                for (fen_id r = 0; r < fen_base_rules(w->base); r++)
                    if (fen_session_rule(w->s, r) == FEN_FIRED && n < COUNT(fired))
                        fired[n++] = r;
                twice += told_twice(w, f, &w->of[f].at[i], fired, n);
            }
    }
    assert_int_equal(twice, 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_cause_can_lead),
        cmocka_unit_test(every_rule_can_fire),
        cmocka_unit_test(every_finding_can_be_asked),
        cmocka_unit_test(no_answer_counts_twice_for_a_cause),
    };
    return cmocka_run_group_tests(tests, set_up, tear_down);
}
