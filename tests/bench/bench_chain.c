/* bench_chain.c -- forward chaining against a bare loop over arrays, and the
 * loading of a large pack against libyaml merely parsing its bytes.
 *
 * Both chain the same random Horn rules from the same answers, which come in
 * group by group; the derived atoms and the numbers of fired rules are compared
 * before a time is printed. The engine can also change its mind: taking one
 * answer back and giving it again is timed beside, without a rival. These rules
 * are one large loop, so that is the hardest case there is for it.
 */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>
#include <yaml.h>

#include "bench.h"
#include "fenmend/session.h"
#include "horn.h"
#include "model/draft.h"

static void die(const char *what)
{
    printf("%s\n", what);
    fflush(stdout);
    _exit(1);
}

/* ---- the same rules as a rule base ---- */

static void add_groups(fen_draft *d, const horn *h)
{
    fen_option options[HORN_GROUP];
    char text[24];
    fen_id id;
    for (int o = 0; o < HORN_GROUP; o++) {
        const int len = snprintf(text, sizeof text, "a%d", o);
        options[o] = (fen_option){.id = fen_arena_text(d->arena, text, (size_t)len), .say = "so", .usual = 0.25};
    }
    for (uint32_t g = 0; g < h->n_atoms / HORN_GROUP; g++) {
        const int len = snprintf(text, sizeof text, "group-%u", g);
        const fen_finding f = {.id = fen_arena_text(d->arena, text, (size_t)len), .name = "group", .ask = "which?", .type = FEN_SEVERAL,
                               .derived = g >= h->n_given / HORN_GROUP, .default_option = FEN_NONE, .ask_when = FEN_NONE,
                               .options = options, .n_options = HORN_GROUP};
        if (!f.id || fen_draft_finding(d, f, &id) != FEN_OK)
            die("no memory for findings");
    }
}

static fen_id atom_of(const fen_draft *d, uint32_t atom)
{
    return d->findings.at[1 + atom / HORN_GROUP].first_atom + atom % HORN_GROUP;
}

static void add_rule(fen_draft *d, const horn_rule *x, uint32_t i)
{
    char text[24];
    fen_id part[HORN_BODY];
    fen_effect *e = fen_arena_zeroed(d->arena, 1, sizeof *e);
    const int len = snprintf(text, sizeof text, "rule-%u", i);
    fen_rule r = {.id = fen_arena_text(d->arena, text, (size_t)len), .why = "by dice", .effects = e, .n_effects = 1};
    fen_status st = e && r.id ? FEN_OK : FEN_ENOMEM;
    for (uint32_t k = 0; k < x->n_body && !st; k++)
        st = fen_draft_cond(d, FEN_COND_TEST, NULL, 0, atom_of(d, x->body[k]), "so", (fen_place){0}, &part[k]);
    if (!st)
        st = fen_draft_cond(d, FEN_COND_ALL, part, x->n_body, FEN_NONE, NULL, (fen_place){0}, &r.cond);
    if (!st) {
        *e = (fen_effect){.op = FEN_DERIVE, .target = atom_of(d, x->head)};
        st = FEN_VEC_PUSH(&d->rules, r) ? FEN_OK : FEN_ENOMEM;
    }
    if (st)
        die("no memory for rules");
}

static fen_base *compile(const horn *h)
{
    fen_cycle cycle;
    fen_base *base = NULL;
    fen_draft *d = fen_draft_new();
    if (!d || fen_draft_seal_kinds(d) != FEN_OK)
        die("no memory");
    add_groups(d, h);
    for (uint32_t i = 0; i < h->n_rules; i++)
        add_rule(d, &h->rule[i], i);
    if (fen_draft_finish(d, &base, &cycle) != FEN_OK)
        die("the base is refused");
    return base;
}

/* ---- chaining ---- */

static void answer_all(fen_session *s, const horn *h)
{
    for (uint32_t g = 0; g < h->n_given / HORN_GROUP; g++)
        if (fen_session_answer(s, g + 1, (fen_answer){.state = FEN_KNOWN, .picks = h->answer[g]}) != FEN_OK)
            die("an answer is refused");
}

static void compare(const fen_session *s, const horn_loop *l, uint32_t fired)
{
    const fen_base *base = fen_session_base(s);
    uint32_t have = 0;
    for (fen_id r = 0; r < fen_base_rules(base); r++)
        have += fen_session_rule(s, r) == FEN_FIRED;
    for (uint32_t a = 0; a < l->h->n_atoms; a++) {
        const fen_finding *f = fen_base_finding(base, 1 + a / HORN_GROUP);
        if ((fen_session_test(s, f->first_atom + a % HORN_GROUP) > 0) != l->on[a])
            die("engine and loop derive different atoms");
    }
    if (have != fired)
        die("engine and loop fire different rules");
}

