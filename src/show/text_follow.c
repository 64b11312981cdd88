/* text_follow.c -- what the last visit's plan promised, and whether it came about.
 */
#include "fenmend/follow_view.h"
#include "say.h"

static const fen_remedy *remedy_at(const fen_base *base, const fen_follow *f, uint32_t i)
{
    return fen_base_remedy(base, f->remedies.at[i]);
}

void fen_show_promises(fen_page *page, fen_session *s, const fen_follow *f)
{
    const fen_base *base = fen_session_base(s);
    if (!f->remedies.count)
        return;
    fen_page_title(page, "What the plan promised then");
    for (uint32_t i = 0; i < f->remedies.count; i++) {
        const fen_remedy *r = remedy_at(base, f, i);
        const int32_t due = f->date + (int32_t)(r->look_again + 0.999999);
        fen_page_open_mark(page, 0, fen_page_glyph(page, FEN_GLYPH_DASH));
        fen_page_say(page, FEN_TONE_PLAIN, "by ");
        fen_say_date(page, due);
        fen_page_sayf(page, FEN_TONE_PLAIN, ": %s", r->expect ? r->expect : "look again");
        if (fen_session_today(s) < due)
            fen_page_say(page, FEN_TONE_DIM, " (not due yet)");
        fen_page_close(page);
    }
}

static void say_overall(fen_page *page, fen_trend t)
{
    static const struct {
        fen_tone tone;
        const char *words;
    } rows[] = {
        [FEN_TREND_UNKNOWN] = { FEN_TONE_PLAIN, "Whether it is getting better cannot be told: nothing that the plan wanted looked at is known." },
        [FEN_TREND_WORSE] = { FEN_TONE_DANGER, "It is getting worse." },
        [FEN_TREND_SAME] = { FEN_TONE_STRONG, "Nothing has changed yet." },
        [FEN_TREND_SOUND] = { FEN_TONE_GOOD, "It is as sound as it was." },
        [FEN_TREND_BETTER] = { FEN_TONE_GOOD, "It is getting better." },
    };
    fen_page_open(page, 0, 0);
    fen_page_say(page, rows[t].tone, rows[t].words);
    fen_page_close(page);
}

static const char *trend_words(fen_trend t)
{
    static const char *const words[] = { "not known", "worse", "no change", "still as it should be", "better" };
    return words[t];
}

/* Is this finding's trend told already, alike, for another remedy? */
static bool is_told(const fen_follow *f, const fen_session *s, size_t i)
{
    for (size_t k = 0; k < i; k++)
        if (f->promises[k].look->finding == f->promises[i].look->finding && fen_follow_trend(f, s, k) == fen_follow_trend(f, s, i))
            return true;
    return false;
}

static void show_promise(fen_page *page, fen_session *s, const fen_follow *f, size_t i)
{
    const fen_promise *p = &f->promises[i];
    const fen_finding *finding = fen_base_finding(fen_session_base(s), p->look->finding);
    fen_page_open_mark(page, 0, fen_page_glyph(page, FEN_GLYPH_DASH));
    fen_page_sayf(page, FEN_TONE_PLAIN, "%s: ", finding->name);
    fen_say_answer(page, finding, p->before, f->date);
    fen_page_sayf(page, FEN_TONE_PLAIN, " %s ", fen_page_glyph(page, FEN_GLYPH_TO));
    fen_say_answer(page, finding, fen_session_given(s, p->look->finding), fen_session_today(s));
    fen_page_sayf(page, FEN_TONE_STRONG, ": %s", trend_words(fen_follow_trend(f, s, i)));
    fen_page_close(page);
}

/* What to do where the promise was not kept by its day. */
static void show_otherwise(fen_page *page, fen_session *s, const fen_follow *f)
{
    const fen_base *base = fen_session_base(s);
    for (uint32_t r = 0; r < f->remedies.count; r++) {
        const fen_remedy *remedy = remedy_at(base, f, r);
        bool broken = false;
        for (size_t i = 0; i < f->n_promises; i++) {
            const fen_trend t = fen_follow_trend(f, s, i);
            broken = broken || (f->promises[i].remedy == f->remedies.at[r] &&
                                (t == FEN_TREND_WORSE || (t == FEN_TREND_SAME && fen_session_today(s) >= f->promises[i].due)));
        }
        if (!broken || !remedy->otherwise)
            continue;
        fen_page_open(page, 0, 0);
        fen_page_sayf(page, FEN_TONE_PLAIN, "The plan for that: %s", remedy->otherwise);
        fen_page_close(page);
    }
}

void fen_show_progress(fen_page *page, fen_session *s, const fen_follow *f)
{
    if (!f->n_promises)
        return;
    fen_page_open(page, 0, 0);
    fen_page_say(page, FEN_TONE_STRONG, "Since ");
    fen_say_date(page, f->date);
    fen_page_close(page);
    for (size_t i = 0; i < f->n_promises; i++)
        if (!is_told(f, s, i))
            show_promise(page, s, f, i);
    say_overall(page, fen_follow_overall(f, s));
    show_otherwise(page, s, f);
}
