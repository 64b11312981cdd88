/* test_prompt.c -- the dialogue, with lines from an array and pages into texts. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cmocka.h>

#include "cli/prompt.h"
#include "cli/prompt_words.h"
#include "util/alloc.h"
#include "util/limits.h"
#include "util/vec.h"

enum { TODAY = 20646 }; /* 2026-07-12 */

static fen_base *base;
static uint32_t look_width = 200; /* so that a complaint stays on one line */

/* ---- a grower made of lines ------------------------------------------------------ */

typedef struct script {
    fen_reader in;
    const char *const *lines;
    size_t n, at;
    fen_session *s;
    fen_prompt *p;
    fen_str out_text, err_text;
    fen_sink out, err;
} script;

static fen_read next_line(fen_reader *r, const char *ask, fen_str *ret_line)
{
    script *t = (script *)r;
    (void)ask;
    fen_str_clear(ret_line);
    if (t->at == t->n)
        return FEN_READ_END;
    const char *line = t->lines[t->at++];
    if (strcmp(line, "^C") == 0)
        return FEN_READ_ABANDONED;
    fen_str_puts(ret_line, line);
    return FEN_READ_LINE;
}

static fen_look plain_look(void *arg)
{
    (void)arg;
    return (fen_look){.width = look_width};
}

static fen_status script_open(script *t, const fen_case *earlier, const char *path)
{
    *t = (script){.in.next = next_line, .in.terminal = true};
    fen_str_init(&t->out_text, 4u << 20);
    fen_str_init(&t->err_text, 1u << 20);
    t->out = fen_sink_text(&t->out_text);
    t->err = fen_sink_text(&t->err_text);
    fen_status st = fen_session_new(base, earlier ? earlier->visits[earlier->n_visits - 1].date : TODAY, &t->s);
    if (st)
        return st;
    if (earlier)
        fen_case_answer(earlier, earlier->n_visits - 1, t->s);
    return fen_prompt_new(&(fen_prompt_setup){t->s, earlier, path, &t->in, &t->out, &t->err, plain_look, NULL, NULL, NULL}, &t->p);
}

static void script_close(script *t)
{
    fen_prompt_free(t->p);
    fen_session_free(t->s);
    fen_str_free(&t->out_text);
    fen_str_free(&t->err_text);
}

static fen_exit script_run(script *t, const char *const *lines, size_t n)
{
    t->lines = lines;
    t->n = n;
    t->at = 0;
    return fen_prompt_run(t->p);
}

#define RUN(t, ...) script_run((t), (const char *const[]){__VA_ARGS__}, FEN_COUNT(((const char *const[]){__VA_ARGS__})))

/* ---- what a session holds ---------------------------------------------------------- */

static bool same_state(fen_session *a, fen_session *b)
{
    for (fen_id i = 0; i < fen_base_findings(base); i++) {
        const fen_answer x = fen_session_given(a, i), y = fen_session_given(b, i);
        if (x.state != y.state || x.picks != y.picks || x.value != y.value)
            return false;
        if (fen_session_skipped(a, i) != fen_session_skipped(b, i))
            return false;
    }
    const fen_verdict *v = fen_session_verdict(a), *w = fen_session_verdict(b);
    for (fen_id c = 0; c < fen_base_causes(base); c++)
        if (v->score[c] != w->score[c])
            return false;
    return true;
}

static fen_id finding(const char *id)
{
    const fen_id f = fen_base_find_finding(base, id);
    assert_true(f != FEN_NONE);
    return f;
}

static uint64_t picks(const script *t, const char *id)
{
    return fen_session_given(t->s, finding(id)).picks;
}

/* ---- the tests ------------------------------------------------------------------------ */

static void the_kind_is_asked_first_and_two_lines_say_how_to_leave(void **state)
{
    (void)state;
    script t;
    look_width = 80;
    assert_int_equal(script_open(&t, NULL, NULL), FEN_OK);
    look_width = 200;
    assert_int_equal(RUN(&t, "quit"), FEN_EXIT_DONE);
    const char *question = strstr(t.out_text.at, "\n\n");
    assert_non_null(question);
    size_t lines = 0;
    for (const char *p = t.out_text.at; p < question + 1; p++)
        lines += *p == '\n';
    assert_int_equal(lines, 2);
    assert_true(strstr(t.out_text.at, "'quit'") < question);
    assert_non_null(strstr(question, "trap plant"));
    assert_string_equal(t.err_text.at, "");
    script_close(&t);
}

