/* templog.c -- see templog.h.
 *
 * A reading stands for the time until the next one. Clocks that are set back in
 * autumn repeat an hour: such a row follows at the log's usual step instead of
 * being refused, as half of all winters' logs have one.
 */
#include "templog.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include "util/date.h"
#include "util/number.h"
#include "util/utf8.h"

#define COLUMNS 32 /* that are looked at; loggers write a dozen */
#define HOTTEST 60.0
#define COLDEST (-60.0)

typedef struct field {
    const char *at; /* without its quotes */
    size_t len;
} field;

static fen_status refuse(const fen_templog *log, const char *at, fen_reckon_error *reterr, fen_code code, const char *right, const char *wrong, ...)
    FEN_PRINTF(6, 7);

static fen_status refuse(const fen_templog *log, const char *at, fen_reckon_error *reterr, fen_code code, const char *right, const char *wrong, ...)
{
    va_list args;
    const char *begin = log->text + log->line_at;
    *reterr = (fen_reckon_error){ .code = code, .input = FEN_RECKON_NONE, .line = log->line };
    reterr->column = (uint32_t)(at > begin ? fen_utf8_count(begin, (size_t)(at - begin)) : 0) + 1;
    va_start(args, wrong);
    vsnprintf(reterr->wrong, sizeof reterr->wrong, wrong, args);
    va_end(args);
    snprintf(reterr->right, sizeof reterr->right, "%s", right);
    return FEN_EINPUT;
}

static bool ended(const fen_templog *log)
{
    return log->at >= log->len;
}

/* One field, its line end or delimiter taken; *ret_last when the line is over. */
static field next_field(fen_templog *log, bool *ret_last)
{
    field f = { log->text + log->at, 0 };
    const char *text = log->text;
    const bool quoted = !ended(log) && text[log->at] == '"';
    if (quoted) {
        f.at++;
        log->at++;
        while (!ended(log) && (text[log->at] != '"' || (log->at + 1 < log->len && text[log->at + 1] == '"')))
            log->at += text[log->at] == '"' ? 2 : 1;
        f.len = (size_t)(text + log->at - f.at);
    }
    while (!ended(log) && text[log->at] != log->between && text[log->at] != '\n')
        log->at++;
    if (!quoted)
        f.len = (size_t)(text + log->at - f.at);
    *ret_last = ended(log) || text[log->at] == '\n';
    log->at += !ended(log);
    while (f.len && (f.at[f.len - 1] == ' ' || f.at[f.len - 1] == '\r'))
        f.len--;
    while (f.len && *f.at == ' ') {
        f.at++;
        f.len--;
    }
    return f;
}

/* The fields of the next line that is not empty; false at the end. */
static bool next_line(fen_templog *log, field fields[COLUMNS], int *ret_count)
{
    for (;;) {
        bool last = false;
        int n = 0;
        if (ended(log))
            return false;
        for (; log->line_at < log->at; log->line_at++) /* quoted fields may hold line ends */
            log->line += log->text[log->line_at] == '\n';
        while (!last) {
            const field f = next_field(log, &last);
            if (n < COLUMNS)
                fields[n++] = f;
        }
        *ret_count = n;
        if (n > 1 || fields[0].len)
            return true;
    }
}

/* ---- the heading ---- */

static bool begins(field f, const char *word)
{
    const size_t n = strlen(word);
    for (size_t i = 0; i < n; i++)
        if (i >= f.len || (f.at[i] | 0x20) != word[i])
            return false;
    return true;
}

static bool is_letter(char c)
{
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z');
}

/* A C or F that stands alone: "temp (F)", "Temperature_C", "t °C". */
static char unit_of(field f)
{
    for (size_t i = 1; i < f.len; i++) {
        const char c = (char)(f.at[i] & ~0x20);
        if ((c == 'C' || c == 'F') && !is_letter(f.at[i - 1]) && (i + 1 == f.len || !is_letter(f.at[i + 1])))
            return c;
    }
    return 0;
}

static void name_column(fen_templog *log, field f, int i)
{
    int *column = NULL;
    if (begins(f, "date") || begins(f, "day") || begins(f, "timestamp"))
        column = &log->date;
    else if (begins(f, "time"))
        column = &log->time;
    else if (begins(f, "temp"))
        column = &log->temperature;
    else if (begins(f, "min") || begins(f, "low") || begins(f, "tmin"))
        column = &log->low;
    else if (begins(f, "max") || begins(f, "high") || begins(f, "tmax"))
        column = &log->high;
    if (!column || *column >= 0)
        return;
    *column = i;
    if (column != &log->date && column != &log->time && !log->unit)
        log->unit = unit_of(f);
}

