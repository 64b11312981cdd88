#include "near.h"

#include <stdbool.h>
#include <stdint.h>
#include <string.h>

/* Beyond this nobody would call two names similar; it bounds the rows below. */
#define EDITS_MAX 64

static char lower(char c)
{
    return c >= 'A' && c <= 'Z' ? (char)(c - 'A' + 'a') : c;
}

static bool same(char a, char b)
{
    return lower(a) == lower(b);
}

/* One cell of the table: the cheapest way to make A[..i] into B[..j]. Rows are
 * stored by diagonal (j - i), so only cells within MAX of the main one exist;
 * `up`, `left` and `swap` are read from the two rows before. */
typedef struct band {
    size_t max, width;
    uint32_t row[3][2 * EDITS_MAX + 3];
} band;

static uint32_t cheapest(uint32_t a, uint32_t b)
{
    return a < b ? a : b;
}

static uint32_t cell(const band *t, const char *a, const char *b, size_t i, size_t j, size_t d)
{
    const uint32_t *now = t->row[i % 3], *before = t->row[(i + 2) % 3], *earlier = t->row[(i + 1) % 3];
    if (i == 0)
        return (uint32_t)j;
    if (j == 0)
        return (uint32_t)i;
    uint32_t best = before[d] + !same(a[i - 1], b[j - 1]);
    best = cheapest(best, before[d + 1] + 1); /* delete a[i - 1] */
    best = cheapest(best, now[d - 1] + 1);    /* insert b[j - 1] */
    if (i > 1 && j > 1 && same(a[i - 1], b[j - 2]) && same(a[i - 2], b[j - 1]))
        best = cheapest(best, earlier[d] + 1);
    return best;
}

/* Optimal string alignment within a band: O(length * MAX). */
static size_t banded(const char *a, size_t a_len, const char *b, size_t b_len, size_t max)
{
    band t = { .max = max, .width = 2 * max + 1 };
    const uint32_t far = EDITS_MAX * 2;
    for (size_t k = 0; k < 3; k++)
        for (size_t d = 0; d < t.width + 2; d++)
            t.row[k][d] = far;
    for (size_t i = 0; i <= a_len; i++) {
        uint32_t least = far;
        for (size_t d = 1; d <= t.width; d++) {
            const size_t j = i + d - 1 - max; /* wraps below 0, and is then too large */
            const uint32_t c = j > b_len ? far : cell(&t, a, b, i, j, d);
            t.row[i % 3][d] = cheapest(c, far);
            least = cheapest(least, c);
        }
        if (least > max)
            return max + 1; /* later rows cannot come down again */
    }
    const uint32_t all = t.row[a_len % 3][b_len + max + 1 - a_len];
    return all > max ? max + 1 : all;
}

size_t fen_near_distance(const char *a, size_t a_len, const char *b, size_t b_len, size_t max)
{
    while (a_len && b_len && same(a[0], b[0]))
        a++, b++, a_len--, b_len--;
    while (a_len && b_len && same(a[a_len - 1], b[b_len - 1]))
        a_len--, b_len--;
    if ((a_len > b_len ? a_len - b_len : b_len - a_len) > max)
        return max + 1;
    const size_t bound = max > EDITS_MAX ? EDITS_MAX : max;
    if ((a_len > b_len ? a_len - b_len : b_len - a_len) > bound)
        return max + 1;
    const size_t edits = banded(a, a_len, b, b_len, bound);
    return edits > bound ? max + 1 : edits;
}

/* A typing slip, an unfinished name, a name with more behind it: in the order
 * in which they are likely when several fit. */
enum { PER_EDIT = 100, UNFINISHED = 50, OVERLONG = 250, NO_SCORE = 100000 };

void fen_near_begin(fen_near *n, const char *want, size_t want_len)
{
    *n = (fen_near){ .want = want, .want_len = want_len, .score = NO_SCORE };
}

static bool begins(const char *text, const char *start, size_t len)
{
    for (size_t i = 0; i < len; i++)
        if (!same(text[i], start[i]))
            return false;
    return true;
}

/* The less is left over, the likelier. */
static size_t prefix_score(const fen_near *n, const char *name, size_t len)
{
    const size_t over = len > n->want_len ? len - n->want_len : n->want_len - len;
    const size_t extra = over < 49 ? over : 49;
    if (n->want_len >= 3 && len > n->want_len && begins(name, n->want, n->want_len))
        return UNFINISHED + extra;
    if (len >= 3 && n->want_len > len && begins(n->want, name, len))
        return OVERLONG + extra;
    return NO_SCORE;
}

bool fen_near_certain(const fen_near *n)
{
    return n->name && !n->tied && n->score == PER_EDIT;
}

void fen_near_offer(fen_near *n, const char *candidate)
{
    const size_t len = strlen(candidate);
    size_t max = n->want_len / 3;
    max = max < 1 ? 1 : max > 4 ? 4 : max;
    size_t score = prefix_score(n, candidate, len);
    const size_t edits = fen_near_distance(n->want, n->want_len, candidate, len, max);
    /* A single letter is one edit from every other: no likeness at all. */
    if (edits <= max && edits < n->want_len && edits < len && edits * PER_EDIT < score)
        score = edits * PER_EDIT;
    if (score == n->score && score != NO_SCORE)
        n->tied = true;
    if (score < n->score) {
        n->score = score;
        n->name = candidate;
        n->tied = false;
    }
}
