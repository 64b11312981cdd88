/* text_question.c -- the question as asked, and the answers that are taken.
 */
#include <math.h>
#include <stdio.h>

#include "model/quantity.h"
#include "say.h"

static void open_option(fen_page *page, uint32_t number)
{
    char mark[16];
    snprintf(mark, sizeof mark, "%lu ", (unsigned long)number);
    fen_page_open_mark(page, number < 10 ? 3 : 2, mark);
}

/* The kinds just below the group that is known, or the first ones. */
static void show_kinds(fen_page *page, fen_session *s)
{
    const fen_base *base = fen_session_base(s);
    fen_id offered[FEN_KINDS_MAX];
    const uint32_t n = fen_base_kind_choices(base, fen_say_group(s), offered);
    for (uint32_t i = 0; i < n; i++) {
        const fen_kind *k = fen_base_kind(base, offered[i]);
        open_option(page, i + 1);
        fen_page_say(page, FEN_TONE_PLAIN, k->name);
        if (k->latin)
            fen_page_sayf(page, FEN_TONE_DIM, " (%s)", k->latin);
        fen_page_close(page);
    }
    if (fen_say_group(s) != FEN_NONE)
        fen_page_line(page, 2, FEN_TONE_DIM, "Write 'unsure' if you cannot tell more.");
}

static void show_options(fen_page *page, const fen_base *base, fen_id finding)
{
    const fen_finding *f = fen_base_finding(base, finding);
    for (fen_id i = 0; i < f->n_options; i++) {
        open_option(page, i + 1);
        fen_page_say(page, FEN_TONE_PLAIN, fen_say_option(f, i));
        fen_page_close(page);
    }
    if (f->type == FEN_SEVERAL)
        fen_page_line(page, 2, FEN_TONE_DIM, fen_finding_without(f) ? "More than one may hold: write them with commas between."
                                                                    : "More than one may hold: write them with commas between, or 'none'.");
}

static void show_units(fen_page *page, const fen_finding *f)
{
    fen_page_open(page, 2, 2);
    if (f->dim == FEN_DIM_COUNT) {
        fen_page_say(page, FEN_TONE_DIM, "Write a number.");
    } else {
        fen_page_sayf(page, FEN_TONE_DIM, "Write a number with its unit (%s)", fen_dim_units(f->dim));
        if (isfinite(f->middle)) {
            fen_page_say(page, FEN_TONE_DIM, ", for instance ");
            fen_say_quantity(page, f->middle, f->dim);
        }
        fen_page_say(page, FEN_TONE_DIM, ".");
    }
    fen_page_close(page);
}

static void show_date(fen_page *page, int32_t today)
{
    fen_page_open(page, 2, 2);
    fen_page_say(page, FEN_TONE_DIM, "Write a date such as ");
    fen_say_date(page, today - 21);
    fen_page_say(page, FEN_TONE_DIM, ", or how long ago it was: 3" FEN_NBSP "weeks" FEN_NBSP "ago.");
    fen_page_close(page);
}

static void show_choices(fen_page *page, fen_session *s, fen_id finding)
{
    const fen_base *base = fen_session_base(s);
    const fen_finding *f = fen_base_finding(base, finding);
    switch (f->type) {
    case FEN_CHOICE:
    case FEN_SEVERAL:
        if (finding == FEN_KIND_FINDING)
            show_kinds(page, s);
        else
            show_options(page, base, finding);
        break;
    case FEN_YES_NO:
        fen_page_line(page, 2, FEN_TONE_DIM, "Write yes or no.");
        break;
    case FEN_QUANTITY:
        show_units(page, f);
        break;
    case FEN_DATE:
        show_date(page, fen_session_today(s));
        break;
    }
}

static void show_danger(fen_page *page, const fen_base *base, fen_id cause)
{
    const fen_cause *c = fen_base_cause(base, cause);
    fen_page_open(page, 0, 0);
    fen_page_say(page, FEN_TONE_DANGER, "First what cannot wait: ");
    fen_page_sayf(page, FEN_TONE_PLAIN, "%s could kill within %s, and this decides it.", c->name,
                  fen_words_urgency(c->urgency));
    fen_page_close(page);
}

void fen_show_question(fen_page *page, fen_session *s, const fen_question *q)
{
    if (q->finding == FEN_NONE) {
        const char *why = fen_words_stop(q->stop);
        fen_page_line(page, 0, FEN_TONE_PLAIN, "%s", why ? why : "There is nothing left to ask.");
        return;
    }
    const fen_base *base = fen_session_base(s);
    if (q->reason == FEN_ASK_DANGER && q->cause != FEN_NONE)
        show_danger(page, base, q->cause);
    const fen_finding *f = fen_base_finding(base, q->finding);
    const fen_id group = q->finding == FEN_KIND_FINDING ? fen_say_group(s) : FEN_NONE;
    if (group != FEN_NONE)
        fen_page_line(page, 0, FEN_TONE_STRONG, "Which %s is it?", fen_base_kind(base, group)->name);
    else
        fen_page_line(page, 0, FEN_TONE_STRONG, "%s", f->ask ? f->ask : f->name);
    show_choices(page, s, q->finding);
}
