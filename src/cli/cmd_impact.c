/* cmd_impact.c -- what an edited pack would change about cases. */
#include <errno.h>
#include <string.h>
#include <unistd.h>

#include "command.h"
#include "fenmend/impact.h"
#include "load.h"
#include "progress.h"
#include "util/file.h"

enum { TABLE, JSON };

typedef struct impact_args {
    fen_opt_list with;
    int format, input;
    uint32_t jobs;
    bool all, summary;
} impact_args;

#define TO(member) offsetof(impact_args, member)
static const fen_opt impact_opts[] = {
    { FEN_OPT_LIST, 'w', "with", TO(with), "PACK", "an edited pack, or a folder of them; in place of the one of that name" },
    { FEN_OPT_FLAG, 'a', "all", TO(all), NULL, "show the cases that do not change, too" },
    { FEN_OPT_FLAG, 's', "summary", TO(summary), NULL, "only the sums" },
    { FEN_OPT_CHOICE, 'f', "format", TO(format), "table|json", "shape of the results; json: one object a line, the sums last" },
    { FEN_OPT_CHOICE, 'i', "input", TO(input), "auto|yaml|jsonl|json|csv", "what the files are; auto: by their content" },
    { FEN_OPT_COUNT, 'j', "jobs", TO(jobs), "N", "cases looked at side by side; the results are the same" },
    { .type = FEN_OPT_END },
};

typedef struct comparing {
    fen_run *run;
    const impact_args *args;
    const fen_impact *impact;
    fen_look look;
    fen_impact_sums sums;
    fen_progress progress;
    uint64_t unusable;
} comparing;

/* ---- which packs ------------------------------------------------------------------- */

static const char *file_name(const char *path)
{
    const char *slash = strrchr(path, '/');
    return slash ? slash + 1 : path;
}

static fen_status add(fen_load_paths *paths, const char *path)
{
    char *copy = fen_strndup(path, strlen(path));
    if (copy && FEN_VEC_PUSH(paths, copy))
        return FEN_OK;
    fen_free(copy);
    return FEN_ENOMEM;
}

/* PATH, or the packs in it if it is a folder. */
static fen_status add_files(fen_load_paths *paths, const char *path)
{
    char **names;
    size_t n;
    if (!fen_file_is_folder(path) || fen_file_list(path, ".yaml", &names, &n))
        return add(paths, path);
    fen_status st = FEN_OK;
    for (size_t i = 0; i < n && !st; i++)
        st = add(paths, names[i]);
    fen_file_names_free(names, n);
    return st;
}

/* EDITED stands where a pack of its name stood, else behind all. */
static fen_status put_in_place(fen_load_paths *paths, const char *edited)
{
    for (uint32_t i = 0; i < paths->count; i++) {
        if (strcmp(file_name(paths->at[i]), file_name(edited)) != 0)
            continue;
        char *copy = fen_strndup(edited, strlen(edited));
        if (!copy)
            return FEN_ENOMEM;
        fen_free(paths->at[i]);
        paths->at[i] = copy;
        return FEN_OK;
    }
    return add(paths, edited);
}

static fen_status edited_paths(const impact_args *args, const fen_load_paths *packs, fen_load_paths *ret)
{
    fen_load_paths edited = { 0 };
    fen_status st = FEN_OK;
    for (uint32_t i = 0; i < packs->count && !st; i++)
        st = add_files(ret, packs->at[i]);
    for (uint32_t i = 0; i < args->with.count && !st; i++)
        st = add_files(&edited, args->with.at[i]);
    for (uint32_t i = 0; i < edited.count && !st; i++)
        st = put_in_place(ret, edited.at[i]);
    fen_load_paths_free(&edited);
    return st;
}

static fen_exit load_both(const fen_run *run, fen_base **ret_before, fen_base **ret_after)
{
    fen_load_paths packs = { 0 }, edited = { 0 };
    fen_exit e = fen_load_list(run, NULL, 0, &packs);
    if (e)
        return e;
    const fen_status st = edited_paths(run->own, &packs, &edited);
    if (st) {
        fen_message_status(run->err, "fenmend", st, 0);
        e = fen_exit_for(st, 0);
    }
    if (!e)
        e = fen_load_packs(run, &packs, ret_before);
    if (!e)
        e = fen_load_packs(run, &edited, ret_after);
    fen_load_paths_free(&packs);
    fen_load_paths_free(&edited);
    return e;
}

/* ---- in the workers' threads --------------------------------------------------------- */

