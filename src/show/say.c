/* say.c -- see say.h: names, quantities and answers.
 */
#include "say.h"

#include "model/quantity.h"
#include "util/date.h"

const char *fen_say_option(const fen_finding *f, fen_id option)
{
    const fen_option *o = &f->options[option];
    return o->say ? o->say : o->id;
}

const char *fen_say_name_of_cause(const fen_base *base, fen_id cause)
{
    return fen_base_cause(base, cause)->name;
}

/* A number and its unit stay on one line. */
void fen_say_quantity(fen_page *page, double value, fen_dim dim)
{
    char text[FEN_QUANTITY_TEXT], glued[2 * FEN_QUANTITY_TEXT];
    size_t n = 0;
    fen_quantity_show(text, (fen_quantity){ value, dim }, fen_page_look(page).us ? FEN_UNITS_US : FEN_UNITS_METRIC);
    for (const char *c = text; *c; c++) {
        if (*c == ' ')
            glued[n++] = '\xc2', glued[n++] = '\xa0';
        else
            glued[n++] = *c;
    }
    glued[n] = '\0';
    fen_page_say(page, FEN_TONE_PLAIN, glued);
}

void fen_say_date(fen_page *page, int32_t date)
{
    char text[FEN_DATE_TEXT];
    fen_date_write(text, date);
    fen_page_say(page, FEN_TONE_PLAIN, text);
}

static void say_day(fen_page *page, int32_t day, int32_t today)
{
    if (day == today) {
        fen_page_say(page, FEN_TONE_PLAIN, "today (");
    } else if (day == today - 1) {
        fen_page_say(page, FEN_TONE_PLAIN, "yesterday (");
    } else {
        fen_say_quantity(page, today - day, FEN_DIM_TIME_SPAN);
        fen_page_say(page, FEN_TONE_PLAIN, FEN_NBSP "ago (");
    }
    fen_say_date(page, day);
    fen_page_say(page, FEN_TONE_PLAIN, ")");
}

static void say_picks(fen_page *page, const fen_finding *f, uint64_t picks)
{
    bool first = true;
    if (!picks)
        fen_page_say(page, FEN_TONE_PLAIN, "none of these");
    for (uint32_t i = 0; i < f->n_options; i++)
        if (picks >> i & 1) {
            fen_page_sayf(page, FEN_TONE_PLAIN, "%s%s", first ? "" : " + ", fen_say_option(f, i));
            first = false;
        }
}

void fen_say_answer(fen_page *page, const fen_finding *f, fen_answer a, int32_t today)
{
    if (a.state == FEN_OPEN)
        fen_page_say(page, FEN_TONE_PLAIN, "not answered");
    else if (a.state == FEN_UNSURE)
        fen_page_say(page, FEN_TONE_PLAIN, "unsure");
    else if (f->type == FEN_QUANTITY)
        fen_say_quantity(page, a.value, f->dim);
    else if (f->type == FEN_DATE)
        say_day(page, (int32_t)a.value, today);
    else
        say_picks(page, f, a.picks);
}

void fen_say_given(fen_page *page, fen_session *s, fen_id finding)
{
    const fen_finding *f = fen_base_finding(fen_session_base(s), finding);
    bool is_default;
    fen_page_sayf(page, FEN_TONE_PLAIN, "%s: ", f->name);
    if (!f->derived)
        fen_say_answer(page, f, fen_session_given(s, finding), fen_session_today(s));
    else
        say_picks(page, f, fen_session_derived(s, finding, &is_default));
}

void fen_say_probability(fen_page *page, double p)
{
    char percent[FEN_WORDS_MAX];
    fen_page_sayf(page, FEN_TONE_PLAIN, "%s, %s", fen_words_percent(percent, p), fen_words_for(p));
}

void fen_say_source(fen_page *page, const char *source)
{
    if (source)
        fen_page_sayf(page, FEN_TONE_DIM, " [%s]", source);
}

fen_id fen_say_group(const fen_session *s)
{
    const fen_answer a = fen_session_given(s, FEN_KIND_FINDING);
    const fen_base *base = fen_session_base(s);
    for (fen_id k = 0; a.state == FEN_KNOWN && k < fen_base_kinds(base); k++)
        if (a.picks >> k & 1)
            return fen_base_kind(base, k)->group ? k : FEN_NONE;
    return FEN_NONE;
}
