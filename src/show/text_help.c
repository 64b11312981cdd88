/* text_help.c -- `?` at a question: how to look, why it is asked now, and what
 * each answer would do.
 */
#include <math.h>

#include "say.h"
#include "util/number.h"

static const char *effort_words(fen_effort effort)
{
    static const char *const words[FEN_EFFORTS] = {
        [FEN_GLANCE] = "A look is enough.",
        [FEN_TOUCH] = "It takes a touch.",
        [FEN_METER] = "It takes a measurement.",
        [FEN_UNPOT] = "It means taking the plant out of its pot.",
    };
    return words[effort];
}

static void show_how(fen_page *page, const fen_finding *f)
{
    fen_page_title(page, "How to look");
    fen_page_line(page, 2, FEN_TONE_PLAIN, "%s", f->how ? f->how : "As the question says; there is no trick to it.");
    fen_page_line(page, 2, FEN_TONE_DIM, "%s", effort_words(f->effort));
}

static void say_danger(fen_page *page, fen_session *s, fen_id cause)
{
    const fen_cause *c = fen_base_cause(fen_session_base(s), cause);
    fen_page_sayf(page, FEN_TONE_PLAIN, "It decides whether it is %s, which can kill within %s and stands at ", c->name,
                  fen_words_urgency(c->urgency));
    fen_say_probability(page, fen_session_verdict(s)->p[cause]);
    fen_page_say(page, FEN_TONE_PLAIN, ".");
}

static void say_gain(fen_page *page, const fen_question *q)
{
    char bits[FEN_NUMBER_MAX];
    fen_number_show(bits, q->gain, 2);
    fen_page_sayf(page, FEN_TONE_PLAIN,
                  "Of all that is still open it tells most for its effort: %s" FEN_NBSP
                  "bit of doubt less, on average. (One bit settles a question between two equally likely causes.)",
                  bits);
}

static void show_reason(fen_page *page, fen_session *s, const fen_question *q)
{
    fen_page_title(page, "Why it is asked now");
    fen_page_open(page, 2, 2);
    switch (q->reason) {
    case FEN_ASK_NOTHING:
        fen_page_say(page, FEN_TONE_PLAIN, "It need not be: enough is known. It is the one that would still tell most.");
        break;
    case FEN_ASK_KIND:
        fen_page_say(page, FEN_TONE_PLAIN, "What else is worth asking depends on what kind of plant it is.");
        break;
    case FEN_ASK_DANGER:
        say_danger(page, s, q->cause);
        break;
    case FEN_ASK_GAIN:
        say_gain(page, q);
        break;
    case FEN_ASK_TOGETHER:
        fen_page_sayf(page, FEN_TONE_PLAIN, "Alone it tells little, but together with other answers it decides this: %s",
                      fen_base_rule(fen_session_base(s), q->rule)->why);
        break;
    case FEN_ASK_AGAIN:
        fen_page_say(page, FEN_TONE_PLAIN, "The plan of the last visit said that it would have changed by now; this tells whether it is getting better.");
        break;
    }
    fen_page_close(page);
}

static void say_stretch(fen_page *page, const fen_finding *f, const fen_outcome *o)
{
    /* What is believed at all is no bound worth telling. */
    const double lo = o->lo <= (f->type == FEN_DATE ? 0.0 : f->from) ? -INFINITY : o->lo;
    const double hi = f->type != FEN_DATE && o->hi >= f->to ? INFINITY : o->hi;
    if (isinf(lo) && isinf(hi))
        fen_page_say(page, FEN_TONE_PLAIN, "whatever it is");
    else if (f->type == FEN_DATE)
        fen_say_ago(page, lo, hi, !o->lo_in, !o->hi_in);
    else
        fen_say_range(page, lo, hi, !o->lo_in, !o->hi_in, f->dim);
}

static void show_outcome(fen_page *page, fen_session *s, const fen_finding *f, const fen_outcome *o)
{
    char percent[FEN_WORDS_MAX];
    fen_page_open(page, 2, 6);
    if (f->type == FEN_QUANTITY || f->type == FEN_DATE)
        say_stretch(page, f, o);
    else
        fen_say_answer(page, f, o->answer, fen_session_today(s));
    fen_page_sayf(page, FEN_TONE_DIM, " (expected %s)", fen_words_percent(percent, o->chance));
    fen_page_say(page, FEN_TONE_PLAIN, ": ");
    if (o->leader == FEN_NONE) {
        fen_page_say(page, FEN_TONE_PLAIN, "no cause would be left");
    } else {
        fen_page_sayf(page, FEN_TONE_PLAIN, "%s, ", fen_say_name_of_cause(fen_session_base(s), o->leader));
        fen_page_say(page, FEN_TONE_PLAIN, fen_words_percent(percent, o->p));
    }
    fen_page_close(page);
}

static void show_now(fen_page *page, fen_session *s)
{
    const fen_verdict *v = fen_session_verdict(s);
    char percent[FEN_WORDS_MAX];
    if (!v->ranking.count)
        return;
    const fen_id first = v->ranking.at[0];
    fen_page_line(page, 2, FEN_TONE_DIM, "Most likely now: %s, %s.", fen_say_name_of_cause(fen_session_base(s), first),
                  fen_words_percent(percent, v->p[first]));
}

static void show_outcomes(fen_page *page, fen_session *s, fen_id finding)
{
    const fen_finding *f = fen_base_finding(fen_session_base(s), finding);
    fen_outcomes *outcomes = NULL;
    const fen_status st = fen_why_outcomes(s, finding, &outcomes);
    if (st) {
        fen_page_fail(page, st);
        return;
    }
    if (outcomes->count) {
        fen_page_title(page, "What each answer would make most likely");
        show_now(page, s);
        for (size_t i = 0; i < outcomes->count; i++)
            show_outcome(page, s, f, &outcomes->at[i]);
    }
    fen_outcomes_free(outcomes);
}

void fen_show_help_for(fen_page *page, fen_session *s, const fen_question *q)
{
    if (q->finding == FEN_NONE) {
        fen_show_question(page, s, q);
        return;
    }
    show_how(page, fen_base_finding(fen_session_base(s), q->finding));
    show_reason(page, s, q);
    if (q->finding != FEN_KIND_FINDING)
        show_outcomes(page, s, q->finding);
}
