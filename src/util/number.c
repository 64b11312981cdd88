/* number.c -- reading and writing without ever meeting the locale.
 *
 * strtod and printf are used for the hard part (correct rounding), but only on
 * forms in which no decimal point stands: digits and an exponent. So neither
 * locale nor a copy of one is needed.
 */
#include "number.h"

#include <float.h>
#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* A double's exact decimal has at most 767 significant digits; more cannot
 * change the rounding, except by not being all zero. */
#define DIGITS_MAX 770
#define EXPONENT_MAX 100000

typedef struct decimal {
    bool negative;
    size_t n_digits;
    bool more; /* digits left out, not all zero */
    long exponent; /* of the last digit kept */
    char digits[DIGITS_MAX];
} decimal;

static bool is_digit(char c)
{
    return c >= '0' && c <= '9';
}

static void take_digit(decimal *d, char c, bool after_point)
{
    if (d->n_digits == 0 && c == '0') {
        d->exponent -= after_point; /* leading zeros only move the point */
    } else if (d->n_digits < DIGITS_MAX) {
        d->digits[d->n_digits++] = c;
        d->exponent -= after_point;
    } else {
        d->more |= c != '0';
        d->exponent += !after_point;
    }
}

/* Sign, digits and point; false if there is no digit. */
static bool scan_mantissa(const char *text, size_t len, decimal *d, size_t *ret_pos)
{
    size_t i = 0, seen = 0;
    bool point = false;
    if (i < len && (text[i] == '-' || text[i] == '+'))
        d->negative = text[i++] == '-';
    for (; i < len; i++) {
        if (is_digit(text[i])) {
            take_digit(d, text[i], point);
            seen++;
        } else if (text[i] == '.' && !point && i + 1 < len && is_digit(text[i + 1])) {
            point = true;
        } else {
            break;
        }
    }
    *ret_pos = i;
    return seen > 0;
}

/* "5em" is 5: an exponent counts only with digits behind it. */
static size_t scan_exponent(const char *text, size_t len, size_t i, decimal *d)
{
    size_t j = i + 1;
    if (i >= len || (text[i] != 'e' && text[i] != 'E'))
        return i;
    const bool negative = j < len && text[j] == '-';
    if (j < len && (text[j] == '-' || text[j] == '+'))
        j++;
    if (j >= len || !is_digit(text[j]))
        return i;
    long e = 0;
    for (; j < len && is_digit(text[j]); j++)
        e = e > EXPONENT_MAX ? e : e * 10 + (text[j] - '0');
    d->exponent += negative ? -e : e;
    return j;
}

/* Both factors exact, so one rounding: right by IEEE 754 (Clinger's case). */
static bool small_value(const decimal *d, double *ret)
{
    static const double tens[] = { 1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11,
                                   1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22 };
    if (FLT_EVAL_METHOD != 0 || d->n_digits > 15 || d->exponent < -22 || d->exponent > 22)
        return false;
    uint64_t whole = 0;
    for (size_t i = 0; i < d->n_digits; i++)
        whole = whole * 10 + (uint64_t)(d->digits[i] - '0');
    *ret = d->exponent < 0 ? (double)whole / tens[-d->exponent] : (double)whole * tens[d->exponent];
    return true;
}

static double value_of(const decimal *d)
{
    char buf[DIGITS_MAX + 32];
    double value;
    if (!d->n_digits) {
        value = 0;
    } else if (!small_value(d, &value)) {
        snprintf(buf, sizeof buf, "%.*s%se%ld", (int)d->n_digits, d->digits, d->more ? "1" : "",
                 d->exponent - d->more);
        value = strtod(buf, NULL);
    }
    return d->negative ? -value : value;
}

