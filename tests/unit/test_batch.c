/* test_batch.c -- many cases: in order, side by side, and in spite of broken ones. */
#include <unistd.h>

#include "fenmend/batch.h"
#include "fenmend/records.h"
#include "fenmend/shared.h"
#include "unit.h"
#include "util/str.h"

static fen_base *base;
static char folder[] = "/tmp/fenmend-batch-XXXXXX";
static char paths[8][64];

static const char *file(int n, const char *text)
{
    snprintf(paths[n], sizeof paths[n], "%s/f%d.txt", folder, n);
    FILE *out = fopen(paths[n], "w");
    assert_non_null(out);
    fputs(text, out);
    assert_int_equal(fclose(out), 0);
    return paths[n];
}

typedef struct gathered {
    fen_str out, err;
    size_t cases, broken, unusable, parts, stop_after;
} gathered;

static void write_json(void *ctx, fen_judged *j, struct fen_str *out)
{
    (void)ctx;
    fen_record_json(out, base, j);
}

static bool take(void *ctx, const fen_part *part)
{
    gathered *g = ctx;
    fen_str_put(&g->out, part->out, part->out_len);
    fen_str_put(&g->err, part->err, part->err_len);
    for (size_t i = 0; i < part->n_marks; i++) {
        g->broken += part->marks[i].broken;
        g->cases += !part->marks[i].broken;
    }
    g->unusable += part->unusable;
    return !g->stop_after || ++g->parts < g->stop_after;
}

static gathered run(uint32_t jobs, const char *const *files, size_t n)
{
    gathered g = { .cases = 0 };
    fen_str_init(&g.out, SIZE_MAX / 4);
    fen_str_init(&g.err, SIZE_MAX / 4);
    const fen_batch b = { .base = base, .today = 20000, .jobs = jobs, .ask = true, .ctx = &g, .judge = write_json, .deliver = take };
    assert_int_equal(fen_batch_run(&b, files, n), FEN_OK);
    assert_int_equal(fen_str_status(&g.out), FEN_OK);
    return g;
}

static void done(gathered *g)
{
    fen_str_free(&g->out);
    fen_str_free(&g->err);
}

/* "a b c" of the cases in a line of JSON each. */
static void assert_cases(const gathered *g, const char *names)
{
    char got[1024] = "";
    for (const char *p = g->out.at; (p = strstr(p, "{\"case\":\"")) != NULL; p++) {
        const char *end = strchr(p + 9, '"');
        snprintf(got + strlen(got), sizeof got - strlen(got), "%s%.*s", *got ? " " : "", (int)(end - p - 9), p + 9);
    }
    assert_string_equal(got, names);
}

static void a_broken_case_costs_itself_alone(void **unused)
{
    (void)unused;
    const char *const yaml[] = { file(0, "case: a\nkind: trap-plant\nfindings: {heart: soft}\n---\ncase: b\nfindings: {hart: soft}\n---\n"
                                         "case: c\nfindings: {heart: 'so\n---\ncase: d\n---\n- case: e\n- case: f\n  oops\n- case: g\n---\n") };
    gathered g = run(1, yaml, 1);
    assert_cases(&g, "a b f0:8 d e f0:14 g");
    assert_int_equal(g.cases, 4);
    assert_int_equal(g.broken, 3);
    assert_non_null(strstr(g.err.at, "f0.txt:6:12: error: there is no finding 'hart'; did you mean 'heart'"));
    assert_non_null(strstr(g.err.at, "f0.txt:1")); /* the last one, below line 10 */
    done(&g);
}

