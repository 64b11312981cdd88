/* digits.c -- see digits.h.
 *
 * A double is M * 2^E. For a chance from 2e-11 to 1 there is a K of at most 27
 * with 17 digits before the point in M * 2^E * 10^K, and M * 5^K is exact in 128
 * bits: so the digits, and whether fewer would still read back, are integer
 * arithmetic without any error. The digits are shortened one by one as long as what is
 * left lies inside the half gap to the neighbouring doubles, where reading rounds to
 * the same one (the idea of Steele and White 1990, PLDI).
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
    if (whole < 10)
        *p++ = (char)('0' + whole);
    else
        p += fen_digits_count(p, whole);
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
    size_t n = 17;
    p[0] = (char)('0' + digits / SEVENTEEN);
    put_eight(p + 1, (uint32_t)(rest / 100000000));
    put_eight(p + 9, (uint32_t)(rest % 100000000));
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

/* What is scaled is SCALED / 2^SHIFT; what lies less than UP above
 * or DOWN below is read as the same double. */
typedef struct interval {
    wide scaled, up, down;
    int shift;
} interval;

static bool is_inside(const interval *v, uint64_t digits)
{
    const wide at = (wide)digits << v->shift;
    return at > v->scaled ? at - v->scaled <= v->up : v->scaled - at <= v->down;
}

/* The nearest multiple of UNIT. */
static inline uint64_t nearest(const interval *v, uint64_t unit)
{
    const uint64_t whole = (uint64_t)(v->scaled >> v->shift), rest = whole % unit;
    const wide part = v->scaled - ((wide)whole << v->shift);
    if (unit == 1)
        return whole + (part >= (wide)1 << (v->shift - 1));
    return whole - rest + (rest > unit / 2 || (rest == unit / 2 && part) ? unit : 0);
}

/* As few digits as read back, and zeros. Most chances need 16 or 17, which is found out
 * without dividing by what only the loop knows. */
static uint64_t shorten(const interval *v)
{
    uint64_t best = nearest(v, 10);
    if (!is_inside(v, best))
        return nearest(v, 1);
    for (uint64_t unit = 100; unit <= SEVENTEEN; unit *= 10) {
        const uint64_t kept = nearest(v, unit);
        if (!is_inside(v, kept))
            break;
        best = kept;
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
    const wide half = (wide)pow5[k] >> 1;
    const interval v = { scaled, half, m == UINT64_C(1) << 52 ? half >> 1 : half, shift };
    const uint64_t digits = shorten(&v);
    return digits < 10 * SEVENTEEN ? lay_out(buf, digits, -k) : lay_out(buf, SEVENTEEN, 1 - k);
}