fen_status fen_templog_open(const char *text, size_t len, fen_templog *ret, fen_reckon_error *reterr)
{
    field fields[COLUMNS];
    int n = 0;
    fen_templog log = { .text = text, .len = len, .line = 1, .date = -1, .time = -1, .temperature = -1, .low = -1, .high = -1, .step = 1 };

    if (len >= 3 && !memcmp(text, "\xEF\xBB\xBF", 3))
        log.at = log.line_at = 3; /* byte order mark */
    const char *end = memchr(text + log.at, '\n', len - log.at);
    const size_t head = (end ? (size_t)(end - text) : len) - log.at;
    log.between = memchr(text + log.at, '\t', head) ? '\t' : memchr(text + log.at, ';', head) ? ';' : ',';
    if (!next_line(&log, fields, &n))
        return refuse(&(fen_templog){ .text = text, .line = 1 }, text, reterr, FEN_CODE_MISSING, "give a first line like 'date,time,temperature C'", "the log is empty");
    for (int i = 0; i < n; i++)
        name_column(&log, fields[i], i);
    if (log.date < 0) {
        log.date = log.time;
        log.time = -1;
    }
    if (log.date < 0 || (log.temperature < 0 && (log.low < 0 || log.high < 0)))
        return refuse(&log, fields[0].at, reterr, FEN_CODE_MISSING, "begin it with a line like 'date,time,temperature C' or 'date,low C,high C'",
                      "the log's first line names no %s", log.date < 0 ? "date" : "temperature");
    if (log.temperature >= 0)
        log.low = log.high = log.temperature;
    *ret = log;
    return FEN_OK;
}

/* ---- rows ---- */

static bool two_digits(const char *at, int most, int *ret)
{
    if (at[0] < '0' || at[0] > '9' || at[1] < '0' || at[1] > '9')
        return false;
    *ret = (at[0] - '0') * 10 + (at[1] - '0');
    return *ret <= most;
}

/* "14:05", "14:05:30.5", with a zone or not; a clock's zone does not matter here. */
static bool read_clock(const char *at, size_t len, double *ret_hours)
{
    int hours;
    int minutes;
    int seconds = 0;
    if (len < 5 || !two_digits(at, 23, &hours) || at[2] != ':' || !two_digits(at + 3, 59, &minutes))
        return false;
    size_t used = 5;
    if (len >= 8 && at[5] == ':' && two_digits(at + 6, 60, &seconds))
        used = 8;
    if (used == 8 && len > 9 && at[8] == '.')
        for (used = 9; used < len && at[used] >= '0' && at[used] <= '9';)
            used++;
    *ret_hours = hours + minutes / 60.0 + seconds / 3600.0;
    return used == len || at[used] == 'Z' || at[used] == '+' || at[used] == '-';
}

static fen_status read_when(const fen_templog *log, const field fields[], int n, fen_templog_row *row, fen_reckon_error *reterr)
{
    int32_t date = 0;
    double hours = 0;
    const field f = log->date < n ? fields[log->date] : (field){ log->text + log->line_at, 0 };
    const size_t part = f.len > 10 ? 10 : f.len;
    if (!fen_date_read(f.at, part, &date))
        return refuse(log, f.at, reterr, FEN_CODE_BAD_VALUE, "write dates like 2026-03-01", "'%.*s' is not a date", (int)(f.len > 40 ? 40 : f.len), f.at);
    field clock = { NULL, 0 };
    if (f.len > 11 && (f.at[10] == 'T' || f.at[10] == ' '))
        clock = (field){ f.at + 11, f.len - 11 };
    else if (log->time >= 0 && log->time < n)
        clock = fields[log->time];
    row->timed = clock.len > 0;
    if (row->timed && !read_clock(clock.at, clock.len, &hours))
        return refuse(log, clock.at, reterr, FEN_CODE_BAD_VALUE, "write times like 14:30", "'%.*s' is not a time of day",
                      (int)(clock.len > 40 ? 40 : clock.len), clock.at);
    row->day = date + hours / 24;
    return FEN_OK;
}

/* Loggers leave a hole or write one of these when a reading failed. */
static bool is_hole(field f)
{
    return !f.len || (f.len == 2 && begins(f, "na")) || (f.len == 3 && begins(f, "nan")) || (f.len <= 3 && *f.at == '-' && f.at[f.len - 1] == '-');
}

