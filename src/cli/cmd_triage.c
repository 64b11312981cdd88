/* cmd_triage.c -- the interactive prompt, on a terminal or in a pipe. */
#include <unistd.h>

#include "command.h"
#include "edit.h"
#include "paths.h"
#include "places.h"
#include "prompt.h"

typedef struct triage_args {
    const char *into, *kept_in;
} triage_args;

#define TO(member) offsetof(triage_args, member)
static const fen_opt triage_opts[] = {
    { FEN_OPT_TEXT, 'o', "into", TO(into), "FILE", "the pack that 'lesson' puts rules into; left out: your own" },
    { FEN_OPT_TEXT, 'k', "kept-in", TO(kept_in), "FILE", "the settled cases that 'lesson' and 'keep' add to" },
    { .type = FEN_OPT_END },
};

typedef struct talk {
    const fen_run *run;
    fen_session *session;
    fen_prompt *prompt;
    fen_follow *follow;
    fen_places places;
} talk;

static fen_look look(void *arg)
{
    return fen_command_look(((const talk *)arg)->run, STDOUT_FILENO);
}

static fen_status complete(void *arg, const char *line, size_t start, size_t end, fen_candidates *ret)
{
    const talk *t = arg;
    if (fen_prompt_teaching(t->prompt))
        return fen_teach_complete(line, start, end, ret);
    return fen_complete(t->session, fen_prompt_open(t->prompt), line, start, end, ret);
}

/* Editing needs a terminal at both ends; everything else is read as it comes. */
static fen_reader *open_reader(talk *t, const fen_str *state)
{
    if (!isatty(STDIN_FILENO) || !isatty(STDOUT_FILENO))
        return fen_reader_plain(STDIN_FILENO);
    const fen_edit_setup setup = {
        .complete = complete,
        .arg = t,
        .folder = state->len ? state->at : NULL,
        .err = t->run->err,
        .colour = look(t).colour,
    };
    return fen_edit_open(&setup);
}

static fen_exit hold_talk(talk *t, const fen_case *earlier, const char *path)
{
    fen_str state;
    fen_str_init(&state, 4096);
    if (!fen_paths_state(&state))
        fen_str_clear(&state);
    fen_reader *in = open_reader(t, &state);
    fen_status st = in ? FEN_OK : FEN_ENOMEM;
    fen_exit e = FEN_EXIT_MACHINE;
    if (!st) {
        const fen_prompt_setup setup = {t->session, earlier, path, in, t->run->out, t->run->err, look, t, t->follow, &t->places.shown};
        st = fen_prompt_new(&setup, &t->prompt);
    }
    if (st)
        fen_message_status(t->run->err, "fenmend", st, 0);
    else
        e = fen_prompt_run(t->prompt);
    if (in)
        in->close(in);
    fen_prompt_free(t->prompt);
    fen_str_free(&state);
    return e;
}

/* On a later day it is another visit: what lasts is taken over, the rest asked anew. */
static fen_exit begin_visit(talk *t, const fen_case *earlier)
{
    const size_t last = earlier->n_visits - 1;
    const int32_t today = fen_command_today(t->run);
    if (today <= earlier->visits[last].date)
        return FEN_EXIT_DONE;
    const fen_status st = fen_follow_make(earlier, last, t->session, &t->follow);
    if (st)
        fen_message_status(t->run->err, "fenmend", st, 0);
    else
        fen_follow_begin(t->follow, earlier, last, t->session, today);
    return fen_exit_for(st, 0);
}

static fen_exit load_rules(talk *t, fen_base **ret_base)
{
    const triage_args *args = t->run->own;
    const fen_exit e = fen_places_find(t->run, args->into, args->kept_in, &t->places);
    return e ? e : fen_load_packs(t->run, &t->places.packs, ret_base);
}

static fen_exit triage(fen_run *run)
{
    talk t = {.run = run};
    const char *path = run->n_operands ? run->operands[0] : NULL;
    fen_base *base = NULL;
    fen_case *earlier = NULL;
    fen_exit e = load_rules(&t, &base);
    if (!e && path)
        e = fen_load_case(run, base, path, &earlier, &t.session);
    if (!e && earlier)
        e = begin_visit(&t, earlier);
    if (!e && !path) {
        const fen_status st = fen_session_new(base, fen_command_today(run), &t.session);
        if (st)
            fen_message_status(run->err, "fenmend", st, 0);
        e = fen_exit_for(st, 0);
    }
    if (!e)
        e = hold_talk(&t, earlier, path);
    fen_session_free(t.session);
    fen_follow_free(t.follow);
    fen_case_free(earlier);
    fen_base_free(base);
    fen_places_free(&t.places);
    return e;
}

const fen_command fen_cmd_triage = {
    .name = "triage",
    .operands = "[CASEFILE]",
    .does = "ask about one plant, judge, explain",
    .about = "Asks the cheapest question that matters most, one after the other, until the verdict stands; every verdict can be asked "
             "where it comes from. With a case file, goes on from what it holds; on a later day than its last visit, begins another: what lasts is "
             "taken over, what the plan promised to change is asked first, and whether it is getting better is said. 'help' at the prompt lists its words.\n"
             "\n"
             "From a pipe each line is what would be typed; the same answers come out, without a prompt. When a line of a pipe is "
             "refused, the exit status is 2, for the lines after it may have answered another question than they were meant for.",
    .most = 1,
    .opts = triage_opts,
    .own_size = sizeof(triage_args),
    .run = triage,
};
