/* cmd_explain.c -- the reasoning chain of a stored case. */
#include <string.h>
#include <unistd.h>

#include "command.h"
#include "fenmend/records.h"
#include "load.h"
#include "names.h"
#include "util/alloc.h"

enum { TEXT, JSON, DOT };

typedef struct explain_args {
    int format;
    const char *of; /* which case */
} explain_args;

#define TO(member) offsetof(explain_args, member)
static const fen_opt explain_opts[] = {
    { FEN_OPT_TEXT, 'c', "case", TO(of), "ID", "which case, in a file of many: its name, as 'check' shows it" },
    { FEN_OPT_CHOICE, 'f', "format", TO(format), "text|json|dot", "shape of the chain; dot: a graph for Graphviz" },
    { .type = FEN_OPT_END },
};

static fen_exit fail(const fen_run *run, fen_status st)
{
    fen_message_status(run->err, "fenmend", st, 0);
    return fen_exit_for(st, 0);
}

static fen_status show_one(fen_session *s, fen_page *page, fen_id cause)
{
    fen_because *b;
    const fen_status st = fen_why_because(s, cause, &b);
    if (st)
        return st;
    fen_show_because(page, s, b);
    fen_because_free(b);
    return FEN_OK;
}

static fen_status show_each(fen_session *s, fen_page *page, fen_list causes)
{
    fen_status st = FEN_OK;
    for (uint32_t i = 0; !st && i < causes.count; i++) {
        if (i)
            fen_show_text(page, "");
        st = show_one(s, page, causes.at[i]);
    }
    return st;
}

static fen_exit show(const fen_run *run, fen_session *s, fen_list causes)
{
    fen_page *page;
    fen_status st = fen_page_new(fen_command_look(run, STDOUT_FILENO), &page);
    if (st)
        return fail(run, st);
    st = show_each(s, page, causes);
    if (!st)
        st = fen_page_status(page);
    if (!st) {
        size_t len;
        const char *text = fen_page_text(page, &len);
        fen_sink_put(run->out, text, len);
    }
    fen_page_free(page);
    return st ? fail(run, st) : FEN_EXIT_DONE;
}

static fen_exit write_data(const fen_run *run, fen_session *s, const fen_case *c, fen_list causes, int format)
{
    fen_str text;
    fen_str_init(&text, SIZE_MAX / 4);
    const fen_status st = format == JSON ? fen_explain_json(&text, s, c, causes.at, causes.count)
                                         : fen_explain_dot(&text, s, c, causes.at, causes.count);
    if (!st)
        fen_sink_put(run->out, text.at, text.len);
    fen_str_free(&text);
    return st ? fail(run, st) : FEN_EXIT_DONE;
}

/* The verdict's lists do not outlive the next trial of an answer. */
static fen_list copy_list(fen_list list, fen_id *room)
{
    for (uint32_t i = 0; i < list.count; i++)
        room[i] = list.at[i];
    return (fen_list){ room, list.count };
}

static fen_exit show_causes(const fen_run *run, fen_session *s, const fen_case *c, fen_id cause)
{
    const explain_args *args = run->own;
    const fen_list shown = cause == FEN_NONE ? fen_session_verdict(s)->shown : (fen_list){ &cause, 1 };
    fen_id *room = fen_alloc((shown.count + 1) * sizeof *room);
    if (!room)
        return fail(run, FEN_ENOMEM);
    const fen_list causes = copy_list(shown, room);
    const fen_exit e = args->format == TEXT ? show(run, s, causes) : write_data(run, s, c, causes, args->format);
    fen_free(room);
    return e;
}

static fen_exit find_and_show(const fen_run *run, fen_session *s, const fen_case *c)
{
    char err[FEN_NAMES_ERROR];
    fen_id cause = FEN_NONE;
    if (run->n_operands > 1 && fen_names_cause(s, run->operands[1], strlen(run->operands[1]), FEN_NAMES_LISTED, &cause, err)) {
        fen_message(run->err, FEN_ERROR, "fenmend", err);
        return FEN_EXIT_INPUT;
    }
    return show_causes(run, s, c, cause);
}

static fen_exit explain(fen_run *run)
{
    const explain_args *args = run->own;
    fen_base *base = NULL;
    fen_case *c = NULL;
    fen_session *s = NULL;
    fen_exit e = fen_load_base(run, &base);
    if (!e)
        e = fen_load_one(run, base, run->operands[0], args->of, &c, &s);
    if (!e)
        e = find_and_show(run, s, c);
    fen_session_free(s);
    fen_case_free(c);
    fen_base_free(base);
    return e;
}

const fen_command fen_cmd_explain = {
    .name = "explain",
    .operands = "CASEFILE [CAUSE]",
    .does = "where a stored case's verdict comes from",
    .about = "Shows the chain from the answers of the case's last visit through the rules to the verdict, each step with its weight. "
             "Without a cause: of all that 'check' names, the leading cause and those that must be there besides it.\n"
             "The case may be one of many: a file in any format that 'check' reads, or '-' for standard input.",
    .least = 1,
    .most = 2,
    .opts = explain_opts,
    .own_size = sizeof(explain_args),
    .run = explain,
};
