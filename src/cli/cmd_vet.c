/* cmd_vet.c -- the checks of a rule base, as its author wants to see them. */
#include <errno.h>
#include <unistd.h>

#include "command.h"
#include "load.h"

static fen_exit fail(const fen_run *run, fen_status st, int error)
{
    fen_message_status(run->err, "the rules", st, error);
    return fen_exit_for(st, error);
}

static void count(fen_sink *out, size_t n, const char *one, const char *end)
{
    fen_sink_printf(out, "%zu %s%s%s", n, one, n == 1 ? "" : "s", end);
}

static void sum_up(fen_sink *out, const fen_base *base, const fen_problems *problems)
{
    const size_t errors = fen_problems_errors(problems);
    count(out, errors, "error", ", ");
    count(out, fen_problems_count(problems) - errors, "warning", "");
    if (base) {
        fen_sink_puts(out, " in ");
        count(out, fen_base_findings(base) - 1u, "finding", ", ");
        count(out, fen_base_causes(base) - 1u, "cause", ", ");
        count(out, fen_base_rules(base), "rule", ", ");
        fen_sink_printf(out, "%u remed%s", (unsigned)fen_base_remedies(base), fen_base_remedies(base) == 1 ? "y" : "ies");
    }
    fen_sink_puts(out, "\n");
}

static fen_exit check(const fen_run *run, const fen_load_paths *paths, fen_problems *problems)
{
    fen_base *base = NULL;
    fen_status st = fen_base_load((const char *const *)paths->at, paths->count, problems, &base);
    const int error = errno;
    if (st && !fen_problems_count(problems))
        return fail(run, st, error);
    if (fen_load_print(run, problems, run->out, STDOUT_FILENO)) {
        fen_base_free(base);
        return fail(run, FEN_ENOMEM, 0);
    }
    sum_up(run->out, base, problems);
    fen_base_free(base);
    if (st && st != FEN_EINPUT)
        return fen_exit_for(st, error);
    return fen_problems_errors(problems) ? FEN_EXIT_ATTENTION : FEN_EXIT_DONE;
}

static fen_exit vet(fen_run *run)
{
    fen_load_paths paths;
    fen_problems *problems;
    fen_exit e = fen_load_list(run, run->operands, run->n_operands, &paths);
    if (e)
        return e;
    const fen_status st = fen_problems_new(&problems);
    if (st) {
        e = fail(run, st, 0);
    } else {
        e = check(run, &paths, problems);
        fen_problems_free(problems);
    }
    fen_load_paths_free(&paths);
    return e;
}

const fen_command fen_cmd_vet = {
    .name = "vet",
    .operands = "[PACK]...",
    .does = "check the rules",
    .about = "Loads all rules together with the packs named and prints every problem found. The exit status is 1 if there are errors. "
             "With --only-rules nothing but the packs of --rules and those named are read.",
    .most = UINT32_MAX,
    .run = vet,
};