static const struct {
    const char *line;
    uint64_t picks; /* of `tray`; 0: still open */
} meanings[] = {
    {"dry-often", 1},
    {"dry now and then", 1},   /* as it is shown */
    {"DRY", 1},                /* a beginning, in capitals */
    {"1", 1},                  /* its number */
    {"3", 4},
    {"standing", 2},           /* exactly an answer beats the word of the prompt */
    {"Standing", 2},
    {"standing water", 2},     /* the word takes nothing, so this is no use of it */
    {"/standing", 0},          /* always the word */
    {"stand", 2},              /* words of the prompt are not shortened */
    {"back", 0},               /* a word of the prompt beats the beginning of an answer */
    {"= back", 4},             /* always an answer */
    {"=back", 0},
    {"help", 0},
    {"  2  ", 2},
    {"4", 0},
};

static void a_line_means_one_thing(void **state)
{
    (void)state;
    for (size_t i = 0; i < FEN_COUNT(meanings); i++) {
        script t;
        assert_int_equal(script_open(&t, NULL, NULL), FEN_OK);
        assert_int_equal(fen_session_answer(t.s, FEN_KIND_FINDING, (fen_answer){.state = FEN_KNOWN, .picks = 2}), FEN_OK);
        /* pass over questions until the tray's turn comes */
        for (fen_id f = 1; f < fen_base_findings(base); f++)
            if (f != finding("tray"))
                fen_session_skip(t.s, f, true);
        RUN(&t, meanings[i].line, "quit");
        if (picks(&t, "tray") != meanings[i].picks)
            fail_msg("'%s' gave %llu:\n%s%s", meanings[i].line, (unsigned long long)picks(&t, "tray"), t.out_text.at, t.err_text.at);
        script_close(&t);
    }
}

static const struct {
    const char *line, *says;
} refusals[] = {
    {"note", "error: 'note' needs a finding and its answer; write 'note FINDING ANSWER'\n"},
    {"note heart", "error: 'note' needs the answer too; write 'note heart ANSWER'\n"},
    {"note hart soft", "error: 'hart' is no finding; did you mean 'heart'\n"},
    {"note unrest none", "error: 'unrest' is worked out by the rules; say what was seen or measured instead\n"},
    {"suppose xyzzy 1", "error: 'xyzzy' is no finding; 'help note' lists them\n"},
    {"because hart-rot", "error: 'hart-rot' is no cause; did you mean 'heart-rot'\n"},
    {"because m", "error: 'm' could be more than one cause; write 'mineral-burn' or 'moving-sulk'\n"},
    {"because finished-trap", "error: 'finished-trap' does not occur in this kind of plant; 'standing' lists those that do\n"},
    {"contrast heart-rot", "error: two causes are needed; write 'contrast CAUSE CAUSE'\n"},
    {"contrast heart-rot heart rot", "error: both are 'heart-rot'; name two different causes\n"},
    {"keep", "error: 'keep' needs the name of a file; write 'keep FILE'\n"},
    {"/hlep", "error: '/hlep' is no word of the prompt; 'help' lists them\n"},
    {"help hlep", "error: 'hlep' is no word of the prompt; did you mean 'help'\n"},
    {"standng", "error: 'standng' is no answer and no word of the prompt; did you mean 'standing'\n"},
    {"stalk yes", "error: 'stalk yes' is not what is asked; to tell it all the same, write 'note stalk yes'\n"},
    {"\xff", "error: the line is not valid text; write it in UTF-8 or the character set of the locale\n"},
};

static void a_refusal_says_what_would_be_right_and_changes_nothing(void **state)
{
    (void)state;
    for (size_t i = 0; i < FEN_COUNT(refusals); i++) {
        script t, untouched;
        assert_int_equal(script_open(&t, NULL, NULL), FEN_OK);
        assert_int_equal(script_open(&untouched, NULL, NULL), FEN_OK);
        RUN(&t, "glue-plant", refusals[i].line, "quit");
        RUN(&untouched, "glue-plant", "quit");
        assert_true(same_state(t.s, untouched.s));
        char *end = strstr(t.err_text.at, "note: "); /* the farewell */
        assert_non_null(end);
        *end = '\0';
        assert_string_equal(t.err_text.at, refusals[i].says);
        script_close(&t);
        script_close(&untouched);
    }
}

