#include "prompt_words.h"

#include <errno.h>
#include <stdio.h>
#include <string.h>

#include "columns.h"
#include "fenmend/why.h"
#include "names.h"
#include "prompt_keep.h"
#include "prompt_state.h"
#include "util/near.h"

/* ---- about the open question ------------------------------------------------- */

static bool needs_question(fen_prompt *p)
{
    if (p->open)
        return true;
    fen_prompt_refuse(p, "no question is open; %s",
                      p->q.finding != FEN_NONE ? "an empty line asks one more" : "'note FINDING ANSWER' tells something");
    return false;
}

static void run_how(fen_prompt *p, const char *rest)
{
    (void)rest;
    if (!needs_question(p))
        return;
    fen_prompt_part(p);
    fen_show_help_for(p->page, p->s, &p->q);
    fen_prompt_flush(p);
}

static void run_answer(fen_prompt *p, const char *rest)
{
    fen_answer a;
    if (needs_question(p) && fen_prompt_read_answer(p, p->q.finding, rest, &a))
        fen_prompt_take(p, p->q.finding, a);
}

static void run_unsure(fen_prompt *p, const char *rest)
{
    (void)rest;
    if (needs_question(p))
        fen_prompt_take(p, p->q.finding, (fen_answer){.state = FEN_UNSURE});
}

static void run_skip(fen_prompt *p, const char *rest)
{
    (void)rest;
    if (needs_question(p))
        fen_prompt_skip(p);
}

static void run_back(fen_prompt *p, const char *rest)
{
    (void)rest;
    fen_prompt_back(p);
}

/* ---- findings by name ---------------------------------------------------------- */

/* "FINDING ANSWER" to both; false: refused, and said so. */
static bool read_told(fen_prompt *p, const char *word, const char *rest, fen_id *ret_finding, fen_answer *ret_answer)
{
    char err[FEN_NAMES_ERROR];
    const char *answer;
    if (!*rest) {
        fen_prompt_refuse(p, "'%s' needs a finding and its answer; write '%s FINDING ANSWER'", word, word);
        return false;
    }
    if (fen_names_finding_first(p->s, rest, ret_finding, &answer, err)) {
        fen_prompt_refuse(p, "%s", err);
        return false;
    }
    const fen_finding *f = fen_base_finding(p->base, *ret_finding);
    if (!fen_session_applies(p->s, *ret_finding)) {
        fen_prompt_refuse(p, "'%s' does not apply to this kind of plant; 'help note' lists what does", f->id);
        return false;
    }
    if (!*answer) {
        fen_prompt_refuse(p, "'%s' needs the answer too; write '%s %s ANSWER'", word, word, f->id);
        return false;
    }
    return fen_prompt_read_answer(p, *ret_finding, answer, ret_answer);
}

static void run_note(fen_prompt *p, const char *rest)
{
    fen_id finding;
    fen_answer a;
    if (read_told(p, "note", rest, &finding, &a))
        fen_prompt_take(p, finding, a);
}

static void run_suppose(fen_prompt *p, const char *rest)
{
    fen_id finding;
    fen_answer a;
    if (!read_told(p, "suppose", rest, &finding, &a))
        return;
    fen_prompt_part(p);
    fen_show_suppose(p->page, p->s, finding, a);
    fen_prompt_flush(p);
}

/* ---- causes ------------------------------------------------------------------------ */

static void run_standing(fen_prompt *p, const char *rest)
{
    (void)rest;
    fen_prompt_part(p);
    fen_show_standing(p->page, p->s);
    fen_prompt_flush(p);
}

/* The NTH cause of the ranking, from 0; says so if there are fewer. */
static bool ranked(fen_prompt *p, uint32_t nth, fen_id *ret_cause)
{
    const fen_verdict *v = fen_session_verdict(p->s);
    if (nth >= v->ranking.count) {
        fen_prompt_refuse(p, "there are not that many causes in question; 'standing' lists them");
        return false;
    }
    *ret_cause = v->ranking.at[nth];
    return true;
}

static void run_because(fen_prompt *p, const char *rest)
{
    char err[FEN_NAMES_ERROR];
    fen_because *b;
    fen_id cause;
    if (!*rest && !ranked(p, 0, &cause))
        return;
    if (*rest && fen_names_cause(p->s, rest, strlen(rest), NULL, &cause, err)) {
        fen_prompt_refuse(p, "%s", err);
        return;
    }
    const fen_status st = fen_why_because(p->s, cause, &b);
    if (st) {
        fen_prompt_fault(p, NULL, st, 0);
        return;
    }
    fen_prompt_part(p);
    fen_show_because(p->page, p->s, b);
    fen_because_free(b);
    fen_prompt_flush(p);
}

