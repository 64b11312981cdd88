/* html_pictures.c -- the causes as bars, and the days as a strip.
 */
#include <string.h>

#include "fenmend/follow_view.h"
#include "html.h"
#include "util/date.h"
#include "words.h"

/* ---- causes ---- */

enum { MOST_CAUSES = 6, NAME_COLUMNS = 34, BAR_X = 260, BAR_WIDTH = 390 };

static void put_bar(fen_html *h, fen_id cause, double p, int y, bool first)
{
    char percent[FEN_WORDS_MAX];
    fen_svg_wrap(h, fen_base_cause(h->base, cause)->name, 0, y + 17, NAME_COLUMNS, 2, first ? "strong" : "plain");
    fen_html_rawf(h, "<rect class=\"track\" x=\"%d\" y=\"%d\" width=\"%d\" height=\"18\" rx=\"3\"/>", BAR_X, y + 3, BAR_WIDTH);
    fen_html_rawf(h, "<rect class=\"%s\" x=\"%d\" y=\"%d\" width=\"%d\" height=\"18\" rx=\"3\"/>",
                  fen_base_cause(h->base, cause)->urgency >= FEN_DAYS ? "bar danger" : "bar", BAR_X, y + 3, (int)(p * BAR_WIDTH + 0.5) + 1);
    fen_html_rawf(h, "<text class=\"plain\" x=\"%d\" y=\"%d\">", BAR_X + BAR_WIDTH + 8, y + 17);
    fen_html_text(h, fen_words_percent(percent, p));
    fen_html_raw(h, "</text>\n");
}

static uint32_t shown_causes(const fen_verdict *v)
{
    uint32_t n = 0;
    while (n < v->ranking.count && n < MOST_CAUSES && (n < 2 || v->p[v->ranking.at[n]] >= 0.005))
        n++;
    return n;
}

void fen_html_causes(fen_html *h)
{
    const fen_verdict *v = fen_session_verdict(h->s);
    const uint32_t n = shown_causes(v);
    char percent[FEN_WORDS_MAX];
    int height = 0;
    for (uint32_t i = 0; i < n; i++)
        height += 8 + 17 * (int)fen_svg_lines(fen_base_cause(h->base, v->ranking.at[i])->name, NAME_COLUMNS, 2);
    fen_html_rawf(h, "<svg role=\"img\" aria-label=\"Causes and how likely each is\" aria-describedby=\"causes-desc\" viewBox=\"0 0 720 %d\">\n<desc id=\"causes-desc\">", height + 4);
    for (uint32_t i = 0; i < n; i++) {
        fen_html_text(h, fen_base_cause(h->base, v->ranking.at[i])->name);
        fen_html_raw(h, " ");
        fen_html_text(h, fen_words_percent(percent, v->p[v->ranking.at[i]]));
        fen_html_raw(h, i + 1 < n ? "; " : ".");
    }
    fen_html_raw(h, "</desc>\n");
    for (uint32_t i = 0, y = 0; i < n; i++) {
        const fen_id cause = v->ranking.at[i];
        put_bar(h, cause, v->p[cause], (int)y, i == 0);
        y += 8 + 17 * fen_svg_lines(fen_base_cause(h->base, cause)->name, NAME_COLUMNS, 2);
    }
    fen_html_raw(h, "</svg>\n");
}

/* ---- days ---- */

enum { MOST_DAYS = 24, STRIP_X = 16, STRIP_WIDTH = 688, LEVELS = 3, LEVEL_HEIGHT = 28 };

static bool has_mark(const fen_due *d)
{
    return d->type != FEN_DUE_TASK || d->until == d->day;
}

static const char *day_of_week(int32_t day)
{
    static const char *const names[] = { "Thursday", "Friday", "Saturday", "Sunday", "Monday", "Tuesday", "Wednesday" };
    return names[((day % 7) + 7) % 7]; /* 1970-01-01 was a Thursday */
}

static const char *short_date(char buf[8], int32_t day)
{
    static const char *const months[] = { "Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec" };
    int y, m, d;
    fen_date_parts(day, &y, &m, &d);
    buf[0] = d > 9 ? (char)('0' + d / 10) : ' ';
    buf[1] = (char)('0' + d % 10);
    buf[2] = ' ';
    memcpy(buf + 3, months[m - 1], 4);
    return buf + (d < 10);
}

typedef struct strip {
    int32_t from, days;
    size_t n; /* marks */
} strip;

static int x_of(const strip *t, int32_t day)
{
    return STRIP_X + (int)((double)(day - t->from) / t->days * STRIP_WIDTH + 0.5);
}

static void put_ticks(fen_html *h, const strip *t, int y)
{
    char buf[8];
    const int every = t->days <= 16 ? 1 : t->days <= 112 ? 7 : 28;
    const int named = t->days <= 16 ? 2 : t->days <= 56 ? 1 : 2;
    for (int32_t d = 0, i = 0; d <= t->days; d += every, i++) {
        const int x = x_of(t, t->from + d);
        fen_html_rawf(h, "<path class=\"line\" d=\"M%d %dv%d\"/>", x, y - 4, 8);
        if (i % named == 0)
            fen_html_rawf(h, "<text class=\"small\" text-anchor=\"%s\" x=\"%d\" y=\"%d\">%s</text>", x < 40 ? "start" : x > 680 ? "end" : "middle", x < 40 ? x - 8 : x > 680 ? x + 8 : x,
                          y + 20, short_date(buf, t->from + d));
    }
    fen_html_rawf(h, "<path class=\"line\" d=\"M%d %dH%d\"/>\n", STRIP_X, y, STRIP_X + STRIP_WIDTH);
}

