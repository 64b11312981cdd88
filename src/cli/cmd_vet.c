/* cmd_vet.c -- the checks of a rule base, as its author wants to see them. */
#include <errno.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>

#include "columns.h"
#include "command.h"
#include "fenmend/vet.h"
#include "load.h"
#include "util/file.h"
#include "util/near.h"

enum { TEXT, SARIF };
#define ROUNDS 16 /* of mending: what mending one thing shows at last */

typedef struct vet_args {
    int format;
    bool fix, strict;
} vet_args;

#define TO(member) offsetof(vet_args, member)
static const fen_opt vet_opts[] = {
    { FEN_OPT_CHOICE, 'f', "format", TO(format), "text|sarif", "shape of the results; sarif: a SARIF 2.1.0 log" },
    { FEN_OPT_FLAG, 0, "fix", TO(fix), NULL, "mend in the packs named what has one obvious answer" },
    { FEN_OPT_FLAG, 0, "strict", TO(strict), NULL, "exit 1 if there are warnings, too" },
    { .type = FEN_OPT_END },
};

static fen_exit fail(const fen_run *run, fen_status st, int error)
{
    fen_message_status(run->err, "the rules", st, error);
    return fen_exit_for(st, error);
}

/* ---- telling ------------------------------------------------------------------------ */

static size_t count_of(const fen_problems *problems, fen_severity severity)
{
    size_t n = 0;
    for (size_t i = 0; i < fen_problems_count(problems); i++)
        n += fen_problems_at(problems, i)->severity == severity;
    return n;
}

static void count(fen_sink *out, size_t n, const char *one, const char *end)
{
    fen_sink_printf(out, "%zu %s%s%s", n, one, n == 1 ? "" : "s", end);
}

static void sum_up(fen_sink *out, const fen_base *base, const fen_problems *problems)
{
    const size_t notes = count_of(problems, FEN_NOTE);
    count(out, fen_problems_errors(problems), "error", ", ");
    count(out, count_of(problems, FEN_WARNING), "warning", notes ? ", " : "");
    if (notes)
        count(out, notes, "note", "");
    if (base) {
        fen_sink_puts(out, " in ");
        count(out, fen_base_findings(base) - 1u, "finding", ", ");
        count(out, fen_base_causes(base) - 1u, "cause", ", ");
        count(out, fen_base_rules(base), "rule", ", ");
        fen_sink_printf(out, "%u remed%s", (unsigned)fen_base_remedies(base), fen_base_remedies(base) == 1 ? "y" : "ies");
    }
    fen_sink_puts(out, "\n");
}

static fen_status tell(const fen_run *run, const fen_base *base, const fen_problems *problems)
{
    const vet_args *args = run->own;
    if (args->format == TEXT) {
        const fen_status st = fen_load_print(run, problems, run->out, STDOUT_FILENO);
        if (!st)
            sum_up(run->out, base, problems);
        return st;
    }
    fen_str log;
    fen_str_init(&log, (size_t)256 << 20);
    fen_vet_sarif(&log, problems, FENMEND_VERSION);
    fen_sink_put(run->out, log.at, log.len);
    const fen_status st = fen_str_status(&log);
    fen_str_free(&log);
    return st;
}

/* ---- judging ------------------------------------------------------------------------- */

static fen_exit judge(const fen_run *run, const fen_load_paths *paths, fen_problems *problems)
{
    const vet_args *args = run->own;
    fen_base *base = NULL;
    fen_status st = fen_vet((const char *const *)paths->at, paths->count, problems, &base);
    const int error = errno;
    if (st && !fen_problems_count(problems))
        return fail(run, st, error);
    fen_problems_sort(problems);
    if (tell(run, base, problems)) {
        fen_base_free(base);
        return fail(run, FEN_ENOMEM, 0);
    }
    fen_base_free(base);
    if (st && st != FEN_EINPUT)
        return fen_exit_for(st, error);
    const bool attention = fen_problems_errors(problems) || (args->strict && count_of(problems, FEN_WARNING));
    return attention ? FEN_EXIT_ATTENTION : FEN_EXIT_DONE;
}

/* ---- mending ------------------------------------------------------------------------- */

/* Every pack of PATH, a file or a folder. */
static fen_status mend_path(const fen_run *run, const fen_problems *problems, const char *path, size_t *mended)
{
    char **names;
    size_t n, here;
    if (!fen_file_is_folder(path)) {
        const fen_status st = fen_vet_mend(problems, path, &here);
        if (st == FEN_EIO)
            fen_message_status(run->err, path, st, errno);
        if (!st)
            *mended += here;
        return st == FEN_EINPUT ? FEN_OK : st; /* what cannot be read was told */
    }
    if (fen_file_list(path, ".yaml", &names, &n))
        return FEN_OK;
    fen_status st = FEN_OK;
    for (size_t i = 0; i < n && !st; i++)
        st = mend_path(run, problems, names[i], mended);
    fen_file_names_free(names, n);
    return st;
}