static void run_contrast(fen_prompt *p, const char *rest)
{
    char err[FEN_NAMES_ERROR];
    fen_contrast *c;
    fen_id a, b;
    if (!*rest && !(ranked(p, 0, &a) && ranked(p, 1, &b)))
        return;
    if (*rest && fen_names_two_causes(p->s, rest, &a, &b, err)) {
        fen_prompt_refuse(p, "%s", err);
        return;
    }
    if (a == b) {
        fen_prompt_refuse(p, "both are '%s'; name two different causes", fen_base_cause(p->base, a)->id);
        return;
    }
    const fen_status st = fen_why_contrast(p->s, a, b, &c);
    if (st) {
        fen_prompt_fault(p, NULL, st, 0);
        return;
    }
    fen_prompt_part(p);
    fen_show_contrast(p->page, p->s, c);
    fen_contrast_free(c);
    fen_prompt_flush(p);
}

static void run_flip(fen_prompt *p, const char *rest)
{
    fen_flip f;
    (void)rest;
    const fen_status st = fen_why_flip(p->s, &f);
    if (st) {
        fen_prompt_fault(p, NULL, st, 0);
        return;
    }
    fen_prompt_part(p);
    fen_show_flip(p->page, p->s, &f);
    fen_prompt_flush(p);
}

/* ---- the end ------------------------------------------------------------------------ */

static void run_plan(fen_prompt *p, const char *rest)
{
    (void)rest;
    fen_prompt_part(p);
    fen_show_plan(p->page, p->s);
    fen_prompt_flush(p);
}

static void run_amounts(fen_prompt *p, const char *rest)
{
    (void)rest;
    fen_prompt_part(p);
    fen_show_plan_amounts(p->page, p->s);
    fen_prompt_flush(p);
}

static void run_keep(fen_prompt *p, const char *rest)
{
    fen_prompt_keep(p, rest);
}

static void run_lesson(fen_prompt *p, const char *rest)
{
    fen_prompt_lesson(p, rest);
}

static void run_done(fen_prompt *p, const char *rest)
{
    (void)rest;
    if (!p->judged_now)
        fen_prompt_verdict(p);
    p->leave = true;
}

static void run_quit(fen_prompt *p, const char *rest)
{
    (void)rest;
    p->leave = true;
}

/* ---- help ----------------------------------------------------------------------------- */

static void usage_of(const fen_prompt_word *w, char *buf, size_t size)
{
    snprintf(buf, size, "%s%s%s", w->name, w->arguments ? " " : "", w->arguments ? w->arguments : "");
}

static void list_words(fen_str *out, size_t width)
{
    fen_columns_text(out, "An answer is its word, the beginning of it, its number, or a number with its unit. Beside answers there are these words:",
                     width);
    for (size_t i = 0; i < fen_prompt_word_count(); i++) {
        char usage[64];
        usage_of(fen_prompt_word_at(i), usage, sizeof usage);
        fen_columns_put(out, usage, fen_prompt_word_at(i)->does, 26, width);
    }
    fen_columns_text(out, "'help WORD' tells more. An answer that is also a word here is taken as the answer; '/WORD' is always the word, "
                          "'= ANSWER' always the answer.",
                     width);
}

static void list_findings(fen_prompt *p, fen_str *out, size_t width)
{
    fen_columns_text(out, "The findings of this kind of plant:", width);
    for (fen_id i = 0; i < fen_base_findings(p->base); i++) {
        const fen_finding *f = fen_base_finding(p->base, i);
        if (!f->derived && fen_session_applies(p->s, i))
            fen_columns_put(out, f->id, f->name, 30, width);
    }
}

static void explain_word(fen_prompt *p, fen_str *out, const fen_prompt_word *w, size_t width)
{
    char usage[64];
    usage_of(w, usage, sizeof usage);
    fen_columns_put(out, usage, w->does, 26, width);
    if (w->more)
        fen_columns_text(out, w->more, width);
    if (w->takes == FEN_TAKES_FINDING)
        list_findings(p, out, width);
}

