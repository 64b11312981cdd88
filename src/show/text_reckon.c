/* text_reckon.c -- the calculators for people: what there is, and what one takes.
 */
#include <string.h>

#include "text_reckon.h"
#include "util/utf8.h"

void fen_reckon_say_padded(fen_page *page, fen_tone tone, const char *text, size_t columns)
{
    fen_page_say(page, tone, text);
    for (size_t n = fen_utf8_width(text, strlen(text)); n < columns; n++)
        fen_page_say(page, FEN_TONE_PLAIN, FEN_NBSP);
}

static void show_pair(fen_page *page, const char *label, const char *text)
{
    if (!text)
        return;
    fen_page_open(page, 0, INDENT);
    fen_page_sayf(page, FEN_TONE_STRONG, "%s: ", label);
    fen_page_say(page, FEN_TONE_PLAIN, text);
    fen_page_close(page);
}

/* ---- the list ---- */

void fen_show_reckoners(fen_page *page)
{
    size_t column = 0;
    const char *family = "";
    for (size_t i = 0; i < fen_reckoners(); i++) {
        const size_t n = strlen(fen_reckoner_at(i)->name);
        column = n > column ? n : column;
    }
    column = fen_page_width(page) >= ROOMY ? column + GAP : 0;
    for (size_t i = 0; i < fen_reckoners(); i++) {
        const fen_reckoner *r = fen_reckoner_at(i);
        if (strcmp(r->family, family))
            fen_page_title(page, family = r->family);
        fen_page_open(page, INDENT, INDENT + (column ? (unsigned)column : INDENT));
        fen_reckon_say_padded(page, FEN_TONE_STRONG, r->name, column);
        if (!column)
            fen_page_say(page, FEN_TONE_PLAIN, ": ");
        fen_page_say(page, FEN_TONE_PLAIN, r->purpose);
        fen_page_close(page);
    }
    fen_page_gap(page);
    fen_show_text(page, "'fenmend reckon NAME' tells what one takes.");
}

/* ---- one calculator ---- */

static bool has_limits(const fen_reckon_input *in)
{
    return in->measure != FEN_MEASURE_CHOICE && in->measure != FEN_MEASURE_PARTS && in->measure != FEN_MEASURE_LOG && in->measure != FEN_MEASURE_DATE;
}

static void say_choices(fen_page *page, const char *const *choices)
{
    for (size_t i = 0; choices[i]; i++)
        fen_page_sayf(page, FEN_TONE_PLAIN, "%s%s", i ? ", " : "", choices[i]);
}

static void say_need(fen_page *page, const fen_reckon_input *in)
{
    const bool us = fen_page_look(page).us;
    char text[FEN_RECKON_TEXT];
    if (in->need == FEN_RECKON_USUAL) {
        fen_reckon_show(text, in->measure, in->choices, in->usual, us);
        fen_page_sayf(page, FEN_TONE_PLAIN, "; %s if not given", text);
    } else if (in->group) {
        fen_page_say(page, FEN_TONE_PLAIN, "; exactly one of those marked *");
    } else if (in->need == FEN_RECKON_OPTIONAL) {
        fen_page_say(page, FEN_TONE_PLAIN, "; may be left out");
    }
}

static void show_input(fen_page *page, const fen_reckon_input *in)
{
    const bool us = fen_page_look(page).us;
    fen_page_open(page, INDENT, 2 * INDENT);
    fen_page_sayf(page, FEN_TONE_STRONG, "%s%s", in->name, in->group ? "*" : "");
    fen_page_sayf(page, FEN_TONE_PLAIN, ": %s", in->about);
    say_need(page, in);
    fen_page_say(page, FEN_TONE_DIM, " (");
    if (in->choices)
        say_choices(page, in->choices);
    else
        fen_page_say(page, FEN_TONE_DIM, in->measure == FEN_MEASURE_LOG ? "a file's name, or - for standard input" : fen_reckon_units(in->measure));
    if (has_limits(in)) {
        char least[FEN_RECKON_TEXT];
        char most[FEN_RECKON_TEXT];
        fen_reckon_show(least, in->measure, NULL, in->least, us);
        fen_reckon_show(most, in->measure, NULL, in->most, us);
        fen_page_sayf(page, FEN_TONE_DIM, "; %s to %s", least, most);
    }
    fen_page_say(page, FEN_TONE_DIM, ")");
    fen_page_close(page);
}

static void show_outputs(fen_page *page, const fen_reckon_output *rows, size_t n)
{
    for (size_t i = 0; i < n; i++) {
        fen_page_open(page, INDENT, 2 * INDENT);
        fen_page_say(page, FEN_TONE_STRONG, rows[i].name);
        fen_page_sayf(page, FEN_TONE_PLAIN, ": %s", rows[i].about);
        fen_page_close(page);
    }
}

void fen_reckon_show_background(fen_page *page, const fen_reckoner *r, bool formula)
{
    if (formula)
        show_pair(page, "formula", r->formula);
    show_pair(page, "source", r->source);
    show_pair(page, "trust", r->trust);
    if (r->caution)
        fen_page_line(page, 0, FEN_TONE_DANGER, "caution: %s", r->caution);
}

void fen_show_reckoner(fen_page *page, const fen_reckoner *r)
{
    fen_page_open(page, 0, INDENT);
    fen_page_say(page, FEN_TONE_STRONG, r->name);
    fen_page_sayf(page, FEN_TONE_PLAIN, ": %s", r->purpose);
    fen_page_close(page);
    fen_page_title(page, "takes");
    for (size_t i = 0; i < r->n_inputs; i++)
        show_input(page, &r->inputs[i]);
    fen_page_title(page, "gives");
    show_outputs(page, r->outputs, r->n_outputs);
    fen_page_gap(page);
    fen_reckon_show_background(page, r, true);
    fen_page_gap(page);
    fen_page_line(page, 0, FEN_TONE_PLAIN, "fenmend reckon %s %s", r->name, r->example);
}
