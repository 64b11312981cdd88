/* UTF-8: validity, columns, and control sequences that must not get through. */
#include "unit.h"
#include "util/utf8.h"

static void every_character_of_unicode_is_valid_and_nothing_else(void **state)
{
    (void)state;
    for (uint32_t c = 0; c < 0x110000; c++) {
        char b[4];
        size_t n;
        if (c < 0x80)
            n = 1, b[0] = (char)c;
        else if (c < 0x800)
            n = 2, b[0] = (char)(0xC0 | c >> 6), b[1] = (char)(0x80 | (c & 0x3F));
        else if (c < 0x10000)
            n = 3, b[0] = (char)(0xE0 | c >> 12), b[1] = (char)(0x80 | (c >> 6 & 0x3F)), b[2] = (char)(0x80 | (c & 0x3F));
        else
            n = 4, b[0] = (char)(0xF0 | c >> 18), b[1] = (char)(0x80 | (c >> 12 & 0x3F)),
            b[2] = (char)(0x80 | (c >> 6 & 0x3F)), b[3] = (char)(0x80 | (c & 0x3F));
        const bool surrogate = c >= 0xD800 && c < 0xE000;
        assert_int_equal(fen_utf8_check(b, n), surrogate ? 0 : n);
        assert_int_equal(fen_utf8_step(b, n), surrogate ? 1 : n);
        for (size_t cut = 1; cut < n; cut++)
            assert_int_equal(fen_utf8_check(b, cut), 0); /* cut short */
    }
}

static void malformed_text_is_found_at_its_first_bad_byte(void **state)
{
    (void)state;
    /* The forbidden forms of RFC 3629 sections 3 and 10, and table 3-7 of the Unicode standard. */
    static const struct { const char *text; size_t len, bad; } rows[] = {
        { "\xC0\x80", 2, 0 },             /* overlong NUL */
        { "\xC1\xBF", 2, 0 },
        { "abc\xE0\x9F\xBF", 6, 3 },      /* overlong */
        { "\xF0\x8F\xBF\xBF", 4, 0 },
        { "\xED\xA0\x80", 3, 0 },         /* surrogate */
        { "\xED\xBF\xBF", 3, 0 },
        { "\xF4\x90\x80\x80", 4, 0 },     /* above U+10FFFF */
        { "\xF5\x80\x80\x80", 4, 0 },
        { "\xFE\xFF", 2, 0 },
        { "\x80", 1, 0 },                 /* continuation alone */
        { "eight by\xFFtes", 12, 8 },     /* behind the words that are read eight at a time */
        { "12345678901\xE2\x82", 13, 11 },
        { "\xE2\x28\xA1", 3, 0 },
        { "\xE2\x82\xAC\xE2\x82", 5, 3 },
    };
    for (size_t i = 0; i < COUNT(rows); i++)
        assert_int_equal(fen_utf8_check(rows[i].text, rows[i].len), rows[i].bad);
    assert_int_equal(fen_utf8_check("", 0), 0);
}

static void characters_are_counted_and_a_bad_byte_is_one(void **state)
{
    (void)state;
    assert_int_equal(fen_utf8_count("a\xC3\xA9\xE4\xB8\xAD\xF0\x9F\x8C\xB1", 10), 4);
    assert_int_equal(fen_utf8_count("a\xFF\xFF" "b", 4), 4);
    assert_int_equal(fen_utf8_count("", 0), 0);
}

