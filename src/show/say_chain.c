/* say_chain.c -- a chain of reasons, from a rule down to the grower's answers.
 */
#include "say.h"

size_t fen_chain_span(const fen_line *line, size_t n)
{
    size_t span = 1;
    while (span < n && line[span].depth > line[0].depth)
        span++;
    return span;
}

static void say_expr_answers(fen_page *page, fen_session *s, const fen_test *t)
{
    const fen_expr *e = fen_base_expr(fen_session_base(s), t->expr);
    for (uint32_t i = 0; i < e->findings.count; i++) {
        fen_page_say(page, FEN_TONE_PLAIN, i ? "; " : "");
        fen_say_given(page, s, e->findings.at[i]);
    }
}

/* A threshold is told beside the reading that met or missed it. */
static void say_threshold(fen_page *page, const fen_base *base, const fen_test *t, bool denied)
{
    fen_page_say(page, FEN_TONE_PLAIN, denied ? ", which is not " : ", which is ");
    fen_say_limits(page, fen_base_finding(base, t->finding), t);
}

/* The value that counted here; where rules clash it is not the only one. */
static void say_derived_line(fen_page *page, fen_session *s, const fen_line *l)
{
    const fen_base *base = fen_session_base(s);
    const fen_finding *f = fen_base_finding(base, l->finding);
    const fen_test *t = fen_base_test(base, l->test);
    bool is_default;
    const uint64_t picks = fen_session_derived(s, l->finding, &is_default);
    if (l->denied || t->op != FEN_TEST_ATOM) {
        fen_say_given(page, s, l->finding);
        return;
    }
    fen_page_sayf(page, FEN_TONE_PLAIN, "%s: %s", f->name, fen_say_option(f, t->option));
    if (f->type != FEN_SEVERAL)
        for (uint32_t i = 0; i < f->n_options; i++)
            if (i != t->option && (picks >> i & 1))
                fen_page_sayf(page, FEN_TONE_PLAIN, ", though %s as well", fen_say_option(f, i));
}

static void say_answer_line(fen_page *page, fen_session *s, const fen_line *l)
{
    const fen_base *base = fen_session_base(s);
    const fen_test *t = fen_base_test(base, l->test);
    if (t->op == FEN_TEST_EXPR) {
        say_expr_answers(page, s, t);
        fen_page_say(page, FEN_TONE_PLAIN, "; so ");
        fen_say_test(page, base, l->test, l->denied);
        return;
    }
    fen_say_given(page, s, l->finding);
    if (t->op == FEN_TEST_RANGE)
        say_threshold(page, base, t, l->denied);
    else if (t->op == FEN_TEST_ATOM && l->denied && fen_base_finding(base, l->finding)->type == FEN_SEVERAL)
        fen_page_sayf(page, FEN_TONE_PLAIN, ", without %s", fen_say_option(fen_base_finding(base, l->finding), t->option));
}

static void show_line(fen_page *page, fen_session *s, const fen_line *l, unsigned indent)
{
    const fen_base *base = fen_session_base(s);
    fen_page_open(page, indent, indent + 2);
    switch (l->type) {
    case FEN_LINE_RULE:
        fen_page_sayf(page, FEN_TONE_PLAIN, "since: %s", fen_base_rule(base, l->rule)->why);
        fen_say_source(page, fen_base_rule(base, l->rule)->source);
        break;
    case FEN_LINE_ANSWER:
        fen_page_say(page, FEN_TONE_PLAIN, "you said: ");
        say_answer_line(page, s, l);
        break;
    case FEN_LINE_DERIVED:
        fen_page_say(page, FEN_TONE_PLAIN, "worked out: ");
        say_derived_line(page, s, l);
        break;
    case FEN_LINE_DEFAULT:
        fen_page_say(page, FEN_TONE_PLAIN, "taken for granted, since nothing says otherwise: ");
        say_derived_line(page, s, l);
        break;
    case FEN_LINE_ABOVE:
        fen_page_say(page, FEN_TONE_PLAIN, "worked out above: ");
        say_derived_line(page, s, l);
        break;
    }
    fen_page_close(page);
}

void fen_show_under(fen_page *page, fen_session *s, const fen_line *line, size_t n, unsigned indent)
{
    const size_t span = fen_chain_span(line, n);
    for (size_t i = 1; i < span; i++)
        show_line(page, s, &line[i], indent + 2 * (line[i].depth - line[0].depth - 1));
}

static bool said_before(const fen_line *line, size_t i)
{
    for (size_t j = 0; j < i; j++)
        if (line[j].type == FEN_LINE_ANSWER && line[j].finding == line[i].finding)
            return true;
    return false;
}

/* The kind of plant is behind most rules and tells nothing: only where it is all there is. */
void fen_say_answers_of(fen_page *page, fen_session *s, const fen_line *line, size_t n)
{
    bool any = false;
    for (int kind_too = 0; kind_too < 2 && !any; kind_too++)
        for (size_t i = 0; i < n; i++) {
            const fen_line *l = &line[i];
            if (l->type != FEN_LINE_ANSWER || said_before(line, i) || (l->finding == FEN_KIND_FINDING && !kind_too))
                continue;
            fen_page_say(page, FEN_TONE_PLAIN, any ? "; " : "");
            fen_say_given(page, s, l->finding);
            any = true;
        }
    if (!any)
        fen_page_say(page, FEN_TONE_PLAIN, "whatever was answered");
}
