/* text_contrast.c -- two causes side by side: only what separates them.
 */
#include "say.h"

static void show_head(fen_page *page, const fen_base *base, const fen_contrast *c)
{
    char a[FEN_WORDS_MAX], b[FEN_WORDS_MAX];
    fen_page_open(page, 0, 0);
    fen_page_sayf(page, FEN_TONE_STRONG, "%s (%s) or %s (%s)", fen_say_name_of_cause(base, c->a),
                  fen_words_percent(a, c->p_a), fen_say_name_of_cause(base, c->b), fen_words_percent(b, c->p_b));
    fen_page_close(page);
    fen_page_gap(page);
    fen_page_line(page, 0, FEN_TONE_PLAIN, "Among plants brought in, the first is the cause in %s, the second in %s.",
                  fen_words_percent(a, c->usual_a), fen_words_percent(b, c->usual_b));
}

static void show_row(fen_page *page, fen_session *s, const fen_contrast_row *row)
{
    const fen_rule *r = fen_base_rule(fen_session_base(s), row->rule);
    char a[FEN_WORDS_MAX], b[FEN_WORDS_MAX], ratio[FEN_WORDS_MAX];
    const fen_weight apart = row->for_a > row->for_b ? row->for_a - row->for_b : row->for_b - row->for_a;
    fen_page_open_mark(page, 2, "+");
    fen_page_say(page, FEN_TONE_PLAIN, r->why ? r->why : r->id);
    fen_say_source(page, r->source);
    fen_page_close(page);
    fen_page_line(page, 4, FEN_TONE_PLAIN, "%s evidence: %s for the first and %s for the second, so %s with the %s",
                  fen_words_strength(apart), fen_words_dban(a, row->for_a), fen_words_dban(b, row->for_b),
                  fen_words_ratio(ratio, apart), row->for_a > row->for_b ? "first" : "second");
}

static void show_side(fen_page *page, fen_session *s, const fen_contrast *c, bool for_a)
{
    bool any = false;
    for (size_t i = 0; i < c->n_rows; i++) {
        if ((c->row[i].for_a > c->row[i].for_b) != for_a)
            continue;
        if (!any) {
            fen_page_gap(page);
            fen_page_line(page, 0, FEN_TONE_STRONG, "What points to %s",
                          fen_say_name_of_cause(fen_session_base(s), for_a ? c->a : c->b));
        }
        any = true;
        show_row(page, s, &c->row[i]);
    }
}

void fen_show_contrast(fen_page *page, fen_session *s, const fen_contrast *c)
{
    const fen_base *base = fen_session_base(s);
    show_head(page, base, c);
    show_side(page, s, c, true);
    show_side(page, s, c, false);
    fen_page_gap(page);
    if (!c->n_rows)
        fen_page_line(page, 0, FEN_TONE_PLAIN, "Nothing answered so far tells the two apart.");
    if (c->ask == FEN_NONE) {
        fen_page_line(page, 0, FEN_TONE_PLAIN, "No open question would tell them apart.");
        return;
    }
    const fen_finding *f = fen_base_finding(base, c->ask);
    fen_page_open(page, 0, 0);
    fen_page_say(page, FEN_TONE_PLAIN, "What would tell them apart best: ");
    fen_page_sayf(page, FEN_TONE_STRONG, "%s", f->ask ? f->ask : f->name);
    fen_page_sayf(page, FEN_TONE_DIM, " (%s)", f->id);
    fen_page_close(page);
}