static void widths_are_those_of_uax_11(void **state)
{
    (void)state;
    /* East_Asian_Width from UnicodeData 14 (W and F take two columns, all others one); columns
     * as computed by wcwidth 0.2.5. */
    static const struct { const char *text, *name; size_t columns; } rows[] = {
        { "A", "U+0041 Na", 1 },
        { "\xC3\xA9", "U+00E9 e acute, A", 1 },
        { "\xC2\xB0", "U+00B0 degree, A", 1 },
        { "\xC2\xB5", "U+00B5 micro, N", 1 },
        { "\xE2\x80\x93", "U+2013 en dash, A", 1 },
        { "\xE2\x94\x80", "U+2500 box line, A", 1 },
        { "\xE2\x97\x8F", "U+25CF black circle, A", 1 },
        { "\xE4\xB8\xAD", "U+4E2D CJK, W", 2 },
        { "\xEF\xBC\xA1", "U+FF21 fullwidth A, F", 2 },
        { "\xEF\xBD\xB1", "U+FF71 halfwidth katakana, H", 1 },
        { "\xED\x95\x9C", "U+D55C Hangul syllable, W", 2 },
        { "\xF0\x9F\x8C\xB1", "U+1F331 seedling, W", 2 },
        { "\xE2\x9C\x93", "U+2713 check mark, N", 1 },
        { "\xCC\x81", "U+0301 combining acute, A", 0 },
        { "\xE2\x80\x8B", "U+200B zero width space, N", 0 },
        { "\xC2\xAD", "U+00AD soft hyphen, A", 1 },
        { "\xCE\xB1", "U+03B1 alpha, A", 1 },
        { "\xE2\x84\x83", "U+2103 degree Celsius, A", 1 },
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        if (fen_utf8_width(rows[i].text, strlen(rows[i].text)) != rows[i].columns)
            print_error("%s\n", rows[i].name);
        assert_int_equal(fen_utf8_width(rows[i].text, strlen(rows[i].text)), rows[i].columns);
    }
    assert_int_equal(fen_utf8_width("e\xCC\x81\xE4\xB8\xAD" "b", 7), 4);
}

static char *clean(fen_str *s, const char *text, size_t len, bool keep_lines, bool ascii)
{
    fen_str_init(s, 1 << 20);
    fen_utf8_clean(s, text, len, keep_lines, ascii);
    assert_int_equal(fen_str_status(s), FEN_OK);
    return s->at;
}

#define MARK "\xEF\xBF\xBD"

/* A text with its length: some have a NUL inside. */
#define TEXT(s) s, sizeof(s) - 1

static void control_sequences_are_taken_out_whole(void **state)
{
    (void)state;
    /* ECMA-48 5.4 and 5.6: what a sequence is. The texts without their marks are what a
     * regular expression after that standard leaves (computed with Python's re). */
    static const struct { const char *text; size_t len; const char *clean; } rows[] = {
        { TEXT("a\x1B[31mred\x1B[0mb"), "a" MARK "red" MARK "b" },
        { TEXT("x\x1B[2J\x1B[Hy"), "x" MARK MARK "y" },
        { TEXT("\x1B]0;title\x07z"), MARK "z" },                       /* xterm ends OSC with BEL too */
        { TEXT("\x1B]8;;http://e\x1B\\link\x1B]8;;\x1B\\"), MARK "link" MARK },
        { TEXT("\xC2\x9B" "1mq"), MARK "q" },                           /* CSI as one character */
        { TEXT("\x1BPq#0\x1B\\s"), MARK "s" },                          /* DCS */
        { TEXT("a\bb\x7F" "c"), "a" MARK "b" MARK "c" },
        { TEXT("t\tu\nv"), "t u\nv" },                                  /* a tab is a blank to us */
        { TEXT("e\x1B(Bf"), "e" MARK "f" },
        { TEXT("\x1B[38;5;1mk\x1B[0K"), MARK "k" MARK },
        { TEXT("r\rs"), "r" MARK "s" },                                 /* would overwrite the line */
        { TEXT("nul\0x"), "nul" MARK "x" },
        { TEXT("win\r\nline"), "win\nline" },
        { TEXT("swallowed\x1B]0;no end"), "swallowed" MARK },          /* would swallow what follows */
        { TEXT("\xC2\x9D" "0;t\xC2\x9C" "z"), MARK "z" },               /* OSC ... ST as characters */
        { TEXT("\x1B_apc\x1B\\\x1B^pm\x1B\\\x1BXsos\x1B\\."), MARK MARK MARK "." },
        { TEXT("\x1B"), MARK },
        { TEXT("a\x1B["), "a" MARK },
        { TEXT("\x9B" "31m"), MARK "31m" },                             /* a lone byte is no CSI, but malformed */
        { TEXT("\xC2\x85" "b"), MARK "b" },
        { TEXT("\xE2\x80\xAE" "gnp.exe"), MARK "gnp.exe" },            /* right-to-left override */
        { TEXT("\xE2\x81\xA6x\xE2\x81\xA9"), MARK "x" MARK },
        { TEXT("plain, \xC3\xA9 and \xE4\xB8\xAD"), "plain, \xC3\xA9 and \xE4\xB8\xAD" },
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        fen_str s;
        assert_string_equal(clean(&s, rows[i].text, rows[i].len, true, false), rows[i].clean);
        fen_str_free(&s);
    }
}

