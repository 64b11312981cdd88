/* effect.c -- the sentences of what a rule does, and weights as exact numbers. */
#include <string.h>

#include "lexer.h"
#include "sentence.h"
#include "util/limits.h"

static const struct {
    const char *word;
    int dban;
} strengths[] = { { "slight", 2 }, { "fair", 5 }, { "strong", 10 }, { "decisive", 20 } };

static fen_status refuse(fen_sentence *s, fen_code code, fen_span at, bool quoted, const char *wrong, const char *right)
{
    s->error = (fen_sentence_error){ code, at, quoted, wrong, right };
    return FEN_EINPUT;
}

static fen_status unexpected(fen_sentence *s, fen_lexer *x, const char *wanted)
{
    if (fen_lexer_end(x))
        return refuse(s, FEN_CODE_EFFECT, fen_lexer_here(x), false, "the sentence ends too early", wanted);
    return refuse(s, FEN_CODE_EFFECT, fen_lexer_here(x), true, "cannot stand here", wanted);
}

/* ---- weights ---- */

/* A decimal number's digits, without leading zeros; the value is
 * 0.DIGITS * 10^point. Thirty are kept: rounding happens far before. */
typedef struct decimal {
    char digit[30];
    int n, point;
    bool seen_point, any;
} decimal;

static void push_digit(decimal *d, char c)
{
    d->any = true;
    if (d->n == 0 && c == '0') {
        d->point -= d->seen_point;
        return;
    }
    if (d->n < (int)sizeof d->digit)
        d->digit[d->n++] = c;
    d->point += !d->seen_point;
}

static size_t read_exponent(const char *text, size_t len, int *ret_exponent)
{
    size_t i = 1;
    int value = 0;
    if (len < 2 || (text[0] != 'e' && text[0] != 'E'))
        return 0;
    const bool minus = text[i] == '-';
    if (text[i] == '-' || text[i] == '+')
        i++;
    const size_t first = i;
    for (; i < len && fen_lexer_digit(text[i]); i++)
        if (value < 1000)
            value = value * 10 + (text[i] - '0');
    if (i == first)
        return 0;
    *ret_exponent = minus ? -value : value;
    return i;
}

static bool to_weight(const decimal *d, fen_weight *ret)
{
    const int places = d->point + 12; /* digits before the unit of 1e-12 */
    fen_weight w = 0;
    if (d->n && d->point > 3)
        return false; /* 1000 and more: also keeps W from overflowing */
    for (int i = 0; i < places; i++)
        w = w * 10 + (i < d->n ? d->digit[i] - '0' : 0);
    if (places >= 0 && places < d->n && d->digit[places] >= '5')
        w++;
    *ret = w;
    return w <= (fen_weight)(FEN_WEIGHT_MAX) * FEN_DBAN;
}

bool fen_weight_read(const char *text, size_t len, fen_weight *ret_weight, size_t *ret_len)
{
    decimal d = { .n = 0 };
    size_t i = 0;
    int exponent = 0;
    for (; i < len; i++) {
        if (text[i] == '.' && !d.seen_point)
            d.seen_point = true;
        else if (fen_lexer_digit(text[i]))
            push_digit(&d, text[i]);
        else
            break;
    }
    *ret_len = 0;
    if (!d.any)
        return false;
    i += read_exponent(text + i, len - i, &exponent);
    d.point += exponent;
    *ret_len = i;
    return to_weight(&d, ret_weight);
}

/* ---- sentences ---- */

static fen_status read_name(fen_sentence *s, fen_lexer *x, const char *wanted, fen_span *ret)
{
    const fen_span word = fen_lexer_peek(x);
    if (word.len == 0)
        return unexpected(s, x, wanted);
    x->at += word.len;
    *ret = word;
    return FEN_OK;
}

static fen_status read_end(fen_sentence *s, fen_lexer *x)
{
    if (fen_lexer_end(x))
        return FEN_OK;
    return refuse(s, FEN_CODE_EFFECT, fen_lexer_here(x), true, "is too much", "write one effect a line");
}

