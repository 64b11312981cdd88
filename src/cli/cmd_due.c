/* cmd_due.c -- what is due, and when, over files and folders of cases. */
#include <errno.h>
#include <unistd.h>

#include "command.h"
#include "fenmend/follow_view.h"
#include "load.h"
#include "util/file.h"

enum { AS_TEXT, AS_JSON, AS_ICS };

typedef struct due_args {
    int format;
    int hemisphere;
    uint32_t ahead;
} due_args;

#define TO(member) offsetof(due_args, member)
static const fen_opt opts[] = {
    {FEN_OPT_CHOICE, 'f', "format", TO(format), "text|json|ics", "shape of the list; json: one object a line; ics: a calendar"},
    {FEN_OPT_COUNT, 'a', "ahead", TO(ahead), "DAYS", "how far ahead the season's tasks are told; 30 if not given"},
    {FEN_OPT_CHOICE, 0, "hemisphere", TO(hemisphere), "north|south", "of cases that do not say it among their 'where'"},
    {.type = FEN_OPT_END},
};

static fen_exit worse(fen_exit a, fen_exit b)
{
    return a > b ? a : b;
}

static fen_exit add_file(const fen_run *run, fen_dues *dues, const char *path)
{
    const due_args *a = run->own;
    fen_case *c = NULL;
    fen_session *s = NULL;
    const fen_due_span span = {
        .today = fen_command_today(run),
        .ahead = a->ahead ? (int32_t)(a->ahead > 3660 ? 3660 : a->ahead) : 30,
        .south = a->hemisphere == 1,
        .us = run->common->units == 1,
    };
    fen_exit e = fen_load_case(run, fen_dues_base(dues), path, &c, &s);
    if (!e) {
        const fen_status st = fen_dues_add(dues, c, s, span);
        if (st)
            fen_message_status(run->err, path, st, 0);
        e = fen_exit_for(st, 0);
    }
    fen_session_free(s);
    fen_case_free(c);
    return e;
}

/* Its case files, by name; a broken one is told, and the others go on. */
static fen_exit add_folder(const fen_run *run, fen_dues *dues, const char *path)
{
    char **names;
    size_t n;
    fen_exit e = FEN_EXIT_DONE;
    const fen_status st = fen_file_list(path, ".yaml", &names, &n);
    if (st) {
        const int error = errno;
        fen_message_status(run->err, path, st, error);
        return fen_exit_for(st, error);
    }
    for (size_t i = 0; i < n; i++)
        e = worse(e, add_file(run, dues, names[i]));
    fen_file_names_free(names, n);
    return e;
}

static fen_exit add(const fen_run *run, fen_dues *dues, const char *path)
{
    return fen_file_is_folder(path) ? add_folder(run, dues, path) : add_file(run, dues, path);
}

static fen_status show_text(const fen_run *run, const fen_dues *dues)
{
    fen_page *page;
    size_t len;
    fen_status st = fen_page_new(fen_command_look(run, STDOUT_FILENO), &page);
    if (st)
        return st;
    fen_show_dues(page, dues, fen_command_today(run));
    const char *text = fen_page_text(page, &len);
    st = fen_page_status(page);
    if (!st)
        fen_sink_put(run->out, text, len);
    fen_page_free(page);
    return st;
}

static fen_status show_data(const fen_run *run, const fen_dues *dues, int format)
{
    fen_str text;
    fen_str_init(&text, 256u << 20);
    if (format == AS_ICS)
        fen_ics_dues(&text, dues, fen_command_today(run));
    else
        fen_json_dues(&text, dues, fen_command_today(run));
    const fen_status st = fen_str_status(&text);
    if (!st)
        fen_sink_put(run->out, text.at, text.len);
    fen_str_free(&text);
    return st;
}

static fen_exit list(const fen_run *run, fen_dues *dues)
{
    const due_args *a = run->own;
    fen_exit e = run->n_operands ? FEN_EXIT_DONE : add(run, dues, ".");
    for (uint32_t i = 0; i < run->n_operands; i++)
        e = worse(e, add(run, dues, run->operands[i]));
    fen_dues_sort(dues);
    if (e && !fen_dues_count(dues)) /* that nothing is due is not known */
        return e;
    const fen_status st = a->format == AS_TEXT ? show_text(run, dues) : show_data(run, dues, a->format);
    if (st)
        fen_message_status(run->err, "fenmend", st, 0);
    return worse(e, fen_exit_for(st, 0));
}

static fen_exit due(fen_run *run)
{
    fen_base *base = NULL;
    fen_dues *dues = NULL;
    fen_exit e = fen_load_base(run, &base);
    if (!e) {
        const fen_status st = fen_dues_new(base, &dues);
        if (st)
            fen_message_status(run->err, "fenmend", st, 0);
        e = st ? fen_exit_for(st, 0) : list(run, dues);
    }
    fen_dues_free(dues);
    fen_base_free(base);
    return e;
}

const fen_command fen_cmd_due = {
    .name = "due",
    .operands = "[FILE|FOLDER]...",
    .does = "what is to be looked at again, and when; the season's tasks",
    .about = "Lists, by day, the looks that the plan of each case's last visit promised and the steps that are to be done again, then the tasks of "
             "the season for the kinds there are. Without names: the case files of this folder. A case that says 'hemisphere: south' among its "
             "'where' has its seasons there. A file that cannot be read is told, the others are listed all the same, and the exit status is 2.",
    .most = UINT32_MAX,
    .opts = opts,
    .own_size = sizeof(due_args),
    .run = due,
};