/* Marks that would overlap go a level higher. */
static void put_marks(fen_html *h, const fen_dues *dues, const strip *t, int base_y)
{
    int last[LEVELS] = { -100, -100, -100 };
    size_t n = 0;
    for (size_t i = 0; i < fen_dues_count(dues) && n < t->n; i++) {
        const fen_due *d = fen_dues_at(dues, i);
        if (!has_mark(d))
            continue;
        const int x = x_of(t, d->day);
        int level = 0;
        while (level < LEVELS - 1 && x - last[level] < 24)
            level++;
        last[level] = x;
        const int y = base_y - 16 - level * LEVEL_HEIGHT;
        fen_html_rawf(h, "<path class=\"line\" d=\"M%d %dV%d\"/>", x, y, base_y);
        if (d->type == FEN_DUE_LOOK)
            fen_html_rawf(h, "<circle class=\"look\" cx=\"%d\" cy=\"%d\" r=\"11\"/>", x, y);
        else
            fen_html_rawf(h, "<rect class=\"again\" x=\"%d\" y=\"%d\" width=\"22\" height=\"20\" rx=\"3\"/>", x - 11, y - 10);
        fen_html_rawf(h, "<text class=\"mark\" text-anchor=\"middle\" x=\"%d\" y=\"%d\">%zu</text>\n", x, y + 5, ++n);
    }
}

/* A step that comes again and again is told in full the first time. */
static void put_what(fen_html *h, const fen_due *d)
{
    if (d->type == FEN_DUE_AGAIN && d->nth > 1) {
        fen_html_raw(h, "the same step, \"");
        fen_html_text(h, fen_base_remedy(h->base, d->remedy)->steps[d->step].id);
        fen_html_rawf(h, "\", for the %u%s time.", (unsigned)d->nth + 1, d->nth == 2 ? "rd" : "th");
    } else {
        fen_html_text(h, d->text);
        if (d->type == FEN_DUE_AGAIN) {
            fen_html_raw(h, " (\"");
            fen_html_text(h, fen_base_remedy(h->base, d->remedy)->steps[d->step].id);
            fen_html_raw(h, "\")");
        }
    }
}

/* What else a look is for: what to do if it disappoints, and what to watch. */
static void put_look(fen_html *h, const fen_remedy *r)
{
    if (r->otherwise) {
        fen_html_raw(h, " If not: ");
        fen_html_text(h, r->otherwise);
    }
    for (uint32_t i = 0; i < r->n_look; i++) {
        fen_html_raw(h, i ? ", " : " Watch: ");
        fen_html_text(h, fen_base_finding(h->base, r->look[i].finding)->name);
        fen_html_raw(h, i + 1 == r->n_look ? "." : "");
    }
}

static void put_list(fen_html *h, const fen_dues *dues, const strip *t)
{
    size_t n = 0;
    fen_html_raw(h, "<ol class=\"days\">\n");
    for (size_t i = 0; i < fen_dues_count(dues) && n < t->n; i++) {
        char date[FEN_DATE_TEXT];
        const fen_due *d = fen_dues_at(dues, i);
        if (!has_mark(d))
            continue;
        n++;
        fen_date_write(date, d->day);
        fen_html_rawf(h, "<li><time datetime=\"%s\">%s %s</time>: ", date, day_of_week(d->day), date);
        fen_html_raw(h, d->type == FEN_DUE_LOOK ? "<b>look again.</b> By now: " : d->type == FEN_DUE_AGAIN ? "<b>again:</b> " : "");
        put_what(h, d);
        if (d->type == FEN_DUE_LOOK)
            put_look(h, fen_base_remedy(h->base, d->remedy));
        fen_html_raw(h, "</li>\n");
    }
    fen_html_raw(h, "</ol>\n");
}

void fen_html_days(fen_html *h, const fen_dues *dues, int32_t today)
{
    strip t = { today, 7, 0 };
    char date[FEN_DATE_TEXT];
    for (size_t i = 0; i < fen_dues_count(dues) && t.n < MOST_DAYS; i++) {
        const fen_due *d = fen_dues_at(dues, i);
        if (!has_mark(d))
            continue;
        t.n++;
        if (d->day - today > t.days)
            t.days = d->day - today;
    }
    if (!t.n)
        return;
    fen_date_write(date, today);
    fen_html_rawf(h, "<h2>When</h2>\n<svg role=\"img\" aria-label=\"The days from %s on; the list below tells what is due on each\" viewBox=\"0 0 720 %d\">\n",
                  date, LEVELS * LEVEL_HEIGHT + 34);
    put_ticks(h, &t, LEVELS * LEVEL_HEIGHT + 8);
    put_marks(h, dues, &t, LEVELS * LEVEL_HEIGHT + 8);
    fen_html_raw(h, "</svg>\n");
    put_list(h, dues, &t);
}
