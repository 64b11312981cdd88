#include "load.h"

#include <errno.h>
#include <string.h>
#include <unistd.h>

#include "paths.h"
#include "util/alloc.h"

/* ---- which packs ------------------------------------------------------------------ */

static fen_status add_path(fen_load_paths *paths, const char *path)
{
    char *copy = fen_strndup(path, strlen(path));
    if (copy && FEN_VEC_PUSH(paths, copy))
        return FEN_OK;
    fen_free(copy);
    return FEN_ENOMEM;
}

static fen_status add_place(fen_load_paths *paths, bool (*place)(fen_str *))
{
    fen_str path;
    fen_str_init(&path, 8192);
    fen_status st = place(&path) ? add_path(paths, path.at) : FEN_OK;
    fen_str_free(&path);
    return st;
}

static fen_status gather(const fen_run *run, const char *const *more, size_t n_more, fen_load_paths *paths)
{
    fen_status st = FEN_OK;
    if (!run->common->only_rules) {
        st = add_place(paths, fen_paths_shipped);
        if (!st)
            st = add_place(paths, fen_paths_own_rules);
    }
    for (uint32_t i = 0; !st && i < run->common->rules.count; i++)
        st = add_path(paths, run->common->rules.at[i]);
    for (size_t i = 0; !st && i < n_more; i++)
        st = add_path(paths, more[i]);
    return st;
}

fen_exit fen_load_list(const fen_run *run, const char *const *more, size_t n_more, fen_load_paths *ret_paths)
{
    fen_load_paths paths = {0};
    fen_status st = gather(run, more, n_more, &paths);
    if (st)
        fen_message_status(run->err, "fenmend", st, 0);
    if (!st && !paths.count) {
        fen_messagef(run->err, FEN_ERROR, "fenmend", "%s; name some with '--rules=FILE|FOLDER'",
                     run->common->only_rules ? "'--only-rules' leaves no rules at all" : "no rules are installed");
        st = FEN_EINPUT;
    }
    if (st)
        fen_load_paths_free(&paths);
    else
        *ret_paths = paths;
    return fen_exit_for(st, 0);
}

void fen_load_paths_free(fen_load_paths *paths)
{
    for (uint32_t i = 0; i < paths->count; i++)
        fen_free(paths->at[i]);
    FEN_VEC_FREE(paths);
}

/* ---- printing ----------------------------------------------------------------------- */

fen_status fen_load_print(const fen_run *run, const fen_problems *problems, fen_sink *sink, int fd)
{
    fen_page *page;
    size_t len;
    fen_status st = fen_page_new(fen_command_look(run, fd), &page);
    if (st)
        return st;
    fen_show_problems(page, problems);
    const char *text = fen_page_text(page, &len);
    st = fen_page_status(page);
    fen_sink_put(sink, text, len);
    fen_page_free(page);
    return st;
}

/* The complaints of a load that ended with ST; its exit status. */
static fen_exit report(const fen_run *run, const char *what, fen_status st, int error, const fen_problems *problems)
{
    if (st && fen_problems_count(problems)) {
        if (fen_load_print(run, problems, run->err, STDERR_FILENO))
            fen_message_status(run->err, what, FEN_ENOMEM, 0);
    } else if (st) {
        fen_message_status(run->err, what, st, error);
    }
    return fen_exit_for(st, error);
}

/* ---- loading ------------------------------------------------------------------------- */

static void count_warnings(const fen_run *run, const fen_problems *problems)
{
    const size_t n = fen_problems_count(problems);
    if (n)
        fen_messagef(run->err, FEN_NOTE, "fenmend", "the rules load with %zu warning%s; 'fenmend vet' shows them", n, n == 1 ? "" : "s");
}

fen_exit fen_load_packs(const fen_run *run, const fen_load_paths *paths, fen_base **ret_base)
{
    fen_problems *problems;
    fen_status st = fen_problems_new(&problems);
    if (st)
        return report(run, "fenmend", st, 0, NULL);
    st = fen_base_load((const char *const *)paths->at, paths->count, problems, ret_base);
    const fen_exit e = report(run, "the rules", st, errno, problems);
    if (!e)
        count_warnings(run, problems);
    fen_problems_free(problems);
    return e;
}

fen_exit fen_load_base(const fen_run *run, fen_base **ret_base)
{
    fen_load_paths paths;
    fen_exit e = fen_load_list(run, NULL, 0, &paths);
    if (e)
        return e;
    e = fen_load_packs(run, &paths, ret_base);
    fen_load_paths_free(&paths);
    return e;
}

fen_exit fen_load_answers(const fen_run *run, const fen_base *base, const char *path, const fen_case *c, fen_session **ret_session)
{
    const size_t last = c->n_visits - 1;
    const fen_status st = fen_session_new(base, c->visits[last].date, ret_session);
    if (st)
        fen_message_status(run->err, path, st, 0);
    else
        fen_case_answer(c, last, *ret_session);
    return fen_exit_for(st, 0);
}

fen_exit fen_load_case(const fen_run *run, const fen_base *base, const char *path, fen_case **ret_case, fen_session **ret_session)
{
    fen_problems *problems;
    fen_case *c = NULL;
    fen_status st = fen_problems_new(&problems);
    if (st) {
        fen_message_status(run->err, "fenmend", st, 0);
        return fen_exit_for(st, 0);
    }
    st = fen_case_load(base, path, fen_command_today(run), problems, &c);
    fen_exit e = report(run, path, st, errno, problems);
    if (!st && fen_problems_count(problems) && fen_load_print(run, problems, run->err, STDERR_FILENO))
        fen_message_status(run->err, path, FEN_ENOMEM, 0);
    fen_problems_free(problems);
    if (e)
        return e;
    e = fen_load_answers(run, base, path, c, ret_session);
    if (e)
        fen_case_free(c);
    else
        *ret_case = c;
    return e;
}
