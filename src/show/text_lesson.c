/* text_lesson.c -- a wrong verdict and what could be learnt from it, in words.
 *
 * The rule is shown as it will stand in the pack, folded to the page where its lines are
 * long: to YAML that is the same text.
 */
#include "fenmend/lesson_view.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "say.h"

static const char *cause_name(const fen_base *base, fen_id cause)
{
    return cause == FEN_NONE ? "nothing that the rules know" : fen_base_cause(base, cause)->name;
}

/* ---- the case ---------------------------------------------------------------------------- */

static void show_judged(fen_page *page, fen_lesson *l)
{
    fen_session *s = fen_lesson_session(l);
    const fen_base *base = fen_session_base(s);
    const fen_verdict *v = fen_session_verdict(s);
    const fen_id wrong = fen_lesson_wrong(l), right = fen_lesson_true(l);
    fen_page_open(page, 0, 0);
    fen_page_sayf(page, FEN_TONE_PLAIN, "The verdict was %s", cause_name(base, wrong));
    if (wrong != FEN_NONE) {
        fen_page_say(page, FEN_TONE_PLAIN, " (");
        fen_say_probability(page, v->p[wrong]);
        fen_page_say(page, FEN_TONE_PLAIN, ")");
    }
    if (fen_lesson_how(l) == FEN_LESSON_RIGHT) {
        fen_page_say(page, FEN_TONE_GOOD, ", and so it was.");
    } else {
        fen_page_sayf(page, FEN_TONE_PLAIN, "; it was %s", cause_name(base, right));
        if (v->p[right] > 0) {
            fen_page_say(page, FEN_TONE_PLAIN, " (");
            fen_say_probability(page, v->p[right]);
            fen_page_say(page, FEN_TONE_PLAIN, ").");
        } else {
            fen_page_say(page, FEN_TONE_PLAIN, fen_lesson_how(l) == FEN_LESSON_UNFIT ? ", which by the rules cannot befall this kind of plant."
                                                                                     : ", which the rules had excluded.");
        }
    }
    fen_page_close(page);
}

/* The rules that fired for CAUSE, with the answers they rest on. */
static void show_evidence(fen_page *page, fen_session *s, fen_id cause, const char *title)
{
    fen_because *b;
    const fen_status st = fen_why_because(s, cause, &b);
    if (st) {
        fen_page_fail(page, st);
        return;
    }
    if (b->n_pro) {
        fen_page_gap(page);
        fen_page_line(page, 0, FEN_TONE_STRONG, "%s %s", title, fen_base_cause(fen_session_base(s), cause)->name);
    }
    for (size_t i = 0, n; i < b->n_pro; i += n) {
        char dban[FEN_WORDS_MAX];
        const fen_rule *r = fen_base_rule(fen_session_base(s), b->pro[i].rule);
        n = fen_chain_span(b->pro + i, b->n_pro - i);
        fen_page_open_mark(page, 2, "+");
        fen_say_answers_of(page, s, b->pro + i, n);
        fen_page_sayf(page, FEN_TONE_PLAIN, ": %s", fen_words_dban(dban, b->pro[i].weight));
        fen_page_sayf(page, FEN_TONE_DIM, " (%s)", r->id);
        fen_page_close(page);
    }
    fen_because_free(b);
}

static void show_against(fen_page *page, fen_session *s, fen_id cause)
{
    fen_because *b;
    const fen_status st = fen_why_because(s, cause, &b);
    if (st) {
        fen_page_fail(page, st);
        return;
    }
    if (b->n_contra) {
        fen_page_gap(page);
        fen_page_line(page, 0, FEN_TONE_STRONG, "What spoke against %s", fen_base_cause(fen_session_base(s), cause)->name);
    }
    for (size_t i = 0, n; i < b->n_contra; i += n) {
        char dban[FEN_WORDS_MAX];
        const fen_rule *r = fen_base_rule(fen_session_base(s), b->contra[i].rule);
        n = fen_chain_span(b->contra + i, b->n_contra - i);
        fen_page_open_mark(page, 2, "-");
        fen_say_answers_of(page, s, b->contra + i, n);
        if (b->contra[i].weight < INT64_MIN / 2)
            fen_page_say(page, FEN_TONE_PLAIN, ": excludes it");
        else
            fen_page_sayf(page, FEN_TONE_PLAIN, ": %s", fen_words_dban(dban, b->contra[i].weight));
        fen_page_sayf(page, FEN_TONE_DIM, " (%s)", r->id);
        fen_page_close(page);
    }
    fen_because_free(b);
}

