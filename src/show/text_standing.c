/* text_standing.c -- the ranking as it stands, and what hangs over it.
 */
#include <string.h>

#include "say.h"
#include "text_parts.h"
#include "util/utf8.h"

enum { ROWS = 8 };

static void say_bar(fen_page *page, double p, unsigned n)
{
    const unsigned filled = (unsigned)(p * n + 0.5);
    for (unsigned i = 0; i < n; i++)
        fen_page_say(page, FEN_TONE_PLAIN, fen_page_glyph(page, i < filled ? FEN_GLYPH_BAR : FEN_GLYPH_BAR_REST));
}

static fen_tone tone_of(const fen_cause *c)
{
    return c->harmless ? FEN_TONE_GOOD : c->urgency >= FEN_DAYS ? FEN_TONE_DANGER : FEN_TONE_PLAIN;
}

static void say_nature(fen_page *page, const fen_cause *c)
{
    if (c->harmless)
        fen_page_say(page, FEN_TONE_PLAIN, "; harmless");
    else if (c->urgency)
        fen_page_sayf(page, FEN_TONE_PLAIN, "; can kill within %s", fen_words_urgency(c->urgency));
}

/* Per cent, bar, then the name, whose further lines stay right of the bar. */
static void show_row(fen_page *page, const fen_cause *c, double p)
{
    enum { PERCENT = 6, GAP = 2 };
    const unsigned cells = fen_page_width(page) >= 70 ? 20 : fen_page_width(page) >= 45 ? 10 : 0;
    char percent[FEN_WORDS_MAX];
    fen_words_percent(percent, p);
    fen_page_open(page, PERCENT - (unsigned)fen_utf8_width(percent, strlen(percent)),
                  PERCENT + GAP + (cells ? cells + GAP : 0));
    fen_page_sayf(page, FEN_TONE_PLAIN, "%s" FEN_NBSP FEN_NBSP, percent);
    if (cells) {
        say_bar(page, p, cells);
        fen_page_say(page, FEN_TONE_PLAIN, FEN_NBSP FEN_NBSP);
    }
    fen_page_say(page, tone_of(c), c->name);
    fen_page_sayf(page, FEN_TONE_PLAIN, " (%s", fen_words_for(p));
    say_nature(page, c);
    fen_page_say(page, FEN_TONE_PLAIN, ")");
    fen_page_close(page);
}

static void show_ranking(fen_page *page, const fen_base *base, const fen_verdict *v)
{
    uint32_t shown = 0;
    while (shown < v->ranking.count && shown < ROWS && (shown < 3 || v->p[v->ranking.at[shown]] >= 0.01)) {
        const fen_id cause = v->ranking.at[shown++];
        show_row(page, fen_base_cause(base, cause), v->p[cause]);
    }
    if (shown < v->ranking.count)
        fen_page_line(page, 8, FEN_TONE_DIM, "and %lu less likely", (unsigned long)(v->ranking.count - shown));
    if (!v->ranking.count)
        fen_page_line(page, 2, FEN_TONE_PLAIN, "No cause is left: every one is ruled out.");
}

void fen_show_standing(fen_page *page, fen_session *s)
{
    const fen_verdict *v = fen_session_verdict(s);
    show_ranking(page, fen_session_base(s), v);
    fen_show_part_hazards(page, s, false);
    fen_show_part_unexplained(page, s);
    fen_show_part_clashes(page, s);
}
