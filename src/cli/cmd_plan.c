/* cmd_plan.c -- what to do about a stored case, how much of it, and when to look again. */
#include <unistd.h>

#include "command.h"
#include "load.h"

typedef struct plan_args {
    bool amounts;
} plan_args;


static fen_status show_text(const fen_run *run, fen_session *s, bool amounts)
{
    fen_page *page;
    size_t len;
    fen_status st = fen_page_new(fen_command_look(run, STDOUT_FILENO), &page);
    if (st)
        return st;
    if (amounts)
        fen_show_plan_amounts(page, s);
    else
        fen_show_plan(page, s);
    const char *text = fen_page_text(page, &len);
    st = fen_page_status(page);
    if (!st)
        fen_sink_put(run->out, text, len);
    fen_page_free(page);
    return st;
}

static fen_exit show(const fen_run *run, fen_session *s)
{
    const plan_args *a = run->own;
    const fen_status st = show_text(run, s, a->amounts);
    if (st)
        fen_message_status(run->err, "fenmend", st, 0);
    return fen_exit_for(st, 0);
}

static fen_exit plan(fen_run *run)
{
    fen_base *base = NULL;
    fen_case *c = NULL;
    fen_session *s = NULL;
    fen_exit e = fen_load_base(run, &base);
    if (!e)
        e = fen_load_case(run, base, run->operands[0], &c, &s);
    if (!e)
        e = show(run, s);
    fen_session_free(s);
    fen_case_free(c);
    fen_base_free(base);
    return e;
}

#define TO(member) offsetof(plan_args, member)
static const fen_opt opts[] = {
    {FEN_OPT_FLAG, 0, "amounts", TO(amounts), NULL, "instead of the plan: how its amounts were worked out, with formula and inputs"},
    {.type = FEN_OPT_END},
};

const fen_command fen_cmd_plan = {
    .name = "plan",
    .operands = "CASEFILE",
    .does = "what to do about a stored case",
    .about = "Merges what helps against everything that is wrong at the case's last visit: steps in order with amounts worked out from its "
             "measures, what still has to be measured, what to hold back, what not to do, cautions, and when to look again.",
    .least = 1,
    .most = 1,
    .opts = opts,
    .own_size = sizeof(plan_args),
    .run = plan,
};
