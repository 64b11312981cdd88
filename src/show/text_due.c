/* text_due.c -- what is due, by day, and the season's tasks by kind.
 */
#include "fenmend/follow_view.h"
#include "model/caution.h"
#include "say.h"

static void say_when(fen_page *page, int32_t day, int32_t today)
{
    fen_say_date(page, day);
    if (day == today - 1)
        fen_page_say(page, FEN_TONE_STRONG, " (yesterday)");
    else if (day < today)
        fen_page_sayf(page, FEN_TONE_STRONG, " (%ld days ago)", (long)today - day);
    else if (day == today + 1)
        fen_page_say(page, FEN_TONE_PLAIN, " (tomorrow)");
    else if (day > today)
        fen_page_sayf(page, FEN_TONE_PLAIN, " (in %ld days)", (long)day - today);
}

static void say_cautions(fen_page *page, fen_texts cautions)
{
    for (uint32_t i = 0; i < cautions.count; i++)
        fen_page_sayf(page, FEN_TONE_STRONG, "%s%s%s", i ? ", " : " [caution: ", cautions.at[i], i + 1 == cautions.count ? "]" : "");
}

static void say_kind(fen_page *page, const fen_base *base, fen_id kind)
{
    if (kind != FEN_NONE)
        fen_page_sayf(page, FEN_TONE_PLAIN, " (%s)", fen_base_kind(base, kind)->name);
}

static void show_one(fen_page *page, const fen_base *base, const fen_due *d, int32_t today)
{
    fen_page_open_mark(page, 0, fen_page_glyph(page, FEN_GLYPH_DASH));
    say_when(page, d->day, today);
    fen_page_sayf(page, FEN_TONE_PLAIN, " %s", d->case_id);
    say_kind(page, base, d->kind);
    if (d->type == FEN_DUE_LOOK) {
        fen_page_sayf(page, FEN_TONE_PLAIN, ": look again. By now: %s", d->text);
        if (fen_base_remedy(base, d->remedy)->otherwise)
            fen_page_sayf(page, FEN_TONE_PLAIN, " If not: %s", fen_base_remedy(base, d->remedy)->otherwise);
    } else {
        fen_page_sayf(page, FEN_TONE_PLAIN, d->type == FEN_DUE_AGAIN ? ": again: %s" : ": %s", d->text);
        say_cautions(page, d->type == FEN_DUE_AGAIN ? fen_base_remedy(base, d->remedy)->steps[d->step].cautions : fen_base_task(base, d->task)->cautions);
    }
    fen_page_close(page);
}

static bool is_season(const fen_due *d)
{
    return d->type == FEN_DUE_TASK && d->until > d->day;
}

/* WHICH: -1 overdue, 0 today, +1 later. */
static void show_days(fen_page *page, const fen_dues *dues, int32_t today, int which)
{
    static const char *const titles[] = { "Overdue", "Today", "Coming" };
    bool any = false;
    for (size_t i = 0; i < fen_dues_count(dues); i++) {
        const fen_due *d = fen_dues_at(dues, i);
        if (is_season(d) || (d->day > today) - (d->day < today) != which)
            continue;
        if (!any)
            fen_page_title(page, titles[which + 1]);
        any = true;
        show_one(page, fen_dues_base(dues), d, today);
    }
}

static bool same_task(const fen_due *a, const fen_due *b)
{
    return is_season(a) && is_season(b) && a->task == b->task && a->day == b->day && a->until == b->until;
}

/* Entries of one task and season follow each other; a farm may have very many. */
static bool told_before(const fen_dues *dues, size_t i)
{
    return i > 0 && same_task(fen_dues_at(dues, i - 1), fen_dues_at(dues, i));
}

/* One task, with the plants it is for by kind. */
static void show_task(fen_page *page, const fen_dues *dues, size_t first)
{
    const fen_base *base = fen_dues_base(dues);
    const fen_due *d = fen_dues_at(dues, first);
    const fen_task *t = fen_base_task(base, d->task);
    fen_id kind = FEN_NONE;
    bool any = false;
    fen_page_open_mark(page, 0, fen_page_glyph(page, FEN_GLYPH_DASH));
    fen_say_date(page, d->day);
    fen_page_say(page, FEN_TONE_PLAIN, " to ");
    fen_say_date(page, d->until);
    fen_page_sayf(page, FEN_TONE_PLAIN, ": %s", t->text);
    say_cautions(page, t->cautions);
    if (t->why)
        fen_page_sayf(page, FEN_TONE_PLAIN, " %s", t->why);
    fen_page_say(page, FEN_TONE_PLAIN, " For");
    for (size_t i = first; i < fen_dues_count(dues); i++) {
        const fen_due *other = fen_dues_at(dues, i);
        if (!same_task(d, other))
            break;
        if ((!any || other->kind != kind) && other->kind != FEN_NONE)
            fen_page_sayf(page, FEN_TONE_PLAIN, "%s %s:", any ? ";" : "", fen_base_kind(base, other->kind)->name);
        else if (any)
            fen_page_say(page, FEN_TONE_PLAIN, ",");
        fen_page_sayf(page, FEN_TONE_PLAIN, " %s", other->case_id);
        kind = other->kind;
        any = true;
    }
    fen_page_say(page, FEN_TONE_PLAIN, ".");
    fen_page_close(page);
}

static void show_season(fen_page *page, const fen_dues *dues)
{
    bool any = false;
    for (size_t i = 0; i < fen_dues_count(dues); i++) {
        if (!is_season(fen_dues_at(dues, i)) || told_before(dues, i))
            continue;
        if (!any)
            fen_page_title(page, "The season");
        any = true;
        show_task(page, dues, i);
    }
}

/* The words of every caution named above, each once. */
static void show_cautions(fen_page *page, const fen_dues *dues)
{
    const fen_base *base = fen_dues_base(dues);
    uint32_t told = 0;
    for (size_t i = 0; i < fen_dues_count(dues); i++) {
        const fen_due *d = fen_dues_at(dues, i);
        const fen_texts c = d->type == FEN_DUE_TASK    ? fen_base_task(base, d->task)->cautions
                            : d->type == FEN_DUE_AGAIN ? fen_base_remedy(base, d->remedy)->steps[d->step].cautions
                                                       : (fen_texts){ NULL, 0 };
        for (uint32_t k = 0; k < c.count; k++) {
            fen_caution caution;
            if (!fen_caution_find(c.at[k], &caution) || told >> caution & 1)
                continue;
            if (!told)
                fen_page_title(page, "For your own safety");
            told |= 1u << caution;
            fen_page_open_mark(page, 0, fen_page_glyph(page, FEN_GLYPH_DASH));
            fen_page_sayf(page, FEN_TONE_STRONG, "%s: ", c.at[k]);
            fen_page_say(page, FEN_TONE_PLAIN, fen_caution_text(caution));
            fen_page_close(page);
        }
    }
}

void fen_show_dues(fen_page *page, const fen_dues *d, int32_t today)
{
    if (!fen_dues_count(d))
        fen_show_text(page, "Nothing is due.");
    for (int which = -1; which <= 1; which++)
        show_days(page, d, today, which);
    show_season(page, d);
    show_cautions(page, d);
}