void fen_show_lesson_case(fen_page *page, fen_lesson *l)
{
    fen_session *s = fen_lesson_session(l);
    show_judged(page, l);
    if (fen_lesson_how(l) != FEN_LESSON_WRONG)
        return;
    if (fen_lesson_wrong(l) != FEN_NONE)
        show_evidence(page, s, fen_lesson_wrong(l), "What spoke for");
    show_evidence(page, s, fen_lesson_true(l), "What spoke for");
    show_against(page, s, fen_lesson_true(l));
}

/* ---- a proposal in words --------------------------------------------------------------------- */

static void say_test(fen_page *page, const fen_base *base, const fen_lesson_test *t)
{
    const fen_finding *f = fen_base_finding(base, t->finding);
    const bool less = t->op == FEN_LESSON_LESS || t->op == FEN_LESSON_AT_MOST;
    const bool open = t->op == FEN_LESSON_LESS || t->op == FEN_LESSON_MORE;
    switch (t->op) {
    case FEN_LESSON_IS:
    case FEN_LESSON_INCLUDES:
    case FEN_LESSON_EXCLUDES:
        fen_page_sayf(page, FEN_TONE_PLAIN, "%s %s '%s'", f->name,
                      t->op == FEN_LESSON_IS ? "is" : t->op == FEN_LESSON_INCLUDES ? "includes" : "does not include", fen_say_option(f, t->option));
        return;
    case FEN_LESSON_LESS:
    case FEN_LESSON_AT_MOST:
    case FEN_LESSON_AT_LEAST:
    case FEN_LESSON_MORE:
        break;
    }
    fen_page_sayf(page, FEN_TONE_PLAIN, "%s is ", f->name);
    if (f->type == FEN_DATE)
        fen_say_ago(page, less ? -INFINITY : t->bound, less ? t->bound : INFINITY, open, open);
    else
        fen_say_range(page, less ? -INFINITY : t->bound, less ? t->bound : INFINITY, open, open, f->dim);
}

/* "Where where it stands is ..." would be said of many a finding, hence "if". */
static void say_where(fen_page *page, const fen_base *base, const fen_proposal *p)
{
    bool any = false;
    fen_page_say(page, FEN_TONE_PLAIN, p->misled.count ? "Where " : "If ");
    for (uint32_t i = 0; i < p->misled.count; i++) {
        const fen_rule *r = fen_base_rule(base, p->misled.at[i]);
        fen_page_sayf(page, FEN_TONE_PLAIN, "%s'%s' holds", any ? " and " : "", r->id);
        if (r->cond != FEN_NONE) {
            fen_page_say(page, FEN_TONE_PLAIN, " (");
            fen_say_cond(page, base, r->cond);
            fen_page_say(page, FEN_TONE_PLAIN, ")");
        }
        any = true;
    }
    for (size_t i = 0; i < p->n_tests; i++) {
        fen_page_say(page, FEN_TONE_PLAIN, any ? " and " : "");
        say_test(page, base, &p->tests[i]);
        any = true;
    }
}

static void say_move(fen_page *page, const fen_base *base, const fen_proposal *p, const fen_lesson_move *m)
{
    char weight[FEN_WORDS_MAX];
    const char *name = fen_base_cause(base, m->cause)->name;
    const fen_weight more = m->after - m->before;
    if (p->adds) {
        fen_page_sayf(page, FEN_TONE_PLAIN, "%s %s for %s", fen_words_dban(weight, more < 0 ? -more : more), more < 0 ? "less" : "more", name);
        return;
    }
    fen_page_sayf(page, FEN_TONE_PLAIN, "%s %s %s", fen_words_dban(weight, m->after < 0 ? -m->after : m->after), m->after < 0 ? "against" : "for", name);
    if (p->misled.count && m->before)
        fen_page_sayf(page, FEN_TONE_PLAIN, " instead of %s%s", fen_words_dban(weight, m->before < 0 ? -m->before : m->before),
                      (m->before < 0) == (m->after < 0) ? "" : m->before < 0 ? " against it" : " for it");
}

