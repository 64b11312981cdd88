/* tune_score.c -- see tune_score.h. */
#include "tune_score.h"

#include "util/number.h"

fen_tune_score fen_tune_score_of(const fen_fit_sums *s)
{
    return (fen_tune_score){ s->cases, s->right, s->cases ? s->log_loss / (double)s->cases : 0 };
}

void fen_tune_put_number(fen_str *out, double value, int digits)
{
    char number[FEN_NUMBER_MAX];
    fen_number_show(number, value, digits);
    fen_str_puts(out, number);
}

void fen_tune_put_score(fen_str *out, const char *what, const fen_tune_score *s)
{
    fen_str_printf(out, "#   %-28s %llu of %llu right, log loss ", what, (unsigned long long)s->right, (unsigned long long)s->cases);
    fen_tune_put_number(out, s->log_loss, 4);
    fen_str_putc(out, '\n');
}
