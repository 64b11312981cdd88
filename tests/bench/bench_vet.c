/* bench_vet.c -- judging twenty thousand rules beside each other, against only loading
 * them; and cases under two rule bases, against the same cases under one, twice.
 *
 * Three packs are made: rules spread over many findings, over few, and all about one
 * threshold of one finding, where naive comparison of pairs is quadratic.
 */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "bench.h"
#include "fenmend/impact.h"
#include "fenmend/vet.h"

enum { RULES = 20000, ROUNDS = 5, CASES = 2000 };

typedef struct shape {
    const char *name;
    int findings, causes;
    bool ladder; /* each rule has an interval of its own of one finding */
} shape;

static const shape shapes[] = { { "over 500 findings", 500, 200, false }, { "over 40 findings", 40, 10, false }, { "about one finding", 1, 1, true } };

static uint32_t seed = 1;

static int random_below(int n)
{
    seed = seed * 1664525u + 1013904223u;
    return (int)(seed >> 8) % n;
}

static void write_head(FILE *out, const shape *s)
{
    fprintf(out, "findings:\n");
    for (int f = 0; f < s->findings; f++)
        fprintf(out, "  f%d:\n    name: f %d\n    ask: What of %d?\n    effort: glance\n    %s\n", f, f, f,
                f % 5 == 0 ? "quantity: dissolved solids" : "answers: {a: {say: a, usual: 50 %}, b: {say: b, usual: 30 %}, c: {say: c, usual: 20 %}}");
    fprintf(out, "causes:\n");
    for (int c = 0; c < s->causes; c++)
        fprintf(out, "  c%d: {name: c %d, about: A cause., usual: 0.4 %%, urgency: weeks, harmless: no, deciding: f0}\n", c, c);
    fprintf(out, "rules:\n");
}

static void write_rule(FILE *out, const shape *s, int r)
{
    fprintf(out, "  r%d:\n    when:\n", r);
    if (s->ladder)
        fprintf(out, "    - f0 from %d ppm to below %d ppm\n", r * 10, r * 10 + 10);
    for (int n = s->ladder ? 0 : 1 + random_below(3), used = -1, f; n; n--, used = f) {
        do
            f = random_below(s->findings);
        while (f <= used && used < s->findings - 1 && random_below(4));
        if (f % 5 == 0)
            fprintf(out, "    - f%d >= %d ppm\n", f, 100 * (1 + random_below(50)));
        else
            fprintf(out, "    - f%d is %c\n", f, 'a' + random_below(3));
    }
    fprintf(out, "    then: %s c%d\n    why: x\n    source: x\n", random_below(2) ? "fair for" : "slight against", random_below(s->causes));
}

static bool write_pack(const shape *s, char path[])
{
    const int fd = mkstemp(path);
    FILE *out = fd < 0 ? NULL : fdopen(fd, "w");
    if (!out)
        return false;
    write_head(out, s);
    for (int r = 0; r < RULES; r++)
        write_rule(out, s, r);
    return fclose(out) == 0;
}

static double time_load(const char *path, bool deep)
{
    fen_problems *problems;
    fen_base *base = NULL;
    if (fen_problems_new(&problems))
        return INFINITY;
    const double t = bench_now();
    const fen_status st = (deep ? fen_vet : fen_base_load)(&path, 1, problems, &base);
    const double took = bench_now() - t;
    fen_base_free(base);
    fen_problems_free(problems);
    return st ? INFINITY : took;
}

static void vet_shape(void *context)
{
    const shape *s = context;
    char path[] = "/tmp/bench-vet-XXXXXX";
    double load = INFINITY, vet = INFINITY;
    if (!write_pack(s, path))
        return;
    for (int i = 0; i < ROUNDS; i++) {
        load = bench_least(load, time_load(path, false));
        vet = bench_least(vet, time_load(path, true));
    }
    unlink(path);
    printf("20,000 rules %-24s load %8.1f ms  vet %8.1f ms %6.2f", s->name, load, vet, vet / load);
}

/* ---- impact ---- */

typedef struct counting {
    const fen_impact *impact;
    size_t n;
} counting;

static bool take_all(void *ctx, const fen_part *part)
{
    counting *k = ctx;
    k->n += part->n_marks;
    return true;
}

static void compare(void *ctx, fen_judged *j, struct fen_str *out)
{
    const counting *k = ctx;
    fen_impact_case c;
    (void)out;
    if (k->impact)
        fen_impact_compare(k->impact, j, &c);
}

static double time_cases(const fen_base *base, const fen_base *other, const char *path)
{
    counting k = { NULL, 0 };
    fen_impact *m = NULL;
    const fen_batch b = { .base = base, .other = other, .today = 20000, .jobs = 1, .ask = true, .ctx = &k, .judge = compare, .deliver = take_all };
    if (other && fen_impact_new(base, other, &m))
        return INFINITY;
    k.impact = m;
    const double t = bench_now();
    const fen_status st = fen_batch_run(&b, &path, 1);
    const double took = bench_now() - t;
    fen_impact_free(m);
    return st || k.n != CASES ? INFINITY : took;
}

static bool write_cases(char path[])
{
    const int fd = mkstemp(path);
    FILE *out = fd < 0 ? NULL : fdopen(fd, "w");
    if (!out)
        return false;
    for (int i = 0; i < CASES; i++)
        fprintf(out, "---\ncase: c%d\nkind: venus-flytrap\ndate: 2026-07-01\nfindings: {crown-feel: %s, water-kind: %s, tray: %s}\n", i,
                i % 3 ? "firm" : "soft", i % 2 ? "tap" : "rain", i % 5 ? "always-full" : "falls-dry");
    return fclose(out) == 0;
}

static fen_base *load_rules(void)
{
    const char *path = FEN_RULES_DIR;
    fen_problems *problems;
    fen_base *base = NULL;
    if (fen_problems_new(&problems) || fen_base_load(&path, 1, problems, &base))
        return NULL;
    fen_problems_free(problems);
    return base;
}

static void impact(void *context)
{
    char path[] = "/tmp/bench-impact-XXXXXX";
    double one = INFINITY, two = INFINITY;
    fen_base *a = load_rules(), *b = load_rules();
    (void)context;
    if (!a || !b || !write_cases(path))
        return;
    for (int i = 0; i < ROUNDS; i++) {
        one = bench_least(one, time_cases(a, NULL, path));
        two = bench_least(two, time_cases(a, b, path));
    }
    unlink(path);
    printf("%d cases, one base %8.1f ms  two bases %8.1f ms %6.2f", CASES, one, two, two / one);
    fen_base_free(a);
    fen_base_free(b);
}

int main(void)
{
    bench_about("judging rules beside each other, and cases under two bases (smallest of five; ratio)");
    for (size_t i = 0; i < sizeof shapes / sizeof *shapes; i++) {
        shape s = shapes[i];
        printf("   peak %.1f MiB\n", bench_apart(vet_shape, &s));
    }
    printf("   peak %.1f MiB\n", bench_apart(impact, NULL));
    return 0;
}