/* The unit behind the number, or the heading's; 0: neither is there. */
static char cell_unit(const fen_templog *log, const char *at, size_t len)
{
    while (len && (*at == ' ' || (unsigned char)*at == 0xC2 || (unsigned char)*at == 0xB0)) {
        at++;
        len--;
    }
    if (!len)
        return log->unit;
    const char c = (char)(*at & ~0x20);
    return len == 1 && (c == 'C' || c == 'F') ? c : 0;
}

static fen_status read_temperature(const fen_templog *log, field f, double *ret, fen_reckon_error *reterr)
{
    size_t used = 0;
    double number = 0;
    const int shown = (int)(f.len > 40 ? 40 : f.len);
    if (!fen_number_read(f.at, f.len, &number, &used))
        return refuse(log, f.at, reterr, FEN_CODE_NUMBER, "write a number with '.' and leave failed readings empty", "'%.*s' is not a temperature", shown, f.at);
    const char unit = cell_unit(log, f.at + used, f.len - used);
    if (!unit)
        return refuse(log, f.at + used, reterr, FEN_CODE_NUMBER, "write the unit in the first line: 'temperature C'", "'%.*s' is neither in C nor in F", shown, f.at);
    *ret = unit == 'F' ? (number - 32) * 5 / 9 : number;
    if (*ret < COLDEST || *ret > HOTTEST)
        return refuse(log, f.at, reterr, FEN_CODE_NUMBER, "check the unit in the first line", "no air is at %.*s %c", (int)used, f.at, unit);
    return FEN_OK;
}

/* The next row with a temperature. */
static fen_status next_row(fen_templog *log, fen_templog_row *ret, bool *ret_more, fen_reckon_error *reterr)
{
    field fields[COLUMNS];
    int n = 0;
    *ret_more = false;
    while (next_line(log, fields, &n)) {
        fen_templog_row row;
        if (log->low >= n || log->high >= n || is_hole(fields[log->low]) || is_hole(fields[log->high]))
            continue;
        fen_status st = read_when(log, fields, n, &row, reterr);
        if (!st)
            st = read_temperature(log, fields[log->low], &row.low, reterr);
        if (!st)
            st = read_temperature(log, fields[log->high], &row.high, reterr);
        if (!st && row.low > row.high)
            st = refuse(log, fields[log->low].at, reterr, FEN_CODE_NUMBER, "check which column is which", "the lowest is above the highest");
        if (st)
            return st;
        *ret = row;
        *ret_more = true;
        return FEN_OK;
    }
    return FEN_OK;
}

/* How long ROW stands, and how long nothing was logged until the next one. */
static fen_templog_span span_of(const fen_templog *log, const fen_templog_row *next)
{
    fen_templog_span s = { .day = log->row.day, .hours = log->row.timed ? log->step : 24, .low = log->row.low, .high = log->row.high };
    if (!next)
        return s;
    const double gap = round((next->day - log->row.day) * 86400) / 3600; /* clocks show whole seconds */
    if (!log->row.timed)
        s.unlogged = fmax(gap - 24, 0);
    else if (gap > FEN_TEMPLOG_GAP + 1e-6)
        s.unlogged = gap - s.hours;
    else if (gap > 0)
        s.hours = gap;
    return s;
}

fen_status fen_templog_next(fen_templog *log, fen_templog_span *ret, bool *ret_more, fen_reckon_error *reterr)
{
    fen_templog_row next = { 0 };
    bool more = false;
    fen_status st = FEN_OK;
    if (!log->pending) { /* the first row, or the end */
        st = next_row(log, &log->row, &log->pending, reterr);
        if (st || !log->pending) {
            *ret_more = false;
            return st;
        }
    }
    st = next_row(log, &next, &more, reterr);
    if (st)
        return st;
    const double back = more ? (log->row.day - next.day) * 24 : 0;
    if (more && (back > 1 + 1e-6 || (back >= 0 && !next.timed)))
        return refuse(log, log->text + log->line_at, reterr, FEN_CODE_BAD_VALUE, "sort the log by time", "this row is not later than the one before it");
    *ret = span_of(log, more ? &next : NULL);
    log->step = log->row.timed ? fmin(ret->hours, FEN_TEMPLOG_GAP) : log->step;
    log->row = next;
    log->pending = more;
    *ret_more = true;
    return FEN_OK;
}