static void three_formats_give_the_same_results(void **unused)
{
    (void)unused;
    const char *const files[] = {
        file(0, "case: a\nkind: trap-plant\ndate: 2024-06-01\nfindings:\n  heart: soft\n  blackened: [traps, new-leaves]\n  stalk: no\n"
                "  water-reading: 180 ppm\n  last-move: 2024-05-20\nsettled: [heart-rot]\n---\ncase: b\nkind: trap-plant\nfindings: {heart: unsure}\n"),
        file(1, "{\"case\":\"a\",\"kind\":\"trap-plant\",\"date\":\"2024-06-01\",\"findings\":{\"heart\":\"soft\",\"blackened\":[\"traps\",\"new-leaves\"],"
                "\"stalk\":false,\"water-reading\":\"180 ppm\",\"last-move\":\"2024-05-20\"},\"settled\":\"heart-rot\"}\n"
                "{\"case\":\"b\",\"kind\":\"trap-plant\",\"findings\":{\"heart\":\"unsure\"}}\n"),
        file(2, "case,Kind,date,heart,blackened,stalk,water-reading (ppm),last-move,settled,#price\r\n"
                "a,trap-plant,2024-06-01,soft,traps; new-leaves,no,180,2024-05-20,heart-rot,9\r\nb,trap-plant,,unsure,,,,,,\r\n"),
        file(3, "case;kind;date;heart;blackened;stalk;water-reading (uS/cm);last-move\n"
                "a;trap-plant;2024-06-01;soft;\"traps; new-leaves\";no;360;2024-05-20\nb;trap-plant;;unsure;;;;\n"),
    };
    gathered first = run(1, files, 1);
    assert_int_equal(first.cases, 2);
    for (size_t i = 1; i < COUNT(files); i++) {
        gathered other = run(1, files + i, 1);
        assert_string_equal(other.err.at, "");
        assert_string_equal(other.out.at, first.out.at);
        done(&other);
    }
    done(&first);
}

static const char *many(int n)
{
    static const char *const hearts[] = { "firm", "soft", "unsure", "mushy", "sft" };
    fen_str text;
    fen_str_init(&text, SIZE_MAX / 4);
    for (int i = 0; i < 6000; i++)
        fen_str_printf(&text, "---\ncase: p%d\nkind: %s\nfindings:\n  heart: %s\n  water-reading: %d ppm\n", i,
                       i % 3 ? "trap-plant" : "glue-plant", hearts[i % 5], i % 400);
    const char *path = file(n, text.at);
    fen_str_free(&text);
    return path;
}

static void any_number_of_workers_writes_the_same_bytes(void **unused)
{
    (void)unused;
    const char *const files[] = { many(0), file(1, "nonsense\n"), "/nowhere/at/all.yaml", many(2) };
    gathered alone = run(1, files, COUNT(files));
    assert_int_equal(alone.cases + alone.broken, 12000);
    assert_int_equal(alone.unusable, 2);
    for (uint32_t jobs = 2; jobs <= 7; jobs += 5) {
        gathered more = run(jobs, files, COUNT(files));
        assert_int_equal(more.out.len, alone.out.len);
        assert_memory_equal(more.out.at, alone.out.at, alone.out.len);
        assert_int_equal(more.err.len, alone.err.len);
        assert_memory_equal(more.err.at, alone.err.at, alone.err.len);
        done(&more);
    }
    done(&alone);
}

static void who_has_enough_is_left_in_peace(void **unused)
{
    (void)unused;
    const char *const files[] = { many(0) };
    for (uint32_t jobs = 1; jobs <= 3; jobs++) {
        gathered g = { .stop_after = 2 };
        fen_str_init(&g.out, SIZE_MAX / 4);
        fen_str_init(&g.err, SIZE_MAX / 4);
        const fen_batch b = { .base = base, .today = 20000, .jobs = jobs, .ctx = &g, .judge = write_json, .deliver = take };
        assert_int_equal(fen_batch_run(&b, files, 1), FEN_OK);
        assert_true(g.cases > 0 && g.cases + g.broken < 6000);
        done(&g);
    }
}

static void a_table_whose_first_row_is_wrong_is_not_guessed_at(void **unused)
{
    (void)unused;
    const char *const files[] = { file(0, "case,hart,price,heart (ppm),heart,,case\nx,soft,1,2,3,4,5\n"), file(1, "case,heart\ny,soft\n") };
    gathered g = run(1, files, 2);
    assert_cases(&g, "y");
    assert_int_equal(g.unusable, 1);
    static const char *const told[] = { ":1:6: error: there is no finding 'hart'; did you mean 'heart'", ":1:11: error: there is no finding 'price'; call it 'where.price'",
                                        "'heart' is not a quantity", "there are two columns 'heart'", "a column has no name", "there are two columns 'case'" };
    for (size_t i = 0; i < COUNT(told); i++)
        if (!strstr(g.err.at, told[i]))
            fail_msg("'%s' is not told in\n%s", told[i], g.err.at);
    done(&g);
}

