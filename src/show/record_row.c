/* record_row.c -- a judged case as one line for people, and the totals under them. Column
 * widths depend on the page alone, so that lines can be written as they come. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "fenmend/records.h"
#include "record_text.h"
#include "util/utf8.h"
#include "words.h"

enum { URGENCY = 6, PERCENT = 5, GAP = 2 };

static uint32_t id_width(fen_look look)
{
    const uint32_t w = look.width / 4;
    return w < 8 ? 8 : w > 28 ? 28 : w;
}

static uint32_t cause_width(fen_look look)
{
    const uint32_t used = URGENCY + PERCENT + id_width(look) + 3 * GAP;
    return look.width > used + 4 ? look.width - used : 4;
}

/* Bytes of TEXT that fit into WIDTH columns. */
static size_t fitting(const char *text, size_t len, size_t width)
{
    size_t at = 0, columns = 0;
    while (at < len) {
        const size_t step = fen_utf8_step(text + at, len - at);
        columns += fen_utf8_width(text + at, step);
        if (columns > width)
            break;
        at += step;
    }
    return at;
}

void fen_cell_put(fen_str *out, const char *text, size_t width, bool right, bool ascii)
{
    fen_str clean;
    fen_str_init(&clean, 1u << 20);
    fen_utf8_clean(&clean, text, strlen(text), false, ascii);
    const char *dots = ascii ? ".." : "\xE2\x80\xA6";
    size_t len = clean.len, columns = fen_utf8_width(clean.at, clean.len);
    const bool cut = columns > width;
    if (cut) {
        len = fitting(clean.at, clean.len, width - (ascii ? 2 : 1));
        columns = fen_utf8_width(clean.at, len) + (ascii ? 2 : 1);
    }
    for (size_t i = columns; right && i < width; i++)
        fen_str_putc(out, ' ');
    fen_str_put(out, clean.at, len);
    if (cut)
        fen_str_puts(out, dots);
    for (size_t i = columns; !right && i < width; i++)
        fen_str_putc(out, ' ');
    if (fen_str_status(&clean))
        out->failed = true;
    fen_str_free(&clean);
}

/* Where the last WIDTH columns of TEXT begin, which has COLUMNS. */
static size_t last_fitting(const char *text, size_t len, size_t columns, size_t width)
{
    size_t at = 0;
    while (at < len) {
        const size_t step = fen_utf8_step(text + at, len - at), wide = fen_utf8_width(text + at, step);
        if (columns <= width && wide) /* a mark goes with what is before it */
            break;
        columns -= wide;
        at += step;
    }
    return at;
}

void fen_name_put(fen_str *out, const char *text, size_t width, fen_look look)
{
    fen_str clean;
    fen_str_init(&clean, 1u << 20);
    fen_utf8_clean(&clean, text, strlen(text), false, look.ascii);
    const size_t dots = look.ascii ? 2 : 1, all = fen_utf8_width(clean.at, clean.len);
    size_t columns = all;
    if (all > width && !look.whole) {
        const size_t head = fitting(clean.at, clean.len, (width - dots + 1) / 2);
        const size_t tail = last_fitting(clean.at, clean.len, all, (width - dots) / 2);
        fen_str_put(out, clean.at, head);
        fen_str_puts(out, look.ascii ? ".." : "\xE2\x80\xA6");
        fen_str_put(out, clean.at + tail, clean.len - tail);
        columns = fen_utf8_width(clean.at, head) + dots + fen_utf8_width(clean.at + tail, clean.len - tail);
    } else {
        fen_str_put(out, clean.at, clean.len);
    }
    if (columns < width)
        fen_gap_put(out, width - columns);
    if (fen_str_status(&clean))
        out->failed = true;
    fen_str_free(&clean);
}

void fen_last_put(fen_str *out, const char *text, size_t width, fen_look look)
{
    if (look.whole)
        fen_name_put(out, text, 0, look);
    else
        fen_cell_put(out, text, width, false, look.ascii);
}

void fen_small_show(char buf[FEN_NUMBER_MAX], double p)
{
    if (p < 1e-300) {
        snprintf(buf, FEN_NUMBER_MAX, "<1e-300");
    } else if (p >= 0.001) {
        fen_number_show(buf, p, 3);
    } else {
        int power = (int)floor(log10(p));
        int digits = (int)(p * pow(10, -power) * 100 + 0.5);
        if (digits >= 1000) {
            digits /= 10;
            power++;
        }
        snprintf(buf, FEN_NUMBER_MAX, "%d.%02de%d", digits / 100, digits % 100, power);
    }
}

void fen_gap_put(fen_str *out, size_t n)
{
    while (n--)
        fen_str_putc(out, ' ');
}

void fen_wrapped_put(fen_str *out, const char *text, size_t width, size_t indent, size_t start, bool ascii)
{
    fen_str clean;
    fen_str_init(&clean, 1u << 20);
    fen_utf8_clean(&clean, text, strlen(text), false, ascii);
    fen_utf8_wrap(out, clean.at, clean.len, width, indent, start);
    if (fen_str_status(&clean))
        out->failed = true;
    fen_str_free(&clean);
}

/* No line ends in blanks. */
void fen_line_end(fen_str *out)
{
    while (out->len && out->at[out->len - 1] == ' ')
        out->at[--out->len] = '\0';
    fen_str_putc(out, '\n');
}

