/* words.c -- see words.h. Each list of words is one table.
 */
#include "words.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include "page.h"
#include "util/number.h"
#include "util/vec.h"

/* The words for probability. A word belongs to the figure as shown, so that 95 %
 * is never called two things. */
static const struct {
    int percent; /* at least */
    const char *word;
} likely[] = {
    { 95, "almost certain" }, { 80, "very likely" }, { 55, "likely" },
    { 25, "possible" },       { 5, "unlikely" },     { 0, "very unlikely" },
};

static int whole_percent(double p)
{
    return (int)floor(p * 100.0 + 0.5);
}

const char *fen_words_for(double p)
{
    const int percent = whole_percent(p);
    size_t i = 0;
    while (i + 1 < FEN_COUNT(likely) && percent < likely[i].percent)
        i++;
    return likely[i].word;
}

const char *fen_words_percent(char buf[FEN_WORDS_MAX], double p)
{
    if (p < 0.01)
        snprintf(buf, FEN_WORDS_MAX, "<1" FEN_NBSP "%%");
    else if (p > 0.99)
        snprintf(buf, FEN_WORDS_MAX, ">99" FEN_NBSP "%%");
    else
        snprintf(buf, FEN_WORDS_MAX, "%d" FEN_NBSP "%%", whole_percent(p));
    return buf;
}

const char *fen_words_strength(fen_weight weight)
{
    /* Half way between the named strengths 2, 5, 10 and 20 on the scale of
     * doubling: an odd number gets the name it is nearest to. */
    static const struct {
        fen_weight below; /* in tenths of a dBan */
        const char *word;
    } strengths[] = { { 32, "slight" }, { 71, "fair" }, { 141, "strong" } };
    const fen_weight size = weight < 0 ? -weight : weight;
    for (size_t i = 0; i < FEN_COUNT(strengths); i++)
        if (size < strengths[i].below * (FEN_DBAN / 10))
            return strengths[i].word;
    return "decisive";
}

const char *fen_words_dban(char buf[FEN_WORDS_MAX], fen_weight weight)
{
    char number[FEN_NUMBER_MAX];
    /* To the hundredth, so that a sum shown beside its parts adds up. */
    fen_number_show(number, round((double)weight / (double)FEN_DBAN * 100.0) / 100.0, 12);
    snprintf(buf, FEN_WORDS_MAX, "%s" FEN_NBSP "dBan", number);
    return buf;
}

const char *fen_words_ratio(char buf[FEN_WORDS_MAX], fen_weight weight)
{
    char number[FEN_NUMBER_MAX];
    const double ratio = pow(10.0, fabs((double)weight / (double)FEN_DBAN) / 10.0);
    if (ratio < 1.05) {
        snprintf(buf, FEN_WORDS_MAX, "as likely as before");
        return buf;
    }
    if (ratio > 1e6)
        snprintf(number, sizeof number, "over a million");
    else
        fen_number_show(number, ratio, 2);
    snprintf(buf, FEN_WORDS_MAX, "%s times %s likely", number, weight < 0 ? "less" : "as");
    return buf;
}

const char *fen_words_urgency(fen_urgency urgency)
{
    switch (urgency) {
    case FEN_HOURS:
        return "hours";
    case FEN_DAYS:
        return "days";
    case FEN_WEEKS:
        return "weeks";
    case FEN_NO_URGENCY:
        break;
    }
    return "not urgent";
}

const char *fen_words_stop(fen_stop stop)
{
    switch (stop) {
    case FEN_STOP_ONE_CAUSE:
        return "One cause is as good as settled, and it explains everything you found.";
    case FEN_STOP_COVERING:
        return "These causes together are as good as settled, and explain everything you found.";
    case FEN_STOP_SAME_PLAN:
        return "Whichever of the causes still possible it is, the same is to be done.";
    case FEN_STOP_NOT_WORTH:
        return "No question that is left would tell enough to be worth its effort.";
    case FEN_GO_ON:
        break;
    }
    return NULL;
}
