/* load_one.c -- one case out of a file of many, read as 'check' reads it.
 *
 * The file is gone through to its end, so that a name that two cases have is told. What is
 * wrong with the other cases is none of our business here.
 */
#include <errno.h>
#include <inttypes.h>
#include <string.h>

#include "fenmend/batch.h"
#include "load.h"
#include "progress.h"
#include "util/near.h"
#include "util/str.h"

enum { NAME_SHOWN = 60 };

typedef struct search {
    const fen_run *run;
    const fen_base *base;
    const char *id; /* NULL: the only one */
    uint64_t cases, delivered, at, matches; /* at: which it is, from 1 */
    fen_case *found; /* NULL: none, or it cannot be read */
    fen_str err;     /* what is wrong with it, or with the file */
    bool unusable;
    fen_near near;
    char nearest[NAME_SHOWN + 1], first[NAME_SHOWN + 1];
    fen_progress progress;
    fen_status status;
} search;

static bool is_meant(const search *k, const fen_judged *j)
{
    return k->id ? strcmp(j->id, k->id) == 0 : k->cases == 1;
}

/* Names go with their cases. */
static void keep_name(search *k, const char *id)
{
    if (k->cases == 1)
        snprintf(k->first, sizeof k->first, "%s", id);
    if (!k->id || strlen(id) > NAME_SHOWN)
        return;
    fen_near_offer(&k->near, id);
    if (k->near.name == id) {
        snprintf(k->nearest, sizeof k->nearest, "%s", id);
        k->near.name = k->nearest;
    }
}

static void look_at(void *ctx, fen_judged *j, struct fen_str *out)
{
    search *k = ctx;
    (void)out;
    k->cases++;
    keep_name(k, j->id);
    if (!is_meant(k, j) || k->matches++)
        return;
    k->at = k->cases;
    fen_problems *none;
    k->status = fen_problems_new(&none);
    if (k->status)
        return;
    if (j->c) /* it goes with the batch */
        k->status = fen_case_carry(k->base, j->c, k->base, none, &k->found);
    fen_problems_free(none);
}

static bool take(void *ctx, const fen_part *part)
{
    search *k = ctx;
    size_t from = 0, end = 0;
    for (size_t i = 0; i < part->n_marks; i++) {
        if (part->marks[i].err_end != end) {
            from = end;
            end = part->marks[i].err_end;
        }
        if (++k->delivered == k->at && end > from)
            fen_str_put(&k->err, part->err + from, end - from);
    }
    if (part->unusable && part->err_len > end)
        fen_str_put(&k->err, part->err + end, part->err_len - end);
    k->unusable |= part->unusable;
    fen_progress_show(&k->progress, k->cases, part->bytes);
    return !k->status;
}

static fen_exit go_through(search *k, const char *path)
{
    const fen_batch b = { .base = k->base, .today = fen_command_today(k->run), .jobs = 1, .ctx = k, .judge = look_at, .deliver = take };
    fen_progress_start(&k->progress, k->run->err, &path, 1);
    fen_status st = fen_batch_run(&b, &path, 1);
    const int error = errno;
    fen_progress_hide(&k->progress);
    if (!st)
        st = k->status ? k->status : fen_str_status(&k->err);
    if (st)
        fen_message_status(k->run->err, path, st, error);
    return fen_exit_for(st, error);
}

static const char *show_path(const char *path)
{
    return strcmp(path, "-") == 0 ? "stdin" : path;
}

static void tell_not_found(const search *k, const char *path)
{
    fen_sink *err = k->run->err;
    if (k->unusable)
        return;
    if (!k->cases)
        fen_message(err, FEN_ERROR, path, "there is no case in it; begin with 'kind:' and 'findings:'");
    else if (k->id && k->near.name)
        fen_messagef(err, FEN_ERROR, path, "no case in it is called '%.60s'; did you mean '%s'", k->id, k->near.name);
    else if (k->id)
        fen_messagef(err, FEN_ERROR, path, "no case in it is called '%.60s'; 'fenmend check' shows what they are called", k->id);
    else
        fen_messagef(err, FEN_ERROR, path, "there are %" PRIu64 " cases in it; name one with '--case=ID', such as '%s'", k->cases, k->first);
}

/* Is exactly one meant, and can it be read? What is wrong is told. */
static bool is_settled(search *k, const char *path)
{
    const bool one = k->matches && (k->id || k->cases == 1);
    if (one || k->unusable)
        fen_sink_put(k->run->err, k->err.at, k->err.len);
    if (!one)
        tell_not_found(k, path);
    if (k->id && k->matches > 1)
        fen_messagef(k->run->err, FEN_WARNING, path, "%" PRIu64 " cases in it are called '%.60s'; this is the first", k->matches, k->id);
    return one && k->found && !k->unusable;
}

fen_exit fen_load_one(const fen_run *run, const fen_base *base, const char *path, const char *id, fen_case **ret_case,
                      fen_session **ret_session)
{
    search k = { .run = run, .base = base, .id = id };
    fen_str_init(&k.err, SIZE_MAX / 4);
    fen_near_begin(&k.near, id ? id : "", id ? strlen(id) : 0);
    fen_exit e = go_through(&k, path);
    if (!e && !is_settled(&k, show_path(path)))
        e = FEN_EXIT_INPUT;
    if (!e)
        e = fen_load_answers(run, base, path, k.found, ret_session);
    if (e)
        fen_case_free(k.found);
    else
        *ret_case = k.found;
    fen_str_free(&k.err);
    return e;
}