static void put_row(fen_str *out, fen_look look, const char *urgency, const char *id, const char *percent, const char *cause)
{
    fen_cell_put(out, urgency, URGENCY, false, look.ascii);
    fen_gap_put(out, GAP);
    fen_name_put(out, id, id_width(look), look);
    fen_gap_put(out, GAP);
    fen_cell_put(out, percent, PERCENT, true, look.ascii);
    fen_gap_put(out, GAP);
    fen_last_put(out, cause, cause_width(look), look);
    fen_line_end(out);
}

void fen_record_row_head(struct fen_str *out, fen_look look)
{
    put_row(out, look, "urgent", "case", "sure", "most likely");
}

/* The leading cause, and those that must be there besides it. */
static void name_causes(fen_str *out, const fen_base *base, const fen_verdict *v)
{
    if (!v->shown.count) {
        fen_str_puts(out, "nothing that the rules know");
        return;
    }
    for (uint32_t i = 0; i < v->shown.count; i++)
        fen_str_printf(out, "%s%s", i ? " + " : "", fen_base_cause(base, v->shown.at[i])->name);
}

static void put_judged(fen_str *out, const fen_base *base, fen_look look, const fen_judged *j)
{
    const fen_verdict *v = fen_session_verdict(j->session);
    char percent[FEN_WORDS_MAX];
    fen_str names;
    if (v->blank && !v->urgency) {
        put_row(out, look, "?", j->id, "", "nothing is known of it yet");
        return;
    }
    fen_str_init(&names, 1u << 20);
    name_causes(&names, base, v);
    fen_words_percent(percent, v->ranking.count ? v->p[v->ranking.at[0]] : 0);
    const bool loud = look.colour && v->urgency >= FEN_DAYS;
    if (loud)
        fen_str_puts(out, "\033[1;31m");
    put_row(out, look, v->urgency ? fen_urgency_name(v->urgency) : "-", j->id, percent, names.at);
    if (loud) {
        out->at[--out->len] = '\0'; /* the colour ends before the line does */
        fen_str_puts(out, "\033[0m\n");
    }
    if (fen_str_status(&names))
        out->failed = true;
    fen_str_free(&names);
}

void fen_record_row(struct fen_str *out, const fen_base *base, fen_look look, const fen_judged *j)
{
    if (j->c)
        put_judged(out, base, look, j);
    else
        put_row(out, look, "broken", j->id, "", j->error);
}

/* -- totals --------------------------------------------------------------------- */

/* Shares of what was counted are certain, so all is 100 %. */
static void put_share(fen_str *out, fen_look look, uint64_t n, uint64_t all, const char *what)
{
    const unsigned percent = all ? (unsigned)((double)n * 100 / (double)all + 0.5) : 0;
    fen_str_printf(out, "%9llu  %3u %%", (unsigned long long)n, percent);
    fen_gap_put(out, GAP);
    fen_last_put(out, what, look.width > 26 ? look.width - 18 : 8, look);
    fen_line_end(out);
}

static fen_id most_frequent(const fen_base *base, const fen_tally *t, const fen_id *had, size_t n_had)
{
    fen_id best = FEN_NONE;
    for (fen_id c = 0; c < fen_base_causes(base); c++) {
        bool old = false;
        for (size_t i = 0; i < n_had; i++)
            old = old || had[i] == c;
        if (!old && t->leading[c] && (best == FEN_NONE || t->leading[c] > t->leading[best]))
            best = c;
    }
    return best;
}

static void put_numbers(fen_str *out, fen_look look, const fen_tally *t)
{
    char broken[64] = "", unusable[96] = "", text[256];
    if (t->broken)
        snprintf(broken, sizeof broken, ", and %llu that could not be read", (unsigned long long)t->broken);
    if (t->unusable)
        snprintf(unusable, sizeof unusable, ", and %llu file%s%s", (unsigned long long)t->unusable, t->unusable == 1 ? "" : "s",
                 t->broken ? "" : " that could not be read");
    snprintf(text, sizeof text, "%llu case%s%s%s", (unsigned long long)t->cases, t->cases == 1 ? "" : "s", broken, unusable);
    fen_str_putc(out, '\n');
    fen_wrapped_put(out, text, look.width, 0, 0, look.ascii);
    fen_str_putc(out, '\n');
}

void fen_record_totals(struct fen_str *out, const fen_base *base, fen_look look, const fen_tally *t)
{
    static const char *const act[] = { "nothing urgent", "act within weeks", "act within days", "act within hours" };
    enum { SHOWN = 5 };
    fen_id had[SHOWN];
    put_numbers(out, look, t);
    for (int u = FEN_HOURS; u >= 0; u--)
        if (t->urgency[u])
            put_share(out, look, t->urgency[u], t->cases, act[u]);
    if (t->blank)
        put_share(out, look, t->blank, t->cases, "nothing is known of it yet");
    if (t->cases)
        fen_str_puts(out, "most likely, most often:\n");
    for (size_t i = 0; i < SHOWN; i++) {
        had[i] = most_frequent(base, t, had, i);
        if (had[i] == FEN_NONE)
            break;
        put_share(out, look, t->leading[had[i]], t->cases, fen_base_cause(base, had[i])->name);
    }
}
