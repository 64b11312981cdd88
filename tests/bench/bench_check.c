/* bench_check.c -- a hundred thousand cases under the shipped rules: the whole command
 * against bare libyaml over the same bytes, and its peak memory there and at a million.
 *
 * The cases are generated: each askable finding is answered with a chance of 40 % as
 * often as its pack says its answers occur, so no two are alike and nothing can be
 * remembered from one to the next. A million come through a pipe.
 */
#define _DEFAULT_SOURCE /* wait4 */
#include <fcntl.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>
#include <yaml.h>

#include "bench.h"
#include "fenmend/case.h"
#include "model/quantity.h"
#include "util/date.h"

enum { CASES = 100000, MANY = 1000000, ROUNDS = 2, TODAY = 20600, ANSWERED = 40 };
enum { YAML, JSONL, CSV, FORMATS };

static const char *const format_name[FORMATS] = { "YAML", "JSON Lines", "CSV" };
static fen_base *base;

/* ---- cases ---- */

static uint64_t state;

static unsigned draw(unsigned n)
{
    state ^= state << 13;
    state ^= state >> 7;
    state ^= state << 17;
    return (unsigned)((state >> 33) % n);
}

static double chance(void)
{
    return draw(1000000) / 1e6;
}

static fen_id draw_option(const fen_finding *f)
{
    double u = chance();
    fen_id o = 0;
    while (o + 1 < f->n_options && u > f->options[o].usual)
        u -= f->options[o++].usual;
    return o;
}

/* An answer as a person writes it; several ones with SEPARATOR between them. */
static void write_answer(const fen_finding *f, const char *separator, FILE *out)
{
    char text[FEN_QUANTITY_TEXT];
    if (f->type == FEN_QUANTITY) {
        const double low = isfinite(f->low) ? f->low : f->from, high = isfinite(f->high) ? f->high : f->to;
        fen_quantity_show(text, (fen_quantity){ low + (high - low) * chance(), f->dim }, FEN_UNITS_METRIC);
        fputs(text, out);
    } else if (f->type == FEN_DATE) {
        fen_date_write(text, TODAY - (int32_t)draw(300));
        fputs(text, out);
    } else if (f->type == FEN_SEVERAL) {
        uint64_t picks = 0;
        for (fen_id o = 0; o < f->n_options; o++)
            picks = chance() < f->options[o].usual ? fen_finding_with(f, picks, o) : picks;
        const char *before = "";
        for (fen_id o = 0; o < f->n_options; o++)
            if (picks >> o & 1) {
                fprintf(out, "%s%s", before, f->options[o].id);
                before = separator;
            }
        if (!*before && strcmp(separator, ", ") != 0)
            fputs("none", out);
    } else {
        fputs(f->options[draw_option(f)].id, out);
    }
}

/* Any kind that is no group. */
static fen_id draw_kind(void)
{
    fen_id k;
    do
        k = draw(fen_base_kinds(base));
    while (fen_base_kind(base, k)->group);
    return k;
}

static bool is_asked(fen_id finding)
{
    return !fen_base_finding(base, finding)->derived;
}

static bool is_answered(fen_id finding, fen_id kind)
{
    return is_asked(finding) && fen_base_kind_within(base, kind, fen_base_finding(base, finding)->kinds) && draw(100) < ANSWERED;
}

static void write_yaml(int i, FILE *out)
{
    const fen_id kind = draw_kind();
    fprintf(out, "---\ncase: plant-%07d\nkind: %s\ndate: 2026-05-%02u\nwhere: {bench: b%u, batch: x%u}\nfindings:\n", i,
            fen_base_kind(base, kind)->id, 28 + draw(3), draw(12), draw(40));
    for (fen_id f = 1; f < fen_base_findings(base); f++) {
        const fen_finding *of = fen_base_finding(base, f);
        if (!is_answered(f, kind))
            continue;
        fprintf(out, of->type == FEN_SEVERAL ? "  %s: [" : "  %s: ", of->id);
        write_answer(of, ", ", out);
        fputs(of->type == FEN_SEVERAL ? "]\n" : "\n", out);
    }
    if (draw(2))
        fputs("note: bought at a market in June, repotted once\n", out);
}

static void write_jsonl(int i, FILE *out)
{
    const char *before = "";
    const fen_id kind = draw_kind();
    fprintf(out, "{\"case\":\"plant-%07d\",\"kind\":\"%s\",\"date\":\"2026-05-%02u\",\"where\":{\"bench\":\"b%u\",\"batch\":\"x%u\"},\"findings\":{",
            i, fen_base_kind(base, kind)->id, 28 + draw(3), draw(12), draw(40));
    for (fen_id f = 1; f < fen_base_findings(base); f++) {
        const fen_finding *of = fen_base_finding(base, f);
        if (!is_answered(f, kind))
            continue;
        fprintf(out, "%s\"%s\":\"", before, of->id);
        write_answer(of, ", and ", out);
        fputs("\"", out);
        before = ",";
    }
    fputs("}}\n", out);
}

static void write_csv(int i, FILE *out)
{
    const fen_id kind = draw_kind();
    fprintf(out, "plant-%07d,%s,2026-05-%02u,b%u,x%u", i, fen_base_kind(base, kind)->id, 28 + draw(3), draw(12), draw(40));
    for (fen_id f = 1; f < fen_base_findings(base); f++) {
        if (!is_asked(f))
            continue;
        fputs(",", out);
        if (is_answered(f, kind))
            write_answer(fen_base_finding(base, f), "; ", out);
    }
    fputs("\r\n", out);
}