static void say_why_another_rule(fen_page *page, const fen_base *base, const fen_proposal *p)
{
    const char *id = fen_base_rule(base, p->misled.at[0])->id;
    if (p->form == FEN_LESSON_WEIGHT && p->adds)
        fen_page_sayf(page, FEN_TONE_PLAIN, " A pack cannot change the weight of another's rule, so a rule with the same condition stands beside '%s'.", id);
    else if (p->form == FEN_LESSON_WEIGHT)
        fen_page_sayf(page, FEN_TONE_PLAIN, " A pack cannot change the weight of another's rule, so a rule with the same condition takes the place of '%s'.", id);
}

static void show_words(fen_page *page, const fen_base *base, const fen_proposal *p)
{
    fen_page_open(page, 2, 2);
    say_where(page, base, p);
    fen_page_say(page, FEN_TONE_PLAIN, ", count ");
    for (size_t i = 0; i < p->n_moves; i++) {
        fen_page_say(page, FEN_TONE_PLAIN, i ? ", and " : "");
        say_move(page, base, p, &p->moves[i]);
    }
    if (!p->n_moves)
        fen_page_say(page, FEN_TONE_PLAIN, "it as possible");
    fen_page_say(page, FEN_TONE_PLAIN, ".");
    if (p->misled.count)
        say_why_another_rule(page, base, p);
    fen_page_close(page);
}

static void say_form(fen_page *page, fen_lesson *l, const fen_proposal *p, fen_tone tone)
{
    const fen_base *base = fen_session_base(fen_lesson_session(l));
    switch (p->form) {
    case FEN_LESSON_EXCEPTION:
        fen_page_sayf(page, tone, "%s to '%s'", p->adds ? "an addition" : "an exception", fen_base_rule(base, p->misled.at[0])->id);
        break;
    case FEN_LESSON_FOR:
        fen_page_sayf(page, tone, "a rule for %s", cause_name(base, fen_lesson_true(l)));
        break;
    case FEN_LESSON_AGAINST:
        fen_page_sayf(page, tone, "a rule against %s", cause_name(base, fen_lesson_wrong(l)));
        break;
    case FEN_LESSON_WEIGHT:
        fen_page_sayf(page, tone, "another weight for '%s'", fen_base_rule(base, p->misled.at[0])->id);
        break;
    }
}

static void show_title(fen_page *page, fen_lesson *l, size_t i)
{
    fen_page_open(page, 0, 0);
    fen_page_sayf(page, FEN_TONE_STRONG, "Proposal %lu of %lu: ", (unsigned long)i + 1, (unsigned long)fen_lesson_count(l));
    say_form(page, l, fen_lesson_at(l, i), FEN_TONE_STRONG);
    fen_page_close(page);
}

void fen_show_proposals(fen_page *page, fen_lesson *l, size_t at)
{
    const fen_base *base = fen_session_base(fen_lesson_session(l));
    for (size_t i = 0; i < fen_lesson_count(l); i++) {
        const fen_proposal *p = fen_lesson_at(l, i);
        char mark[32];
        snprintf(mark, sizeof mark, "%lu.", (unsigned long)i + 1);
        fen_page_open_mark(page, i < 9 ? 1 : 0, mark);
        say_form(page, l, p, i == at ? FEN_TONE_STRONG : FEN_TONE_PLAIN);
        for (size_t t = 0; t < p->n_tests; t++) {
            fen_page_say(page, FEN_TONE_PLAIN, t ? " and " : " if ");
            say_test(page, base, &p->tests[t]);
        }
        if (p->n_changed)
            fen_page_sayf(page, FEN_TONE_DANGER, ": %lu settled verdict%s would change", (unsigned long)p->n_changed, p->n_changed == 1 ? "" : "s");
        else if (fen_lesson_settled(l))
            fen_page_say(page, FEN_TONE_PLAIN, ": no settled verdict would change");
        fen_page_say(page, FEN_TONE_PLAIN, i == at ? " (the one at hand)" : "");
        fen_page_close(page);
    }
}

/* ---- what would change --------------------------------------------------------------------------- */

static void show_flip(fen_page *page, const fen_base *base, const fen_lesson_flip *f)
{
    fen_page_open_mark(page, 2, fen_page_glyph(page, FEN_GLYPH_DASH));
    fen_page_sayf(page, FEN_TONE_PLAIN, "%s: %s %s %s", f->id, cause_name(base, f->was), fen_page_glyph(page, FEN_GLYPH_TO), cause_name(base, f->now));
    for (uint32_t i = 0; i < f->settled.count; i++)
        fen_page_sayf(page, FEN_TONE_PLAIN, "%s%s", i ? ", " : "; settled as ", cause_name(base, f->settled.at[i]));
    if (f->right_now)
        fen_page_say(page, FEN_TONE_GOOD, ": right then");
    fen_page_close(page);
}

