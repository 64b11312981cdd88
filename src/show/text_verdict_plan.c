/* text_verdict_plan.c -- what to do: in order, what to hold back and why, what to
 * leave alone, the cautions in full, and when to look again.
 */
#include <math.h>
#include <stdio.h>

#include "model/caution.h"
#include "say.h"
#include "text_verdict.h"

/* What to do, with its amounts in the units of the page. */
static void say_step(fen_page *page, const fen_base *base, const fen_plan_step *p)
{
    fen_str text;
    fen_str_init(&text, 1u << 20);
    fen_plan_step_text(&text, base, p, fen_page_look(page).us);
    if (fen_str_status(&text))
        fen_page_fail(page, FEN_ENOMEM);
    else
        fen_page_say(page, FEN_TONE_PLAIN, text.at);
    fen_str_free(&text);
}

static const fen_step *step_of(const fen_base *base, const fen_plan_step *p)
{
    return &fen_base_remedy(base, p->remedy)->steps[p->step];
}

/* The caution's name beside the step; its text follows below the steps. */
static void say_cautions(fen_page *page, const fen_step *step)
{
    for (uint32_t i = 0; i < step->cautions.count; i++)
        fen_page_sayf(page, FEN_TONE_STRONG, "%s%s%s", i ? ", " : " [caution: ", step->cautions.at[i],
                      i + 1 == step->cautions.count ? "]" : "");
}

/* Why there is no number in it. */
static void say_unworked(fen_page *page, const fen_base *base, const fen_plan_step *p)
{
    const fen_workings *w = &p->worked;
    if (w->done || !w->count)
        return;
    for (uint32_t i = 0; i < w->missing.count; i++)
        fen_page_sayf(page, FEN_TONE_PLAIN, "%s%s", i ? ", " : " (The figures wait for: ", fen_base_finding(base, w->missing.at[i])->name);
    for (uint32_t i = 0; !w->missing.count && i < w->count; i++)
        if (w->at[i].error.wrong[0])
            fen_page_sayf(page, FEN_TONE_PLAIN, " (No figures: %s; %s", w->at[i].error.wrong, w->at[i].error.right);
    fen_page_say(page, FEN_TONE_PLAIN, ".)");
}

static void say_again(fen_page *page, const fen_step *step)
{
    if (isnan(step->again))
        return;
    fen_page_say(page, FEN_TONE_PLAIN, " Again after ");
    fen_say_quantity(page, step->again, FEN_DIM_TIME_SPAN);
    fen_page_sayf(page, FEN_TONE_PLAIN, step->times > 1 ? ", %u times in all." : ".", (unsigned)step->times + 1);
}

static void show_steps(fen_page *page, const fen_base *base, const fen_plan *plan)
{
    unsigned number = 0;
    char mark[16];
    for (size_t i = 0; i < plan->n_steps; i++) {
        if (plan->steps[i].ready < 1)
            continue;
        snprintf(mark, sizeof mark, "%u.", ++number);
        fen_page_open_mark(page, number < 10 ? 1 : 0, mark);
        say_step(page, base, &plan->steps[i]);
        say_again(page, step_of(base, &plan->steps[i]));
        say_unworked(page, base, &plan->steps[i]);
        say_cautions(page, step_of(base, &plan->steps[i]));
        fen_page_close(page);
    }
}

static void show_held(fen_page *page, const fen_base *base, const fen_plan *plan)
{
    bool any = false;
    for (size_t i = 0; i < plan->n_steps; i++) {
        const fen_step *step = step_of(base, &plan->steps[i]);
        if (plan->steps[i].ready == 1)
            continue;
        if (!any)
            fen_page_title(page, "Hold back for now");
        any = true;
        fen_page_open_mark(page, 0, fen_page_glyph(page, FEN_GLYPH_DASH));
        say_step(page, base, &plan->steps[i]);
        say_cautions(page, step);
        fen_page_say(page, FEN_TONE_STRONG, " Only when ");
        fen_say_cond(page, base, step->when);
        fen_page_say(page, FEN_TONE_PLAIN, plan->steps[i].ready < 0 ? "; that is not so now." : "; that is not known yet.");
        fen_page_close(page);
    }
}

/* What the amounts wait for, and how it is found out. */
static void show_measure(fen_page *page, const fen_base *base, const fen_plan *plan)
{
    if (plan->measure.count)
        fen_page_title(page, "Measure this, and the plan will say how much");
    for (uint32_t i = 0; i < plan->measure.count; i++) {
        const fen_finding *f = fen_base_finding(base, plan->measure.at[i]);
        fen_page_open_mark(page, 0, fen_page_glyph(page, FEN_GLYPH_DASH));
        fen_page_sayf(page, FEN_TONE_STRONG, "%s: ", f->name);
        fen_page_sayf(page, FEN_TONE_PLAIN, "%s%s%s", f->ask, f->how ? " " : "", f->how ? f->how : "");
        fen_page_close(page);
    }
}

static fen_urgency urgency_of(const fen_plan *plan, fen_id remedy)
{
    for (size_t i = 0; i < plan->n_remedies; i++)
        if (plan->remedies[i].remedy == remedy)
            return plan->remedies[i].urgency;
    return FEN_NO_URGENCY;
}

