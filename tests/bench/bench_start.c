/* bench_start.c -- from start to first question: the program as a process with
 * nothing on its input, the same in this process, and what the machine takes for
 * the parts that cannot be avoided (a process that does nothing; libyaml parsing
 * the shipped packs).
 */
#include <dirent.h>
#include <fcntl.h>
#include <math.h>
#include <spawn.h>
#include <stdio.h>
#include <string.h>
#include <sys/wait.h>
#include <unistd.h>
#include <yaml.h>

#include "bench.h"
#include "fenmend/session.h"

extern char **environ;

enum { ROUNDS = 30 };

/* Milliseconds until PROGRAM has ended with its input at its end; -1: it could not run. */
static double run_process(const char *program, char *const argv[])
{
    posix_spawn_file_actions_t act;
    pid_t child;
    int status = 0;
    posix_spawn_file_actions_init(&act);
    posix_spawn_file_actions_addopen(&act, 0, "/dev/null", O_RDONLY, 0);
    posix_spawn_file_actions_addopen(&act, 1, "/dev/null", O_WRONLY, 0);
    posix_spawn_file_actions_addopen(&act, 2, "/dev/null", O_WRONLY, 0);
    const double t = bench_now();
    const bool ran = posix_spawn(&child, program, &act, NULL, argv, environ) == 0 && waitpid(child, &status, 0) == child && WIFEXITED(status) && WEXITSTATUS(status) < 126;
    const double took = bench_now() - t;
    posix_spawn_file_actions_destroy(&act);
    return ran ? took : -1;
}

static double parse_file(const char *path)
{
    FILE *in = fopen(path, "rb");
    yaml_parser_t parser;
    yaml_event_t event;
    bool more = in && yaml_parser_initialize(&parser);
    if (!more)
        return 0;
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

static double parse_shipped(void)
{
    DIR *folder = opendir(FEN_RULES_DIR);
    double sum = 0;
    for (const struct dirent *e; folder && (e = readdir(folder)) != NULL;) {
        char path[512];
        const size_t len = strlen(e->d_name);
        if (len < 5 || strcmp(e->d_name + len - 5, ".yaml") != 0)
            continue;
        snprintf(path, sizeof path, "%s/%s", FEN_RULES_DIR, e->d_name);
        sum += parse_file(path);
    }
    if (folder)
        closedir(folder);
    return sum;
}

static double first_question(void)
{
    const char *path = FEN_RULES_DIR;
    fen_problems *problems = NULL;
    fen_base *base = NULL;
    fen_session *s = NULL;
    fen_question q;
    const double t = bench_now();
    const bool fine = fen_problems_new(&problems) == FEN_OK && fen_base_load(&path, 1, problems, &base) == FEN_OK && fen_session_new(base, 20000, &s) == FEN_OK;
    if (fine)
        fen_session_next(s, &q);
    const double took = bench_now() - t;
    fen_session_free(s);
    fen_base_free(base);
    fen_problems_free(problems);
    return fine ? took : -1;
}

static void in_process(void *context)
{
    double load = INFINITY, parse = INFINITY;
    (void)context;
    for (int i = 0; i < ROUNDS; i++) {
        load = bench_least(load, first_question());
        parse = bench_least(parse, parse_shipped());
    }
    printf("%-46s %9.3f\n%-46s %9.3f %7.2f", "libyaml parsing the shipped packs", parse, "load them, first question, in this process", load, load / parse);
}

static void as_process(void *context)
{
    char *triage[] = {(char[]){FEN_PROGRAM}, (char[]){"triage"}, NULL}, *nothing[] = {(char[]){"true"}, NULL};
    double ours = INFINITY, none = INFINITY;
    (void)context;
    for (int i = 0; i < ROUNDS; i++) {
        ours = bench_least(ours, run_process(FEN_PROGRAM, triage));
        none = bench_least(none, run_process("/bin/true", nothing));
    }
    printf("%-46s %9.3f\n", "a process that does nothing", none);
    if (ours < 0)
        printf("%s is not built", FEN_PROGRAM);
    else
        printf("%-46s %9.3f %7.2f", "fenmend triage, input at its end", ours, ours / none);
}

int main(void)
{
    bench_about("from start to first question (ms, smallest of thirty; ratio to the line above)");
    const double mib = bench_apart(in_process, NULL);
    printf("   peak %.1f MiB\n", mib);
    bench_apart(as_process, NULL);
    printf("\n");
    return 0;
}
