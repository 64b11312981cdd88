#include "command.h"

#include <errno.h>
#include <fcntl.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

#include "columns.h"
#include "util/alloc.h"
#include "util/date.h"
#include "util/near.h"

static const fen_command *const commands[] = {
    &fen_cmd_triage,
    &fen_cmd_check,
    &fen_cmd_explain,
    &fen_cmd_plan,
    &fen_cmd_due,
    &fen_cmd_shared,
    &fen_cmd_vet,
    &fen_cmd_lesson,
    &fen_cmd_impact,
    &fen_cmd_tune,
    &fen_cmd_reckon,
};

#define TO(member) offsetof(fen_common, member)
static const fen_opt common_opts[] = {
    {FEN_OPT_LIST, 0, "rules", TO(rules), "FILE|FOLDER", "add a pack, or a folder's packs, to the rules; may be given again"},
    {FEN_OPT_FLAG, 0, "only-rules", TO(only_rules), NULL, "use nothing but the packs of --rules"},
    {FEN_OPT_CHOICE, 0, "units", TO(units), "metric|us", "show quantities in these units; any unit may be typed"},
    {FEN_OPT_DATE, 0, "today", TO(today), "DATE", "take this for today, as in 2026-07-12"},
    {FEN_OPT_CHOICE, 0, "color", TO(colour), "auto|always|never", "colour the output; auto: on a terminal, without NO_COLOR"},
    {FEN_OPT_FLAG, 'h', "help", TO(help), NULL, "say what there is, and exit"},
    {FEN_OPT_FLAG, 'V', "version", TO(version), NULL, "say the version, and exit"},
    {.type = FEN_OPT_END},
};
static const fen_opt no_opts[] = {{.type = FEN_OPT_END}};

const fen_command *fen_command_at(size_t i)
{
    return i < FEN_COUNT(commands) ? commands[i] : NULL;
}

const fen_opt *fen_command_common(void)
{
    return common_opts;
}

fen_look fen_command_look(const fen_run *run, int fd)
{
    return (fen_look){
        .width = fen_term_width(fd),
        .colour = fen_term_colour((fen_colour)run->common->colour, fd),
        .ascii = !fen_term_utf8(),
        .us = run->common->units == 1,
        .whole = fen_term_unbounded(fd),
    };
}

int32_t fen_command_today(const fen_run *run)
{
    if (run->common->today.given)
        return run->common->today.day;
    const time_t now = time(NULL);
    struct tm parts;
    if (!localtime_r(&now, &parts))
        return (int32_t)(now / 86400);
    return fen_date_day(parts.tm_year + 1900, parts.tm_mon + 1, parts.tm_mday);
}

const char *fen_command_author(void)
{
    static const char *const names[] = {"LOGNAME", "USER"};
    for (size_t i = 0; i < FEN_COUNT(names); i++) {
        const char *name = getenv(names[i]);
        if (name && *name)
            return name;
    }
    return NULL;
}

/* ---- help --------------------------------------------------------------------- */

static void help_program(fen_str *out, size_t width)
{
    fen_columns_text(out, "usage: fenmend [OPTION]... [COMMAND [ARGUMENT]...]", width);
    fen_columns_text(out, "\nFinds out what ails a carnivorous plant: asks what is seen and measured, ranks the causes, says why and what to do. "
                          "Without a command: triage.",
                     width);
    fen_str_puts(out, "\ncommands:\n");
    for (size_t i = 0; i < FEN_COUNT(commands); i++) {
        fen_str usage;
        fen_str_init(&usage, 256);
        fen_str_printf(&usage, "%s %s", commands[i]->name, commands[i]->operands);
        fen_columns_put(out, usage.at, commands[i]->does, 32, width);
        fen_str_free(&usage);
    }
    fen_str_puts(out, "\noptions of every command:\n");
    fen_opt_help(out, common_opts, width);
    fen_columns_text(out, "\n'fenmend COMMAND --help' tells more about one. Exit status: 0 done; 1 done, and something needs attention; "
                          "2 unusable input or usage; 3 a fault of the machine.",
                     width);
}

static void help_command(fen_str *out, const fen_command *c, size_t width)
{
    fen_str usage;
    fen_str_init(&usage, 256);
    fen_str_printf(&usage, "usage: fenmend %s [OPTION]... %s", c->name, c->operands);
    fen_columns_text(out, usage.at, width);
    fen_str_free(&usage);
    fen_str_puts(out, "\n");
    fen_columns_text(out, c->about, width);
    if (c->opts) {
        fen_str_puts(out, "\noptions:\n");
        fen_opt_help(out, c->opts, width);
    }
    fen_str_puts(out, "\noptions of every command:\n");
    fen_opt_help(out, common_opts, width);
}

static fen_exit say_help(const fen_run *run)
{
    fen_str text;
    fen_exit e = FEN_EXIT_DONE;
    fen_str_init(&text, 1u << 20);
    if (run->command && run->command->help_on && run->n_operands)
        e = run->command->help_on(run, &text, fen_term_width(STDOUT_FILENO));
    else if (run->command)
        help_command(&text, run->command, fen_term_width(STDOUT_FILENO));
    else
        help_program(&text, fen_term_width(STDOUT_FILENO));
    const fen_status st = fen_str_status(&text);
    if (st)
        fen_message_status(run->err, "fenmend", st, 0);
    else
        fen_sink_puts(run->out, text.at);
    fen_str_free(&text);
    return st ? fen_exit_for(st, 0) : e;
}