static void an_only_case_is_named_after_its_file_and_others_after_their_line(void **unused)
{
    (void)unused;
    const char *const files[] = { file(0, "kind: trap-plant\n"), file(1, "kind: trap-plant\n---\nkind: trap-plant\n"), file(2, "heart\nsoft\nfirm\n"),
                                  file(3, ""), file(4, "# nothing\n"), file(5, "[{kind: trap-plant},\n {kind: glue-plant}]\n") };
    gathered g = run(1, files, COUNT(files));
    assert_cases(&g, "f0 f1:1 f1:3 f2:2 f2:3 f5 f5");
    assert_int_equal(g.broken, 0);
    done(&g);
}

static void note(void *ctx, fen_judged *j, struct fen_str *out)
{
    fen_shared_note(*(fen_shared *const *)ctx, j, out);
}

static bool count(void *ctx, const fen_part *part)
{
    size_t from = 0;
    for (size_t i = 0; i < part->n_marks; i++) {
        assert_false(part->marks[i].broken);
        assert_int_equal(fen_shared_count(*(fen_shared *const *)ctx, part->out + from, part->marks[i].out_end - from), FEN_OK);
        from = part->marks[i].out_end;
    }
    return true;
}

/* Nine of the eleven plants on bench b4 rot, three of the forty elsewhere. */
static void a_bad_bench_is_told_apart_from_chance(void **unused)
{
    fen_str text;
    fen_shared *shared;
    char bad[FEN_SHARED_TEXT];
    const fen_shared_row *rows;
    size_t n;
    uint64_t tried;
    (void)unused;
    fen_str_init(&text, SIZE_MAX / 4);
    fen_str_puts(&text, "case,kind,where.bench,where.shelf,settled\n");
    for (int i = 0; i < 51; i++) {
        const bool there = i < 11, rots = there ? i < 9 : i < 14;
        fen_str_printf(&text, "p%d,trap-plant,%s,s%d,%s\n", i, there ? "b4" : i % 2 ? "b1" : "b2", i % 4, rots ? "heart-rot" : "finished-trap");
    }
    const char *const files[] = { file(0, text.at) };
    fen_str_free(&text);
    assert_int_equal(fen_shared_new(base, NULL, 0, &shared, bad), FEN_OK);
    const fen_batch b = { .base = base, .today = 20000, .jobs = 2, .ctx = &shared, .judge = note, .deliver = count };
    assert_int_equal(fen_batch_run(&b, files, 1), FEN_OK);
    assert_int_equal(fen_shared_rows(shared, 1, &rows, &n, &tried), FEN_OK);
    assert_int_equal(tried, 14); /* seven values, two causes */
    assert_string_equal(rows[0].key, "bench");
    assert_string_equal(rows[0].value, "b4");
    assert_int_equal(rows[0].what, fen_base_find_cause(base, "heart-rot"));
    assert_int_equal(rows[0].both, 9);
    assert_int_equal(rows[0].with_value, 11);
    assert_int_equal(rows[0].with_what, 12);
    /* scipy.stats.fisher_exact([[9, 2], [3, 37]], "greater") */
    assert_near(rows[0].p, 3.4772170871294255e-06, 1e-18);
    assert_near(rows[0].corrected, 14 * rows[0].p, 1e-12);
    for (size_t i = 1; i < n; i++)
        assert_true(rows[i].p >= rows[i - 1].p && rows[i].corrected >= rows[i - 1].corrected);
    fen_shared_free(shared);
}

/* Bytes changed, lost and doubled at random (fixed seed): every case is still either judged
 * or told, and nothing falls over. */