static void write_cases(int format, int n, FILE *out)
{
    state = UINT64_C(0x9E3779B97F4A7C15);
    if (format == CSV) {
        fputs("case,kind,date,where.bench,where.batch", out);
        for (fen_id f = 1; f < fen_base_findings(base); f++)
            if (is_asked(f))
                fprintf(out, ",%s", fen_base_finding(base, f)->id);
        fputs("\r\n", out);
    }
    for (int i = 0; i < n; i++) {
        if (format == YAML)
            write_yaml(i, out);
        else if (format == JSONL)
            write_jsonl(i, out);
        else
            write_csv(i, out);
    }
}

/* ---- rivals ---- */

static double parse_yaml(const char *path)
{
    FILE *in = fopen(path, "rb");
    yaml_parser_t parser;
    yaml_event_t event;
    bool more = in && yaml_parser_initialize(&parser);
    if (!more)
        return -1;
    const double t = bench_now();
    yaml_parser_set_input_file(&parser, in);
    while (more && yaml_parser_parse(&parser, &event)) {
        more = event.type != YAML_STREAM_END_EVENT;
        yaml_event_delete(&event);
    }
    const double took = bench_now() - t;
    yaml_parser_delete(&parser);
    fclose(in);
    return took;
}

typedef struct measured {
    double ms, cpu, mib;
    int status;
} measured;

/* `check` over FD as standard input. */
static measured check_fd(int fd, const char *jobs)
{
    measured m = { .status = -1 };
    struct rusage use;
    int status;
    const double t = bench_now();
    const pid_t child = fork();
    if (child == 0) {
        const int null = open("/dev/null", O_WRONLY);
        dup2(fd, 0);
        dup2(null, 1);
        dup2(null, 2);
        execl(FEN_PROGRAM, FEN_PROGRAM, "check", "--only-rules", "--rules", FEN_RULES_DIR, "--today=2026-06-01", "-f", "json", "-j", jobs, "-", (char *)NULL);
        _exit(127);
    }
    if (child < 0 || wait4(child, &status, 0, &use) != child)
        return m;
    m.ms = bench_now() - t;
    m.cpu = (double)(use.ru_utime.tv_sec + use.ru_stime.tv_sec) * 1e3 + (double)(use.ru_utime.tv_usec + use.ru_stime.tv_usec) / 1e3;
    m.mib = (double)use.ru_maxrss / 1024;
    m.status = WIFEXITED(status) ? WEXITSTATUS(status) : -1;
    return m;
}

static measured check_file(const char *path, const char *jobs)
{
    const int fd = open(path, O_RDONLY | O_CLOEXEC);
    const measured m = check_fd(fd, jobs);
    close(fd);
    return m;
}

static measured check_pipe(int format, int n, const char *jobs)
{
    int ends[2];
    fflush(NULL);
    if (pipe(ends))
        return (measured){ .status = -1 };
    const pid_t writer = fork();
    if (writer == 0) {
        close(ends[0]);
        FILE *out = fdopen(ends[1], "w");
        write_cases(format, n, out);
        fclose(out);
        _exit(0);
    }
    close(ends[1]);
    const measured m = check_fd(ends[0], jobs);
    close(ends[0]);
    (void)waitpid(writer, NULL, 0);
    return m;
}

static measured better(measured a, measured b)
{
    return a.status >= 0 && a.ms <= b.ms ? a : b;
}

/* ---- tables ---- */

static void compare(int format, double *yaml_ms)
{
    char path[] = "/tmp/fenmend-bench-XXXXXX";
    struct stat st;
    const int fd = mkstemp(path);
    FILE *out = fdopen(fd, "w");
    write_cases(format, CASES, out);
    fclose(out);
    stat(path, &st);
    measured one = { .ms = INFINITY, .status = -1 }, two = one;
    for (int i = 0; i < ROUNDS; i++) {
        if (format == YAML)
            *yaml_ms = i ? bench_least(*yaml_ms, parse_yaml(path)) : parse_yaml(path);
        one = better(one, check_file(path, "1"));
        two = better(two, check_file(path, "2"));
    }
    unlink(path);
    printf("%-10s %6.1f MB  %8.0f ms  %8.0f ms  %5.2f  %8.0f ms  %5.2f  %6.1f MiB  %6.1f MiB\n", format_name[format],
           (double)st.st_size / 1e6, *yaml_ms, one.ms, one.ms / *yaml_ms, two.ms, two.ms / *yaml_ms, one.mib, two.mib);
    if (one.status || two.status)
        printf("the command ended with %d and %d\n", one.status, two.status);
}

/* --quick: without the million; --write FORMAT N: the cases themselves. */
int main(int argc, char **argv)
{
    const char *const rules[] = { FEN_RULES_DIR };
    fen_problems *problems;
    double yaml_ms = 0;
    if (fen_problems_new(&problems) || fen_base_load(rules, 1, problems, &base))
        return 1;
    if (argc == 4 && strcmp(argv[1], "--write") == 0) {
        write_cases(atoi(argv[2]), atoi(argv[3]), stdout);
        return 0;
    }
    bench_about("check --format json over 100,000 generated cases, against bare libyaml over the YAML");
    printf("targets: ratio at most 2.0 with one job, 1.0 with two; at most 64 MiB\n");
    printf("input           size   libyaml        one job  ratio     two jobs  ratio  memory: one         two\n");
    for (int f = YAML; f < FORMATS; f++)
        compare(f, &yaml_ms);
    if (argc < 2 || strcmp(argv[1], "--quick") != 0) {
        const measured m = check_pipe(YAML, MANY, "2");
        printf("1,000,000 cases of YAML through a pipe, two jobs: %.0f ms, %.1f MiB, status %d\n", m.ms, m.mib, m.status);
    }
    fen_base_free(base);
    fen_problems_free(problems);
    return 0;
}