/* What changed as it lies in memory, then what is to be printed. */
static void write_change(void *ctx, fen_judged *j, struct fen_str *out)
{
    const comparing *k = ctx;
    fen_impact_case c;
    if (!j->c)
        return;
    fen_impact_compare(k->impact, j, &c);
    fen_str_put(out, (const char *)&c, sizeof c);
    if (k->args->summary || (!c.what && !k->args->all))
        return;
    if (k->args->format == JSON)
        fen_impact_json(out, k->impact, j, &c);
    else
        fen_impact_row(out, k->impact, k->look, j, &c);
}

/* ---- in order -------------------------------------------------------------------------- */

static bool take(void *ctx, const fen_part *part)
{
    comparing *k = ctx;
    size_t from = 0;
    k->unusable += part->unusable;
    if (part->err_len || part->out_len)
        fen_progress_hide(&k->progress);
    fen_sink_put(k->run->err, part->err, part->err_len);
    for (size_t i = 0; i < part->n_marks; i++) {
        const fen_mark *m = &part->marks[i];
        fen_impact_case c;
        k->sums.broken += m->broken;
        if (!m->broken) {
            memcpy(&c, part->out + from, sizeof c);
            from += sizeof c;
            fen_impact_count(&k->sums, &c);
            fen_sink_put(k->run->out, part->out + from, m->out_end - from);
        }
        from = m->out_end;
    }
    fen_progress_show(&k->progress, k->sums.cases + k->sums.broken, part->bytes);
    return fen_sink_flush(k->run->out);
}

static fen_status tell_sums(comparing *k)
{
    fen_str text;
    fen_str_init(&text, 1u << 20);
    if (k->args->format == JSON)
        fen_impact_totals_json(&text, &k->sums);
    else
        fen_impact_totals(&text, k->look, &k->sums);
    const fen_status st = fen_str_status(&text);
    fen_sink_put(k->run->out, text.at, text.len);
    fen_str_free(&text);
    return st;
}

static fen_exit run_batch(comparing *k)
{
    const long cpus = sysconf(_SC_NPROCESSORS_ONLN);
    const fen_batch b = {
        .base = fen_impact_before(k->impact), .other = fen_impact_after(k->impact), .today = fen_command_today(k->run),
        .input = (fen_input)k->args->input, .jobs = k->args->jobs ? k->args->jobs : cpus < 1 ? 1 : cpus > 8 ? 8 : (uint32_t)cpus,
        .ask = true, .ctx = k, .judge = write_change, .deliver = take,
    };
    fen_progress_start(&k->progress, k->run->err, k->run->operands, k->run->n_operands);
    fen_status st = fen_batch_run(&b, k->run->operands, k->run->n_operands);
    const int error = errno;
    fen_progress_hide(&k->progress);
    if (!st && !k->run->out->error)
        st = tell_sums(k);
    if (st) {
        fen_message_status(k->run->err, "fenmend", st, error);
        return fen_exit_for(st, error);
    }
    if (k->sums.broken || k->unusable)
        return FEN_EXIT_INPUT;
    return k->sums.worse ? FEN_EXIT_ATTENTION : FEN_EXIT_DONE;
}

static fen_exit impact(fen_run *run)
{
    impact_args *args = run->own;
    fen_base *before = NULL, *after = NULL;
    fen_impact *m = NULL;
    if (!args->with.count) {
        fen_message(run->err, FEN_ERROR, "fenmend", "no edited pack is named; write '--with=PACK'");
        return FEN_EXIT_INPUT;
    }
    fen_exit e = load_both(run, &before, &after);
    const fen_status st = e ? FEN_OK : fen_impact_new(before, after, &m);
    if (st) {
        fen_message_status(run->err, "fenmend", st, 0);
        e = fen_exit_for(st, 0);
    } else if (!e) {
        comparing k = { .run = run, .args = args, .impact = m, .look = fen_command_look(run, STDOUT_FILENO) };
        e = run_batch(&k);
    }
    fen_impact_free(m);
    fen_base_free(before);
    fen_base_free(after);
    fen_opt_list_free(&args->with);
    return e;
}

const fen_command fen_cmd_impact = {
    .name = "impact",
    .operands = "CASES... --with PACK",
    .does = "what an edited pack would change",
    .about = "Judges every case in the files ('-': standard input; YAML, JSON Lines or CSV as for 'check') twice: by the rules as they are, "
             "and with the packs of --with, each in place of the pack of the same file name or else in addition. Shows the cases whose "
             "leading cause, urgency, plan or next question differ, or where what a settled case turned out to be stands elsewhere in the "
             "ranking, and the sums. A settled case gets worse if that stands lower than before.\n"
             "Exit status: 2 if any case or file could not be read; else 1 if a settled case gets worse; else 0.",
    .least = 1,
    .most = UINT32_MAX,
    .opts = impact_opts,
    .own_size = sizeof(impact_args),
    .run = impact,
};