static void in_a_pipe_a_refused_line_is_told_by_number_and_in_the_exit_status(void **state)
{
    (void)state;
    script t;
    assert_int_equal(script_open(&t, NULL, NULL), FEN_OK);
    t.in.terminal = false;
    assert_int_equal(RUN(&t, "trap-plant", "keep", "done"), FEN_EXIT_INPUT);
    assert_memory_equal(t.err_text.at, "stdin:2: error: 'keep' needs", 28);
    script_close(&t);

    assert_int_equal(script_open(&t, NULL, NULL), FEN_OK);
    assert_int_equal(RUN(&t, "trap-plant", "keep", "done"), FEN_EXIT_DONE);
    script_close(&t);
}

static void back_ends_where_a_fresh_start_ends(void **state)
{
    (void)state;
    script t, fresh;
    assert_int_equal(script_open(&t, NULL, NULL), FEN_OK);
    assert_int_equal(script_open(&fresh, NULL, NULL), FEN_OK);
    RUN(&t, "trap-plant", "note heart soft", "note heart firm", "unsure", "note blackened old-leaves, traps", "skip", "note heart soft",
        "note water-reading 0.4 mS/cm", "note last-move 3 days ago", "note kind glue-plant", "back", "back", "back", "back", "back", "back",
        "back", "back", "back", "back", "back", "quit");
    assert_true(same_state(t.s, fresh.s));
    assert_non_null(strstr(t.err_text.at, "there is nothing left to take back"));
    script_close(&t);
    script_close(&fresh);
}

static void after_back_the_same_question_is_asked_again(void **state)
{
    (void)state;
    script t;
    assert_int_equal(script_open(&t, NULL, NULL), FEN_OK);
    RUN(&t, "trap-plant");
    const fen_id first = fen_prompt_open(t.p);
    assert_true(first != FEN_NONE);
    RUN(&t, "unsure", "skip", "back", "back");
    assert_int_equal(fen_prompt_open(t.p), first);
    script_close(&t);
}

static void an_abandoned_line_changes_nothing(void **state)
{
    (void)state;
    script t;
    assert_int_equal(script_open(&t, NULL, NULL), FEN_OK);
    RUN(&t, "trap-plant");
    const fen_id before = fen_prompt_open(t.p);
    RUN(&t, "^C", "^C");
    assert_int_equal(fen_prompt_open(t.p), before);
    script_close(&t);
}

static void suppose_records_nothing(void **state)
{
    (void)state;
    script t, plain;
    assert_int_equal(script_open(&t, NULL, NULL), FEN_OK);
    assert_int_equal(script_open(&plain, NULL, NULL), FEN_OK);
    RUN(&t, "trap-plant", "suppose heart soft", "suppose water-reading 900 ppm", "flip", "contrast", "because", "standing", "?");
    RUN(&plain, "trap-plant");
    assert_true(same_state(t.s, plain.s));
    assert_int_equal(fen_prompt_open(t.p), fen_prompt_open(plain.p));
    script_close(&t);
    script_close(&plain);
}

static void leaving_says_what_is_lost_only_if_something_is(void **state)
{
    (void)state;
    script t;
    assert_int_equal(script_open(&t, NULL, NULL), FEN_OK);
    RUN(&t, "trap-plant", "skip", "back", "back");
    assert_string_equal(t.err_text.at, "");
    RUN(&t, "trap-plant", "unsure");
    assert_string_equal(t.err_text.at, "note: 2 answers are not kept; 'keep FILE' before leaving would have kept the case\n");
    script_close(&t);
}

/* ---- keeping ---------------------------------------------------------------------------- */

static char folder[] = "/tmp/fenmend-test-XXXXXX";

static int open_folder(void **state)
{
    (void)state;
    strcpy(folder, "/tmp/fenmend-test-XXXXXX");
    return mkdtemp(folder) && chdir(folder) == 0 ? 0 : -1;
}

static int close_folder(void **state)
{
    (void)state;
    char line[64];
    snprintf(line, sizeof line, "rm -rf %s", folder);
    return chdir("/") || system(line);
}

static fen_case *load_case(const char *path)
{
    fen_problems *problems;
    fen_case *c = NULL;
    assert_int_equal(fen_problems_new(&problems), FEN_OK);
    assert_int_equal(fen_case_load(base, path, TODAY, problems, &c), FEN_OK);
    fen_problems_free(problems);
    return c;
}

