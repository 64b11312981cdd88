/* cmd_reckon.c -- the calculators by themselves.
 */
#include <errno.h>
#include <math.h>
#include <string.h>
#include <unistd.h>

#include "command.h"
#include "fenmend/reckon_view.h"
#include "util/alloc.h"
#include "util/file.h"
#include "util/limits.h"
#include "util/near.h"

enum { TEXT, JSON };
enum { RESULT, FORMULA };

typedef struct reckon_args {
    int format, show;
} reckon_args;

#define TO(member) offsetof(reckon_args, member)
static const fen_opt reckon_opts[] = {
    { FEN_OPT_CHOICE, 'f', "format", TO(format), "text|json", "shape of the result; json names the stored unit of each value" },
    { FEN_OPT_CHOICE, 0, "show", TO(show), "result|formula", "formula: with the formula as well" },
    { .type = FEN_OPT_END },
};

/* One calculation while it is gathered. */
typedef struct calculation {
    const fen_reckoner *r;
    fen_reckon_value in[FEN_RECKON_INPUTS];
    double out[FEN_RECKON_OUTPUTS];
    const char *log_path; /* or NULL */
    char *log;            /* its text, owned */
} calculation;

static fen_exit fail(const fen_run *run, fen_status st)
{
    fen_message_status(run->err, "fenmend", st, 0);
    return fen_exit_for(st, 0);
}

static bool as_json(const fen_run *run)
{
    return ((const reckon_args *)run->own)->format == JSON;
}

/* ---- refusals ---- */

static fen_exit refuse(const fen_run *run, const fen_reckon_error *e)
{
    fen_messagef(run->err, FEN_ERROR, "fenmend", "%s; %s [%s]", e->wrong, e->right, fen_code_name(e->code));
    return FEN_EXIT_INPUT;
}

/* The log's line LINE, or NULL if it cannot be copied. */
static char *copy_line(const char *text, uint32_t line)
{
    while (line > 1 && text) {
        const char *end = strchr(text, '\n');
        text = end ? end + 1 : NULL;
        line--;
    }
    return text ? fen_strndup(text, strcspn(text, "\r\n")) : NULL;
}

static fen_status add_log_problem(const calculation *k, const fen_reckon_error *e, fen_problems *problems)
{
    fen_place place = { .line = e->line, .column = e->column, .width = 1 };
    const fen_status st = fen_problems_file(problems, k->log_path, &place.file);
    if (st)
        return st;
    char *line = copy_line(k->log, e->line);
    fen_problems_add(problems, FEN_ERROR, e->code, place, line, e->right, "%s", e->wrong);
    fen_free(line);
    return fen_problems_status(problems);
}

/* A broken log is told with its file, line and column. */
static fen_exit refuse_log(const fen_run *run, const calculation *k, const fen_reckon_error *e)
{
    fen_problems *problems = NULL;
    fen_page *page = NULL;
    fen_status st = fen_problems_new(&problems);
    if (!st)
        st = add_log_problem(k, e, problems);
    if (!st)
        st = fen_page_new(fen_command_look(run, STDERR_FILENO), &page);
    if (!st) {
        fen_show_problems(page, problems);
        st = fen_page_status(page);
    }
    if (!st)
        fen_sink_puts(run->err, fen_page_text(page, NULL));
    fen_page_free(page);
    fen_problems_free(problems);
    return st ? fail(run, st) : FEN_EXIT_INPUT;
}

static fen_exit unknown_reckoner(const fen_run *run, const char *name)
{
    fen_near near;
    fen_near_begin(&near, name, strlen(name));
    for (size_t i = 0; i < fen_reckoners(); i++)
        fen_near_offer(&near, fen_reckoner_at(i)->name);
    if (near.name)
        fen_messagef(run->err, FEN_ERROR, "fenmend", "nothing named '%.80s' can be reckoned; did you mean '%s'", name, near.name);
    else
        fen_messagef(run->err, FEN_ERROR, "fenmend", "nothing named '%.80s' can be reckoned; 'fenmend reckon' lists what can", name);
    return FEN_EXIT_INPUT;
}

static fen_exit unknown_input(const fen_run *run, const fen_reckoner *r, const char *name, size_t len)
{
    fen_near near;
    const int shown = (int)(len > 80 ? 80 : len);
    fen_near_begin(&near, name, len);
    for (size_t i = 0; i < r->n_inputs; i++)
        fen_near_offer(&near, r->inputs[i].name);
    if (near.name)
        fen_messagef(run->err, FEN_ERROR, "fenmend", "'%s' takes no '%.*s'; did you mean '%s'", r->name, shown, name, near.name);
    else
        fen_messagef(run->err, FEN_ERROR, "fenmend", "'%s' takes no '%.*s'; 'fenmend reckon %s' tells what it takes", r->name, shown, name, r->name);
    return FEN_EXIT_INPUT;
}

/* ---- gathering ---- */

static fen_exit read_log(const fen_run *run, calculation *k, size_t input, const char *path)
{
    size_t len = 0;
    const fen_status st = fen_file_read(path, FEN_CASE_MAX, &k->log, &len);
    const int error = errno;
    if (st == FEN_EINPUT) {
        fen_messagef(run->err, FEN_ERROR, path, "this is a folder, or larger than a log of %u MB; name a file of temperatures", FEN_CASE_MAX >> 20);
        return FEN_EXIT_INPUT;
    }
    if (st) {
        fen_message_status(run->err, path, st, error);
        return fen_exit_for(st, error);
    }
    k->log_path = strcmp(path, "-") ? path : "standard input";
    k->in[input] = (fen_reckon_value){ .number = (double)NAN, .text = k->log, .len = len, .given = true };
    return FEN_EXIT_DONE;
}

