#include "date.h"

#include <stdio.h>

/* Years are counted from March, so that the leap day comes last and the days
 * before a month follow one line: (153 m + 2) / 5 for m = 0 in March. */
#define DAYS_400 146097
#define DAYS_TO_1970 719468 /* from 0000-03-01 */

static int64_t floor_div(int64_t a, int64_t b)
{
    return a / b - (a % b < 0);
}

int32_t fen_date_day(int year, int month, int day)
{
    const int64_t y = (int64_t)year - (month < 3);
    const int64_t m = (month + 9) % 12;
    const int64_t before_year = 365 * y + floor_div(y, 4) - floor_div(y, 100) + floor_div(y, 400);
    return (int32_t)(before_year + (153 * m + 2) / 5 + day - 1 - DAYS_TO_1970);
}

void fen_date_parts(int32_t date, int *ret_year, int *ret_month, int *ret_day)
{
    const int64_t days = (int64_t)date + DAYS_TO_1970;
    const int64_t cycle = floor_div(days, DAYS_400);
    const int64_t in_cycle = days - cycle * DAYS_400;
    /* Take out the leap days met so far; what is left are years of 365 days. */
    const int64_t year = (in_cycle - in_cycle / 1460 + in_cycle / 36524 - in_cycle / 146096) / 365;
    const int64_t in_year = in_cycle - (365 * year + year / 4 - year / 100);
    const int64_t m = (5 * in_year + 2) / 153;
    *ret_day = (int)(in_year - (153 * m + 2) / 5) + 1;
    *ret_month = (int)(m < 10 ? m + 3 : m - 9);
    *ret_year = (int)(cycle * 400 + year + (m >= 10));
}

static bool is_leap(int year)
{
    return year % 4 == 0 && (year % 100 != 0 || year % 400 == 0);
}

bool fen_date_valid(int year, int month, int day)
{
    static const int lengths[12] = { 31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31 };
    if (year < 1 || year > 9999 || month < 1 || month > 12 || day < 1)
        return false;
    return day <= lengths[month - 1] + (month == 2 && is_leap(year));
}

static bool read_digits(const char *text, size_t count, int *ret)
{
    int value = 0;
    for (size_t i = 0; i < count; i++) {
        if (text[i] < '0' || text[i] > '9')
            return false;
        value = value * 10 + (text[i] - '0');
    }
    *ret = value;
    return true;
}

bool fen_date_read(const char *text, size_t len, int32_t *ret_date)
{
    int year, month, day;
    if (len != 10 || text[4] != '-' || text[7] != '-')
        return false;
    if (!read_digits(text, 4, &year) || !read_digits(text + 5, 2, &month) || !read_digits(text + 8, 2, &day))
        return false;
    if (!fen_date_valid(year, month, day))
        return false;
    *ret_date = fen_date_day(year, month, day);
    return true;
}

void fen_date_write(char buf[FEN_DATE_TEXT], int32_t date)
{
    int year, month, day;
    fen_date_parts(date, &year, &month, &day);
    snprintf(buf, FEN_DATE_TEXT, "%04d-%02u-%02u", year, (unsigned)month % 100, (unsigned)day % 100);
}
