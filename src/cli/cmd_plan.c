/* cmd_plan.c -- what to do about a stored case, how much of it, and when to look again. */
#include <unistd.h>

#include "command.h"
#include "fenmend/plan_data.h"
#include "load.h"

enum { AS_TEXT, AS_JSON, AS_HTML, AS_ICS };

typedef struct plan_args {
    int format;
    bool amounts;
    const char *of; /* which case */
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

/* What the visit leaves to be done; the tasks of the season are for 'due'. */
static fen_status list_days(const fen_run *run, const fen_base *base, const fen_case *c, fen_session *s, fen_dues **ret)
{
    fen_status st = fen_dues_new(base, ret);
    if (!st)
        st = fen_dues_add(*ret, c, s, (fen_due_span){.today = c->visits[c->n_visits - 1].date, .ahead = -1, .us = run->common->units == 1});
    if (!st)
        fen_dues_sort(*ret);
    return st;
}

static fen_status show_data(const fen_run *run, const fen_base *base, const fen_case *c, fen_session *s, int format)
{
    const bool us = run->common->units == 1;
    fen_str text;
    fen_dues *dues = NULL;
    fen_str_init(&text, 64u << 20);
    fen_status st = list_days(run, base, c, s, &dues);
    if (!st && format == AS_JSON)
        st = fen_json_plan(&text, c, s, us);
    else if (!st && format == AS_HTML)
        st = fen_html_plan(&text, c, s, dues, us);
    else if (!st)
        fen_ics_dues(&text, dues, c->visits[c->n_visits - 1].date);
    if (!st)
        st = fen_str_status(&text);
    if (!st)
        fen_sink_put(run->out, text.at, text.len);
    fen_dues_free(dues);
    fen_str_free(&text);
    return st;
}

static fen_exit show(const fen_run *run, const fen_base *base, const fen_case *c, fen_session *s)
{
    const plan_args *a = run->own;
    const fen_status st = a->format == AS_TEXT ? show_text(run, s, a->amounts) : show_data(run, base, c, s, a->format);
    if (st)
        fen_message_status(run->err, "fenmend", st, 0);
    return fen_exit_for(st, 0);
}

static fen_exit plan(fen_run *run)
{
    const plan_args *args = run->own;
    fen_base *base = NULL;
    fen_case *c = NULL;
    fen_session *s = NULL;
    fen_exit e = fen_load_base(run, &base);
    if (!e)
        e = fen_load_one(run, base, run->operands[0], args->of, &c, &s);
    if (!e)
        e = show(run, base, c, s);
    fen_session_free(s);
    fen_case_free(c);
    fen_base_free(base);
    return e;
}

#define TO(member) offsetof(plan_args, member)
static const fen_opt opts[] = {
    {FEN_OPT_TEXT, 'c', "case", TO(of), "ID", "which case, in a file of many: its name, as 'check' shows it"},
    {FEN_OPT_CHOICE, 'f', "format", TO(format), "text|json|html|ics", "shape of the plan; html: a page for screen and paper; ics: its days as a calendar"},
    {FEN_OPT_FLAG, 0, "amounts", TO(amounts), NULL, "as text: how the amounts of the plan were worked out, with formula and inputs"},
    {.type = FEN_OPT_END},
};

const fen_command fen_cmd_plan = {
    .name = "plan",
    .operands = "CASEFILE",
    .does = "what to do about a stored case",
    .about = "Merges what helps against everything that is wrong at the case's last visit: steps in order with amounts worked out from its "
             "measures, what still has to be measured, what to hold back, what not to do, cautions, and when to look again.\n"
             "The case may be one of many: a file in any format that 'check' reads, or '-' for standard input.",
    .least = 1,
    .most = 1,
    .opts = opts,
    .own_size = sizeof(plan_args),
    .run = plan,
};
