/* Paragraphs: wrapping, indents, glue, tones, and text that must not be trusted.
 *
 * Widths after UAX #11 (a wide character takes two columns); control sequences
 * after ECMA-48.
 */
#include "show/page.h"
#include "unit.h"

static fen_page *page_of(fen_look look)
{
    fen_page *page;
    assert_int_equal(fen_page_new(look, &page), FEN_OK);
    return page;
}

static void assert_page(fen_page *page, const char *want)
{
    assert_int_equal(fen_page_status(page), FEN_OK);
    assert_string_equal(fen_page_text(page, NULL), want);
    fen_page_free(page);
}

static void words_go_to_the_next_line_and_keep_its_indent(void **state)
{
    (void)state;
    fen_page *page = page_of((fen_look){ .width = 32 });
    fen_page_open(page, 2, 6);
    fen_page_say(page, FEN_TONE_PLAIN, "the first line of this one ends here, and  two  blanks are one");
    fen_page_close(page);
    assert_page(page, "  the first line of this one\n"
                      "      ends here, and two blanks\n"
                      "      are one\n");
}

static void a_line_may_be_exactly_as_wide_as_the_page(void **state)
{
    (void)state;
    fen_page *page = page_of((fen_look){ .width = 32 });
    fen_page_line(page, 0, FEN_TONE_PLAIN, "%s", "aaaaaaaaaaaaaaa bbbbbbbbbbbbbbbb ccc"); /* 15 + 1 + 16 */
    assert_page(page, "aaaaaaaaaaaaaaa bbbbbbbbbbbbbbbb\nccc\n");
}

static void a_word_longer_than_a_line_is_cut(void **state)
{
    (void)state;
    fen_page *page = page_of((fen_look){ .width = 32 });
    fen_page_line(page, 0, FEN_TONE_PLAIN, "x %s y", "aaaaaaaaaabbbbbbbbbbccccccccccddddddddddeeee");
    assert_page(page, "x\naaaaaaaaaabbbbbbbbbbccccccccccdd\nddddddddeeee y\n");
}

static void glue_is_a_blank_that_never_breaks(void **state)
{
    (void)state;
    fen_page *page = page_of((fen_look){ .width = 32 });
    fen_page_line(page, 0, FEN_TONE_PLAIN, "a weight of evidence of about 10" FEN_NBSP "dBan");
    assert_page(page, "a weight of evidence of about\n10 dBan\n");
}

static void wide_characters_take_two_columns(void **state)
{
    (void)state;
    fen_page *page = page_of((fen_look){ .width = 32 });
    /* fifteen of U+6C34, thirty columns, then a word of two */
    fen_page_line(page, 0, FEN_TONE_PLAIN, "%s ab", "\xe6\xb0\xb4\xe6\xb0\xb4\xe6\xb0\xb4\xe6\xb0\xb4\xe6\xb0\xb4"
                  "\xe6\xb0\xb4\xe6\xb0\xb4\xe6\xb0\xb4\xe6\xb0\xb4\xe6\xb0\xb4\xe6\xb0\xb4\xe6\xb0\xb4\xe6\xb0\xb4\xe6\xb0\xb4\xe6\xb0\xb4");
    assert_page(page, "\xe6\xb0\xb4\xe6\xb0\xb4\xe6\xb0\xb4\xe6\xb0\xb4\xe6\xb0\xb4\xe6\xb0\xb4\xe6\xb0\xb4\xe6\xb0\xb4\xe6\xb0\xb4"
                      "\xe6\xb0\xb4\xe6\xb0\xb4\xe6\xb0\xb4\xe6\xb0\xb4\xe6\xb0\xb4\xe6\xb0\xb4\nab\n");
}

static void a_deep_indent_leaves_half_a_line(void **state)
{
    (void)state;
    fen_page *page = page_of((fen_look){ .width = 32 });
    fen_page_line(page, 200, FEN_TONE_PLAIN, "still to be read");
    assert_page(page, "                still to be read\n");
}

static void a_mark_stands_left_of_its_text(void **state)
{
    (void)state;
    fen_page *page = page_of((fen_look){ .width = 32 });
    fen_page_open_mark(page, 1, "12.");
    fen_page_say(page, FEN_TONE_PLAIN, "words that go on for more than one line");
    fen_page_close(page);
    assert_page(page, " 12. words that go on for more\n     than one line\n");
}

static void tones_wrap_without_counting_and_end_with_the_line(void **state)
{
    (void)state;
    fen_page *page = page_of((fen_look){ .width = 32, .colour = true });
    fen_page_open(page, 0, 2);
    fen_page_say(page, FEN_TONE_DANGER, "danger that runs over the end of it");
    fen_page_say(page, FEN_TONE_PLAIN, " and calm");
    fen_page_close(page);
    assert_page(page, "\033[1;31mdanger that runs over the end of\033[0m\n"
                      "  \033[1;31mit\033[0m and calm\n");
}