static void show_some(fen_page *page, const fen_base *base, const fen_proposal *p, bool gains)
{
    enum { SHOWN = 12 };
    size_t n = 0;
    for (size_t i = 0; i < p->n_flips; i++)
        if (p->flips[i].right_now == gains && n++ < SHOWN)
            show_flip(page, base, &p->flips[i]);
    if (n > SHOWN)
        fen_page_line(page, 4, FEN_TONE_PLAIN, "and %lu more", (unsigned long)(n - SHOWN));
}

static void say_sum(fen_page *page, size_t all, size_t changed, size_t gains)
{
    if (!all)
        fen_page_say(page, FEN_TONE_PLAIN, "There are no settled cases to hold it to.");
    else if (changed && all == 1)
        fen_page_say(page, FEN_TONE_DANGER, "The one settled verdict would change:");
    else if (changed)
        fen_page_sayf(page, FEN_TONE_DANGER, "Of %lu settled verdicts, %lu would change:", (unsigned long)all, (unsigned long)changed);
    else if (gains)
        fen_page_say(page, FEN_TONE_GOOD, "No settled verdict that was right would change.");
    else if (all == 1)
        fen_page_say(page, FEN_TONE_GOOD, "The one settled verdict stays as it is.");
    else
        fen_page_sayf(page, FEN_TONE_GOOD, "All %lu settled verdicts stay as they are.", (unsigned long)all);
}

void fen_show_proposal_changes(fen_page *page, fen_lesson *l, size_t i)
{
    const fen_base *base = fen_session_base(fen_lesson_session(l));
    const fen_proposal *p = fen_lesson_at(l, i);
    const size_t gains = p->n_flips - p->n_changed;
    fen_page_open(page, 2, 2);
    say_sum(page, fen_lesson_settled(l), p->n_changed, gains);
    fen_page_close(page);
    show_some(page, base, p, false);
    if (gains)
        fen_page_line(page, 2, FEN_TONE_PLAIN, "What was wrong would be right:");
    show_some(page, base, p, true);
    if (p->stuck)
        fen_page_line(page, 2, FEN_TONE_PLAIN, "Nothing that was found tells this case from %s.", p->n_changed == 1 ? "that one" : "those");
}

/* ---- as YAML --------------------------------------------------------------------------------------- */

void fen_show_proposal_rule(fen_page *page, fen_lesson *l, size_t i)
{
    for (const char *line = fen_lesson_at(l, i)->yaml; *line;) {
        const char *lf = strchr(line, '\n');
        const size_t len = lf ? (size_t)(lf - line) : strlen(line), blanks = strspn(line, " ");
        const unsigned indent = 4 + (unsigned)blanks;
        fen_page_open(page, indent, indent + 2);
        fen_page_sayf(page, FEN_TONE_PLAIN, "%.*s", (int)(len - blanks), line + blanks);
        fen_page_close(page);
        line += len + (lf != NULL);
    }
}

static void show_warnings(fen_page *page, const fen_proposal *p)
{
    for (const char *line = p->warnings; *line;) {
        const size_t len = strcspn(line, "\n");
        fen_page_line(page, 2, FEN_TONE_DIM, "%.*s", (int)len, line);
        line += len + (line[len] == '\n');
    }
}

void fen_show_proposal(fen_page *page, fen_lesson *l, size_t i)
{
    const fen_base *base = fen_session_base(fen_lesson_session(l));
    const fen_proposal *p = fen_lesson_at(l, i);
    show_title(page, l, i);
    show_words(page, base, p);
    fen_page_open(page, 2, 2);
    fen_page_sayf(page, FEN_TONE_PLAIN, "With it, %s would stand at ", cause_name(base, fen_lesson_true(l)));
    fen_say_probability(page, p->p);
    fen_page_say(page, FEN_TONE_PLAIN, ".");
    fen_page_close(page);
    fen_page_gap(page);
    fen_show_proposal_changes(page, l, i);
    fen_page_gap(page);
    fen_show_proposal_rule(page, l, i);
    if (p->warnings[0])
        fen_page_gap(page);
    show_warnings(page, p);
}
