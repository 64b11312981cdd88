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
} explain_args;

#define TO(member) offsetof(explain_args, member)
static const fen_opt explain_opts[] = {
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

/* Without a cause named: those that together explain the plant, else the one that leads. */
static fen_status show_verdicts(fen_session *s, fen_page *page)
{
    const fen_verdict *v = fen_session_verdict(s);
    const uint32_t n = v->covering.count ? v->covering.count : v->ranking.count ? 1 : 0;
    fen_status st = FEN_OK;
    for (uint32_t i = 0; !st && i < n; i++) {
        v = fen_session_verdict(s);
        if (i)
            fen_show_text(page, "");
        st = show_one(s, page, v->covering.count ? v->covering.at[i] : v->ranking.at[0]);
    }
    return st;
}

static fen_exit show(const fen_run *run, fen_session *s, fen_id cause)
{
    fen_page *page;
    fen_status st = fen_page_new(fen_command_look(run, STDOUT_FILENO), &page);
    if (st)
        return fail(run, st);
    st = cause == FEN_NONE ? show_verdicts(s, page) : show_one(s, page, cause);
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

/* As data. Without a cause named, the same causes as in the text. */
static fen_exit write_data(const fen_run *run, fen_session *s, const fen_case *c, fen_id cause, int format)
{
    const fen_verdict *v = fen_session_verdict(s);
    const uint32_t n = cause != FEN_NONE ? 1 : v->covering.count ? v->covering.count : v->ranking.count ? 1 : 0;
    fen_id *causes = fen_alloc((n ? n : 1) * sizeof *causes);
    fen_str text;
    if (!causes)
        return fail(run, FEN_ENOMEM);
    for (uint32_t i = 0; i < n; i++)
        causes[i] = cause != FEN_NONE ? cause : v->covering.count ? v->covering.at[i] : v->ranking.at[0];
    fen_str_init(&text, SIZE_MAX / 4);
    const fen_status st = format == JSON ? fen_explain_json(&text, s, c, causes, n) : fen_explain_dot(&text, s, c, causes, n);
    if (!st)
        fen_sink_put(run->out, text.at, text.len);
    fen_str_free(&text);
    fen_free(causes);
    return st ? fail(run, st) : FEN_EXIT_DONE;
}

static fen_exit find_and_show(const fen_run *run, fen_session *s, const fen_case *c)
{
    const explain_args *args = run->own;
    char err[FEN_NAMES_ERROR];
    fen_id cause = FEN_NONE;
    if (run->n_operands > 1 && fen_names_cause(s, run->operands[1], strlen(run->operands[1]), &cause, err)) {
        fen_message(run->err, FEN_ERROR, "fenmend", err);
        return FEN_EXIT_INPUT;
    }
    return args->format == TEXT ? show(run, s, cause) : write_data(run, s, c, cause, args->format);
}

static fen_exit explain(fen_run *run)
{
    fen_base *base = NULL;
    fen_case *c = NULL;
    fen_session *s = NULL;
    fen_exit e = fen_load_base(run, &base);
    if (!e)
        e = fen_load_case(run, base, run->operands[0], &c, &s);
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
             "Without a cause: of those that together account for the plant's signs.",
    .least = 1,
    .most = 2,
    .opts = explain_opts,
    .own_size = sizeof(explain_args),
    .run = explain,
};