/* One answer taken back and given again, on the average of twenty. */
static double change_one(fen_session *s, const horn *h)
{
    const uint32_t groups = h->n_given / HORN_GROUP, step = groups / 20 + 1;
    uint32_t n = 0;
    const double t = bench_now();
    for (uint32_t g = 0; g < groups; g += step, n++)
        if (fen_session_answer(s, g + 1, (fen_answer){.state = FEN_OPEN}) != FEN_OK ||
            fen_session_answer(s, g + 1, (fen_answer){.state = FEN_KNOWN, .picks = h->answer[g]}) != FEN_OK)
            die("an answer is refused");
    return (bench_now() - t) / n;
}

typedef struct times {
    double engine, bare, change, session;
    uint32_t fired;
} times;

static void chain_rounds(const fen_base *base, const horn *h, horn_loop *loop, int rounds, times *ret)
{
    *ret = (times){INFINITY, INFINITY, INFINITY, INFINITY, 0};
    for (int i = 0; i < rounds; i++) {
        fen_session *s = NULL;
        double t = bench_now();
        if (fen_session_new(base, 0, &s) != FEN_OK)
            die("no memory for a session");
        ret->session = bench_least(ret->session, bench_now() - t);
        t = bench_now();
        answer_all(s, h);
        ret->engine = bench_least(ret->engine, bench_now() - t);
        horn_loop_reset(loop);
        ret->fired = 0;
        t = bench_now();
        for (uint32_t g = 0; g < h->n_given / HORN_GROUP; g++)
            ret->fired += horn_loop_answer(loop, g);
        ret->bare = bench_least(ret->bare, bench_now() - t);
        if (i == 0)
            compare(s, loop, ret->fired);
        if (i < 2)
            ret->change = bench_least(ret->change, change_one(s, h));
        fen_session_free(s);
    }
}

static void chain_one_size(void *context)
{
    const uint32_t n = *(const uint32_t *)context;
    horn h;
    horn_loop loop;
    times t;
    if (!horn_make(&h, n, 42) || !horn_loop_make(&loop, &h))
        die("no memory");
    const double before = bench_now();
    fen_base *base = compile(&h);
    const double compiling = bench_now() - before;
    chain_rounds(base, &h, &loop, n >= 1000000 ? 5 : n >= 100000 ? 15 : 60, &t);
    printf("%9u %9u %10.3f %10.3f %7.2f %9.1f %10.3f %10.3f %10.1f", n, t.fired, t.engine, t.bare, t.engine / t.bare, t.engine * 1e6 / t.fired,
           t.change, t.session, compiling);
    fen_base_free(base);
    horn_loop_free(&loop);
    horn_free(&h);
}

/* ---- loading ---- */

/* The mean reason and source of the shipped packs' rules have as many letters as these. */
static const char *const usual_words =
    "    why: Leaves that die back slowly from the rim are old, not sick.\n"
    "    source: growers' practice, three independent pages that agree\n";

/* BARE: rules as short as they can be; else with reasons and sources. */
static void write_pack(const char *path, uint32_t n, bool bare)
{
    horn h;
    FILE *out = fopen(path, "w");
    if (!out || !horn_make(&h, n, 43))
        die("cannot write the pack");
    fputs("pack: large\nabout: By dice.\ncauses:\n  one: {name: one, about: By dice., usual: 10 %, urgency: none, harmless: yes}\nfindings:\n", out);
    for (uint32_t g = 0; g < h.n_atoms / HORN_GROUP; g++) {
        fprintf(out, "  group-%u:\n    name: group %u\n", g, g);
        fputs(g < h.n_given / HORN_GROUP ? "    ask: Which?\n    effort: glance\n    several: yes\n    answers:\n" : "    derived: yes\n    several: yes\n    answers:\n", out);
        for (int o = 0; o < HORN_GROUP; o++)
            fprintf(out, g < h.n_given / HORN_GROUP ? "      a%d: {say: number %d, usual: 25 %%}\n" : "      a%d: {}\n", o, o);
    }
    fputs("rules:\n", out);
    for (uint32_t i = 0; i < n; i++) {
        const horn_rule *x = &h.rule[i];
        fprintf(out, "  rule-%u:\n    when:\n", i);
        for (uint32_t k = 0; k < x->n_body; k++)
            fprintf(out, "    - group-%u includes a%u\n", x->body[k] / HORN_GROUP, x->body[k] % HORN_GROUP);
        fprintf(out, "    then: group-%u includes a%u\n", x->head / HORN_GROUP, x->head % HORN_GROUP);
        fputs(bare ? "    why: By dice.\n" : usual_words, out);
    }
    if (fclose(out) != 0)
        die("cannot write the pack");
    horn_free(&h);
}

