/* text_verdict.c -- the closing verdict: its first lines, and its order.
 */
#include "text_verdict.h"

#include "say.h"
#include "text_parts.h"

/* Above this a cause that is not in the covering set still counts for urgency;
 * session.h sets the same bound on fen_verdict.urgency. Below it, several may count together. */
#define WORTH_NAMING 0.2

static bool in_list(fen_list list, fen_id id)
{
    for (uint32_t i = 0; i < list.count; i++)
        if (list.at[i] == id)
            return true;
    return false;
}

static const char *act_words(fen_urgency urgency)
{
    switch (urgency) {
    case FEN_HOURS:
        return "Act now: ";
    case FEN_DAYS:
        return "Act today: ";
    case FEN_WEEKS:
        return "Act this week: ";
    case FEN_NO_URGENCY:
        break;
    }
    return "";
}

/* None of them is likely, but together they are: the first few, and their sum. */
static void say_urgent_together(fen_page *page, fen_session *s, const fen_verdict *v)
{
    enum { NAMED = 3 };
    const fen_base *base = fen_session_base(s);
    const char *named[NAMED];
    uint32_t n = 0;
    double p = 0;
    char percent[FEN_WORDS_MAX];
    for (uint32_t i = 0; i < v->ranking.count; i++) {
        const fen_cause *c = fen_base_cause(base, v->ranking.at[i]);
        if (c->urgency < v->urgency)
            continue;
        p += v->p[v->ranking.at[i]];
        if (n++ < NAMED)
            named[n - 1] = c->name;
    }
    fen_page_say(page, FEN_TONE_PLAIN, "it may be ");
    for (uint32_t i = 0; i < n && i < NAMED; i++)
        fen_page_sayf(page, FEN_TONE_PLAIN, "%s%s", !i ? "" : i + 1 < n ? ", " : " or ", named[i]);
    fen_page_sayf(page, FEN_TONE_PLAIN, "%s: none of these is likely, but together (%s) they are too much to leave alone, and can kill within %s",
                  n > NAMED ? " or another" : "", fen_words_percent(percent, p), fen_words_urgency(v->urgency));
}

/* Everything that is as urgent as the verdict, "; " between. */
static void say_urgent(fen_page *page, fen_session *s, const fen_verdict *v)
{
    const fen_base *base = fen_session_base(s);
    const char *between = "";
    char percent[FEN_WORDS_MAX];
    for (uint32_t i = 0; i < v->ranking.count; i++) {
        const fen_id cause = v->ranking.at[i];
        const fen_cause *c = fen_base_cause(base, cause);
        if (c->urgency != v->urgency || (v->p[cause] <= WORTH_NAMING && !in_list(v->covering, cause)))
            continue;
        fen_page_sayf(page, FEN_TONE_PLAIN, v->p[cause] < 0.55 ? "%sit may be %s (%s), which can kill within %s" : "%s%s (%s) can kill within %s",
                      between, c->name, fen_words_percent(percent, v->p[cause]), fen_words_urgency(c->urgency));
        between = "; ";
    }
    for (uint32_t i = 0; i < v->hazards.count; i++) {
        const fen_hazard *h = fen_base_hazard(base, v->hazards.at[i]);
        if (h->urgency != v->urgency)
            continue;
        fen_page_sayf(page, FEN_TONE_PLAIN, "%s%s harms within %s", between, h->name, fen_words_urgency(h->urgency));
        between = "; ";
    }
    if (!*between)
        say_urgent_together(page, s, v);
}

static void say_calm(fen_page *page, fen_session *s, const fen_verdict *v)
{
    const fen_base *base = fen_session_base(s);
    if (v->blank) {
        fen_page_say(page, FEN_TONE_STRONG, "Nothing is known of this plant yet");
        return;
    }
    fen_page_say(page, FEN_TONE_GOOD, "Nothing dangerous in sight");
    if (!v->ranking.count)
        return;
    const fen_id first = v->ranking.at[0];
    const fen_cause *c = fen_base_cause(base, first);
    if (c->harmless && v->p[first] >= 0.55)
        fen_page_sayf(page, FEN_TONE_PLAIN, ": %s, which does no harm (%s)", c->name, fen_words_for(v->p[first]));
}

/* A fast killer that nobody has looked for is no reason to be calm. */
static void show_unchecked(fen_page *page, const fen_base *base, const fen_plan *plan)
{
    char percent[FEN_WORDS_MAX];
    for (size_t i = 0; i < plan->n_checks; i++) {
        const fen_cause *c = fen_base_cause(base, plan->checks[i].cause);
        fen_page_open(page, 0, 0);
        fen_page_say(page, FEN_TONE_DANGER, "Not ruled out: ");
        fen_page_sayf(page, FEN_TONE_PLAIN, "%s (%s), which can kill within %s. Check this first: %s", c->name,
                      fen_words_percent(percent, plan->checks[i].p), fen_words_urgency(c->urgency),
                      fen_base_finding(base, plan->checks[i].finding)->ask);
        fen_page_close(page);
    }
}

void fen_show_verdict_head(fen_page *page, fen_session *s, const fen_plan *plan)
{
    const fen_verdict *v = fen_session_verdict(s);
    fen_page_open(page, 0, 0);
    if (v->urgency == FEN_NO_URGENCY) {
        say_calm(page, s, v);
    } else {
        fen_page_say(page, v->urgency >= FEN_DAYS ? FEN_TONE_DANGER : FEN_TONE_STRONG, act_words(v->urgency));
        say_urgent(page, s, v);
    }
    fen_page_say(page, FEN_TONE_PLAIN, ".");
    fen_page_close(page);
    show_unchecked(page, fen_session_base(s), plan);
}

static void show_what_would_change(fen_page *page, fen_session *s)
{
    fen_flip f;
    const fen_status st = fen_why_flip(s, &f);
    if (st) {
        fen_page_fail(page, st);
        return;
    }
    if (!f.n_changes)
        return;
    fen_page_title(page, "What would change this");
    fen_show_part_flip(page, s, &f, 0);
}

/* Somebody who stops early is told what a further answer would be worth. */
static void show_stop(fen_page *page, fen_session *s, fen_stop stop)
{
    const char *why = fen_words_stop(stop);
    fen_question q;
    fen_page_title(page, "Why the questions end here");
    if (why) {
        fen_page_line(page, 0, FEN_TONE_PLAIN, "%s", why);
        return;
    }
    fen_session_next(s, &q);
    if (q.finding == FEN_NONE)
        fen_page_line(page, 0, FEN_TONE_PLAIN, "There is nothing left to ask.");
    else
        fen_page_line(page, 0, FEN_TONE_PLAIN, "You ended them. The next one would have been: %s",
                      fen_base_finding(fen_session_base(s), q.finding)->ask);
}

void fen_show_verdict(fen_page *page, fen_session *s, fen_stop stop)
{
    fen_plan *plan = NULL;
    const fen_status st = fen_plan_make(s, &plan);
    if (st) {
        fen_page_fail(page, st);
        return;
    }
    fen_show_verdict_head(page, s, plan);
    fen_show_verdict_causes(page, s);
    fen_show_part_hazards(page, s, true);
    fen_show_part_unexplained(page, s);
    fen_show_part_clashes(page, s);
    show_what_would_change(page, s);
    fen_show_verdict_plan(page, s, plan);
    show_stop(page, s, stop);
    fen_plan_free(plan);
}