static void a_kept_case_goes_on_with_the_same_answers(void **state)
{
    (void)state;
    script t, again;
    assert_int_equal(script_open(&t, NULL, NULL), FEN_OK);
    RUN(&t, "trap-plant", "note heart soft", "note blackened none", "note water-reading 75.5 ppm", "note last-move 2026-07-01", "note tray unsure",
        "keep porch plant.yaml", "note stalk yes", "quit");
    assert_string_equal(t.err_text.at,
                        "note: 1 answer is not kept; 'keep porch plant.yaml' before leaving would have kept the case\n");
    fen_session_answer(t.s, finding("stalk"), (fen_answer){0}) ? fail() : (void)0;
    fen_case *c = load_case("porch plant.yaml");
    assert_string_equal(c->id, "porch plant");
    assert_int_equal(script_open(&again, c, "porch plant.yaml"), FEN_OK);
    assert_true(same_state(t.s, again.s));
    assert_int_equal(RUN(&again, "done"), FEN_EXIT_DONE);
    assert_string_equal(again.err_text.at, ""); /* nothing is new, so nothing is lost */
    script_close(&t);
    script_close(&again);
    fen_case_free(c);
}

static void what_a_case_told_can_be_taken_back(void **state)
{
    (void)state;
    script t, again, fresh;
    assert_int_equal(script_open(&t, NULL, NULL), FEN_OK);
    assert_int_equal(script_open(&fresh, NULL, NULL), FEN_OK);
    RUN(&t, "trap-plant", "note heart soft", "note stalk yes", "keep b.yaml");
    fen_case *c = load_case("b.yaml");
    assert_int_equal(script_open(&again, c, "b.yaml"), FEN_OK);
    RUN(&again, "back", "back", "back");
    assert_true(same_state(again.s, fresh.s));
    script_close(&t);
    script_close(&again);
    script_close(&fresh);
    fen_case_free(c);
}

static long size_of(const char *path)
{
    struct stat st;
    return stat(path, &st) == 0 ? (long)st.st_size : -1;
}

static void another_file_is_replaced_only_when_asked_twice(void **state)
{
    (void)state;
    FILE *f = fopen("letter.txt", "w");
    assert_non_null(f);
    fputs("dear friend\n", f);
    fclose(f);
    script t;
    assert_int_equal(script_open(&t, NULL, NULL), FEN_OK);
    RUN(&t, "trap-plant", "keep letter.txt", "keep other.yaml", "keep letter.txt");
    assert_int_equal(size_of("letter.txt"), 12); /* what was kept between was another name */
    assert_true(size_of("other.yaml") > 12);
    RUN(&t, "keep other.yaml", "keep letter.txt", "keep letter.txt");
    assert_true(size_of("letter.txt") > 12);
    script_close(&t);
}

static void a_failed_keep_says_why_and_loses_nothing(void **state)
{
    (void)state;
    script t, plain;
    assert_int_equal(script_open(&t, NULL, NULL), FEN_OK);
    assert_int_equal(script_open(&plain, NULL, NULL), FEN_OK);
    RUN(&t, "trap-plant", "keep no/such/folder/a.yaml");
    RUN(&plain, "trap-plant");
    assert_true(same_state(t.s, plain.s));
    assert_memory_equal(t.err_text.at, "error: 'no/such/folder/a.yaml' is not written: No such file or directory; the case is as it was", 95);
    script_close(&t);
    script_close(&plain);
}

/* ---- trouble ------------------------------------------------------------------------------ */

static const char *const everything[] = {
    "trap-plant", "?", "unsure", "skip", "note heart soft", "note water-reading 300 uS/cm", "standing", "because", "contrast", "flip",
    "suppose stalk yes", "plan", "help", "help note", "keep k.yaml", "nonsense", "back", "back", "", "keep", "done",
};

static void every_failed_allocation_is_survived(void **state)
{
    (void)state;
    const size_t before = fen_alloc_live();
    for (size_t nth = 0;; nth++) {
        script t;
        fen_alloc_fail_at(nth);
        const fen_status st = script_open(&t, NULL, NULL);
        if (!st)
            script_run(&t, everything, FEN_COUNT(everything));
        const bool all = t.at == t.n && !strstr(t.err_text.at, fen_status_text(FEN_ENOMEM)) && !t.out.error;
        fen_alloc_fail_at(FEN_ALLOC_NEVER_FAIL);
        script_close(&t);
        assert_int_equal(fen_alloc_live(), before);
        if (!st && all && nth > 2000)
            return;
    }
}

static void a_result_that_cannot_be_written_ends_the_talk(void **state)
{
    (void)state;
    script t;
    assert_int_equal(script_open(&t, NULL, NULL), FEN_OK);
    FILE *full = fopen("/dev/full", "w");
    assert_non_null(full);
    t.out = fen_sink_file(full);
    script_run(&t, everything, FEN_COUNT(everything));
    assert_true(t.at < 2);
    assert_int_equal(fen_sink_finish(&t.out), FEN_EIO);
    fclose(full);
    script_close(&t);
}

