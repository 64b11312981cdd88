/* test_complete.c -- what the Tab key offers, at every place of a line. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "cli/complete.h"
#include "util/alloc.h"
#include "util/str.h"

static fen_base *base;
static fen_session *session;

static int open_small(void **state)
{
    (void)state;
    const char *path = FEN_TESTS_DIR "/packs/small.yaml";
    fen_problems *problems;
    if (fen_problems_new(&problems))
        return -1;
    const fen_status st = fen_base_load(&path, 1, problems, &base);
    fen_problems_free(problems);
    return st || fen_session_new(base, 20000, &session) ? -1 : 0;
}

static int close_small(void **state)
{
    (void)state;
    fen_session_free(session);
    fen_base_free(base);
    return 0;
}

static void set_kind(const char *kind)
{
    const fen_answer a = {.state = kind ? FEN_KNOWN : FEN_OPEN, .picks = kind ? UINT64_C(1) << fen_base_find_kind(base, kind) : 0};
    assert_int_equal(fen_session_answer(session, FEN_KIND_FINDING, a), FEN_OK);
}

/* The candidates at the end of LINE, joined by blanks; "FILES" where files go. */
static void offered(const char *open, const char *line, fen_str *ret)
{
    fen_candidates c;
    size_t start = strlen(line);
    while (start && !strchr(" \t,", line[start - 1]))
        start--;
    const fen_id finding = open ? fen_base_find_finding(base, open) : FEN_NONE;
    assert_int_equal(fen_complete(session, finding, line, start, strlen(line), &c), FEN_OK);
    for (uint32_t i = 0; i < c.at.count; i++)
        fen_str_printf(ret, "%s%s", i ? " " : "", c.at.at[i]);
    if (c.files)
        fen_str_puts(ret, "FILES");
    fen_candidates_free(&c);
}

static const struct {
    const char *kind, *open, *line, *offers;
} rows[] = {
    /* the first word: answers of the open question, then words of the prompt */
    {"trap-plant", "heart", "f", "firm flip"},
    {"trap-plant", "heart", "so", "soft"},
    {"trap-plant", "heart", "SO", "soft"}, /* capitals do not matter */
    {"trap-plant", NULL, "so", ""},
    {"trap-plant", "stalk", "", "yes no ? unsure skip back note standing because contrast flip suppose plan amounts keep lesson done help quit ="},
    {"trap-plant", "stalk", "b", "back because"},
    {"trap-plant", "water-reading", "1", ""}, /* a number is typed, not completed */
    {"trap-plant", "tray", "back", "back-and-forth back"},
    {NULL, "kind", "", "trap-plant glue-plant ? unsure skip back note standing because contrast flip suppose plan amounts keep lesson done help quit ="},
    /* several answers, after blanks and commas */
    {"trap-plant", "blackened", "traps, n", "new-leaves none"},
    {"trap-plant", "blackened", "traps,old", "old-leaves"},
    /* a finding, then its answers */
    {"trap-plant", "heart", "note ", "kind heart blackened stalk tray water-reading last-move"}, /* not the derived one */
    {"trap-plant", "heart", "note w", "water-reading"},
    {"trap-plant", "heart", "note tray ", "dry-often standing back-and-forth unsure"},
    {"trap-plant", "heart", "suppose heart s", "soft"},
    {"trap-plant", "heart", "note he s", "soft"},           /* a beginning of the finding will do */
    {"trap-plant", "heart", "note last-move ", "unsure"},
    {"trap-plant", "heart", "note nothing ", ""},
    {"trap-plant", "heart", "note kind g", "glue-plant"},
    {"trap-plant", "heart", "note blackened traps, o", "old-leaves"},
    /* causes: those that this kind can have */
    {"trap-plant", "heart", "because f", "finished-trap"},
    {"glue-plant", "heart", "because f", ""},
    {NULL, "kind", "because f", "finished-trap"},
    {"glue-plant", "heart", "contrast ", "heart-rot mineral-burn thirst old-age moving-sulk something-else"},
    {"glue-plant", "heart", "contrast old-age m", "mineral-burn moving-sulk"},
    /* the rest */
    {"trap-plant", "heart", "keep a", "FILES"},
    {"trap-plant", "heart", "help s", "skip standing suppose"},
    {"trap-plant", "heart", "= f", "firm"},
    {"trap-plant", "heart", "standing ", ""},
};

static void every_place_offers_what_belongs_there(void **state)
{
    (void)state;
    for (size_t i = 0; i < FEN_COUNT(rows); i++) {
        fen_str got;
        fen_str_init(&got, 4096);
        set_kind(rows[i].kind);
        offered(rows[i].open, rows[i].line, &got);
        if (strcmp(got.at, rows[i].offers) != 0)
            fail_msg("after '%s': '%s', not '%s'", rows[i].line, got.at, rows[i].offers);
        fen_str_free(&got);
    }
}

/* Whatever is offered must be accepted: completing never leads into a refusal.
 * A candidate is taken up to its own last byte only, so it is offered again. */
static void a_candidate_completes_to_itself(void **state)
{
    (void)state;
    static const char *const heads[] = {"", "note ", "suppose ", "because ", "help ", "note tray ", "= "};
    set_kind("trap-plant");
    for (size_t h = 0; h < FEN_COUNT(heads); h++) {
        fen_candidates all, one;
        const size_t n = strlen(heads[h]);
        const fen_id open = fen_base_find_finding(base, "tray");
        assert_int_equal(fen_complete(session, open, heads[h], n, n, &all), FEN_OK);
        for (uint32_t i = 0; i < all.at.count; i++) {
            char line[128];
            bool found = false;
            snprintf(line, sizeof line, "%s%s", heads[h], all.at.at[i]);
            assert_int_equal(fen_complete(session, open, line, n, strlen(line), &one), FEN_OK);
            for (uint32_t j = 0; j < one.at.count; j++)
                found = found || strcmp(one.at.at[j], all.at.at[i]) == 0;
            assert_true(found);
            fen_candidates_free(&one);
        }
        fen_candidates_free(&all);
    }
}

static void without_memory_nothing_is_offered_and_nothing_leaks(void **state)
{
    (void)state;
    const size_t before = fen_alloc_live();
    for (size_t nth = 0;; nth++) {
        fen_candidates c;
        fen_alloc_fail_at(nth);
        const fen_status st = fen_complete(session, FEN_NONE, "note ", 5, 5, &c);
        fen_alloc_fail_at(FEN_ALLOC_NEVER_FAIL);
        if (!st)
            fen_candidates_free(&c);
        assert_int_equal(fen_alloc_live(), before);
        if (!st) {
            assert_true(nth > 0);
            return;
        }
        assert_int_equal(st, FEN_ENOMEM);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_place_offers_what_belongs_there),
        cmocka_unit_test(a_candidate_completes_to_itself),
        cmocka_unit_test(without_memory_nothing_is_offered_and_nothing_leaks),
    };
    return cmocka_run_group_tests(tests, open_small, close_small);
}
