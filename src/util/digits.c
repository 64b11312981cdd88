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

/* Digits of VALUE before END, two at a time; returns where they begin. */
static char *digits_before(char *end, uint64_t value)
{
    static const char pairs[] = "00010203040506070809101112131415161718192021222324252627282930313233343536373839404142434445464748495051"
                                "5253545556575859606162636465666768697071727374757677787980818283848586878889909192939495969798" "99";
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
    uint64_t rest = size % one;
    char *p = buf;
    if (value < 0)
        *p++ = '-';
    p += fen_digits_count(p, size / one);
    if (rest) {
        char *end = p + 13;
        digits_before(end, one + rest); /* the 1 stands where the point goes */
        *p = '.';
        while (end[-1] == '0')
            end--;
        p = end;
    }
    *p = '\0';
    return (size_t)(p - buf);
}

/* DIGITS * 10^EXPONENT, less than 1, without trailing zeros. */
static size_t lay_out(char buf[FEN_NUMBER_MAX], uint64_t digits, int exponent)
{
    char text[24], *end = text + sizeof text;
    while (digits % 10 == 0) {
        digits /= 10;
        exponent++;
    }
    const char *at = digits_before(end, digits);
    const int n = (int)(end - at), first = exponent + n - 1; /* power of ten of the first digit */
    char *p = buf;
    if (first < -5) {
        *p++ = at[0];
        if (n > 1) {
            *p++ = '.';
            memcpy(p, at + 1, (size_t)n - 1);
            p += n - 1;
        }
        *p++ = 'e';
        *p++ = '-';
        return (size_t)(p - buf) + fen_digits_count(p, (uint64_t)-first);
    }
    *p++ = '0';
    *p++ = '.';
    for (int i = -1; i > first; i--)
        *p++ = '0';
    memcpy(p, at, (size_t)n);
    p[n] = '\0';
    return (size_t)(p - buf) + (size_t)n;
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

/* The nearest multiple of UNIT, counted in units. */
static inline uint64_t nearest(const interval *v, uint64_t unit)
{
    const uint64_t whole = (uint64_t)(v->scaled >> v->shift), rest = whole % unit;
    const wide part = v->scaled - ((wide)whole << v->shift);
    if (unit == 1)
        return whole + (part >= (wide)1 << (v->shift - 1));
    return whole / unit + (rest > unit / 2 || (rest == unit / 2 && part));
}

/* As few digits as read back; EXPONENT is raised by those dropped. Most chances need
 * 16 or 17, which is found out without dividing by what only the loop knows. */
static uint64_t shorten(const interval *v, int *exponent)
{
    uint64_t best = nearest(v, 10), unit = 100;
    if (!is_inside(v, best * 10))
        return nearest(v, 1);
    *exponent += 1;
    for (int dropped = 2; dropped < 17; dropped++, unit *= 10) {
        const uint64_t kept = nearest(v, unit);
        if (!is_inside(v, kept * unit))
            break;
        best = kept;
        *exponent += 1;
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
    if ((uint64_t)(scaled >> shift) < UINT64_C(10000000000000000)) {
        k++;
        shift--;
        scaled = (wide)m * pow5[k];
    }
    /* a double's neighbour is one M away; half of one below a power of two */
    const wide half = (wide)pow5[k] >> 1;
    const interval v = { scaled, half, m == UINT64_C(1) << 52 ? half >> 1 : half, shift };
    int exponent = -k;
    const uint64_t digits = shorten(&v, &exponent);
    return lay_out(buf, digits, exponent);
}
