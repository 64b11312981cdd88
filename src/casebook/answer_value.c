/* answer_value.c -- see answer_value.h.
 *
 * A bare number is taken only where no unit could be meant but one (pieces and
 * percent): a meter that reads 180 may read ppm or uS/cm, which are a factor of
 * two apart, and a guess would decide between good water and bad.
 */
#include "answer_value.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "model/quantity.h"
#include "util/date.h"
#include "util/number.h"
#include "util/vec.h"

static bool is_bare_number(fen_piece t)
{
    double value;
    size_t n;
    return fen_number_read(t.at, t.len, &value, &n) && n == t.len;
}

/* "40" for a finding in percent is 40 %. */
static bool bare_percent(const fen_finding *f, fen_piece t, double *ret_value)
{
    size_t n;
    return f->dim == FEN_DIM_PERCENT && is_bare_number(t) && fen_number_read(t.at, t.len, ret_value, &n);
}

/* An example a person can copy: 40 becomes "40 ppm". */
static const char *example(const fen_finding *f, fen_piece t, char buf[FEN_QUANTITY_TEXT])
{
    double value;
    size_t n;
    if (!fen_number_read(t.at, t.len, &value, &n))
        value = isfinite(f->middle) ? f->middle : 10.0;
    fen_quantity_show(buf, (fen_quantity){ value, f->dim }, FEN_UNITS_METRIC);
    return buf;
}

static fen_status cannot_read(const fen_finding *f, fen_piece t, size_t bad, fen_answer_fault *fault)
{
    char is[FEN_SHORT_TEXT], eg[FEN_QUANTITY_TEXT];
    double value;
    size_t n;
    if (bad >= t.len || !fen_number_read(t.at, t.len, &value, &n))
        bad = 0; /* all of it is wrong */
    fen_fault_set(fault, FEN_CODE_NUMBER, bad, t.len - bad);
    if (is_bare_number(t)) {
        fen_fault_what(fault, "'%s' has no unit", fen_piece_short(t, is));
        fen_fault_right(fault, "write for instance '%s' (units: %s)", example(f, t, eg), fen_dim_units(f->dim));
    } else {
        fen_fault_what(fault, "'%s' is not a number with a unit", fen_piece_short(t, is));
        if (memchr(t.at, ',', t.len))
            fen_fault_right(fault, "write a point for the decimals, as in '1.5', and a unit: %s", fen_dim_units(f->dim));
        else
            fen_fault_right(fault, "write for instance '%s' (units: %s)", example(f, t, eg), fen_dim_units(f->dim));
    }
    return FEN_EINPUT;
}

static fen_status wrong_dimension(const fen_finding *f, fen_piece t, fen_dim dim, fen_answer_fault *fault)
{
    char is[FEN_SHORT_TEXT];
    fen_fault_set(fault, FEN_CODE_DIMENSION, 0, t.len);
    fen_fault_what(fault, "'%s' is in %s, but '%s' is a %s", f->id, fen_dim_name(f->dim), fen_piece_short(t, is),
                   fen_dim_name(dim));
    fen_fault_right(fault, "write it in one of: %s", fen_dim_units(f->dim));
    return FEN_EINPUT;
}

static void show(char buf[FEN_QUANTITY_TEXT], double value, fen_dim dim)
{
    fen_quantity_show(buf, (fen_quantity){ value, dim }, FEN_UNITS_METRIC);
}

static fen_status outside(const fen_finding *f, fen_piece t, fen_answer_fault *fault)
{
    char is[FEN_SHORT_TEXT], from[FEN_QUANTITY_TEXT], to[FEN_QUANTITY_TEXT];
    show(from, f->from, f->dim);
    show(to, f->to, f->dim);
    fen_piece_short(t, is);
    fen_fault_set(fault, FEN_CODE_NUMBER, 0, t.len);
    if (isfinite(f->from) && isfinite(f->to))
        fen_fault_what(fault, "'%s' is not believed for '%s', which lies from %s to %s", is, f->id, from, to);
    else if (isfinite(f->from))
        fen_fault_what(fault, "'%s' is not believed for '%s', which is never below %s", is, f->id, from);
    else
        fen_fault_what(fault, "'%s' is not believed for '%s', which is never above %s", is, f->id, to);
    fen_fault_right(fault, "look at the unit, and measure again");
    return FEN_EINPUT;
}

