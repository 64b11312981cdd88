/* cmd_shared.c -- what sick plants have in common. */
#include <errno.h>
#include <string.h>
#include <unistd.h>

#include "command.h"
#include "fenmend/records.h"
#include "load.h"
#include "progress.h"

enum { TABLE, JSON, CSV };
#define SIGNIFICANT 0.05

typedef struct shared_args {
    fen_opt_list by;
    int format, input;
    uint32_t jobs;
    bool all;
} shared_args;

#define TO(member) offsetof(shared_args, member)
static const fen_opt shared_opts[] = {
    { FEN_OPT_LIST, 'b', "by", TO(by), "KEY", "what to compare by: a name under 'where', kind, or a finding ('where.NAME', 'finding.NAME' where it could be both); may be given again" },
    { FEN_OPT_FLAG, 'a', "all", TO(all), NULL, "show every pair tried, not only those beyond luck" },
    { FEN_OPT_CHOICE, 'f', "format", TO(format), "table|json|csv", "shape of the results; json: one object a line" },
    { FEN_OPT_CHOICE, 'i', "input", TO(input), "auto|yaml|jsonl|json|csv", "what the files are; auto: by their content" },
    { FEN_OPT_COUNT, 'j', "jobs", TO(jobs), "N", "cases looked at side by side" },
    { .type = FEN_OPT_END },
};

typedef struct sharing {
    fen_run *run;
    const shared_args *args;
    const fen_base *base;
    fen_shared *shared;
    fen_progress progress;
    uint64_t cases, broken, unusable;
    uint32_t unrecorded; /* keys of --by that no case has */
    fen_status status;
} sharing;

static void note(void *ctx, fen_judged *j, struct fen_str *out)
{
    const sharing *k = ctx;
    fen_shared_note(k->shared, j, out);
}

static bool take(void *ctx, const fen_part *part)
{
    sharing *k = ctx;
    size_t from = 0;
    k->unusable += part->unusable;
    if (part->err_len)
        fen_progress_hide(&k->progress);
    fen_sink_put(k->run->err, part->err, part->err_len);
    for (size_t i = 0; i < part->n_marks && !k->status; i++) {
        const fen_mark *m = &part->marks[i];
        k->cases += !m->broken;
        k->broken += m->broken;
        k->status = fen_shared_count(k->shared, part->out + from, m->out_end - from);
        from = m->out_end;
    }
    fen_progress_show(&k->progress, k->cases + k->broken, part->bytes);
    return !k->status;
}

static void write_rows(const sharing *k, const fen_shared_row *rows, size_t n, uint64_t tried, fen_str *out)
{
    if (k->args->format == TABLE)
        fen_record_shared(out, k->base, fen_command_look(k->run, STDOUT_FILENO), rows, n, k->cases, tried);
    if (k->args->format == CSV)
        fen_record_shared_csv_head(out);
    for (size_t i = 0; i < n && k->args->format != TABLE; i++)
        if (k->args->format == JSON)
            fen_record_shared_json(out, k->base, &rows[i]);
        else
            fen_record_shared_csv(out, k->base, &rows[i]);
}

static fen_status tell(sharing *k)
{
    const fen_shared_row *rows;
    size_t n;
    uint64_t tried;
    fen_str out;
    fen_status st = fen_shared_rows(k->shared, k->args->all ? 1 : SIGNIFICANT, &rows, &n, &tried);
    if (st)
        return st;
    while (!k->args->all && n && rows[n - 1].corrected > SIGNIFICANT)
        n--;
    fen_str_init(&out, SIZE_MAX / 4);
    write_rows(k, rows, n, tried, &out);
    st = fen_str_status(&out);
    fen_sink_put(k->run->out, out.at, out.len);
    fen_str_free(&out);
    return st;
}

/* Of no cases at all nothing can be said. */
static void tell_of_keys(sharing *k)
{
    uint32_t at = 0;
    char text[FEN_SHARED_TEXT];
    while (k->cases && fen_shared_unrecorded(k->shared, &at, text)) {
        k->unrecorded++;
        fen_message(k->run->err, FEN_ERROR, "fenmend", text);
    }
    at = 0;
    for (const char *key; (key = fen_shared_left_out(k->shared, &at));)
        fen_messagef(k->run->err, FEN_WARNING, "fenmend", "'%.60s' is left out, for it has too many different values; "
                     "compare by something that cases share", key);
}

static fen_exit run_batch(sharing *k)
{
    const long cpus = sysconf(_SC_NPROCESSORS_ONLN);
    const fen_batch b = {
        .base = k->base, .today = fen_command_today(k->run), .input = (fen_input)k->args->input,
        .jobs = k->args->jobs ? k->args->jobs : cpus < 1 ? 1 : cpus > 8 ? 8 : (uint32_t)cpus,
        .ctx = k, .judge = note, .deliver = take,
    };
    fen_progress_start(&k->progress, k->run->err, k->run->operands, k->run->n_operands);
    fen_status st = fen_batch_run(&b, k->run->operands, k->run->n_operands);
    const int error = errno;
    fen_progress_hide(&k->progress);
    if (!st && k->status == FEN_EINPUT) {
        fen_messagef(k->run->err, FEN_ERROR, "fenmend", "'%.60s' has too many different values; compare by something that cases share",
                     fen_shared_full(k->shared));
        return FEN_EXIT_INPUT;
    }
    st = st ? st : k->status;
    if (!st)
        tell_of_keys(k);
    if (!st && (!k->unrecorded || k->unrecorded < k->args->by.count))
        st = tell(k);
    if (st) {
        fen_message_status(k->run->err, "fenmend", st, error);
        return fen_exit_for(st, error);
    }
    return k->broken || k->unusable || k->unrecorded ? FEN_EXIT_INPUT : FEN_EXIT_DONE;
}

static fen_exit shared(fen_run *run)
{
    shared_args *args = run->own;
    sharing k = { .run = run, .args = args };
    fen_base *base = NULL;
    char bad[FEN_SHARED_TEXT];
    fen_exit e = fen_load_base(run, &base);
    if (!e) {
        k.base = base;
        const fen_status st = fen_shared_new(base, args->by.at, args->by.count, &k.shared, bad);
        if (st == FEN_EINPUT)
            fen_message(run->err, FEN_ERROR, "fenmend", bad);
        else if (st)
            fen_message_status(run->err, "fenmend", st, 0);
        e = st ? fen_exit_for(st, 0) : run_batch(&k);
    }
    fen_shared_free(k.shared);
    fen_base_free(base);
    fen_opt_list_free(&args->by);
    return e;
}

const fen_command fen_cmd_shared = {
    .name = "shared",
    .operands = "CASES...",
    .does = "what sick plants have in common",
    .about = "Compares what the cases record under 'where' (tray, bench, water, supplier, ...), or their kind or findings with --by, with "
             "each cause and hazard, and shows what goes together more often than luck would have it: a one-sided exact test "
             "(Fisher) on the cases where the key is recorded, corrected for the number of pairs tried (Holm); shown up to 0.05. As data, "
             "a chance too small for a number is given as the bound 2.2250738585072014e-308. "
             "A case counts for its settled causes, else for those that account for its signs and for its leading cause from 50 %. "
             "Beware: a finding that the rules themselves use for a cause goes with it by their making.\n"
             "Exit status: 2 if any case or file could not be read, or no case records what is compared by, else 0.",
    .least = 1,
    .most = UINT32_MAX,
    .opts = shared_opts,
    .own_size = sizeof(shared_args),
    .run = shared,
};