static void mutated_files_are_read_to_their_end(void **unused)
{
    static const char *const good[] = {
        "case: a\nkind: trap-plant\nfindings:\n  heart: soft\n  blackened: [traps, new-leaves]\nnote: |\n  x\n---\n- case: b\n  where: {t: 1}\n- case: c\n",
        "{\"case\":\"a\",\"findings\":{\"heart\":\"soft\",\"blackened\":[\"traps\"],\"stalk\":true}}\n{\"case\":\"b\"}\n",
        "case,heart,water-reading (ppm),where.t\na,soft,20,\"x \"\"y\"\"\n\"\nb,firm,,\n",
    };
    uint64_t state = UINT64_C(88172645463325252);
    (void)unused;
    for (int round = 0; round < 900; round++) {
        char text[512];
        size_t len = strlen(good[round % 3]);
        memcpy(text, good[round % 3], len + 1);
        for (int k = 0; k < 1 + round % 4; k++) {
            state ^= state << 13, state ^= state >> 7, state ^= state << 17;
            const size_t at = (size_t)(state >> 33) % len;
            if (state % 3 == 0)
                text[at] = "\"'{}[]:,-#|\n\r\t %&*!\x01\xff\xc3\xa9;0"[(state >> 8) % 26];
            else if (state % 3 == 1 && len > 8)
                memmove(text + at, text + at + 1, len-- - at);
            else if (len + 2 < sizeof text)
                memmove(text + at + 1, text + at, ++len - at);
        }
        text[len] = '\0';
        const char *const files[] = { file(0, text) };
        gathered g = run(1, files, 1);
        assert_true(g.broken == 0 || g.err.len > 0);
        done(&g);
    }
}

static void a_batch_survives_every_failed_allocation(void **unused)
{
    (void)unused;
    const char *const files[] = { file(0, "case: a\nkind: trap-plant\nfindings: {heart: soft}\n---\nfindings: {hart: soft}\n"),
                                  file(1, "case,heart\nx,soft\n\"y,soft\n"), file(2, "{\"findings\":{\"heart\":\"soft\"}}\n") };
    for (uint32_t jobs = 1; jobs <= 2; jobs++)
        for (size_t nth = 0;; nth++) {
            gathered g = { .cases = 0 };
            fen_str_init(&g.out, SIZE_MAX / 4);
            fen_str_init(&g.err, SIZE_MAX / 4);
            const size_t before = fen_alloc_live();
            const fen_batch b = { .base = base, .today = 20000, .jobs = jobs, .grade = true, .ctx = &g, .deliver = take };
            fen_alloc_fail_at(nth);
            const fen_status st = fen_batch_run(&b, files, COUNT(files));
            const bool refused = fen_str_status(&g.err) != FEN_OK;
            fen_alloc_fail_at(FEN_ALLOC_NEVER_FAIL);
            done(&g);
            assert_int_equal(fen_alloc_live(), before);
            if (st == FEN_OK && !refused)
                break;
            if (st)
                assert_int_equal(st, FEN_ENOMEM);
        }
}

static int load(void **unused)
{
    static const char *const pack[] = { FEN_TESTS_DIR "/packs/small.yaml" };
    fen_problems *problems;
    (void)unused;
    if (!mkdtemp(folder) || fen_problems_new(&problems) || fen_base_load(pack, 1, problems, &base))
        return -1;
    fen_problems_free(problems);
    return 0;
}

static int clean_up(void **unused)
{
    char command[64];
    (void)unused;
    fen_base_free(base);
    snprintf(command, sizeof command, "rm -rf %s", folder);
    return system(command);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_broken_case_costs_itself_alone),
        cmocka_unit_test(three_formats_give_the_same_results),
        cmocka_unit_test(any_number_of_workers_writes_the_same_bytes),
        cmocka_unit_test(who_has_enough_is_left_in_peace),
        cmocka_unit_test(a_table_whose_first_row_is_wrong_is_not_guessed_at),
        cmocka_unit_test(an_only_case_is_named_after_its_file_and_others_after_their_line),
        cmocka_unit_test(a_bad_bench_is_told_apart_from_chance),
        cmocka_unit_test(mutated_files_are_read_to_their_end),
        cmocka_unit_test(a_batch_survives_every_failed_allocation),
    };
    return cmocka_run_group_tests(tests, load, clean_up);
}
