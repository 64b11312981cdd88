/* cmd_check.c -- every case of many files, judged; the batch's face. */
#include <errno.h>
#include <string.h>
#include <unistd.h>

#include "command.h"
#include "fenmend/records.h"
#include "load.h"
#include "progress.h"
#include "util/alloc.h"
#include "util/spool.h"

enum { TABLE, JSON, CSV };
enum { AS_READ, URGENT_FIRST };

typedef struct check_args {
    int format, input, sort;
    uint32_t jobs;
    bool score, strict;
} check_args;

#define TO(member) offsetof(check_args, member)
static const fen_opt check_opts[] = {
    { FEN_OPT_CHOICE, 'f', "format", TO(format), "table|json|csv", "shape of the results; json: one object a line" },
    { FEN_OPT_CHOICE, 'i', "input", TO(input), "auto|yaml|jsonl|json|csv", "what the files are; auto: by their content" },
    { FEN_OPT_COUNT, 'j', "jobs", TO(jobs), "N", "cases looked at side by side; the results are the same" },
    { FEN_OPT_CHOICE, 's', "sort", TO(sort), "no|urgency", "urgency: the most urgent first, else in the order read" },
    { FEN_OPT_FLAG, 0, "score", TO(score), NULL, "also say how well the settled cases were judged" },
    { FEN_OPT_FLAG, 0, "strict", TO(strict), NULL, "exit 1 if any plant needs help within days or hours" },
    { .type = FEN_OPT_END },
};

typedef struct checking {
    fen_run *run;
    const check_args *args;
    const fen_base *base;
    fen_look look;
    fen_tally tally;
    fen_score *score;
    fen_spool spool[FEN_HOURS + 1]; /* by urgency, when sorted */
    fen_spool broken;
    fen_progress progress;
    const char *path;     /* of the file at hand */
    uint64_t bytes_before, bytes;
    fen_status status;    /* of what was put aside */
    int error;
} checking;

/* -- in the workers' threads ---------------------------------------------------- */

static void write_result(void *ctx, fen_judged *j, struct fen_str *out)
{
    const checking *k = ctx;
    if (k->args->format == JSON)
        fen_record_json(out, k->base, j);
    else if (k->args->format == CSV)
        fen_record_csv(out, k->base, j);
    else
        fen_record_row(out, k->base, k->look, j);
}

/* -- in order -------------------------------------------------------------------- */

static void count(checking *k, const fen_mark *m)
{
    if (m->broken) {
        k->tally.broken++;
        return;
    }
    k->tally.cases++;
    k->tally.blank += m->blank;
    k->tally.urgency[m->urgency] += !m->blank;
    if (m->cause != FEN_NONE && !m->blank)
        k->tally.leading[m->cause]++;
    if (k->score)
        fen_score_add(k->score, &m->grade);
}

static void put_aside(checking *k, const fen_part *part)
{
    size_t from = 0;
    for (size_t i = 0; i < part->n_marks && !k->status; i++) {
        const fen_mark *m = &part->marks[i];
        k->status = fen_spool_put(m->broken ? &k->broken : &k->spool[m->urgency], part->out + from, m->out_end - from);
        k->error = errno;
        from = m->out_end;
    }
}

static bool take(void *ctx, const fen_part *part)
{
    checking *k = ctx;
    if (k->path && strcmp(k->path, part->path) != 0) {
        k->bytes_before += k->bytes;
        k->bytes = 0;
    }
    k->path = part->path;
    k->bytes = part->bytes;
    k->tally.unusable += part->unusable;
    for (size_t i = 0; i < part->n_marks; i++)
        count(k, &part->marks[i]);
    if (part->err_len || part->out_len)
        fen_progress_hide(&k->progress);
    fen_sink_put(k->run->err, part->err, part->err_len);
    if (k->args->sort == URGENT_FIRST)
        put_aside(k, part);
    else
        fen_sink_put(k->run->out, part->out, part->out_len);
    fen_progress_show(&k->progress, k->tally.cases + k->tally.broken, k->bytes_before + k->bytes);
    return fen_sink_flush(k->run->out) && !k->status;
}

/* -- the whole -------------------------------------------------------------------- */

static void begin_output(checking *k)
{
    fen_str head;
    fen_str_init(&head, 4096);
    if (k->args->format == TABLE)
        fen_record_row_head(&head, k->look);
    else if (k->args->format == CSV)
        fen_record_csv_head(&head);
    fen_sink_put(k->run->out, head.at, head.len);
    fen_str_free(&head);
}

static fen_status empty_spools(checking *k)
{
    fen_status st = FEN_OK;
    for (int u = FEN_HOURS; !st && u >= 0; u--)
        st = fen_spool_copy(&k->spool[u], k->run->out);
    return st ? st : fen_spool_copy(&k->broken, k->run->out);
}

