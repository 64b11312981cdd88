/* text_parts.c -- see text_parts.h.
 */
#include "text_parts.h"

#include "say.h"

static void say_hazard_reason(fen_page *page, fen_session *s, fen_id hazard)
{
    fen_chain *chain = NULL;
    const fen_status st = fen_why_hazard(s, hazard, &chain);
    if (st) {
        fen_page_fail(page, st);
        return;
    }
    fen_page_say(page, FEN_TONE_DIM, " You said: ");
    fen_say_answers_of(page, s, chain->line, chain->n_lines);
    fen_page_say(page, FEN_TONE_DIM, ".");
    fen_chain_free(chain);
}

void fen_show_part_hazards(fen_page *page, fen_session *s, bool full)
{
    const fen_verdict *v = fen_session_verdict(s);
    if (!v->hazards.count)
        return;
    fen_page_title(page, "Bad for the plant, whatever else it has");
    for (uint32_t i = 0; i < v->hazards.count; i++) {
        const fen_hazard *h = fen_base_hazard(fen_session_base(s), v->hazards.at[i]);
        fen_page_open_mark(page, 0, fen_page_glyph(page, FEN_GLYPH_DASH));
        fen_page_say(page, h->urgency >= FEN_DAYS ? FEN_TONE_DANGER : FEN_TONE_STRONG, h->name);
        if (h->urgency)
            fen_page_sayf(page, FEN_TONE_PLAIN, " (harms within %s)", fen_words_urgency(h->urgency));
        if (full) {
            fen_page_sayf(page, FEN_TONE_PLAIN, ". %s", h->about ? h->about : "");
            say_hazard_reason(page, s, v->hazards.at[i]);
        }
        fen_page_close(page);
    }
}

void fen_show_part_unexplained(fen_page *page, fen_session *s)
{
    const fen_verdict *v = fen_session_verdict(s);
    if (!v->unexplained.count)
        return;
    fen_page_title(page, "Not explained by any cause above");
    for (uint32_t i = 0; i < v->unexplained.count; i++) {
        fen_page_open_mark(page, 0, fen_page_glyph(page, FEN_GLYPH_DASH));
        fen_say_test(page, fen_session_base(s), v->unexplained.at[i], false);
        fen_page_close(page);
    }
}

static void show_clash(fen_page *page, fen_session *s, fen_id finding)
{
    fen_chain *chain = NULL;
    const fen_status st = fen_why_derived(s, finding, &chain);
    if (st) {
        fen_page_fail(page, st);
        return;
    }
    fen_page_open_mark(page, 0, fen_page_glyph(page, FEN_GLYPH_DASH));
    fen_say_given(page, s, finding);
    fen_page_close(page);
    for (size_t i = 0; i < chain->n_lines; i += fen_chain_span(chain->line + i, chain->n_lines - i)) {
        const fen_line *l = &chain->line[i];
        if (l->type == FEN_LINE_RULE) {
            const fen_rule *r = fen_base_rule(fen_session_base(s), l->rule);
            fen_page_open(page, 2, 4);
            fen_page_sayf(page, FEN_TONE_PLAIN, "since: %s", r->why);
            fen_say_source(page, r->source);
            fen_page_close(page);
        }
        fen_show_under(page, s, l, chain->n_lines - i, 4);
    }
    fen_chain_free(chain);
}

void fen_show_part_clashes(fen_page *page, fen_session *s)
{
    const fen_verdict *v = fen_session_verdict(s);
    if (!v->clashes.count)
        return;
    fen_page_title(page, "Your answers contradict each other");
    for (uint32_t i = 0; i < v->clashes.count; i++)
        show_clash(page, s, v->clashes.at[i]);
    fen_page_line(page, 0, FEN_TONE_PLAIN, "Look at these again; until then both are taken to hold.");
}

void fen_show_part_flip(fen_page *page, fen_session *s, const fen_flip *f, unsigned indent)
{
    const fen_base *base = fen_session_base(s);
    char percent[FEN_WORDS_MAX];
    fen_page_open(page, indent, indent);
    fen_page_say(page, FEN_TONE_PLAIN, "If ");
    for (size_t i = 0; i < f->n_changes; i++) {
        const fen_finding *finding = fen_base_finding(base, f->change[i].finding);
        fen_page_sayf(page, FEN_TONE_PLAIN, "%s%s were '", i ? ", and " : "", finding->name);
        fen_say_answer(page, finding, f->change[i].to, fen_session_today(s));
        fen_page_say(page, FEN_TONE_PLAIN, "' instead of '");
        fen_say_answer(page, finding, fen_session_given(s, f->change[i].finding), fen_session_today(s));
        fen_page_say(page, FEN_TONE_PLAIN, "'");
    }
    fen_page_sayf(page, FEN_TONE_PLAIN, ", %s would be most likely (%s).", fen_say_name_of_cause(base, f->to),
                  fen_words_percent(percent, f->p));
    fen_page_close(page);
}