static double parse_only(const char *path)
{
    FILE *in = fopen(path, "rb");
    yaml_parser_t parser;
    yaml_event_t event;
    bool more = true;
    if (!in || !yaml_parser_initialize(&parser))
        die("cannot read the pack");
    const double t = bench_now();
    yaml_parser_set_input_file(&parser, in);
    while (more) {
        if (!yaml_parser_parse(&parser, &event))
            die("libyaml refuses the pack");
        more = event.type != YAML_STREAM_END_EVENT;
        yaml_event_delete(&event);
    }
    const double took = bench_now() - t;
    yaml_parser_delete(&parser);
    fclose(in);
    return took;
}

static fen_base *load(const char *path)
{
    fen_problems *problems = NULL;
    fen_base *base = NULL;
    if (fen_problems_new(&problems) != FEN_OK)
        die("no memory");
    if (fen_base_load(&path, 1, problems, &base) != FEN_OK) {
        const fen_problem *p = fen_problems_count(problems) ? fen_problems_at(problems, 0) : NULL;
        printf("the pack is refused, line %u: %s\n", p ? p->place.line : 0, p ? p->text : "");
        die("");
    }
    fen_problems_free(problems);
    return base;
}

typedef struct loading {
    const char *path;
    uint32_t n;
} loading;

static void load_one_size(void *context)
{
    const loading *x = context;
    double whole = INFINITY, parsing = INFINITY, chaining = INFINITY;
    horn h;
    struct stat st;
    if (!horn_make(&h, x->n, 43) || stat(x->path, &st) != 0)
        die("no memory");
    for (int i = 0; i < (x->n > 100000 ? 2 : 4); i++) {
        fen_session *s = NULL;
        parsing = bench_least(parsing, parse_only(x->path));
        double t = bench_now();
        fen_base *base = load(x->path);
        whole = bench_least(whole, bench_now() - t);
        if (fen_session_new(base, 0, &s) != FEN_OK)
            die("no memory");
        t = bench_now();
        answer_all(s, &h);
        chaining = bench_least(chaining, bench_now() - t);
        fen_session_free(s);
        fen_base_free(base);
    }
    printf("%9u %9.1f %11.1f %11.1f %7.2f %11.3f", x->n, (double)st.st_size / 1048576, whole, parsing, (whole + chaining) / parsing, chaining);
    horn_free(&h);
}

int main(int argc, char **argv)
{
    static uint32_t sizes[] = {10000, 100000, 1000000};
    const bool quick = argc > 1 && strcmp(argv[1], "quick") == 0;
    bench_about("chaining: random Horn rules, all answers one after another (ms, smallest of several rounds)");
    printf("%9s %9s %10s %10s %7s %9s %10s %10s %10s %9s\n", "rules", "fired", "engine", "bare loop", "ratio", "ns/fired", "change one", "session", "compile", "peak MiB");
    for (size_t i = 0; i < (quick ? 2u : 3u); i++)
        printf(" %9.1f\n", bench_apart(chain_one_size, &sizes[i]));

    char folder[] = "/tmp/fen-bench-XXXXXX", path[64];
    if (!mkdtemp(folder))
        die("no folder for the pack");
    snprintf(path, sizeof path, "%s/large.yaml", folder);
    bench_about("loading: a pack of rules, loaded, compiled and chained, against libyaml parsing the same bytes (ms)");
    printf("%9s %9s %11s %11s %7s %11s %9s\n", "rules", "MiB", "load", "libyaml", "ratio", "chain", "peak MiB");
    for (size_t i = 0; i < 4; i++) {
        const bool bare = i >= 2;
        loading x = {path, sizes[i % 2]};
        write_pack(path, x.n, bare);
        printf(" %9.1f  %s\n", bench_apart(load_one_size, &x), bare ? "without a word of reason" : "reasons and sources of the usual length");
    }
    unlink(path);
    rmdir(folder);
    return 0;
}
