/* digits.c -- see digits.h.
 *
 * A double is M * 2^E. For a chance from 2e-11 to 1 there is a K of at most 27
 * with 17 digits before the point in M * 2^E * 10^K, and M * 5^K is exact in 128
 * bits: so the digits, and whether fewer would still read back, are integer
 * arithmetic without any error. The digits are shortened as long as what is left lies
 * inside the half gap to the neighbouring doubles, where reading rounds to the same one
 * (the idea of Steele and White 1990, PLDI): to sixteen in one step, as an ulp is at most
 * 23 of the seventeenth; to fewer, which is rare, one by one.
 */
#include "digits.h"

#include <stdbool.h>
#include <string.h>

__extension__ typedef unsigned __int128 wide;

static const uint64_t pow5[28] = {
    UINT64_C(1), UINT64_C(5), UINT64_C(25), UINT64_C(125), UINT64_C(625), UINT64_C(3125), UINT64_C(15625),
    UINT64_C(78125), UINT64_C(390625), UINT64_C(1953125), UINT64_C(9765625), UINT64_C(48828125),
    UINT64_C(244140625), UINT64_C(1220703125), UINT64_C(6103515625), UINT64_C(30517578125),
    UINT64_C(152587890625), UINT64_C(762939453125), UINT64_C(3814697265625), UINT64_C(19073486328125),
    UINT64_C(95367431640625), UINT64_C(476837158203125), UINT64_C(2384185791015625),
    UINT64_C(11920928955078125), UINT64_C(59604644775390625), UINT64_C(298023223876953125),
    UINT64_C(1490116119384765625), UINT64_C(7450580596923828125),
};

static const char pairs[] =
    "00010203040506070809101112131415161718192021222324252627282930313233343536373839404142434445464748495051"
    "5253545556575859606162636465666768697071727374757677787980818283848586878889909192939495969798" "99";

/* Digits of VALUE before END, two at a time; returns where they begin. */
static char *digits_before(char *end, uint64_t value)
{
    while (value >= 100) {
        end -= 2;
        memcpy(end, pairs + 2 * (value % 100), 2);
        value /= 100;
    }
    if (value >= 10) {
        end -= 2;
        memcpy(end, pairs + 2 * value, 2);
    } else {
        *--end = (char)('0' + value);
    }
    return end;
}

/* Four, and eight digits, with leading zeros: the divisions do not wait for each other. */
static void put_four(char *p, uint32_t value)
{
    memcpy(p, pairs + 2 * (value / 100), 2);
    memcpy(p + 2, pairs + 2 * (value % 100), 2);
}

static void put_eight(char *p, uint32_t value)
{
    put_four(p, value / 10000);
    put_four(p + 4, value % 10000);
}

size_t fen_digits_count(char buf[FEN_DIGITS_FIXED], uint64_t value)
{
    char text[FEN_DIGITS_FIXED], *end = text + sizeof text;
    const char *at = digits_before(end, value);
    memcpy(buf, at, (size_t)(end - at));
    buf[end - at] = '\0';
    return (size_t)(end - at);
}

size_t fen_digits_fixed12(char buf[FEN_DIGITS_FIXED], int64_t value)
{
    static const uint64_t one = UINT64_C(1000000000000);
    const uint64_t size = value < 0 ? 0 - (uint64_t)value : (uint64_t)value;
    const uint64_t whole = size / one, rest = size % one;
    char *p = buf;
    if (value < 0)
        *p++ = '-';
    if (whole < 10) {
        *p++ = (char)('0' + whole);
    } else if (whole < 100) { /* as most scores are */
        memcpy(p, pairs + 2 * whole, 2);
        p += 2;
    } else {
        p += fen_digits_count(p, whole);
    }
    if (rest) {
        *p++ = '.';
        put_four(p, (uint32_t)(rest / 100000000));
        put_eight(p + 4, (uint32_t)(rest % 100000000));
        p += 12;
        while (p[-1] == '0')
            p--;
    }
    *p = '\0';
    return (size_t)(p - buf);
}

#define SEVENTEEN UINT64_C(10000000000000000) /* the least number of so many digits */