/* "name=value" */
static fen_exit take_operand(const fen_run *run, calculation *k, const char *operand)
{
    fen_reckon_error e;
    const char *is = strchr(operand, '=');
    if (!is || is == operand) {
        fen_messagef(run->err, FEN_ERROR, "fenmend", "'%.80s' is not an input; write name=value, as in '%s=...'", operand, k->r->inputs[0].name);
        return FEN_EXIT_INPUT;
    }
    const size_t i = fen_reckon_input_find(k->r, operand, (size_t)(is - operand));
    if (i == FEN_RECKON_NONE)
        return unknown_input(run, k->r, operand, (size_t)(is - operand));
    if (k->in[i].given) {
        fen_messagef(run->err, FEN_ERROR, "fenmend", "'%s' is given twice; leave one out", k->r->inputs[i].name);
        return FEN_EXIT_INPUT;
    }
    if (k->r->inputs[i].measure == FEN_MEASURE_LOG)
        return read_log(run, k, i, is + 1);
    return fen_reckon_read(k->r, i, is + 1, strlen(is + 1), &k->in[i], &e) ? refuse(run, &e) : FEN_EXIT_DONE;
}

/* Where a calculation asks for today and nothing else was given in its stead. */
static void take_today(const fen_run *run, calculation *k)
{
    const size_t today = fen_reckon_input_find(k->r, "today", strlen("today"));
    if (today == FEN_RECKON_NONE || k->in[today].given)
        return;
    const char group = k->r->inputs[today].group;
    for (size_t i = 0; group && i < k->r->n_inputs; i++)
        if (k->r->inputs[i].group == group && k->in[i].given)
            return;
    k->in[today] = (fen_reckon_value){ .number = fen_command_today(run), .given = true };
}

/* ---- showing ---- */

static fen_exit put_json(const fen_run *run, const calculation *k)
{
    fen_str text;
    fen_str_init(&text, FEN_CASE_MAX);
    if (!k)
        fen_json_reckoners(&text);
    else if (run->n_operands < 2)
        fen_json_reckoner(&text, k->r);
    else
        fen_json_reckoning(&text, k->r, k->in, k->out);
    const fen_status st = fen_str_status(&text);
    if (!st)
        fen_sink_put(run->out, text.at, text.len);
    fen_str_free(&text);
    return st ? fail(run, st) : FEN_EXIT_DONE;
}

static fen_exit put_text(const fen_run *run, const calculation *k)
{
    fen_page *page;
    fen_status st = fen_page_new(fen_command_look(run, STDOUT_FILENO), &page);
    if (st)
        return fail(run, st);
    if (!k)
        fen_show_reckoners(page);
    else if (run->n_operands < 2)
        fen_show_reckoner(page, k->r);
    else
        fen_show_reckoning(page, k->r, k->in, k->out, ((const reckon_args *)run->own)->show == FORMULA);
    st = fen_page_status(page);
    if (!st)
        fen_sink_puts(run->out, fen_page_text(page, NULL));
    fen_page_free(page);
    return st ? fail(run, st) : FEN_EXIT_DONE;
}

static fen_exit show(const fen_run *run, const calculation *k)
{
    return as_json(run) ? put_json(run, k) : put_text(run, k);
}

static fen_exit calculate(const fen_run *run, calculation *k)
{
    fen_reckon_error e;
    for (uint32_t i = 1; i < run->n_operands; i++) {
        const fen_exit bad = take_operand(run, k, run->operands[i]);
        if (bad)
            return bad;
    }
    take_today(run, k);
    if (!fen_reckon_run(k->r, k->in, k->out, &e))
        return show(run, k);
    return e.line && k->log ? refuse_log(run, k, &e) : refuse(run, &e);
}

static fen_exit reckon(fen_run *run)
{
    calculation k = { 0 };
    if (!run->n_operands)
        return show(run, NULL);
    k.r = fen_reckoner_find(run->operands[0], strlen(run->operands[0]));
    if (!k.r)
        return unknown_reckoner(run, run->operands[0]);
    if (run->n_operands < 2)
        return show(run, &k);
    fen_reckon_begin(k.r, k.in);
    const fen_exit e = calculate(run, &k);
    fen_free(k.log);
    return e;
}

const fen_command fen_cmd_reckon = {
    .name = "reckon",
    .operands = "[WHAT [NAME=VALUE]...]",
    .does = "reckon water, light, air, season, pots and meals",
    .about = "Without anything: what can be reckoned. With WHAT: what it takes and gives, its formula, and an example. With values: the result, "
             "what it was reckoned from, and how far to trust it. Values are written with their unit, as in pot=1l or air=75F; --units chooses those of the result. A log is the name of a file, or - for standard input. An input named today is the day of --today, or of the clock, if it is left out.",
    .most = UINT32_MAX,
    .opts = reckon_opts,
    .own_size = sizeof(reckon_args),
    .run = reckon,
};