static bool is_safe(const char *text, size_t len, bool ascii)
{
    for (size_t i = 0; i < len; i++) {
        const unsigned char c = (unsigned char)text[i];
        if ((c < 0x20 && c != '\n') || c == 0x7F || (ascii && c > 0x7F))
            return false;
        if (c == 0xC2 && (unsigned char)text[i + 1] < 0xA0)
            return false;
    }
    return fen_utf8_check(text, len) == len;
}

static void no_random_bytes_get_a_control_through(void **state)
{
    (void)state;
    uint64_t random = 5;
    static const char alphabet[] = "\x1B[]0;m\\\x07\x9B\xC2\x9C\xE2\x80\xAE(PX_^\n\r\t\x7F" "ab\xF0";
    for (int round = 0; round < 50000; round++) {
        char text[24];
        for (size_t i = 0; i < sizeof text; i++)
            text[i] = round % 2 ? alphabet[unit_random(&random) % (sizeof alphabet - 1)] : (char)unit_random(&random);
        for (int ascii = 0; ascii < 2; ascii++) {
            fen_str s;
            clean(&s, text, sizeof text, true, ascii);
            assert_true(is_safe(s.at, s.len, ascii));
            fen_str_free(&s);
        }
    }
}

static void lines_are_kept_only_when_asked(void **state)
{
    (void)state;
    fen_str s;
    assert_string_equal(clean(&s, "a\nb\tc", 5, false, false), "a b c");
    fen_str_free(&s);
    assert_string_equal(clean(&s, "a\nb\tc", 5, true, false), "a\nb c");
    fen_str_free(&s);
}

static void ascii_keeps_the_meaning_where_it_can(void **state)
{
    (void)state;
    static const struct { const char *text, *ascii; } rows[] = {
        { "24 \xC2\xB0" "C", "24 degC" },        { "10\xE2\x80\x93" "20", "10-20" },
        { "\xE2\x80\x9Csoft\xE2\x80\x9D", "\"soft\"" }, { "don\xE2\x80\x99t", "don't" },
        { "\xC2\xB5mol", "umol" },               { "\xCE\xBCmol", "umol" },
        { "caf\xC3\xA9", "cafe" },               { "e\xCC\x81", "e" },
        { "\xE4\xB8\xAD", "?" },                 { "\xE2\x89\xA5 3", ">= 3" },
        { "1\xC2\xBD", "11/2" },                 { "na\xC3\xAFve \xC3\x9F", "naive ss" },
        { "a\x1B[1mb", "a?b" },                  { "wait\xE2\x80\xA6", "wait..." },
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        fen_str s;
        assert_string_equal(clean(&s, rows[i].text, strlen(rows[i].text), false, true), rows[i].ascii);
        fen_str_free(&s);
    }
}