fen_status fen_answer_quantity(const fen_finding *f, fen_piece t, double *ret_value, fen_answer_fault *reterr_fault)
{
    fen_quantity q = { 0.0, f->dim };
    size_t bad = 0;
    if (!bare_percent(f, t, &q.value)) {
        if (fen_quantity_parse(t.at, t.len, f->dim, &q, &bad))
            return cannot_read(f, t, bad, reterr_fault);
        if (q.dim != f->dim)
            return wrong_dimension(f, t, q.dim, reterr_fault);
    }
    if (q.value < f->from || q.value > f->to)
        return outside(f, t, reterr_fault);
    *ret_value = q.value + 0.0; /* never -0: equal answers are equal in every bit */
    return FEN_OK;
}

/* "two weeks ago": people write small numbers as words. */
static const char *const number_words[] = { NULL, "one", "two", "three", "four", "five", "six", "seven", "eight",
                                            "nine", "ten", "eleven", "twelve" };

static bool front_word(fen_piece *t, const char *word)
{
    const size_t n = strlen(word);
    if (t->len <= n || t->at[n] != ' ' || fen_piece_match((fen_piece){ t->at, n }, word) != FEN_MATCH_ALL)
        return false;
    *t = fen_piece_trim((fen_piece){ t->at + n, t->len - n });
    return true;
}

/* Take a number word off the front of T; 0: there is none. */
static int take_number_word(fen_piece *t)
{
    if (front_word(t, "a") || front_word(t, "an"))
        return 1;
    for (int i = 1; i < (int)FEN_COUNT(number_words); i++)
        if (front_word(t, number_words[i]))
            return i;
    return 0;
}

static fen_piece without_ago(fen_piece t)
{
    static const char *const ends[] = { " ago", " back", " before" };
    for (size_t i = 0; i < FEN_COUNT(ends); i++) {
        const size_t n = strlen(ends[i]);
        if (t.len > n && fen_piece_match((fen_piece){ t.at + t.len - n + 1, n - 1 }, ends[i] + 1) == FEN_MATCH_ALL &&
            t.at[t.len - n] == ' ')
            return fen_piece_trim((fen_piece){ t.at, t.len - n });
    }
    return t;
}

/* "3 weeks", "two months", "a day" as days. */
static bool read_span(fen_piece t, double *ret_days)
{
    char buf[FEN_SHORT_TEXT + 16];
    fen_quantity q;
    size_t bad;
    const int word = take_number_word(&t);
    if (t.len > FEN_SHORT_TEXT)
        return false;
    if (word)
        snprintf(buf, sizeof buf, "%d %.*s", word, (int)t.len, t.at);
    else
        snprintf(buf, sizeof buf, "%.*s", (int)t.len, t.at);
    if (fen_quantity_parse(buf, strlen(buf), FEN_DIM_TIME_SPAN, &q, &bad) || q.dim != FEN_DIM_TIME_SPAN)
        return false;
    *ret_days = q.value;
    return true;
}

/* The day meant, which may lie after TODAY. */
static bool read_day(fen_piece t, int32_t today, int32_t *ret_day)
{
    double days;
    if (fen_date_read(t.at, t.len, ret_day))
        return true;
    if (fen_piece_match(t, "today") == FEN_MATCH_ALL)
        return *ret_day = today, true;
    if (fen_piece_match(t, "yesterday") == FEN_MATCH_ALL)
        return *ret_day = today - 1, true;
    if (fen_piece_match(t, "tomorrow") == FEN_MATCH_ALL)
        return *ret_day = today + 1, true;
    if (!read_span(without_ago(t), &days) || days < 0.0 || days > today - fen_date_day(1, 1, 1))
        return false;
    return *ret_day = today - (int32_t)lround(days), true;
}

fen_status fen_answer_date(const fen_finding *f, fen_piece t, int32_t today, double *ret_value,
                           fen_answer_fault *reterr_fault)
{
    char is[FEN_SHORT_TEXT], day_text[FEN_DATE_TEXT];
    int32_t day;
    if (!read_day(t, today, &day)) {
        fen_piece_short(t, is);
        fen_fault_set(reterr_fault, FEN_CODE_BAD_VALUE, 0, t.len);
        fen_fault_what(reterr_fault, "'%s' is not a date, but '%s' is one", is, f->id);
        fen_fault_right(reterr_fault, "write it as 2026-07-01 (year, month, day), or as '3 weeks ago'");
        return FEN_EINPUT;
    }
    if (day > today) {
        fen_piece_short(t, is);
        fen_fault_set(reterr_fault, FEN_CODE_BAD_VALUE, 0, t.len);
        fen_date_write(day_text, today);
        fen_fault_what(reterr_fault, "'%s' is after the day on which the plant was looked at, %s", is, day_text);
        fen_fault_right(reterr_fault, "write a date up to that day");
        return FEN_EINPUT;
    }
    *ret_value = day;
    return FEN_OK;
}
