/* cmd_explain.c -- the reasoning chain of a stored case. */
#include <string.h>
#include <unistd.h>

#include "command.h"
#include "load.h"
#include "names.h"

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

static fen_exit find_and_show(const fen_run *run, fen_session *s)
{
    char err[FEN_NAMES_ERROR];
    fen_id cause = FEN_NONE;
    if (run->n_operands > 1 && fen_names_cause(s, run->operands[1], strlen(run->operands[1]), &cause, err)) {
        fen_message(run->err, FEN_ERROR, "fenmend", err);
        return FEN_EXIT_INPUT;
    }
    return show(run, s, cause);
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
        e = find_and_show(run, s);
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
    .run = explain,
};
