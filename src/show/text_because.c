/* text_because.c -- the whole chain behind one cause's probability.
 *
 * Every figure can be followed: the usual rate, each rule's weight and what it
 * makes of the probability so far, down to the answers the rule rests on.
 */
#include "say.h"

static void show_head(fen_page *page, const fen_base *base, const fen_because *b)
{
    const fen_cause *c = fen_base_cause(base, b->cause);
    char percent[FEN_WORDS_MAX];
    fen_page_open(page, 0, 0);
    fen_page_sayf(page, FEN_TONE_STRONG, "Why %s: ", c->name);
    if (b->excluded)
        fen_page_say(page, FEN_TONE_PLAIN, "ruled out");
    else
        fen_say_probability(page, b->p);
    fen_page_close(page);
    fen_page_gap(page);
    if (b->excluded && !b->n_contra && !b->n_pro) {
        fen_page_line(page, 0, FEN_TONE_PLAIN, "It does not occur in this kind of plant.");
        return;
    }
    fen_page_open(page, 0, 0);
    fen_page_sayf(page, FEN_TONE_PLAIN, "Before any answer it stood at %s, by how often it is the cause when a plant is brought in. ",
                  fen_words_percent(percent, b->p_usual));
    fen_page_say(page, FEN_TONE_PLAIN, "Evidence is weighed in dBan: 10" FEN_NBSP
                 "dBan is a thing found ten times as often with this cause as without it, 20" FEN_NBSP
                 "dBan a hundred times; minus is the other way round.");
    if ((b->n_pro || b->n_contra) && !b->excluded)
        fen_page_sayf(page, FEN_TONE_PLAIN, " By what is known of all other causes alone it would stand at %s; from there:",
                      fen_words_percent(percent, b->p_before));
    fen_page_close(page);
}

/* "strong for it, 10 dBan (10 times as likely): 4 % to 29 %" */
static void show_weight(fen_page *page, const fen_base *base, const fen_line *l, const fen_because *b, double p_before)
{
    char dban[FEN_WORDS_MAX], ratio[FEN_WORDS_MAX], from[FEN_WORDS_MAX], to[FEN_WORDS_MAX];
    fen_page_open(page, 4, 4);
    if (fen_base_rule_excludes(base, l->rule, b->cause)) {
        fen_page_say(page, FEN_TONE_STRONG, "rules it out altogether");
    } else if (l->weight == 0) {
        fen_page_say(page, FEN_TONE_PLAIN, "weighs nothing either way");
    } else {
        fen_page_sayf(page, FEN_TONE_PLAIN, "%s %s it: %s, %s", fen_words_strength(l->weight),
                      l->weight > 0 ? "for" : "against", fen_words_dban(dban, l->weight), fen_words_ratio(ratio, l->weight));
        if (!b->excluded)
            fen_page_sayf(page, FEN_TONE_PLAIN, "; %s %s %s", fen_words_percent(from, p_before),
                          fen_page_glyph(page, FEN_GLYPH_TO), fen_words_percent(to, l->p_after));
    }
    fen_page_close(page);
}

static void show_rule(fen_page *page, const fen_base *base, const char *mark, fen_id rule)
{
    const fen_rule *r = fen_base_rule(base, rule);
    fen_page_open_mark(page, 2, mark);
    fen_page_say(page, FEN_TONE_PLAIN, r->why ? r->why : r->id);
    fen_say_source(page, r->source);
    fen_page_close(page);
}

/* One side; *P goes on from reason to reason. */
static void show_side(fen_page *page, fen_session *s, const fen_because *b, bool pro, double *p)
{
    const fen_base *base = fen_session_base(s);
    const fen_line *line = pro ? b->pro : b->contra;
    const size_t n = pro ? b->n_pro : b->n_contra;
    if (!n)
        return;
    fen_page_title(page, pro ? "What speaks for it" : "What speaks against it");
    for (size_t i = 0; i < n; i += fen_chain_span(line + i, n - i)) {
        show_rule(page, base, pro ? "+" : "-", line[i].rule);
        show_weight(page, base, &line[i], b, *p);
        fen_show_under(page, s, line + i, n - i, 4);
        *p = line[i].p_after;
    }
}

