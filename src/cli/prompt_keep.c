#include "prompt_keep.h"

#include <errno.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>

#include "paths.h"
#include "util/date.h"
#include "prompt_state.h"
#include "util/limits.h"

static bool same_file(const char *a, const char *b)
{
    struct stat x, y;
    return stat(a, &x) == 0 && stat(b, &y) == 0 && x.st_dev == y.st_dev && x.st_ino == y.st_ino;
}

/* Would writing PATH lose something that this case does not hold? */
static bool holds_another(const fen_prompt *p, const char *path)
{
    struct stat st;
    if (stat(path, &st) != 0 || !S_ISREG(st.st_mode) || st.st_size == 0)
        return false;
    return !p->file.len || !same_file(path, p->file.at);
}

/* "plants/porch.yaml" names the case "porch". */
static void name_case(fen_str *out, const char *path)
{
    const char *slash = strrchr(path, '/');
    const char *stem = slash ? slash + 1 : path;
    const char *dot = strrchr(stem, '.');
    fen_str_put(out, stem, dot && dot != stem ? (size_t)(dot - stem) : strlen(stem));
}

fen_status fen_prompt_case(fen_prompt *p, const char *id, fen_case **ret_case)
{
    fen_case *c = NULL;
    fen_status st = fen_case_from_session(p->s, p->set.earlier ? p->set.earlier->id : id, p->set.earlier,
                                          (fen_list){p->order.at, p->order.count}, NULL, &c);
    if (!st)
        st = fen_case_settle(c, p->settled, NULL, ret_case);
    fen_case_free(c);
    return st;
}

void fen_prompt_name(const fen_prompt *p, fen_str *out)
{
    const fen_answer kind = fen_session_given(p->s, FEN_KIND_FINDING);
    char date[FEN_DATE_TEXT];
    if (p->set.earlier) {
        fen_str_puts(out, p->set.earlier->id);
    } else if (p->file.len) {
        name_case(out, p->file.at);
    } else {
        fen_date_write(date, fen_session_today(p->s));
        fen_str_printf(out, "%s-%s", kind.state == FEN_KNOWN ? fen_base_kind(p->base, (fen_id)__builtin_ctzll(kind.picks))->id : "plant", date);
    }
}

static fen_status write_case(fen_prompt *p, const char *path)
{
    fen_str id;
    fen_case *c = NULL;
    fen_str_init(&id, FEN_LINE_MAX);
    name_case(&id, path);
    fen_status st = fen_str_status(&id);
    if (!st)
        st = fen_prompt_case(p, id.at, &c);
    if (!st)
        st = fen_case_keep(p->base, c, path);
    const int error = errno;
    fen_case_free(c);
    fen_str_free(&id);
    errno = error;
    return st;
}

static void say_failure(fen_prompt *p, const char *path, fen_status st, int error)
{
    char what[512];
    snprintf(what, sizeof what, "'%.300s' is not written", path);
    fen_prompt_fault(p, what, st, error);
}

static void keep_in(fen_prompt *p, const char *path)
{
    if (holds_another(p, path) && strcmp(path, p->refused_file.at) != 0) {
        fen_prompt_refuse(p, "'%.200s' holds something else, which would be lost; choose another name, or say the same again to replace it", path);
        fen_str_clear(&p->refused_file);
        fen_str_puts(&p->refused_file, path);
        return;
    }
    const fen_status st = write_case(p, path);
    if (st) {
        say_failure(p, path, st, errno);
        return;
    }
    fen_str_clear(&p->refused_file);
    p->kept = p->undo.count;
    if (path != p->file.at) {
        fen_str_clear(&p->file);
        fen_str_puts(&p->file, path);
    }
    fen_prompt_tell(p, "Kept in %s; 'fenmend triage' with this file goes on from there.", path);
}

/* ---- among the settled cases ------------------------------------------------------ */

static bool is_settled(const fen_prompt *p)
{
    return p->settled != FEN_NONE || (p->set.earlier && fen_case_settled(p->set.earlier).count);
}

/* One of the same name that says something else gives way only when asked twice. */
static void say_settled(fen_prompt *p, const fen_case *c, fen_settled_put put)
{
    const char *store = p->set.places->store;
    fen_str_clear(&p->refused_file);
    if (put == FEN_SETTLED_OTHER) {
        fen_prompt_refuse(p, "the settled case '%.100s' says something else, which would be lost; say the same again to replace it, or 'keep FILE' under another name", c->id);
        fen_str_puts(&p->refused_file, store);
        return;
    }
    p->kept = p->undo.count;
    if (put == FEN_SETTLED_SAME)
        fen_prompt_tell(p, "The case '%s' is among the settled cases in %s already.", c->id, store);
    else
        fen_prompt_tell(p, "Kept as '%s' among the settled cases in %s.", c->id, store);
}

static void keep_settled(fen_prompt *p)
{
    const fen_lesson_places *places = p->set.places;
    const bool replace = strcmp(p->refused_file.at, places->store) == 0;
    fen_problems *problems = NULL;
    fen_case *c = NULL;
    fen_settled_put put;
    fen_str id;
    fen_str_init(&id, FEN_LINE_MAX);
    fen_prompt_name(p, &id);
    fen_status st = fen_str_status(&id);
    if (!st)
        st = fen_problems_new(&problems);
    if (!st)
        st = fen_prompt_case(p, id.at, &c);
    if (!st)
        st = fen_paths_make_room(places->store);
    if (!st)
        st = fen_settled_keep(p->base, places->store, c, replace, places->today, problems, &put);
    if (!st)
        say_settled(p, c, put);
    else if (st == FEN_EINPUT)
        fen_prompt_problems(p, problems);
    else
        say_failure(p, places->store, st, errno);
    fen_case_free(c);
    fen_problems_free(problems);
    fen_str_free(&id);
}

void fen_prompt_keep(fen_prompt *p, const char *name)
{
    fen_str path;
    const bool settled = !*name && p->set.places && p->set.places->store && is_settled(p);
    if (settled && !p->file.len) {
        keep_settled(p);
        return;
    }
    if (!*name && !p->file.len) {
        fen_prompt_refuse(p, "'keep' needs the name of a file; write 'keep FILE'");
        return;
    }
    fen_str_init(&path, 2 * FEN_LINE_MAX);
    fen_paths_expand(&path, *name ? name : p->file.at);
    if (fen_str_status(&path))
        fen_prompt_fault(p, NULL, FEN_ENOMEM, 0);
    else
        keep_in(p, path.at);
    if (settled && p->kept == p->undo.count)
        keep_settled(p);
    fen_str_free(&path);
}
