/* prompt_ask.c -- what is asked next, and what is said when nothing needs asking.
 */
#include "prompt_state.h"

void fen_prompt_show_question(fen_prompt *p)
{
    if (p->q.reason == FEN_ASK_NOTHING) /* asked on past the end: it tells most of what is left */
        p->q.reason = FEN_ASK_GAIN;
    fen_prompt_part(p);
    fen_show_question(p->page, p->s, &p->q);
    fen_prompt_flush(p);
    p->open = true;
    p->fresh = true;
}

void fen_prompt_say_what_is_left(fen_prompt *p)
{
    static const char words[] = "'because', 'contrast', 'flip' and 'suppose' look closer; 'note' adds something; 'keep FILE' keeps the case; "
                                "'done' leaves.";
    const char *more = p->told_what_is_left ? "" : words;
    if (p->q.finding != FEN_NONE)
        fen_prompt_tell(p, "An empty line asks one more question (%s). %s", fen_base_finding(p->base, p->q.finding)->name, more);
    else
        fen_prompt_tell(p, "No question is left. %s", words);
    p->told_what_is_left = true;
}

static uint64_t mix(uint64_t mark, uint64_t x)
{
    return (mark ^ x) * UINT64_C(1099511628211); /* FNV-1a's prime, a word at a time */
}

/* Two verdicts with the same mark say the same, apart from figures. */
static uint64_t mark_of(fen_prompt *p)
{
    const fen_verdict *v = fen_session_verdict(p->s);
    const fen_list parts[] = {v->covering, v->hazards, v->unexplained, v->clashes};
    uint64_t mark = mix(mix(0, v->ranking.count ? v->ranking.at[0] : FEN_NONE), (uint64_t)v->urgency);
    for (size_t i = 0; i < FEN_COUNT(parts); i++) {
        mark = mix(mark, parts[i].count);
        for (uint32_t j = 0; j < parts[i].count; j++)
            mark = mix(mark, parts[i].at[j]);
    }
    return mark;
}

/* What the last visit's plan wanted looked at comes before anything else. */
static bool ask_again(fen_prompt *p)
{
    for (uint32_t i = 0; p->set.follow && i < p->set.follow->ask.count; i++) {
        const fen_id finding = p->set.follow->ask.at[i];
        if (!fen_session_askable(p->s, finding) || fen_session_skipped(p->s, finding) || fen_session_given(p->s, finding).state != FEN_OPEN)
            continue;
        p->q = (fen_question){.finding = finding, .reason = FEN_ASK_AGAIN, .cause = FEN_NONE, .rule = FEN_NONE};
        return true;
    }
    return false;
}

static void show_progress(fen_prompt *p)
{
    fen_prompt_part(p);
    fen_show_progress(p->page, p->s, p->set.follow);
    fen_prompt_flush(p);
}

/* Once, when the last of it is answered. */
static void tell_progress(fen_prompt *p)
{
    if (!p->set.follow || p->told_progress || fen_follow_overall(p->set.follow, p->s) == FEN_TREND_UNKNOWN)
        return;
    p->told_progress = true;
    show_progress(p);
}

void fen_prompt_verdict(fen_prompt *p)
{
    if (p->set.follow && !p->told_progress)
        show_progress(p);
    p->told_progress = p->set.follow != NULL;
    fen_prompt_part(p);
    fen_show_verdict(p->page, p->s, p->q.stop);
    fen_prompt_flush(p);
    p->judged = p->judged_now = true;
    p->judged_mark = mark_of(p);
}

/* After more answers than were needed the whole verdict would bury what is new:
 * it is said again only when more than its figures has changed. */
static void verdict_again(fen_prompt *p)
{
    const fen_verdict *v = fen_session_verdict(p->s);
    if (!p->judged || mark_of(p) != p->judged_mark || !v->ranking.count) {
        fen_prompt_verdict(p);
    } else {
        const fen_id leads = v->ranking.at[0];
        fen_prompt_tell(p, "The verdict stands: %s, %s. 'done' says it in full.", fen_base_cause(p->base, leads)->name,
                        fen_words_for(v->p[leads]));
    }
}

static bool counts(const fen_verdict *v, fen_id cause)
{
    for (uint32_t i = 0; i < v->covering.count; i++)
        if (v->covering.at[i] == cause)
            return true;
    return v->p[cause] > 0.2; /* as fen_verdict.urgency counts them */
}

/* The likeliest cause that is as urgent as the verdict, or FEN_NONE. */
static fen_id urgent_cause(fen_prompt *p, const fen_verdict *v)
{
    for (uint32_t i = 0; i < v->ranking.count; i++)
        if (fen_base_cause(p->base, v->ranking.at[i])->urgency == v->urgency && counts(v, v->ranking.at[i]))
            return v->ranking.at[i];
    return FEN_NONE;
}

static fen_id urgent_hazard(fen_prompt *p, const fen_verdict *v)
{
    for (uint32_t i = 0; i < v->hazards.count; i++)
        if (fen_base_hazard(p->base, v->hazards.at[i])->urgency == v->urgency)
            return v->hazards.at[i];
    return FEN_NONE;
}

/* Whoever talks about a dying plant shall not have to wait for the verdict. */
static void warn_of_danger(fen_prompt *p)
{
    const fen_verdict *v = fen_session_verdict(p->s);
    const char *when = v->urgency == FEN_HOURS ? "hours" : "days";
    const bool worse = v->urgency >= FEN_DAYS && v->urgency > p->warned;
    p->warned = v->urgency;
    if (!worse)
        return;
    const fen_id cause = urgent_cause(p, v), hazard = urgent_hazard(p, v);
    if (cause != FEN_NONE)
        fen_prompt_tell(p, "This may be urgent: it could be %s, which can kill within %s.", fen_base_cause(p->base, cause)->name, when);
    else if (hazard != FEN_NONE)
        fen_prompt_tell(p, "This is urgent: %s, which harms within %s.", fen_base_hazard(p->base, hazard)->name, when);
}

void fen_prompt_ask_on(fen_prompt *p)
{
    const fen_id before = p->open ? p->q.finding : FEN_NONE;
    if (!ask_again(p)) {
        tell_progress(p);
        fen_session_next(p->s, &p->q);
    }
    p->open = p->q.reason != FEN_ASK_NOTHING;
    if (p->open) {
        warn_of_danger(p);
        /* Else it still stands there, and the prompt names it; but a kind is asked again within its group. */
        if (p->q.finding != before || before == FEN_KIND_FINDING)
            fen_prompt_show_question(p);
        return;
    }
    verdict_again(p);
    fen_prompt_part(p);
    fen_prompt_say_what_is_left(p);
}