static unsigned draw(unsigned *seed, unsigned below)
{
    *seed = *seed * 1664525u + 1013904223u; /* Numerical Recipes' generator: any will do, but the same everywhere */
    return (*seed >> 16) % below;
}

/* Lines out of words that mean something here and some that do not: nothing
 * crashes, and going back to the start is a fresh start. */
static void random_talk_can_always_be_taken_back(void **state)
{
    (void)state;
    static const char *const bits[] = {"note", "suppose", "because", "contrast", "back", "skip", "unsure", "1", "2", "0", "-3", "1e308", "soft",
        "yes", "none", "heart", "blackened", "traps,", "old-leaves", "water-reading", "40 ppm", "2 mS/cm", "last-move", "yesterday",
        "2026-02-30", "kind", "glue-plant", "heart rot", "thirst", "=", "/", "help", "?", "flip", "standing", "", "\t", "\xc3\xa9", "\x1b[2J", "tray"};
    unsigned seed = 20260712u;
    for (int round = 0; round < 60; round++) {
        static char text[40][96];
        const char *lines[160];
        size_t n = 0;
        for (; n < 40; n++) {
            text[n][0] = '\0';
            for (unsigned k = draw(&seed, 4); k--;)
                strcat(strcat(text[n], bits[draw(&seed, FEN_COUNT(bits))]), " ");
            lines[n] = text[n];
        }
        while (n < FEN_COUNT(lines))
            lines[n++] = "/back";
        script t, fresh;
        assert_int_equal(script_open(&t, NULL, NULL), FEN_OK);
        assert_int_equal(script_open(&fresh, NULL, NULL), FEN_OK);
        script_run(&t, lines, n);
        assert_true(same_state(t.s, fresh.s));
        assert_null(strchr(t.out_text.at, '\x1b')); /* nothing typed reaches the terminal raw */
        assert_null(strchr(t.err_text.at, '\x1b'));
        script_close(&t);
        script_close(&fresh);
    }
}

static void the_table_of_words_is_sound(void **state)
{
    (void)state;
    for (size_t i = 0; i < fen_prompt_word_count(); i++) {
        const fen_prompt_word *w = fen_prompt_word_at(i);
        assert_non_null(w->run);
        assert_non_null(w->does);
        assert_true((w->arguments != NULL) == (w->takes != FEN_TAKES_NOTHING));
        assert_ptr_equal(fen_prompt_word_find(w->name, strlen(w->name)), w);
    }
}

static int load_small(void **state)
{
    (void)state;
    const char *path = FEN_TESTS_DIR "/packs/small.yaml";
    fen_problems *problems;
    if (fen_problems_new(&problems))
        return -1;
    const fen_status st = fen_base_load(&path, 1, problems, &base);
    fen_problems_free(problems);
    return st ? -1 : 0;
}

static int free_small(void **state)
{
    (void)state;
    fen_base_free(base);
    return 0;
}

#define IN_FOLDER(test) cmocka_unit_test_setup_teardown(test, open_folder, close_folder)

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_kind_is_asked_first_and_two_lines_say_how_to_leave),
        cmocka_unit_test(a_line_means_one_thing),
        cmocka_unit_test(a_refusal_says_what_would_be_right_and_changes_nothing),
        cmocka_unit_test(in_a_pipe_a_refused_line_is_told_by_number_and_in_the_exit_status),
        cmocka_unit_test(back_ends_where_a_fresh_start_ends),
        cmocka_unit_test(after_back_the_same_question_is_asked_again),
        cmocka_unit_test(an_abandoned_line_changes_nothing),
        cmocka_unit_test(suppose_records_nothing),
        cmocka_unit_test(leaving_says_what_is_lost_only_if_something_is),
        IN_FOLDER(a_kept_case_goes_on_with_the_same_answers),
        IN_FOLDER(what_a_case_told_can_be_taken_back),
        IN_FOLDER(another_file_is_replaced_only_when_asked_twice),
        IN_FOLDER(a_failed_keep_says_why_and_loses_nothing),
        IN_FOLDER(every_failed_allocation_is_survived),
        cmocka_unit_test(a_result_that_cannot_be_written_ends_the_talk),
        cmocka_unit_test(random_talk_can_always_be_taken_back),
        cmocka_unit_test(the_table_of_words_is_sound),
    };
    return cmocka_run_group_tests(tests, load_small, free_small);
}
