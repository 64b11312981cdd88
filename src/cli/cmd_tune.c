/* cmd_tune.c -- weights from settled cases, as a diff or as a new pack; nothing is written
 * but to standard output. */
#include <errno.h>

#include "command.h"
#include "fenmend/tune.h"
#include "load.h"

enum { IGNORED, USED };

typedef struct tune_args {
    bool propose;
    int missing, input;
} tune_args;

#define TO(member) offsetof(tune_args, member)
static const fen_opt tune_opts[] = {
    { FEN_OPT_FLAG, 'p', "propose", TO(propose), NULL, "draft a pack from the cases alone, without any rules" },
    { FEN_OPT_CHOICE, 'm', "missing", TO(missing), "ignored|used", "with --propose: whether 'unsure' is evidence, too" },
    { FEN_OPT_CHOICE, 'i', "input", TO(input), "auto|yaml|jsonl|json|csv", "what the files are; auto: by their content" },
    { .type = FEN_OPT_END },
};

static void tell(void *ctx, const char *text, size_t len)
{
    fen_sink_put(((fen_run *)ctx)->err, text, len);
}

static fen_exit complain(const fen_run *run, fen_status st, const fen_tune_report *r, bool proposing)
{
    if (st != FEN_EINPUT)
        fen_message_status(run->err, "fenmend", st, errno);
    else if (r->settled < FEN_TUNE_LEAST)
        fen_messagef(run->err, FEN_ERROR, "fenmend", "only %llu settled cases can be used; at least %u are needed",
                     (unsigned long long)r->settled, FEN_TUNE_LEAST);
    else
        fen_messagef(run->err, FEN_ERROR, "fenmend", "the cases do not tell causes apart; %s are needed",
                     proposing ? "two causes and a finding with two named answers" : "rules with weights");
    return fen_exit_for(st, errno);
}

static fen_exit finish(const fen_run *run, fen_status st, const fen_tune_report *r, fen_str *out, bool proposing)
{
    if (!st)
        st = fen_str_status(out);
    if (st)
        return complain(run, st, r, proposing);
    fen_sink_put(run->out, out->at, out->len);
    return r->broken ? FEN_EXIT_INPUT : FEN_EXIT_DONE;
}

static fen_exit tune_rules(fen_run *run, const fen_tune_plan *plan, fen_str *out)
{
    fen_load_paths packs = { 0 };
    fen_base *base = NULL;
    fen_tune_report r;
    fen_exit e = fen_load_list(run, NULL, 0, &packs);
    if (e)
        return e;
    e = fen_load_packs(run, &packs, &base);
    if (!e) {
        const fen_status st = fen_tune(base, (const char *const *)packs.at, packs.count, plan, out, &r);
        e = finish(run, st, &r, out, false);
    }
    fen_base_free(base);
    fen_load_paths_free(&packs);
    return e;
}

static fen_exit tune(fen_run *run)
{
    const tune_args *args = run->own;
    const fen_tune_plan plan = {
        .paths = run->operands, .n_paths = run->n_operands, .input = (fen_input)args->input, .today = fen_command_today(run),
        .missing_used = args->missing == USED, .ctx = run, .tell = tell,
    };
    fen_str out;
    fen_tune_report r;
    fen_exit e;
    fen_str_init(&out, (size_t)512 << 20);
    if (args->propose) {
        const fen_status st = fen_propose(&plan, &out, &r);
        e = finish(run, st, &r, &out, true);
    } else {
        e = tune_rules(run, &plan, &out);
    }
    fen_str_free(&out);
    return e;
}

const fen_command fen_cmd_tune = {
    .name = "tune",
    .operands = "CASES...",
    .does = "fit weights to settled cases",
    .about = "Fits the weights of the rules, and the usual rates of causes, to cases that say what they turned out to be ('settled'). "
             "What the authors wrote is the centre: few cases move little. How strongly it holds is chosen by cross-validation, and "
             "the scores told are those on cases that neither the fit nor that choice has seen.\n"
             "The result is a unified diff of the packs in which only weights and rates differ; read it, then hand it to 'patch'. "
             "No file is changed.\n"
             "With --propose, a pack is drafted from the cases alone: one rule for each answer of each finding. Findings measured in "
             "numbers, and those with several answers at once, are left out. The texts, and how urgent a cause is, are yours to write.\n"
             "Cases are written as for 'check'; at least 20 settled ones are needed.",
    .least = 1,
    .most = UINT32_MAX,
    .opts = tune_opts,
    .own_size = sizeof(tune_args),
    .run = tune,
};