static void text_from_packs_cannot_reach_the_terminal(void **state)
{
    (void)state;
    /* ESC, an 8-bit CSI in UTF-8 (C1, ECMA-48 5.3), bytes that this module uses itself, a
     * right-to-left override (UAX #9), and a broken byte */
    static const char evil[] = "a\033[2Jb\xc2\x9b" "31mc\x01\x1f" "d\xe2\x80\xae" "e\xff" "f";
    fen_page *page = page_of((fen_look){ .width = 80 });
    fen_page_line(page, 0, FEN_TONE_PLAIN, "%s", evil);
    assert_int_equal(fen_page_status(page), FEN_OK);
    const char *text = fen_page_text(page, NULL);
    assert_null(strpbrk(text, "\033\x01\x1f\xff"));
    assert_null(strstr(text, "\xc2\x9b"));
    assert_null(strstr(text, "\xe2\x80\xae"));
    assert_non_null(strstr(text, "a\xef\xbf\xbd" "b")); /* the sequence is gone, its place is marked */
    fen_page_free(page);

    page = page_of((fen_look){ .width = 80 });
    fen_show_text(page, evil);
    assert_null(strpbrk(fen_page_text(page, NULL), "\033\x01\x1f\xff"));
    fen_page_free(page);
}

static void ascii_stands_in_for_what_it_can(void **state)
{
    (void)state;
    fen_page *page = page_of((fen_look){ .width = 80, .ascii = true });
    fen_page_line(page, 0, FEN_TONE_PLAIN, "3" FEN_NBSP "C %s \xe2\x80\x93 \xc2\xb5", fen_page_glyph(page, FEN_GLYPH_TO));
    assert_page(page, "3 C -> - u\n");
}

static void lines_of_a_text_stay_lines(void **state)
{
    (void)state;
    fen_page *page = page_of((fen_look){ .width = 32 });
    fen_show_text(page, "one\n\ntwo that is so long that it has to go on\n");
    fen_show_text(page, "");
    assert_page(page, "one\n\ntwo that is so long that it has\nto go on\n\n");
}

static void a_gap_is_one_empty_line_and_none_at_the_top(void **state)
{
    (void)state;
    fen_page *page = page_of((fen_look){ .width = 32 });
    fen_page_gap(page);
    fen_page_line(page, 0, FEN_TONE_PLAIN, "a");
    fen_page_gap(page);
    fen_page_gap(page);
    fen_page_title(page, "b");
    assert_page(page, "a\n\nb\n");
}

static void widths_outside_the_readable_are_bounded(void **state)
{
    (void)state;
    fen_page *narrow = page_of((fen_look){ .width = 1 }), *wide = page_of((fen_look){ .width = 5000 });
    assert_int_equal(fen_page_width(narrow), 32);
    assert_int_equal(fen_page_width(wide), 100);
    fen_page_free(narrow);
    fen_page_free(wide);
}

static void a_long_pack_text_is_not_cut(void **state)
{
    (void)state;
    static char text[5000];
    fen_page *page = page_of((fen_look){ .width = 80 });
    memset(text, 'a', sizeof text - 1);
    fen_page_line(page, 0, FEN_TONE_PLAIN, "<%s>", text);
    size_t len, letters = 0;
    const char *got = fen_page_text(page, &len);
    for (size_t i = 0; i < len; i++)
        letters += got[i] == 'a';
    assert_int_equal(letters, sizeof text - 1);
    fen_page_free(page);
}

static void nothing_shown_is_an_empty_text(void **state)
{
    (void)state;
    fen_page *page = page_of((fen_look){ .width = 80 });
    size_t len = 1;
    assert_string_equal(fen_page_text(page, &len), "");
    assert_int_equal(len, 0);
    fen_page_fail(page, FEN_ENOMEM);
    assert_int_equal(fen_page_status(page), FEN_ENOMEM);
    fen_page_free(page);
    fen_page_free(NULL);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(words_go_to_the_next_line_and_keep_its_indent),
        cmocka_unit_test(a_line_may_be_exactly_as_wide_as_the_page),
        cmocka_unit_test(a_word_longer_than_a_line_is_cut),
        cmocka_unit_test(glue_is_a_blank_that_never_breaks),
        cmocka_unit_test(wide_characters_take_two_columns),
        cmocka_unit_test(a_deep_indent_leaves_half_a_line),
        cmocka_unit_test(a_mark_stands_left_of_its_text),
        cmocka_unit_test(tones_wrap_without_counting_and_end_with_the_line),
        cmocka_unit_test(text_from_packs_cannot_reach_the_terminal),
        cmocka_unit_test(ascii_stands_in_for_what_it_can),
        cmocka_unit_test(lines_of_a_text_stay_lines),
        cmocka_unit_test(a_gap_is_one_empty_line_and_none_at_the_top),
        cmocka_unit_test(widths_outside_the_readable_are_bounded),
        cmocka_unit_test(a_long_pack_text_is_not_cut),
        cmocka_unit_test(nothing_shown_is_an_empty_text),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
