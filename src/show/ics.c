/* ics.c -- what is due as a calendar: iCalendar, RFC 5545.
 *
 * All-day events (VALUE=DATE). Lines end in CR LF and are folded at 75 octets, never
 * within a character (3.1); texts are escaped (3.3.11) and hold no control characters.
 * A UID is made of what the event is about and the visit it comes from, so that the
 * next export replaces it instead of doubling it.
 */
#include <inttypes.h>
#include <stdio.h>
#include <string.h>

#include "fenmend/due.h"
#include "model/caution.h"
#include "util/date.h"
#include "util/str.h"
#include "util/utf8.h"

#define FOLD 75u

/* ---- lines ---- */

/* One content line, folded. */
static void put_line(fen_str *out, const char *text, size_t len)
{
    size_t room = FOLD;
    for (size_t at = 0; at < len;) {
        const size_t n = fen_utf8_step(text + at, len - at);
        if (n > room) {
            fen_str_puts(out, "\r\n ");
            room = FOLD - 1;
        }
        fen_str_put(out, text + at, n);
        room -= n;
        at += n;
    }
    fen_str_puts(out, "\r\n");
}

static void put_pair(fen_str *out, const char *name, const char *value)
{
    fen_str line;
    fen_str_init(&line, 1u << 20);
    fen_str_puts(&line, name);
    fen_str_putc(&line, ':');
    fen_str_puts(&line, value);
    if (fen_str_status(&line))
        out->failed = true;
    put_line(out, line.at, line.len);
    fen_str_free(&line);
}

/* TEXT as a value of type TEXT, control characters and broken bytes made harmless. */
static void escape(fen_str *out, const char *text)
{
    fen_str clean;
    fen_str_init(&clean, 1u << 20);
    fen_utf8_clean(&clean, text, strlen(text), true, false);
    for (const char *c = clean.at; *c; c++) {
        if (*c == '\n') {
            fen_str_puts(out, "\\n");
            continue;
        }
        if (*c == '\\' || *c == ';' || *c == ',')
            fen_str_putc(out, '\\');
        if (*c != '\r')
            fen_str_putc(out, *c);
    }
    if (fen_str_status(&clean))
        out->failed = true;
    fen_str_free(&clean);
}

static void put_text(fen_str *out, const char *name, const fen_str *value)
{
    fen_str line;
    fen_str_init(&line, 1u << 20);
    escape(&line, value->at);
    if (fen_str_status(&line) || fen_str_status(value))
        out->failed = true;
    put_pair(out, name, line.at);
    fen_str_free(&line);
}

static void put_day(fen_str *out, const char *name, int32_t day, const char *tail)
{
    char buf[48];
    int y, m, d;
    fen_date_parts(day, &y, &m, &d);
    snprintf(buf, sizeof buf, "%04d%02d%02d%s", y, m, d, tail);
    put_pair(out, name, buf);
}

/* ---- events ---- */

/* FNV-1a, 64 bits: a case may be called anything, a UID had better not. */
static uint64_t hash(uint64_t h, const char *text)
{
    for (; *text; text++)
        h = (h ^ (unsigned char)*text) * UINT64_C(1099511628211);
    return h;
}

static void put_uid(fen_str *out, const fen_base *base, const fen_due *d)
{
    static const char *const types[] = { "look", "again", "task" };
    char from[FEN_DATE_TEXT], buf[256];
    const bool task = d->type == FEN_DUE_TASK;
    const char *what = task ? fen_base_task(base, d->task)->id : fen_base_remedy(base, d->remedy)->id;
    const char *step = d->type == FEN_DUE_AGAIN ? fen_base_remedy(base, d->remedy)->steps[d->step].id : "";
    fen_date_write(from, task ? d->day : d->visit); /* a season's task is the same, whatever visit it is told after */
    snprintf(buf, sizeof buf, "%s-%s-%s%s%u-%s-%016" PRIx64 "@fenmend", types[d->type], what, step, step[0] ? "-" : "", (unsigned)d->nth, from,
             hash(UINT64_C(14695981039346656037), d->case_id));
    put_pair(out, "UID", buf);
}

static fen_texts cautions_of(const fen_base *base, const fen_due *d)
{
    if (d->type == FEN_DUE_TASK)
        return fen_base_task(base, d->task)->cautions;
    if (d->type == FEN_DUE_AGAIN)
        return fen_base_remedy(base, d->remedy)->steps[d->step].cautions;
    return (fen_texts){ NULL, 0 };
}

static void put_description(fen_str *out, const fen_base *base, const fen_due *d)
{
    fen_str text;
    const fen_texts cautions = cautions_of(base, d);
    fen_str_init(&text, 1u << 20);
    fen_str_printf(&text, d->type == FEN_DUE_LOOK ? "By now: %s" : "%s", d->text);
    if (d->type == FEN_DUE_LOOK && fen_base_remedy(base, d->remedy)->otherwise)
        fen_str_printf(&text, "\nIf not: %s", fen_base_remedy(base, d->remedy)->otherwise);
    for (uint32_t i = 0; i < cautions.count; i++) {
        fen_caution c;
        if (fen_caution_find(cautions.at[i], &c))
            fen_str_printf(&text, "\n%s: %s", cautions.at[i], fen_caution_text(c));
    }
    put_text(out, "DESCRIPTION", &text);
    fen_str_free(&text);
}

static void put_event(fen_str *out, const fen_base *base, const fen_due *d, int32_t stamp)
{
    fen_str summary;
    put_pair(out, "BEGIN", "VEVENT");
    put_uid(out, base, d);
    put_day(out, "DTSTAMP", stamp, "T000000Z");
    put_day(out, "DTSTART;VALUE=DATE", d->day, "");
    put_day(out, "DTEND;VALUE=DATE", d->until + 1, ""); /* the first day that is no more of it */
    fen_str_init(&summary, 1u << 20);
    if (d->type == FEN_DUE_LOOK)
        fen_str_printf(&summary, "Look at %s again", d->case_id);
    else
        fen_str_printf(&summary, "%s: %s", d->case_id, d->text);
    put_text(out, "SUMMARY", &summary);
    fen_str_free(&summary);
    put_description(out, base, d);
    put_pair(out, "TRANSP", "TRANSPARENT");
    put_pair(out, "END", "VEVENT");
}

void fen_ics_dues(struct fen_str *out, const fen_dues *d, int32_t stamp)
{
    put_pair(out, "BEGIN", "VCALENDAR");
    put_pair(out, "VERSION", "2.0");
    put_pair(out, "PRODID", "-//fenmend//plan//EN");
    put_pair(out, "CALSCALE", "GREGORIAN");
    for (size_t i = 0; i < fen_dues_count(d); i++)
        put_event(out, fen_dues_base(d), fen_dues_at(d, i), stamp);
    put_pair(out, "END", "VCALENDAR");
}