/* CSV has no place for totals or a score: they go where messages go. */
static fen_status end_output(checking *k)
{
    const fen_score_sums *sums = NULL;
    fen_str text;
    fen_status st = k->args->sort == URGENT_FIRST ? empty_spools(k) : FEN_OK;
    if (!st && k->score)
        st = fen_score_sum(k->score, &sums);
    if (st)
        return st;
    fen_str_init(&text, 16u << 20);
    if (k->args->format == TABLE)
        fen_record_totals(&text, k->base, k->look, &k->tally);
    if (sums && k->args->format == JSON)
        fen_record_score_json(&text, k->base, sums);
    else if (sums)
        fen_record_score(&text, k->base, k->look, sums);
    fen_sink_put(k->args->format == CSV ? k->run->err : k->run->out, text.at, text.len);
    st = fen_str_status(&text);
    fen_str_free(&text);
    return st;
}

static fen_exit exit_of(const checking *k)
{
    if (k->tally.broken || k->tally.unusable)
        return FEN_EXIT_INPUT;
    if (k->args->strict && k->tally.urgency[FEN_DAYS] + k->tally.urgency[FEN_HOURS])
        return FEN_EXIT_ATTENTION;
    return FEN_EXIT_DONE;
}

static uint32_t processors(void)
{
    const long n = sysconf(_SC_NPROCESSORS_ONLN);
    return n < 1 ? 1 : n > 8 ? 8 : (uint32_t)n;
}

static fen_exit run_batch(checking *k)
{
    const fen_batch b = {
        .base = k->base, .today = fen_command_today(k->run), .input = (fen_input)k->args->input,
        .jobs = k->args->jobs ? k->args->jobs : processors(), .ask = true, .grade = k->args->score,
        .ctx = k, .judge = write_result, .deliver = take,
    };
    begin_output(k);
    fen_progress_start(&k->progress, k->run->err, k->run->operands, k->run->n_operands);
    fen_status st = fen_batch_run(&b, k->run->operands, k->run->n_operands);
    int error = errno;
    fen_progress_hide(&k->progress);
    if (!st && k->status) {
        st = k->status;
        error = k->error;
    }
    if (!st && !k->run->out->error) {
        st = end_output(k);
        error = errno;
    }
    if (st)
        fen_message_status(k->run->err, "fenmend", st, error);
    return st ? fen_exit_for(st, error) : exit_of(k);
}

static fen_exit check(fen_run *run)
{
    checking k = { .run = run, .args = run->own, .look = fen_command_look(run, STDOUT_FILENO) };
    fen_base *base = NULL;
    fen_exit e = fen_load_base(run, &base);
    if (e)
        return e;
    k.base = base;
    for (int u = 0; u <= FEN_HOURS; u++)
        fen_spool_init(&k.spool[u]);
    fen_spool_init(&k.broken);
    fen_status st = FEN_OK;
    k.tally.leading = fen_calloc(fen_base_causes(base), sizeof *k.tally.leading);
    if (!k.tally.leading)
        st = FEN_ENOMEM;
    else if (k.args->score)
        st = fen_score_new(base, &k.score);
    if (st) {
        fen_message_status(run->err, "fenmend", st, 0);
        e = fen_exit_for(st, 0);
    } else {
        e = run_batch(&k);
    }
    fen_score_free(k.score);
    fen_free(k.tally.leading);
    for (int u = 0; u <= FEN_HOURS; u++)
        fen_spool_free(&k.spool[u]);
    fen_spool_free(&k.broken);
    fen_base_free(base);
    return e;
}

const fen_command fen_cmd_check = {
    .name = "check",
    .operands = "FILE...",
    .does = "judge many cases at once",
    .about = "Judges every case in the files ('-': standard input), a line each, in the order read. A file is YAML (a document a case, or "
             "one list of cases), JSON Lines, or CSV whose first row names case, kind, date, note, settled, findings (a unit may "
             "follow in brackets) and, as 'where.NAME', whatever else is recorded; '#' before a name passes the column over, an empty "
             "cell says nothing, several answers are separated by ';'.\n"
             "A case with several visits is judged by its last.\n"
             "A case that cannot be read is told with its place, gets a line of its own, and does not stop the others.\n"
             "With --score, cases that have 'settled' are compared with the verdict, and asked once more one question at a time.\n"
             "Exit status: 2 if any case or file could not be read; else 1 with --strict if a plant needs help within days or "
             "hours; else 0. Without --jobs there is a worker for every processor, at most 8.",
    .least = 1,
    .most = UINT32_MAX,
    .opts = check_opts,
    .own_size = sizeof(check_args),
    .run = check,
};