/* All of its seventeen digits; returns how many there are without trailing zeros. */
static size_t put_seventeen(char *p, uint64_t digits)
{
    const uint64_t rest = digits % SEVENTEEN;
    p[0] = (char)('0' + digits / SEVENTEEN);
    put_eight(p + 1, (uint32_t)(rest / 100000000));
    put_eight(p + 9, (uint32_t)(rest % 100000000));
    size_t n = 17 - (digits % 10 == 0); /* half of all end so, few in two zeros: no branch to mistake */
    while (p[n - 1] == '0')
        n--;
    return n;
}

/* DIGITS (seventeen) * 10^EXPONENT, less than 1, without trailing zeros. */
static size_t lay_out(char buf[FEN_NUMBER_MAX], uint64_t digits, int exponent)
{
    const int first = exponent + 16; /* power of ten of the first digit */
    char *p = buf;
    if (first < -5) {
        const size_t n = put_seventeen(p + 1, digits);
        p[0] = p[1];
        p[1] = '.';
        p += n > 1 ? n + 1 : 1;
        *p++ = 'e';
        *p++ = '-';
        return (size_t)(p - buf) + fen_digits_count(p, (uint64_t)-first);
    }
    memcpy(p, "0.0000", 6);
    p += 1 - first;
    p += put_seventeen(p, digits);
    *p = '\0';
    return (size_t)(p - buf);
}

/* What is scaled is WHOLE + PART / 2^SHIFT; what lies at most UP / 2^SHIFT above or
 * DOWN / 2^SHIFT below is read as the same double. */
typedef struct interval {
    uint64_t whole, part, up, down;
    int shift; /* at most 61, so that six times 2^SHIFT goes into 64 bits */
} interval;

/* The multiple of UNIT (100 and more) inside, or 0. */
static inline uint64_t multiple_inside(const interval *v, uint64_t unit)
{
    const uint64_t below = v->whole % unit, above = unit - below;
    if (below <= v->down >> v->shift && (below << v->shift) + v->part <= v->down)
        return v->whole - below;
    if (above <= (v->up >> v->shift) + 1 && (above << v->shift) - v->part <= v->up)
        return v->whole + above;
    return 0;
}

/* Sixteen digits or seventeen falls like a coin, so it is reckoned, not branched on. ABOVE is how
 * far the nearest ten lies above what is scaled; less than nothing is modulo 2^64. */
static inline uint64_t sixteen_or_seventeen(const interval *v)
{
    const uint64_t rest = v->whole % 10;
    const uint64_t step = 10 * (uint64_t)(rest + (v->part > 0) > 5) - rest;
    const uint64_t above = (step << v->shift) - v->part;
    const bool is_inside = above + v->down <= v->up + v->down;
    const uint64_t rounded = v->part >> (v->shift - 1);
    return v->whole + (is_inside ? step : rounded);
}

/* As few digits as read back, and zeros. */
static uint64_t shorten(const interval *v)
{
    uint64_t best, next = multiple_inside(v, 100);
    if (!next)
        return sixteen_or_seventeen(v);
    for (uint64_t unit = 1000; next; unit *= 10) {
        best = next;
        next = unit <= SEVENTEEN ? multiple_inside(v, unit) : 0;
    }
    return best;
}

size_t fen_digits_chance(char buf[FEN_NUMBER_MAX], double p)
{
    uint64_t bits;
    if (!(p >= 2e-11 && p < 1))
        return fen_number_write(buf, p);
    memcpy(&bits, &p, sizeof bits);
    const uint64_t m = (bits & ((UINT64_C(1) << 52) - 1)) | UINT64_C(1) << 52;
    const int e = (int)(bits >> 52) - 1075;
    int k = 17 + (-(e + 53) * 1233 >> 12); /* 1233/4096: log10(2); may be one too small */
    wide scaled = (wide)m * pow5[k];
    int shift = -(e + k);
    if ((uint64_t)(scaled >> shift) < SEVENTEEN) {
        k++;
        shift--;
        scaled = (wide)m * pow5[k];
    }
    /* a double's neighbour is one M away; half of one below a power of two */
    const uint64_t half = pow5[k] >> 1;
    const interval v = { .whole = (uint64_t)(scaled >> shift), .part = (uint64_t)scaled & ((UINT64_C(1) << shift) - 1),
                         .up = half, .down = m == UINT64_C(1) << 52 ? half >> 1 : half, .shift = shift };
    const uint64_t digits = shorten(&v);
    return digits < 10 * SEVENTEEN ? lay_out(buf, digits, -k) : lay_out(buf, SEVENTEEN, 1 - k);
}
