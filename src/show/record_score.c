/* record_score.c -- how well a batch of settled cases was judged, as a table. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "fenmend/records.h"
#include "record_text.h"
#include "util/number.h"

enum { LABEL = 26, CONFUSED = 10 };

static const char *decimals(char buf[FEN_NUMBER_MAX], double x, int digits)
{
    if (isnan(x))
        return "-";
    fen_number_show(buf, x, digits);
    return buf;
}

static void put_line(fen_str *out, fen_look look, const char *label, const char *value)
{
    const size_t at = look.width >= 60 ? LABEL : 18;
    fen_cell_put(out, label, at, false, look.ascii);
    fen_gap_put(out, 2);
    fen_wrapped_put(out, value, look.width > at + 10 ? look.width : at + 10, at + 2, at + 2, look.ascii);
    fen_line_end(out);
}

static const char *percent(char buf[FEN_NUMBER_MAX], double p)
{
    fen_number_show(buf, floor(p * 1000 + 0.5) / 10, 4);
    return buf;
}

static void put_share(fen_str *out, fen_look look, const char *label, const fen_share *s)
{
    char text[160], a[FEN_NUMBER_MAX], b[FEN_NUMBER_MAX], c[FEN_NUMBER_MAX];
    snprintf(text, sizeof text, "%s %% (%llu of %llu; 95 %%: %s to %s)", percent(a, s->p), (unsigned long long)s->k,
             (unsigned long long)s->n, percent(b, s->lo), percent(c, s->hi));
    put_line(out, look, label, text);
}

static void put_number(fen_str *out, fen_look look, const char *label, double x, const char *note)
{
    char text[160], a[FEN_NUMBER_MAX];
    snprintf(text, sizeof text, "%s%s", decimals(a, x, 4), isnan(x) ? " (cannot be told from these cases)" : note);
    put_line(out, look, label, text);
}

static void put_count(fen_str *out, fen_look look, const char *label, uint64_t n, uint64_t of)
{
    char text[96];
    if (of)
        snprintf(text, sizeof text, "%llu of %llu settled as urgent", (unsigned long long)n, (unsigned long long)of);
    else
        snprintf(text, sizeof text, "- (none is settled as urgent)");
    put_line(out, look, label, text);
}

static void put_bins(fen_str *out, fen_look look, const fen_score_sums *s)
{
    const bool wide = look.width >= 44;
    const size_t cases = wide ? 14 : 8, chance = wide ? 9 : 6;
    char text[FEN_NUMBER_MAX];
    fen_str_puts(out, "\nwhen it says");
    fen_cell_put(out, "cases", cases, true, true);
    fen_cell_put(out, wide ? "said %" : "said", chance, true, true);
    fen_cell_put(out, wide ? "right %" : "right", chance, true, true);
    fen_line_end(out);
    for (size_t i = 0; i < FEN_SCORE_BINS; i++) {
        if (!s->bin[i].n)
            continue;
        fen_str_printf(out, "%3zu to %3zu %%", i * 10, (i + 1) * 10);
        snprintf(text, sizeof text, "%llu", (unsigned long long)s->bin[i].n);
        fen_cell_put(out, text, cases, true, true);
        fen_cell_put(out, percent(text, s->bin[i].confidence), chance, true, true);
        fen_cell_put(out, percent(text, s->bin[i].right), chance, true, true);
        fen_line_end(out);
    }
}

static void put_confused(fen_str *out, const fen_base *base, fen_look look, const fen_score_sums *s)
{
    const size_t half = (look.width > 28 ? look.width : 28) / 2 - 6;
    size_t shown = 0;
    for (size_t i = 0; i < s->n_confusion && shown < CONFUSED; i++) {
        const fen_confusion *c = &s->confusion[i];
        if (c->was == c->judged)
            continue;
        if (!shown++) {
            fen_str_puts(out, "\n  cases  ");
            fen_cell_put(out, "it was", half, false, look.ascii);
            fen_str_puts(out, "  judged\n");
        }
        fen_str_printf(out, "%7llu  ", (unsigned long long)c->n);
        fen_cell_put(out, fen_base_cause(base, c->was)->id, half, false, look.ascii);
        fen_gap_put(out, 2);
        fen_cell_put(out, c->judged == FEN_NONE ? "-" : fen_base_cause(base, c->judged)->id, half - 1, false, look.ascii);
        fen_line_end(out);
    }
}

static void put_asked(fen_str *out, fen_look look, const fen_score_sums *s)
{
    char text[160], a[FEN_NUMBER_MAX], b[FEN_NUMBER_MAX];
    fen_str_puts(out, "\nasked one question at a time:\n");
    snprintf(text, sizeof text, "%s on average, %s with an answer", decimals(a, s->asked, 4), decimals(b, s->answered, 4));
    put_line(out, look, "questions", text);
    put_share(out, look, "right at the top", &s->asked_top1);
    fen_small_show(a, s->asked_p);
    snprintf(text, sizeof text, "%llu only then, %llu only with all (p %s)", (unsigned long long)s->only_asked,
             (unsigned long long)s->only_all, a);
    put_line(out, look, "right otherwise", text);
}

void fen_record_score(struct fen_str *out, const fen_base *base, fen_look look, const fen_score_sums *s)
{
    char text[96];
    snprintf(text, sizeof text, "%llu of %llu that could be read%s", (unsigned long long)s->cases, (unsigned long long)s->seen,
             s->cases ? "" : "; nothing to score");
    fen_str_putc(out, '\n');
    put_line(out, look, "settled cases", text);
    if (!s->cases)
        return;
    put_share(out, look, "right at the top", &s->top1);
    put_share(out, look, "right among three", &s->top3);
    put_number(out, look, "Brier score", s->brier, " (0 best, 2 worst)");
    put_number(out, look, "log loss", s->log_loss, " (0 best)");
    put_number(out, look, "calibration error", s->calibration, "");
    put_number(out, look, "kappa", s->kappa, " (1: all right; 0: as by chance)");
    put_number(out, look, "mean recall", s->mean_recall, " (every cause counted alike)");
    put_count(out, look, "danger missed", s->missed, s->urgent);
    put_count(out, look, "danger told late", s->late, s->urgent);
    put_asked(out, look, s);
    put_bins(out, look, s);
    put_confused(out, base, look, s);
}