bool fen_number_read(const char *text, size_t len, double *ret_value, size_t *ret_len)
{
    decimal d;
    d.negative = d.more = false;
    d.n_digits = 0;
    d.exponent = 0;
    size_t end;
    if (!scan_mantissa(text, len, &d, &end))
        return false;
    end = scan_exponent(text, len, end, &d);
    const double value = value_of(&d);
    if (!isfinite(value))
        return false;
    *ret_value = value;
    *ret_len = end;
    return true;
}

/* VALUE (finite, not 0) rounded to N significant digits (at most 17); the
 * point stands after the first. Trailing zeros are dropped. */
static size_t round_digits(double value, int n, char digits[18], int *ret_exponent)
{
    char buf[48];
    snprintf(buf, sizeof buf, "%.*e", n - 1, fabs(value));
    size_t count = 0;
    const char *p = buf;
    for (; *p != 'e'; p++) { /* whatever stands for the point is passed over */
        if (is_digit(*p) && count < 17)
            digits[count++] = *p;
    }
    *ret_exponent = atoi(p + 1);
    while (count > 1 && digits[count - 1] == '0')
        count--;
    digits[count] = '\0';
    return count;
}

static bool reads_back(const char *digits, size_t count, int exponent, double value)
{
    char buf[48];
    snprintf(buf, sizeof buf, "%.*se%d", (int)count, digits, exponent - (int)count + 1);
    return strtod(buf, NULL) == fabs(value);
}

/* Fifteen digits always survive in a normal number, so fewer need no try of
 * their own; a subnormal has fewer, and is tried from one. */
static size_t shortest_digits(double value, char digits[18], int *ret_exponent)
{
    size_t count = 0;
    for (int n = fabs(value) < DBL_MIN ? 1 : 15; n <= 17; n++) {
        count = round_digits(value, n, digits, ret_exponent);
        if (reads_back(digits, count, *ret_exponent, value))
            break;
    }
    return count;
}

/* Digits and exponent as text: plain within LOW..HIGH, else with an 'e'. */
static size_t lay_out(char buf[FEN_NUMBER_MAX], bool negative, const char *digits, size_t count,
                      int exponent, int low, int high)
{
    char *p = buf;
    if (negative)
        *p++ = '-';
    if (exponent < low || exponent > high) {
        *p++ = digits[0];
        if (count > 1) {
            *p++ = '.';
            memcpy(p, digits + 1, count - 1);
            p += count - 1;
        }
        return (size_t)(p - buf) + (size_t)snprintf(p, 8, "e%d", exponent);
    }
    if (exponent < 0) {
        *p++ = '0';
        *p++ = '.';
        for (int i = -1; i > exponent; i--)
            *p++ = '0';
    }
    for (size_t i = 0; i < count || (int)i <= exponent; i++) {
        if (exponent >= 0 && (int)i == exponent + 1)
            *p++ = '.';
        *p++ = i < count ? digits[i] : '0';
    }
    *p = '\0';
    return (size_t)(p - buf);
}

/* Neither is ever a result of ours; should one come, it must show. */
static size_t not_finite(char buf[FEN_NUMBER_MAX], double value)
{
    return (size_t)snprintf(buf, FEN_NUMBER_MAX, "%s", isnan(value) ? "nan" : value < 0 ? "-inf" : "inf");
}

size_t fen_number_write(char buf[FEN_NUMBER_MAX], double value)
{
    char digits[18] = "0";
    int exponent = 0;
    if (!isfinite(value))
        return not_finite(buf, value);
    const size_t count = value == 0 ? 1 : shortest_digits(value, digits, &exponent);
    return lay_out(buf, signbit(value), digits, count, exponent, -5, 16);
}

size_t fen_number_show(char buf[FEN_NUMBER_MAX], double value, int digits)
{
    char text[18] = "0";
    int exponent = 0;
    if (!isfinite(value))
        return not_finite(buf, value);
    const int n = digits < 1 ? 1 : digits > 17 ? 17 : digits;
    const size_t count = value == 0 ? 1 : round_digits(value, n, text, &exponent);
    return lay_out(buf, value < 0, text, count, exponent, -7, 14);
}