static void long_texts_break_at_blanks_and_hang_by_the_indent(void **state)
{
    (void)state;
    static const struct { const char *text; size_t width, indent, start; const char *wrapped; } rows[] = {
        { "one two three four", 9, 2, 0, "one two\n  three\n  four" },
        { "one two", 80, 2, 0, "one two" },
        { "", 10, 2, 0, "" },
        { "one two three", 13, 4, 6, "one two\n    three" },         /* begins behind six columns */
        { "abcdefghij kl", 5, 0, 0, "abcde\nfghij\nkl" },            /* longer than a line */
        { "abcdefghij", 5, 2, 3, "ab\n  cde\n  fgh\n  ij" },
        { "abc", 5, 0, 4, "\nabc" },                                 /* fits on the next line */
        { "a\nb\n\nc", 10, 2, 0, "a\n  b\n\n  c" },                  /* no blanks on an empty line */
        { "a  b", 10, 0, 0, "a  b" },
        { "a         b", 5, 0, 0, "a\nb" },                          /* blanks at a break go */
        { "\xE4\xB8\xAD\xE4\xB8\xAD\xE4\xB8\xAD", 4, 0, 0, "\xE4\xB8\xAD\xE4\xB8\xAD\n\xE4\xB8\xAD" },
        { "e\xCC\x81" "e\xCC\x81" "e\xCC\x81", 2, 0, 0, "e\xCC\x81" "e\xCC\x81\ne\xCC\x81" }, /* marks stay with their letter */
        { "\xE4\xB8\xAD", 1, 0, 0, "\xE4\xB8\xAD" },                 /* too wide for any line, still shown */
        { "ab", 0, 0, 0, "a\nb" },
        { "aa bb", 3, 5, 0, "aa\n     b\n     b" },                  /* indent beyond the width */
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        fen_str s;
        fen_str_init(&s, 10000);
        fen_utf8_wrap(&s, rows[i].text, strlen(rows[i].text), rows[i].width, rows[i].indent, rows[i].start);
        assert_string_equal(s.at, rows[i].wrapped);
        fen_str_free(&s);
    }
}

static void no_wrapped_line_is_wider_than_asked_and_no_letter_is_lost(void **state)
{
    (void)state;
    uint64_t random = 8;
    for (int round = 0; round < 20000; round++) {
        char text[80];
        size_t n = 0;
        while (n < sizeof text - 4) {
            const uint64_t r = unit_random(&random) % 12;
            if (r < 3)
                text[n++] = ' ';
            else if (r == 3)
                memcpy(text + n, "\xE4\xB8\xAD", 3), n += 3;
            else if (r == 4 && unit_random(&random) % 4 == 0)
                text[n++] = '\n';
            else
                text[n++] = (char)('a' + r);
        }
        const size_t width = 8 + unit_random(&random) % 20, indent = unit_random(&random) % 6;
        fen_str s;
        fen_str_init(&s, 10000);
        fen_utf8_wrap(&s, text, n, width, indent, 0);
        size_t i = 0;
        for (const char *line = s.at; *line;) {
            const size_t len = strcspn(line, "\n");
            assert_true(fen_utf8_width(line, len) <= width);
            assert_true(len == 0 || line[len - 1] != ' ');
            line += len + (line[len] == '\n');
        }
        for (const char *p = s.at; *p; p++) { /* the letters in their order */
            if (*p == ' ' || *p == '\n')
                continue;
            while (i < n && (text[i] == ' ' || text[i] == '\n'))
                i++;
            assert_true(i < n && text[i++] == *p);
        }
        while (i < n)
            assert_true(text[i] == ' ' || text[i] == '\n'), i++;
        fen_str_free(&s);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_character_of_unicode_is_valid_and_nothing_else),
        cmocka_unit_test(malformed_text_is_found_at_its_first_bad_byte),
        cmocka_unit_test(characters_are_counted_and_a_bad_byte_is_one),
        cmocka_unit_test(widths_are_those_of_uax_11),
        cmocka_unit_test(control_sequences_are_taken_out_whole),
        cmocka_unit_test(no_random_bytes_get_a_control_through),
        cmocka_unit_test(lines_are_kept_only_when_asked),
        cmocka_unit_test(ascii_keeps_the_meaning_where_it_can),
        cmocka_unit_test(long_texts_break_at_blanks_and_hang_by_the_indent),
        cmocka_unit_test(no_wrapped_line_is_wider_than_asked_and_no_letter_is_lost),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
