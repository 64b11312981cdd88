/* cmd_lesson.c -- what a wrongly judged case teaches. */
#include <errno.h>
#include <string.h>
#include <unistd.h>

#include "command.h"
#include "edit.h"
#include "names.h"
#include "paths.h"
#include "places.h"

typedef struct lesson_args {
    const char *settled, *into, *kept_in, *author;
    int take;
    bool undo, replace;
} lesson_args;

#define TO(member) offsetof(lesson_args, member)
static const fen_opt lesson_opts[] = {
    { FEN_OPT_TEXT, 's', "settled", TO(settled), "CAUSE", "what it turned out to be; left out: what the case says" },
    { FEN_OPT_CHOICE, 't', "take", TO(take), "ask|narrow|first|none",
      "ask: at the prompt; narrow: the first proposal that can be narrowed until no settled verdict changes; first: the first as it is; none: only show" },
    { FEN_OPT_FLAG, 'u', "undo", TO(undo), NULL, "take the last lesson back" },
    { FEN_OPT_TEXT, 'o', "into", TO(into), "FILE", "your own pack, to which the rule goes" },
    { FEN_OPT_TEXT, 'k', "kept-in", TO(kept_in), "FILE", "the settled cases" },
    { FEN_OPT_TEXT, 'a', "author", TO(author), "NAME", "who says so; left out: the name you are logged in with" },
    { FEN_OPT_FLAG, 'r', "replace", TO(replace), NULL, "the case may take the place of another of its name" },
    { .type = FEN_OPT_END },
};

static fen_exit undo(const fen_run *run, const fen_lesson_setup *set)
{
    fen_lesson_undone done;
    fen_problems *problems = NULL;
    if (access(set->pack, F_OK) != 0) {
        fen_messagef(run->err, FEN_ERROR, "fenmend", "there is no lesson to take back: '%s' is not there", set->pack);
        return FEN_EXIT_INPUT;
    }
    fen_status st = fen_paths_make_room(set->store);
    if (!st)
        st = fen_problems_new(&problems);
    if (!st)
        st = fen_lesson_undo(set, problems, &done);
    fen_exit e = FEN_EXIT_DONE;
    if (st) {
        e = fen_teach_complain(run->err, fen_command_look(run, STDERR_FILENO), "fenmend", st, errno, problems);
    } else if (!done.rule[0]) {
        fen_messagef(run->err, FEN_ERROR, "fenmend", "there is no lesson to take back in '%s'", set->pack);
        e = FEN_EXIT_INPUT;
    } else {
        fen_sink_printf(run->out, "The rule '%s' is out of %s%s\n", done.rule, set->pack, done.pack_gone ? ", and as that was all, the file is gone." : ".");
        if (done.case_out)
            fen_sink_printf(run->out, "The case '%s' is out of the settled cases in %s%s\n", done.of_case, set->store,
                            done.store_gone ? ", and as that was all, the file is gone." : ".");
        else
            fen_sink_printf(run->out, "The settled cases stay as they are: the case '%s' was not put there for this lesson alone.\n", done.of_case);
    }
    fen_problems_free(problems);
    return e;
}

/* The case with what it turned out to be. */
static fen_exit settle(const fen_run *run, const fen_session *s, const char *cause, fen_case **c)
{
    char err[FEN_NAMES_ERROR];
    fen_case *settled = NULL;
    fen_id id = FEN_NONE;
    if (!cause && !fen_case_settled(*c).count) {
        fen_messagef(run->err, FEN_ERROR, run->operands[0], "the case does not say what it turned out to be; add '--settled=CAUSE'");
        return FEN_EXIT_INPUT;
    }
    if (!cause)
        return FEN_EXIT_DONE;
    id = fen_base_find_cause(fen_session_base(s), cause);
    if (id == FEN_NONE && fen_names_cause(s, cause, strlen(cause), FEN_NAMES_LISTED, &id, err)) {
        fen_message(run->err, FEN_ERROR, "fenmend", err);
        return FEN_EXIT_INPUT;
    }
    const fen_status st = fen_case_settle(*c, id, NULL, &settled);
    if (st) {
        fen_message_status(run->err, "fenmend", st, 0);
        return fen_exit_for(st, 0);
    }
    fen_case_free(*c);
    *c = settled;
    return FEN_EXIT_DONE;
}

static fen_status complete(void *arg, const char *line, size_t start, size_t end, fen_candidates *ret)
{
    (void)arg;
    return fen_teach_complete(line, start, end, ret);
}