/* Only what was named is written to: the packs that came with the program will come anew. */
static fen_status mend_named(const fen_run *run, const fen_problems *problems, size_t *ret_mended)
{
    fen_status st = FEN_OK;
    *ret_mended = 0;
    for (uint32_t i = 0; i < run->common->rules.count && !st; i++)
        st = mend_path(run, problems, run->common->rules.at[i], ret_mended);
    for (uint32_t i = 0; i < run->n_operands && !st; i++)
        st = mend_path(run, problems, run->operands[i], ret_mended);
    return st;
}

static fen_status mend_once(const fen_run *run, const fen_load_paths *paths, size_t *ret_mended)
{
    fen_problems *problems;
    fen_base *base = NULL;
    fen_status st = fen_problems_new(&problems);
    if (st)
        return st;
    st = fen_vet((const char *const *)paths->at, paths->count, problems, &base);
    fen_base_free(base);
    *ret_mended = 0;
    if (!st || st == FEN_EINPUT)
        st = mend_named(run, problems, ret_mended);
    fen_problems_free(problems);
    return st;
}

static fen_exit mend(const fen_run *run, const fen_load_paths *paths)
{
    size_t all = 0, now = 0;
    if (!run->n_operands && !run->common->rules.count) {
        fen_message(run->err, FEN_ERROR, "fenmend", "nothing is named that '--fix' may write to; name a pack");
        return FEN_EXIT_INPUT;
    }
    for (int i = 0; i < ROUNDS; i++) {
        const fen_status st = mend_once(run, paths, &now);
        if (st == FEN_EIO)
            return FEN_EXIT_MACHINE;
        if (st)
            return fail(run, st, 0);
        all += now;
        if (!now)
            break;
    }
    if (all)
        fen_messagef(run->err, FEN_NOTE, "fenmend", "%zu mended", all);
    return FEN_EXIT_DONE;
}

static fen_exit vet(fen_run *run)
{
    const vet_args *args = run->own;
    fen_load_paths paths;
    fen_problems *problems;
    fen_exit e = fen_load_list(run, run->operands, run->n_operands, &paths);
    if (e)
        return e;
    if (args->fix)
        e = mend(run, &paths);
    const fen_status st = e ? FEN_OK : fen_problems_new(&problems);
    if (st) {
        e = fail(run, st, 0);
    } else if (!e) {
        e = judge(run, &paths, problems);
        fen_problems_free(problems);
    }
    fen_load_paths_free(&paths);
    return e;
}

/* ---- help on codes --------------------------------------------------------------------- */

static void say_code(fen_str *out, fen_code c, size_t width)
{
    static const char *const severities[] = { [FEN_NOTE] = "note", [FEN_WARNING] = "warning", [FEN_ERROR] = "error" };
    fen_str head;
    fen_str_init(&head, 256);
    fen_str_printf(&head, "%s (%s)", fen_code_name(c), severities[fen_code_severity(c)]);
    fen_columns_text(out, head.at, width);
    fen_columns_text(out, fen_code_help(c), width);
    fen_str_free(&head);
}

/* `--help CODE...`: what the codes mean. */
static fen_exit explain(const fen_run *run, fen_str *out, size_t width)
{
    for (uint32_t i = 0; i < run->n_operands; i++) {
        fen_near near;
        fen_code c = 0;
        fen_near_begin(&near, run->operands[i], strlen(run->operands[i]));
        while (c < FEN_CODE_COUNT && strcmp(fen_code_name(c), run->operands[i]) != 0)
            fen_near_offer(&near, fen_code_name(c++));
        if (c == FEN_CODE_COUNT) {
            char text[256];
            snprintf(text, sizeof text, "there is no problem code '%.80s'; %s%s%s", run->operands[i],
                     near.name ? "did you mean '" : "codes stand in brackets behind problems", near.name ? near.name : "",
                     near.name ? "'" : "");
            fen_message(run->err, FEN_ERROR, "fenmend", text);
            return FEN_EXIT_INPUT;
        }
        if (i)
            fen_str_puts(out, "\n");
        say_code(out, c, width);
    }
    return FEN_EXIT_DONE;
}

const fen_command fen_cmd_vet = {
    .name = "vet",
    .operands = "[PACK]...",
    .does = "check the rules",
    .about = "Loads all rules together with the packs named and prints every problem found: what keeps them from loading is an error; rules "
             "that do not do what they seem to are warnings; what is missing or unwieldy is a note. With --only-rules nothing but the packs of "
             "--rules and those named are read.\n"
             "'fenmend vet --help CODE' says what a code in brackets means and what to do about it.\n"
             "--fix writes to the packs named and no others: a name one letter away from the only one it can be, 'is' where 'includes' "
             "belongs, a caution that a step lacks, a number in a unit that nobody would use. Comments and order stay.\n"
             "Exit status: 1 if there are errors, with --strict also for warnings; else 0.",
    .most = UINT32_MAX,
    .opts = vet_opts,
    .own_size = sizeof(vet_args),
    .run = vet,
    .help_on = explain,
};