/* "for C" or "against C" behind a strength. */
static fen_status read_direction(fen_sentence *s, fen_lexer *x, fen_effect_words *e)
{
    const bool against = fen_lexer_take(x, "against");
    if (!against && !fen_lexer_take(x, "for"))
        return unexpected(s, x, "write 'for' or 'against' here");
    e->op = FEN_WEIGH;
    if (against)
        e->weight = -e->weight;
    const fen_status st = read_name(s, x, "write the name of a cause here", &e->target);
    return st ? st : read_end(s, x);
}

static fen_status read_number(fen_sentence *s, fen_lexer *x, fen_effect_words *e)
{
    size_t n;
    if (!fen_weight_read(x->text + x->at, x->len - x->at, &e->weight, &n)) {
        if (n == 0)
            return unexpected(s, x, "write a number such as '7.5 dBan'");
        return refuse(s, FEN_CODE_NUMBER, (fen_span){ x->at, (uint32_t)n }, true, "is more weight than one rule can have",
                      "write at most 100 dBan, or 'excludes' for what is impossible");
    }
    x->at += (uint32_t)n;
    if (x->at < x->len && x->text[x->at] == ',')
        return unexpected(s, x, "a point, not a comma, stands before decimals");
    if (!fen_lexer_take(x, "dBan"))
        return unexpected(s, x, "write 'dBan' behind the number, as in '7.5 dBan for crown-rot'");
    return read_direction(s, x, e);
}

static fen_status read_derived(fen_sentence *s, fen_lexer *x, fen_effect_words *e)
{
    static const char form[] = "an effect reads 'strong for CAUSE', '7.5 dBan against CAUSE', 'excludes CAUSE', "
                               "'hazard HAZARD' or 'FINDING is ANSWER'";
    e->op = FEN_DERIVE;
    const fen_span first = fen_lexer_peek(x);
    if (first.len == 0)
        return unexpected(s, x, form);
    x->at += first.len;
    e->target = first;
    const fen_span next = fen_lexer_peek(x);
    if (fen_span_is(x->text, next, "for") || fen_span_is(x->text, next, "against"))
        return refuse(s, FEN_CODE_EFFECT, first, true, "is not a strength",
                      "write 'slight', 'fair', 'strong', 'decisive' or a number of dBan");
    e->includes = fen_lexer_take(x, "includes");
    if (!e->includes && !fen_lexer_take(x, "is"))
        return refuse(s, FEN_CODE_EFFECT, first, true, "does not begin an effect", form);
    const fen_status st = read_name(s, x, "write the name of an answer here", &e->answer);
    return st ? st : read_end(s, x);
}

static fen_status read_named(fen_sentence *s, fen_lexer *x, fen_effect_op op, fen_effect_words *e)
{
    e->op = op;
    const fen_status st = read_name(s, x, op == FEN_RAISE ? "write the name of a hazard here" : "write the name of a cause here",
                                    &e->target);
    return st ? st : read_end(s, x);
}

fen_status fen_sentence_effect(fen_sentence *s, const char *text, size_t len, fen_effect_words *ret_effect)
{
    fen_lexer x = { text, (uint32_t)len, 0 };
    *ret_effect = (fen_effect_words){ .op = FEN_WEIGH };
    if (fen_lexer_end(&x))
        return unexpected(s, &x, "write an effect such as 'strong for crown-rot'");
    for (size_t i = 0; i < FEN_COUNT(strengths); i++) {
        if (fen_lexer_take(&x, strengths[i].word)) {
            ret_effect->weight = strengths[i].dban * FEN_DBAN;
            return read_direction(s, &x, ret_effect);
        }
    }
    if (fen_lexer_take(&x, "excludes"))
        return read_named(s, &x, FEN_EXCLUDE, ret_effect);
    if (fen_lexer_take(&x, "hazard"))
        return read_named(s, &x, FEN_RAISE, ret_effect);
    if (text[x.at] == '-' || text[x.at] == '+')
        return refuse(s, FEN_CODE_EFFECT, fen_lexer_here(&x), true, "has a sign",
                      "write '7.5 dBan for' or '7.5 dBan against' a cause");
    if (fen_lexer_digit(text[x.at]) || text[x.at] == '.')
        return read_number(s, &x, ret_effect);
    return read_derived(s, &x, ret_effect);
}