/* What a remedy is for in this plan. */
static const char *reason_of(const fen_base *base, const fen_plan *plan, fen_id remedy)
{
    for (size_t i = 0; i < plan->n_remedies; i++)
        if (plan->remedies[i].remedy == remedy)
            return plan->remedies[i].cause != FEN_NONE ? fen_base_cause(base, plan->remedies[i].cause)->name
                                                       : fen_base_hazard(base, plan->remedies[i].hazard)->name;
    return "";
}

static void show_left(fen_page *page, const fen_base *base, const fen_plan *plan)
{
    if (plan->n_left)
        fen_page_title(page, "Left out, because it contradicts the rest");
    for (size_t i = 0; i < plan->n_left; i++) {
        const fen_plan_left *left = &plan->left[i];
        const bool urgent = urgency_of(plan, left->by.remedy) > urgency_of(plan, left->item.remedy);
        fen_page_open_mark(page, 0, fen_page_glyph(page, FEN_GLYPH_DASH));
        fen_page_sayf(page, FEN_TONE_PLAIN, "'%s' (for %s) gives way to '%s' (for %s), which is ", fen_plan_item_text(base, left->item),
                      reason_of(base, plan, left->item.remedy), fen_plan_item_text(base, left->by), reason_of(base, plan, left->by.remedy));
        fen_page_say(page, FEN_TONE_PLAIN, urgent ? "more urgent." : left->by.step == FEN_NONE ? "the safer of the two." : "the likelier of the two.");
        fen_page_close(page);
    }
}

static void show_never(fen_page *page, const fen_plan *plan)
{
    if (plan->never.count)
        fen_page_title(page, "What not to do");
    for (uint32_t i = 0; i < plan->never.count; i++) {
        fen_page_open_mark(page, 0, fen_page_glyph(page, FEN_GLYPH_DASH));
        fen_page_say(page, FEN_TONE_PLAIN, plan->never.at[i]);
        fen_page_close(page);
    }
}

static void show_cautions(fen_page *page, const fen_plan *plan)
{
    if (plan->cautions.count)
        fen_page_title(page, "For your own safety");
    for (uint32_t i = 0; i < plan->cautions.count; i++) {
        fen_caution caution;
        const char *id = plan->cautions.at[i];
        const bool known = fen_caution_find(id, &caution);
        fen_page_open_mark(page, 0, fen_page_glyph(page, FEN_GLYPH_DASH));
        fen_page_sayf(page, FEN_TONE_STRONG, "%s: ", id);
        fen_page_say(page, FEN_TONE_PLAIN,
                     known ? fen_caution_text(caution) : "take care, and follow the label and local rules.");
        fen_page_close(page);
    }
}

/* The date, and what should be seen then, for one remedy. */
static void show_look_again(fen_page *page, fen_session *s, const fen_remedy *r)
{
    const int32_t day = fen_session_today(s) + (int32_t)ceil(r->look_again);
    fen_page_open_mark(page, 0, fen_page_glyph(page, FEN_GLYPH_DASH));
    fen_say_date(page, day);
    fen_page_say(page, FEN_TONE_PLAIN, " (in ");
    fen_say_quantity(page, r->look_again, FEN_DIM_TIME_SPAN);
    fen_page_say(page, FEN_TONE_PLAIN, ").");
    if (r->expect)
        fen_page_sayf(page, FEN_TONE_PLAIN, " By then: %s", r->expect);
    if (r->otherwise)
        fen_page_sayf(page, FEN_TONE_PLAIN, " If not: %s", r->otherwise);
    for (uint32_t i = 0; i < r->n_look; i++)
        fen_page_sayf(page, FEN_TONE_PLAIN, "%s%s%s", i ? ", " : " Watch: ", fen_base_finding(fen_session_base(s), r->look[i].finding)->name,
                      i + 1 == r->n_look ? "." : "");
    fen_page_close(page);
}

/* Soonest first; equals as in the plan. */
static void show_look_again_all(fen_page *page, fen_session *s, const fen_plan *plan)
{
    const fen_base *base = fen_session_base(s);
    double last = -1.0;
    if (isnan(plan->look_again))
        return;
    fen_page_title(page, "Look again");
    for (;;) {
        double next = INFINITY;
        for (size_t i = 0; i < plan->n_remedies; i++) {
            const double days = fen_base_remedy(base, plan->remedies[i].remedy)->look_again;
            if (days > last && days < next)
                next = days;
        }
        if (isinf(next))
            return;
        for (size_t i = 0; i < plan->n_remedies; i++) {
            const fen_remedy *r = fen_base_remedy(base, plan->remedies[i].remedy);
            if (r->look_again <= next && r->look_again >= next)
                show_look_again(page, s, r);
        }
        last = next;
    }
}

static bool any_harm(const fen_base *base, const fen_plan *plan)
{
    for (uint32_t i = 0; i < plan->causes.count; i++)
        if (!fen_base_cause(base, plan->causes.at[i])->harmless)
            return true;
    return false;
}

void fen_show_verdict_plan(fen_page *page, fen_session *s, const fen_plan *plan)
{
    const fen_base *base = fen_session_base(s);
    if (plan->n_steps)
        fen_page_title(page, "What to do");
    else if (any_harm(base, plan))
        fen_page_title(page, "The rules know nothing to do about it.");
    show_steps(page, base, plan);
    show_measure(page, base, plan);
    show_held(page, base, plan);
    show_left(page, base, plan);
    show_never(page, plan);
    show_cautions(page, plan);
    show_look_again_all(page, s, plan);
}