/* What the weights add up to, and how that becomes the probability shown. */
static void show_sum(fen_page *page, const fen_base *base, const fen_because *b)
{
    char prior[FEN_WORDS_MAX], score[FEN_WORDS_MAX], percent[FEN_WORDS_MAX];
    if (b->excluded || (!b->n_pro && !b->n_contra) || fen_base_cause(base, b->cause)->prior <= FEN_NEVER)
        return;
    fen_page_gap(page);
    fen_page_line(page, 0, FEN_TONE_PLAIN,
                  "Added up: %s for how common it is, and the weights above, make %s. Set against the same sum for every other "
                  "cause, that is %s.",
                  fen_words_dban(prior, fen_base_cause(base, b->cause)->prior), fen_words_dban(score, b->score),
                  fen_words_percent(percent, b->p));
}

static void show_one_pending(fen_page *page, const fen_base *base, const fen_pending *p, fen_id cause)
{
    char dban[FEN_WORDS_MAX];
    show_rule(page, base, "?", p->rule);
    fen_page_open(page, 4, 4);
    fen_page_say(page, FEN_TONE_PLAIN, fen_base_rule_excludes(base, p->rule, cause) ? "would rule it out" : fen_words_dban(dban, p->weight));
    for (uint32_t k = 0; k < p->waits_for.count; k++)
        fen_page_sayf(page, FEN_TONE_PLAIN, "%s%s", k ? ", " : "; waits for: ",
                      fen_base_finding(base, p->waits_for.at[k])->name);
    fen_page_close(page);
}

static bool waited_for(const fen_pending *p, size_t end, fen_id finding)
{
    for (size_t i = 0; i < end; i++)
        for (uint32_t k = 0; k < p[i].waits_for.count; k++)
            if (p[i].waits_for.at[k] == finding)
                return true;
    return false;
}

/* The many weak ones: only what they wait for, each finding once. */
static void show_weaker(fen_page *page, const fen_base *base, const fen_pending *p, size_t n)
{
    bool any = false;
    fen_page_open_mark(page, 2, "?");
    fen_page_sayf(page, FEN_TONE_PLAIN, "%lu more that would weigh no more than these", (unsigned long)n);
    for (size_t i = 0; i < n; i++)
        for (uint32_t k = 0; k < p[i].waits_for.count; k++)
            if (!waited_for(p, i, p[i].waits_for.at[k])) {
                fen_page_sayf(page, FEN_TONE_PLAIN, "%s%s", any ? ", " : "; they wait for: ",
                              fen_base_finding(base, p[i].waits_for.at[k])->name);
                any = true;
            }
    fen_page_close(page);
}

static void show_pending(fen_page *page, fen_session *s, const fen_because *b)
{
    enum { IN_FULL = 6 };
    const fen_base *base = fen_session_base(s);
    const size_t full = b->n_pending > IN_FULL + 1 ? IN_FULL : b->n_pending;
    if (!b->n_pending)
        return;
    fen_page_title(page, "What would count, but is not known");
    for (size_t i = 0; i < full; i++)
        show_one_pending(page, base, &b->pending[i], b->cause);
    if (full < b->n_pending)
        show_weaker(page, base, b->pending + full, b->n_pending - full);
}

static void show_beaten(fen_page *page, const fen_base *base, const fen_because *b)
{
    if (!b->beaten.count)
        return;
    fen_page_title(page, "Set aside, since a more exact rule holds");
    for (uint32_t i = 0; i < b->beaten.count; i++)
        show_rule(page, base, fen_page_glyph(page, FEN_GLYPH_DASH), b->beaten.at[i]);
}

void fen_show_because(fen_page *page, fen_session *s, const fen_because *b)
{
    const fen_base *base = fen_session_base(s);
    char percent[FEN_WORDS_MAX];
    double p = b->p_before;
    show_head(page, base, b);
    if (!b->n_pro && !b->n_contra && !b->excluded)
        fen_page_line(page, 0, FEN_TONE_PLAIN, "No answer so far speaks for or against it; what is known of other causes makes it %s.",
                      fen_words_percent(percent, b->p));
    show_side(page, s, b, true, &p);
    show_side(page, s, b, false, &p);
    show_sum(page, base, b);
    show_pending(page, s, b);
    show_beaten(page, base, b);
}
