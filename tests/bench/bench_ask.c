/* bench_ask.c -- how long the next question takes: with the shipped packs, and
 * with generated bases that grow to 20,000 rules on 2,000 findings and 500
 * causes. The person at the prompt waits for this after every answer.
 *
 * The generated rules look at one to three findings each and weigh for one to
 * three causes; one in eight derives a finding that others read.
 */
#include <math.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>

#include "bench.h"
#include "fenmend/session.h"
#include "model/draft.h"
#include "support/random_base.h"

typedef struct size {
    uint32_t rules, findings, causes;
} size;

static void die(const char *what)
{
    printf("%s\n", what);
    fflush(stdout);
    _exit(1);
}

static const char *named(fen_draft *d, const char *what, uint32_t i)
{
    char text[32];
    const int len = snprintf(text, sizeof text, "%s-%u", what, i);
    const char *s = fen_arena_text(d->arena, text, (size_t)len);
    if (!s)
        die("no memory");
    return s;
}

static void add_finding(fen_draft *d, uint32_t i, bool derived, rb_rng *r)
{
    const fen_option options[4] = {{.id = "a", .say = "a", .usual = 0.4, .sign = i % 5 == 0}, {.id = "b", .say = "b", .usual = 0.3},
                                   {.id = "c", .say = "c", .usual = 0.2}, {.id = "d", .say = "d", .usual = 0.1}};
    fen_finding f = {.id = named(d, "finding", i), .name = "it", .ask = derived ? NULL : "what?", .derived = derived, .effort = (fen_effort)rb_below(r, 4),
                     .default_option = FEN_NONE, .ask_when = FEN_NONE, .options = options, .n_options = 4};
    fen_id id;
    if (!derived && i % 6 == 1) {
        f.type = FEN_QUANTITY;
        f.dim = FEN_DIM_COUNT;
        f.n_options = 0;
        f.from = 0;
        f.to = 1000;
        f.low = 10;
        f.middle = 100;
        f.high = 500;
    }
    if (fen_draft_finding(d, f, &id) != FEN_OK)
        die("no memory");
}

static fen_id random_test(fen_draft *d, fen_id finding, rb_rng *r)
{
    const fen_finding *f = &d->findings.at[finding];
    fen_id test = f->first_atom + rb_below(r, 4), cond;
    if (f->type == FEN_QUANTITY) {
        const fen_test t = {.op = FEN_TEST_RANGE, .finding = finding, .expr = FEN_NONE, .lo = rb_below(r, 12) * 50.0, .hi = INFINITY};
        if (fen_draft_test(d, t, &test) != FEN_OK)
            die("no memory");
    }
    if (fen_draft_cond(d, FEN_COND_TEST, NULL, 0, test, "so", (fen_place){0}, &cond) != FEN_OK)
        die("no memory");
    return cond;
}

static void add_rule(fen_draft *d, const size *z, uint32_t n_derived, uint32_t i, rb_rng *r)
{
    fen_id part[3];
    fen_effect *e = fen_arena_zeroed(d->arena, 3, sizeof *e);
    fen_rule rule = {.id = named(d, "rule", i), .why = "by dice", .effects = e, .n_effects = 1 + rb_below(r, 3)};
    const uint32_t n = 1 + rb_below(r, 3);
    const bool derives = i % 8 == 0;
    if (!e)
        die("no memory");
    for (uint32_t k = 0; k < n; k++) /* who derives reads only what is asked: no long chains by accident */
        part[k] = random_test(d, 1 + rb_below(r, derives ? z->findings - n_derived : z->findings), r);
    if (fen_draft_cond(d, FEN_COND_ALL, part, n, FEN_NONE, NULL, (fen_place){0}, &rule.cond) != FEN_OK)
        die("no memory");
    for (uint32_t k = 0; k < rule.n_effects; k++)
        e[k] = (fen_effect){.op = FEN_WEIGH, .target = rb_below(r, z->causes), .weight = ((int)rb_below(r, 30) - 10) * FEN_DBAN};
    if (derives) {
        const fen_finding *f = &d->findings.at[1 + z->findings - n_derived + rb_below(r, n_derived)];
        e[0] = (fen_effect){.op = FEN_DERIVE, .target = f->first_atom + rb_below(r, 4)};
    }
    if (!FEN_VEC_PUSH(&d->rules, rule))
        die("no memory");
}