static void run_help(fen_prompt *p, const char *rest)
{
    fen_str out;
    const bool forced = rest[0] == '/' && rest[1];
    const fen_prompt_word *w = fen_prompt_word_find(rest + forced, strlen(rest + forced));
    if (*rest && !w) {
        fen_near near;
        fen_near_begin(&near, rest, strlen(rest));
        for (size_t i = 0; i < fen_prompt_word_count(); i++)
            fen_near_offer(&near, fen_prompt_word_at(i)->name);
        fen_prompt_refuse(p, "'%.60s' is no word of the prompt; %s%s%s", rest, near.name ? "did you mean '" : "'help' lists them",
                          near.name ? near.name : "", near.name ? "'" : "");
        return;
    }
    fen_str_init(&out, 1u << 20);
    if (w)
        explain_word(p, &out, w, p->look.width);
    else
        list_words(&out, p->look.width);
    fen_prompt_part(p);
    if (fen_str_status(&out))
        fen_prompt_fault(p, NULL, FEN_ENOMEM, 0);
    else
        fen_sink_puts(p->set.out, out.at);
    fen_str_free(&out);
    p->fresh = false;
}

/* ---- the table --------------------------------------------------------------------------- */

static const fen_prompt_word words[] = {
    {"?", NULL, FEN_TAKES_NOTHING, "how to look, why it is asked, what answers would do", NULL, run_how},
    {"unsure", NULL, FEN_TAKES_NOTHING, "asked, but cannot tell; not asked again",
     "It counts for nothing, neither for nor against. The case remembers that it was asked.", run_unsure},
    {"skip", NULL, FEN_TAKES_NOTHING, "not now: ask something else",
     "The finding stays open. It is not proposed again, but 'note' can still tell it.", run_skip},
    {"back", NULL, FEN_TAKES_NOTHING, "take back the last answer; again: the one before",
     "Notes and skips are taken back as well. The question that was open is asked again. What a case file told can be taken back as well.", run_back},
    {"note", "FINDING ANSWER", FEN_TAKES_FINDING, "tell something not asked, or change what was told",
     "A finding that was told before is changed. 'note FINDING unsure' says that it cannot be told.", run_note},
    {"standing", NULL, FEN_TAKES_NOTHING, "the causes in question now, best first", NULL, run_standing},
    {"because", "[CAUSE]", FEN_TAKES_CAUSE, "where the verdict on a cause comes from",
     "Down to your answers and the sources of the rules, with each weight. Without a cause: the one that leads.", run_because},
    {"contrast", "[CAUSE CAUSE]", FEN_TAKES_CAUSES, "what separates two causes, and what would tell",
     "And the question that would separate them best. Without causes: the two that lead.", run_contrast},
    {"flip", NULL, FEN_TAKES_NOTHING, "the fewest changed answers that change the verdict", NULL, run_flip},
    {"suppose", "FINDING ANSWER", FEN_TAKES_FINDING, "the verdict as if; nothing is recorded", NULL, run_suppose},
    {"plan", NULL, FEN_TAKES_NOTHING, "what to do, as things stand", NULL, run_plan},
    {"amounts", NULL, FEN_TAKES_NOTHING, "how the plan's amounts were worked out", NULL, run_amounts},
    {"keep", "[FILE]", FEN_TAKES_FILE, "write the case to a file",
     "The rest of the line is the name. 'fenmend triage FILE' goes on from there. Without a name: the file it came from or was kept in "
     "last, and, once it is settled, among the settled cases as well. The file is replaced as a whole or not at all. What holds something else is replaced only when the same is said twice.",
     run_keep},
    {"lesson", "[CAUSE]", FEN_TAKES_CAUSE, "it was something else: learn a rule from that",
     "CAUSE is what it turned out to be; without it, what the case says. Shows what the verdict relied on, proposes the smallest rule that puts it "
     "right, and what that would change about cases settled before; nothing is kept before you say so. A case that was judged rightly joins the "
     "settled ones.",
     run_lesson},
    {"done", NULL, FEN_TAKES_NOTHING, "enough asked: say the verdict and leave", NULL, run_done},
    {"help", "[WORD]", FEN_TAKES_WORD, "these words, or more about one", NULL, run_help},
    {"quit", NULL, FEN_TAKES_NOTHING, "leave at once (Ctrl-D too)", NULL, run_quit},
    {"=", "ANSWER", FEN_TAKES_ANSWER, "an answer, even if it is also a word above", NULL, run_answer},
};

size_t fen_prompt_word_count(void)
{
    return sizeof words / sizeof *words;
}

const fen_prompt_word *fen_prompt_word_at(size_t i)
{
    return &words[i];
}

const fen_prompt_word *fen_prompt_word_find(const char *name, size_t len)
{
    for (size_t i = 0; i < fen_prompt_word_count(); i++)
        if (fen_names_same(name, len, words[i].name))
            return &words[i];
    return NULL;
}
