/* html_chain.c -- the reasons for a cause as a drawing: what was said, what that
 * tells, and the cause; strongest first, what speaks against it dashed.
 */
#include "fenmend/why.h"
#include "html.h"
#include "say.h"
#include "words.h"

enum { MOST_FOR = 6, MOST_AGAINST = 3 };
enum { SAID_X = 0, SAID_WIDTH = 224, SAID_COLUMNS = 27, WHY_X = 248, WHY_WIDTH = 292, WHY_COLUMNS = 35, CAUSE_X = 588, CAUSE_WIDTH = 132, CAUSE_COLUMNS = 14 };
enum { LINES = 4, LINE = 17, PAD = 9, GAP = 10 };

typedef struct reason {
    fen_str said;
    const fen_line *rule;
    bool against;
    int y, height;
} reason;

typedef struct chain {
    reason at[MOST_FOR + MOST_AGAINST];
    unsigned n;
    int height;
} chain;

static void add(fen_html *h, chain *c, const fen_line *line, size_t n, bool against)
{
    const fen_rule *rule = fen_base_rule(h->base, line[0].rule);
    reason *r = &c->at[c->n++];
    *r = (reason){ .rule = &line[0], .against = against, .y = c->height };
    fen_str_init(&r->said, 1u << 16);
    fen_say_answers_of(fen_html_open(h), h->s, line, n);
    fen_html_take(h, &r->said);
    const unsigned said = fen_svg_lines(r->said.at, SAID_COLUMNS, LINES);
    const unsigned why = 1 + fen_svg_lines(rule->why, WHY_COLUMNS, LINES);
    r->height = (int)(said > why ? said : why) * LINE + 2 * PAD;
    c->height += r->height + GAP;
}

static void gather(fen_html *h, chain *c, const fen_line *line, size_t n, unsigned most, bool against)
{
    for (size_t i = 0; i < n && most; most--) {
        const size_t span = fen_chain_span(line + i, n - i);
        add(h, c, line + i, span, against);
        i += span;
    }
}

static void put_reason(fen_html *h, const reason *r, int middle)
{
    const fen_rule *rule = fen_base_rule(h->base, r->rule->rule);
    const int y = r->y + r->height / 2;
    const char *class = r->against ? "box against" : "box";
    fen_html_rawf(h, "<rect class=\"box said\" x=\"%d\" y=\"%d\" width=\"%d\" height=\"%d\" rx=\"5\"/>", SAID_X + 1, r->y, SAID_WIDTH - 2, r->height);
    fen_html_rawf(h, "<path class=\"line\" d=\"M%d %dH%d\"/>", SAID_X + SAID_WIDTH - 1, y, WHY_X);
    fen_html_rawf(h, "<rect class=\"%s\" x=\"%d\" y=\"%d\" width=\"%d\" height=\"%d\" rx=\"5\"/>", class, WHY_X, r->y, WHY_WIDTH, r->height);
    fen_html_rawf(h, "<path class=\"%s\" d=\"M%d %dC%d %d %d %d %d %d\"/>\n", r->against ? "flow against" : "flow", WHY_X + WHY_WIDTH, y, CAUSE_X - 14, y,
                  WHY_X + WHY_WIDTH + 14, middle, CAUSE_X, middle);
    fen_svg_wrap(h, r->said.at, SAID_X + 10, r->y + PAD + 12, SAID_COLUMNS, LINES, "plain");
    fen_html_rawf(h, "<text class=\"small strong\" x=\"%d\" y=\"%d\">%s %s it</text>", WHY_X + 10, r->y + PAD + 11, fen_words_strength(r->rule->weight),
                  r->against ? "against" : "for");
    fen_svg_wrap(h, rule->why, WHY_X + 10, r->y + PAD + LINE + 12, WHY_COLUMNS, LINES, "plain");
}

static void put_cause(fen_html *h, const fen_because *b, int middle)
{
    char percent[FEN_WORDS_MAX];
    const char *name = fen_say_name_of_cause(h->base, b->cause);
    const int lines = (int)fen_svg_lines(name, CAUSE_COLUMNS, LINES) + 1;
    const int top = middle - lines * LINE / 2 - PAD;
    fen_html_rawf(h, "<rect class=\"box cause\" x=\"%d\" y=\"%d\" width=\"%d\" height=\"%d\" rx=\"5\"/>", CAUSE_X, top, CAUSE_WIDTH - 1, lines * LINE + 2 * PAD);
    fen_svg_wrap(h, name, CAUSE_X + 10, top + PAD + 13, CAUSE_COLUMNS, LINES, "strong");
    fen_html_rawf(h, "<text class=\"plain\" x=\"%d\" y=\"%d\">", CAUSE_X + 10, top + PAD + 13 + (lines - 1) * LINE);
    fen_html_text(h, fen_words_percent(percent, b->p));
    fen_html_raw(h, "</text>\n");
}

static void put_description(fen_html *h, const chain *c)
{
    fen_html_raw(h, "<desc id=\"chain-desc\">");
    for (unsigned i = 0; i < c->n; i++) {
        fen_html_text(h, c->at[i].said.at);
        fen_html_rawf(h, ": %s %s it, since ", fen_words_strength(c->at[i].rule->weight), c->at[i].against ? "against" : "for");
        fen_html_text(h, fen_base_rule(h->base, c->at[i].rule->rule)->why);
        fen_html_raw(h, i + 1 < c->n ? " " : "");
    }
    fen_html_raw(h, "</desc>\n");
}

void fen_html_chain(fen_html *h, fen_id cause)
{
    fen_because *b = NULL;
    chain c = { .n = 0 };
    const fen_status st = fen_why_because(h->s, cause, &b);
    if (st) {
        h->status = st;
        return;
    }
    gather(h, &c, b->pro, b->n_pro, MOST_FOR, false);
    gather(h, &c, b->contra, b->n_contra, MOST_AGAINST, true);
    if (c.n) {
        const int height = c.height < 110 ? 110 : c.height;
        fen_html_raw(h, "<h2>Why</h2>\n");
        fen_html_rawf(h, "<svg role=\"img\" aria-describedby=\"chain-desc\" viewBox=\"0 0 720 %d\" aria-label=\"From what was said to ", height);
        fen_html_text(h, fen_say_name_of_cause(h->base, cause));
        fen_html_raw(h, "\">\n");
        put_description(h, &c);
        for (unsigned i = 0; i < c.n; i++)
            put_reason(h, &c.at[i], height / 2);
        put_cause(h, b, height / 2);
        fen_html_raw(h, "</svg>\n");
    }
    for (unsigned i = 0; i < c.n; i++)
        fen_str_free(&c.at[i].said);
    fen_because_free(b);
}