static fen_reader *open_reader(const fen_run *run, fen_look look)
{
    if (!isatty(STDIN_FILENO) || !isatty(STDOUT_FILENO))
        return fen_reader_plain(STDIN_FILENO);
    const fen_edit_setup setup = { .complete = complete, .err = run->err, .colour = look.colour };
    return fen_edit_open(&setup);
}

static fen_exit teach(const fen_run *run, const fen_lesson_setup *set)
{
    const lesson_args *args = run->own;
    const long cpus = sysconf(_SC_NPROCESSORS_ONLN);
    uint32_t line = 0;
    bool kept, rule;
    fen_teach t = { .lesson = *set, .wish = (fen_wish)args->take, .out = run->out, .err = run->err, .look = fen_command_look(run, STDOUT_FILENO), .line = &line };
    t.lesson.jobs = cpus < 1 ? 1 : cpus > 8 ? 8 : (uint32_t)cpus;
    if (t.wish == FEN_WISH_ASK && !(t.in = open_reader(run, t.look))) {
        fen_message_status(run->err, "fenmend", FEN_ENOMEM, 0);
        return FEN_EXIT_MACHINE;
    }
    const fen_exit e = fen_teach_run(&t, &kept, &rule);
    if (t.in)
        t.in->close(t.in);
    return e;
}

static fen_exit with_case(const fen_run *run, fen_lesson_setup *set)
{
    const lesson_args *args = run->own;
    fen_case *c = NULL;
    fen_session *s = NULL;
    fen_exit e = fen_load_case(run, set->base, run->operands[0], &c, &s);
    if (!e)
        e = settle(run, s, args->settled, &c);
    if (!e) {
        set->c = c;
        e = teach(run, set);
    }
    fen_session_free(s);
    fen_case_free(c);
    return e;
}

static fen_exit check_line(const fen_run *run)
{
    const lesson_args *args = run->own;
    if (args->undo && run->n_operands)
        fen_message(run->err, FEN_ERROR, "fenmend", "'--undo' takes the last lesson back and needs no case; leave one of them out");
    else if (!args->undo && !run->n_operands)
        fen_message(run->err, FEN_ERROR, "fenmend", "'lesson' needs a case; write 'fenmend lesson CASEFILE', or '--undo'");
    else
        return FEN_EXIT_DONE;
    return FEN_EXIT_INPUT;
}

static fen_exit lesson(fen_run *run)
{
    const lesson_args *args = run->own;
    fen_places p;
    fen_base *base = NULL;
    fen_exit e = check_line(run);
    if (e)
        return e;
    e = fen_places_find(run, args->into, args->kept_in, &p);
    if (!e && p.shown.why_not) {
        fen_message(run->err, FEN_ERROR, "fenmend", p.shown.why_not);
        e = FEN_EXIT_INPUT;
    }
    if (!e)
        e = fen_load_packs(run, &p.packs, &base);
    if (!e) {
        fen_lesson_setup set = { .base = base, .packs = p.shown.packs, .n_packs = p.shown.n_packs, .pack = p.shown.pack, .store = p.shown.store,
                                 .author = args->author && *args->author ? args->author : p.shown.author, .today = p.shown.today, .jobs = 1,
                                 .replace = args->replace };
        e = args->undo ? undo(run, &set) : with_case(run, &set);
    }
    fen_base_free(base);
    fen_places_free(&p);
    return e;
}

const fen_command fen_cmd_lesson = {
    .name = "lesson",
    .operands = "[CASEFILE]",
    .does = "learn a rule from a case that was judged wrongly",
    .about = "Shows what the verdict on a settled case relied on, finds what tells this plant from settled cases with the wrong verdict, and "
             "proposes the smallest rule that puts it right, in words and as it would stand in a pack. Every settled case is judged "
             "again under it; verdicts that would change are shown before anything is kept. Kept are the rule, in your own pack, and the case, "
             "among the settled ones (where 'check --score', 'impact' and 'tune' find it). A case that was judged rightly joins the settled ones, "
             "and nothing else changes.\n"
             "\n"
             "Your own packs are in $XDG_DATA_HOME/fenmend/rules and are loaded after all others; the rule goes to my-own.yaml there. The settled cases are "
             "in $XDG_DATA_HOME/fenmend/settled.yaml. '--undo' takes the last lesson back: the rule, and the case if it was put there for it.\n"
             "Exit status: 0 kept, or the verdict was right; 1 no rule was kept, or one that changes settled verdicts; 2 unusable input; 3 a fault of the machine.",
    .most = 1,
    .opts = lesson_opts,
    .own_size = sizeof(lesson_args),
    .run = lesson,
};