static fen_exit say_version(const fen_run *run)
{
    fen_sink_puts(run->out, "fenmend " FENMEND_VERSION "\n"
                            "Free software under the GNU General Public License, version 3.\n"
                            "There is no warranty, as far as the law allows.\n");
    return FEN_EXIT_DONE;
}

/* ---- running -------------------------------------------------------------------- */

static fen_exit refuse_usage(const fen_run *run, const char *text)
{
    fen_message(run->err, FEN_ERROR, "fenmend", text);
    return FEN_EXIT_INPUT;
}

static fen_exit unknown_command(const fen_run *run, const char *name)
{
    fen_near near;
    char text[256];
    fen_near_begin(&near, name, strlen(name));
    for (size_t i = 0; i < FEN_COUNT(commands); i++)
        fen_near_offer(&near, commands[i]->name);
    if (near.name)
        snprintf(text, sizeof text, "unknown command '%.80s'; did you mean '%s'", name, near.name);
    else if (access(name, F_OK) == 0)
        snprintf(text, sizeof text, "unknown command '%.80s'; to go on with a case, write 'fenmend triage %.80s'", name, name);
    else
        snprintf(text, sizeof text, "unknown command '%.80s'; 'fenmend --help' lists them", name);
    return refuse_usage(run, text);
}

static fen_exit check_operands(const fen_run *run)
{
    char text[256];
    const fen_command *c = run->command;
    if (run->n_operands < c->least)
        snprintf(text, sizeof text, "'%s' needs more; write 'fenmend %s %s'", c->name, c->name, c->operands);
    else if (run->n_operands > c->most)
        snprintf(text, sizeof text, "'%.80s' is one argument too many; write 'fenmend %s %s'", run->operands[c->most], c->name, c->operands);
    else
        return FEN_EXIT_DONE;
    return refuse_usage(run, text);
}

/* The command is known; ARGV is what stands after it. */
static fen_exit run_command(fen_run *run, fen_common *common, int argc, char **argv)
{
    const fen_command *c = run->command;
    char err[FEN_OPT_ERROR];
    fen_opt_list operands = {0};
    int used;
    run->own = fen_calloc(1, c->own_size ? c->own_size : 1);
    fen_status st = run->own ? FEN_OK : FEN_ENOMEM;
    if (!st) {
        const fen_opt_group groups[] = {{common_opts, common}, {c->opts ? c->opts : no_opts, run->own}};
        st = fen_opt_read(groups, FEN_COUNT(groups), argc, argv, false, &operands, &used, err);
    }
    run->operands = operands.at;
    run->n_operands = operands.count;
    fen_exit e = fen_exit_for(st, 0);
    if (st == FEN_EINPUT)
        e = refuse_usage(run, err);
    else if (st)
        fen_message_status(run->err, "fenmend", st, 0);
    else if (common->help)
        e = say_help(run);
    else if (common->version)
        e = say_version(run);
    else if (!(e = check_operands(run)))
        e = c->run(run);
    fen_opt_list_free(&operands);
    fen_free(run->own);
    return e;
}

static fen_exit run_line(fen_run *run, fen_common *common, int argc, char **argv)
{
    char err[FEN_OPT_ERROR];
    fen_opt_list none = {0};
    int used = 0;
    const fen_opt_group group = {common_opts, common};
    const fen_status st = fen_opt_read(&group, 1, argc, argv, true, &none, &used, err);
    if (st == FEN_EINPUT)
        return refuse_usage(run, err);
    if (st) {
        fen_message_status(run->err, "fenmend", st, 0);
        return fen_exit_for(st, 0);
    }
    if (used == argc) {
        run->command = common->help ? NULL : commands[0];
        return common->help ? say_help(run) : run_command(run, common, 0, NULL);
    }
    for (size_t i = 0; i < FEN_COUNT(commands); i++)
        if (strcmp(argv[used], commands[i]->name) == 0)
            run->command = commands[i];
    if (!run->command)
        return unknown_command(run, argv[used]);
    return run_command(run, common, argc - used - 1, argv + used + 1);
}

/* A standard stream that was closed is held by something that fails when used:
 * otherwise the next file opened would take its place and be written over. */
static void hold_streams(void)
{
    static const int mode[] = {O_WRONLY, O_RDONLY, O_RDONLY};
    for (int fd = 0; fd < 3; fd++)
        if (fcntl(fd, F_GETFD) < 0 && errno == EBADF && open("/dev/null", mode[fd]) != fd)
            _exit(FEN_EXIT_MACHINE);
}

/* Results that did not arrive are a fault, except when the reader has gone: then
 * it has what it wanted. */
static fen_exit close_output(fen_run *run, fen_exit e)
{
    const fen_status st = fen_sink_finish(run->out);
    const int error = st == FEN_EIO ? errno : 0;
    if (st && error != EPIPE) {
        fen_message_status(run->err, "standard output", st, error);
        e = FEN_EXIT_MACHINE;
    }
    if (fen_sink_finish(run->err) && !e)
        e = FEN_EXIT_MACHINE;
    return e;
}

int fen_command_main(int argc, char **argv)
{
    hold_streams();
    fen_term_start();
    fen_sink out = fen_sink_file(stdout), err = fen_sink_file(stderr);
    fen_common common = {0};
    fen_run run = {.common = &common, .out = &out, .err = &err};
    fen_exit e = run_line(&run, &common, argc > 0 ? argc - 1 : 0, argv + (argc > 0));
    e = close_output(&run, e);
    fen_opt_list_free(&common.rules);
    return (int)e;
}