static fen_base *generate(const size *z)
{
    rb_rng r = {.state = 7};
    fen_draft *d = fen_draft_new();
    fen_base *base = NULL;
    fen_cycle cycle;
    const uint32_t n_derived = z->findings / 10;
    if (!d || fen_draft_seal_kinds(d) != FEN_OK)
        die("no memory");
    for (uint32_t i = 0; i < z->findings; i++)
        add_finding(d, i, i >= z->findings - n_derived, &r);
    for (uint32_t i = 0; i < z->causes; i++)
        if (!FEN_VEC_PUSH(&d->causes, (fen_cause){.id = named(d, "cause", i), .name = "it", .usual = (1 + rb_below(&r, 50)) / 1000.0, .deciding = FEN_NONE}))
            die("no memory");
    for (uint32_t i = 0; i < z->rules; i++)
        add_rule(d, z, n_derived, i, &r);
    if (fen_draft_finish(d, &base, &cycle) != FEN_OK)
        die("the base is refused");
    return base;
}

/* Some answer that fits: the option, or the stretch, most often given. */
static void answer(fen_session *s, fen_id finding)
{
    const fen_finding *f = fen_base_finding(fen_session_base(s), finding);
    fen_answer a = {.state = FEN_KNOWN, .picks = 1};
    if (f->type == FEN_QUANTITY || f->type == FEN_DATE)
        a = (fen_answer){.state = FEN_KNOWN, .value = f->type == FEN_DATE ? fen_session_today(s) - 30 : f->middle >= 0 ? f->middle : f->from};
    if (finding == FEN_KIND_FINDING)
        for (fen_id k = 0; k < fen_base_kinds(fen_session_base(s)); k++)
            if (!fen_base_kind(fen_session_base(s), k)->group)
                a.picks = UINT64_C(1) << k;
    if (fen_session_answer(s, finding, a) != FEN_OK)
        fen_session_skip(s, finding, true);
}

/* The next question after 0, 1, 5 and 20 answers; verdict and answer too. */
static void time_questions(const fen_base *base)
{
    static const int after[] = {0, 1, 5, 20};
    fen_session *s = NULL;
    fen_question q = {.finding = FEN_NONE};
    int given = 0;
    if (fen_session_new(base, RB_TODAY, &s) != FEN_OK)
        die("no memory");
    for (size_t i = 0; i < 4; i++) {
        double least = INFINITY;
        for (; given < after[i]; given++) {
            fen_session_next(s, &q);
            if (q.finding == FEN_NONE)
                break;
            answer(s, q.finding);
        }
        for (int k = 0; k < 5; k++) {
            const double t = bench_now();
            fen_session_next(s, &q);
            least = bench_least(least, bench_now() - t);
        }
        printf(" %10.3f", least);
    }
    fen_session_free(s);
}

static void ask_one_size(void *context)
{
    const size *z = context;
    fen_base *base = generate(z);
    printf("%9u %9u %7u", z->rules, z->findings, z->causes);
    time_questions(base);
    fen_base_free(base);
}

static void ask_shipped(void *context)
{
    const char *path = FEN_RULES_DIR;
    fen_problems *problems = NULL;
    fen_base *base = NULL;
    (void)context;
    if (fen_problems_new(&problems) != FEN_OK || fen_base_load(&path, 1, problems, &base) != FEN_OK)
        die("the shipped packs are refused");
    printf("%9u %9u %7u", fen_base_rules(base), fen_base_findings(base), fen_base_causes(base));
    time_questions(base);
    fen_base_free(base);
    fen_problems_free(problems);
}

int main(void)
{
    size sizes[] = {{200, 60, 20}, {2000, 400, 100}, {20000, 2000, 500}};
    bench_about("the next question, after so many answers (ms, smallest of five)");
    printf("%9s %9s %7s %10s %10s %10s %10s %9s\n", "rules", "findings", "causes", "0", "1", "5", "20", "peak MiB");
    printf(" %9.1f  shipped packs\n", bench_apart(ask_shipped, NULL));
    for (size_t i = 0; i < 3; i++)
        printf(" %9.1f\n", bench_apart(ask_one_size, &sizes[i]));
    return 0;
}
