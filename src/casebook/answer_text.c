/* answer_text.c -- see answer_text.h. Both sides of a comparison are read
 * through a small iterator that folds them, so nothing is copied.
 */
#include "answer_text.h"

#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include "util/str.h"
#include "util/utf8.h"

typedef struct fold {
    const char *at, *end;
} fold;

static bool is_blank(char c)
{
    return c == ' ' || c == '\t' || c == '-' || c == '_' || c == '\n' || c == '\r';
}

static const char *skip_blank(const char *at, const char *end)
{
    while (at < end && is_blank(*at))
        at++;
    return at;
}

/* The next folded byte, or -1 at the end. */
static int next(fold *f)
{
    if (f->at == f->end)
        return -1;
    if (is_blank(*f->at)) {
        f->at = skip_blank(f->at, f->end);
        return f->at == f->end ? -1 : ' ';
    }
    if (f->end - f->at >= 3 && memcmp(f->at, "\xe2\x80\x99", 3) == 0) { /* a curly apostrophe */
        f->at += 3;
        return '\'';
    }
    const char c = *f->at++;
    return c >= 'A' && c <= 'Z' ? c - 'A' + 'a' : (unsigned char)c;
}

static bool is_letter(char c) { return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z'); }

fen_match fen_piece_match(fen_piece piece, const char *name)
{
    /* two letters that differ in more than case: nearly always, and no more needs looking at */
    if (piece.len && is_letter(*piece.at) && is_letter(*name) && ((*piece.at ^ *name) & ~0x20))
        return FEN_MATCH_NONE;
    const char *end = piece.at + piece.len;
    const char *name_end = name + strlen(name);
    fold want = { skip_blank(piece.at, end), end };
    fold have = { skip_blank(name, name_end), name_end };
    if (want.at == end)
        return FEN_MATCH_NONE;
    for (;;) {
        const int w = next(&want), h = next(&have);
        if (w < 0)
            return h < 0 ? FEN_MATCH_ALL : FEN_MATCH_START;
        if (w != h)
            return FEN_MATCH_NONE;
    }
}

bool fen_piece_same(fen_piece a, fen_piece b)
{
    const char *a_end = a.at + a.len, *b_end = b.at + b.len;
    fold x = { skip_blank(a.at, a_end), a_end }, y = { skip_blank(b.at, b_end), b_end };
    int c;
    do {
        c = next(&x);
        if (c != next(&y))
            return false;
    } while (c >= 0);
    return true;
}

bool fen_piece_is_one_of(fen_piece piece, const char *const *names, size_t n)
{
    for (size_t i = 0; i < n; i++)
        if (fen_piece_match(piece, names[i]) == FEN_MATCH_ALL)
            return true;
    return false;
}

fen_id fen_finding_named(const fen_base *base, fen_piece name)
{
    fen_id found = FEN_NONE;
    for (fen_id f = 0; f < fen_base_findings(base); f++) {
        if (fen_piece_match(name, fen_base_finding(base, f)->id) == FEN_MATCH_ALL)
            return f;
        if (found == FEN_NONE && fen_piece_match(name, fen_base_finding(base, f)->name) == FEN_MATCH_ALL)
            found = f;
    }
    return found;
}

fen_id fen_cause_named(const fen_base *base, fen_piece name)
{
    fen_id found = FEN_NONE;
    for (fen_id c = 0; c < fen_base_causes(base); c++) {
        if (fen_piece_match(name, fen_base_cause(base, c)->id) == FEN_MATCH_ALL)
            return c;
        if (found == FEN_NONE && fen_piece_match(name, fen_base_cause(base, c)->name) == FEN_MATCH_ALL)
            found = c;
    }
    return found;
}

void fen_piece_fold(fen_str *out, fen_piece piece)
{
    const char *end = piece.at + piece.len;
    fold f = { skip_blank(piece.at, end), end };
    for (int c = next(&f); c >= 0; c = next(&f))
        fen_str_putc(out, (char)c);
}

fen_piece fen_piece_trim(fen_piece piece)
{
    while (piece.len && (*piece.at == ' ' || *piece.at == '\t' || *piece.at == '\n' || *piece.at == '\r'))
        piece.at++, piece.len--;
    for (const char *last; piece.len; piece.len--) {
        last = piece.at + piece.len - 1;
        if (*last != ' ' && *last != '\t' && *last != '\n' && *last != '\r')
            break;
    }
    return piece;
}

size_t fen_piece_break(fen_piece t, size_t at, size_t *ret_next)
{
    for (size_t i = at; i < t.len; i++) {
        if (strchr(",;&+", t.at[i]))
            return *ret_next = i + 1, i;
        if (i + 5 <= t.len && fen_piece_match((fen_piece){ t.at + i + 1, 3 }, "and") == FEN_MATCH_ALL &&
            t.at[i] == ' ' && t.at[i + 4] == ' ')
            return *ret_next = i + 5, i;
    }
    return *ret_next = t.len, t.len;
}

const char *fen_piece_short(fen_piece piece, char buf[FEN_SHORT_TEXT])
{
    enum { LONGEST = 40 };
    size_t n = 0;
    for (size_t i = 0; i < piece.len;) {
        const unsigned char c = (unsigned char)piece.at[i];
        size_t step = fen_utf8_step(piece.at + i, piece.len - i);
        if (n + step > LONGEST) {
            memcpy(buf + n, "...", 4);
            return buf;
        }
        if (c < 0x20 || c == 0x7f || fen_utf8_check(piece.at + i, step) != step || (c == 0xc2 && step == 2 &&
            (unsigned char)piece.at[i + 1] < 0xa0))
            buf[n++] = '?';
        else
            memcpy(buf + n, piece.at + i, step), n += step;
        i += step;
    }
    buf[n] = '\0';
    return buf;
}

fen_status fen_fault_set(fen_answer_fault *fault, fen_code code, size_t at, size_t width)
{
    fault->code = code;
    fault->at = at;
    fault->width = width ? width : 1;
    return FEN_EINPUT;
}

/* Long names are cut, but never within a character. */
FEN_PRINTF(2, 0)
static void format_into(char buf[FEN_FAULT_TEXT], const char *format, va_list args)
{
    const int n = vsnprintf(buf, FEN_FAULT_TEXT, format, args);
    if (n >= FEN_FAULT_TEXT)
        buf[fen_utf8_check(buf, strlen(buf))] = '\0';
}

void fen_fault_what(fen_answer_fault *fault, const char *format, ...)
{
    va_list args;
    va_start(args, format);
    format_into(fault->what, format, args);
    va_end(args);
    fault->right[0] = '\0';
}

void fen_fault_right(fen_answer_fault *fault, const char *format, ...)
{
    va_list args;
    va_start(args, format);
    format_into(fault->right, format, args);
    va_end(args);
}
