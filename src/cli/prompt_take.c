/* prompt_take.c -- answers taken down, and taken back.
 */
#include <stdlib.h>
#include <string.h>

#include "prompt_state.h"

static bool remember(fen_prompt *p, fen_id finding, bool answers)
{
    const fen_answer before = fen_session_given(p->s, finding);
    const fen_undo u = {
        .finding = finding,
        .before = before,
        .skipped_before = fen_session_skipped(p->s, finding),
        .skip = !answers,
        .joined = answers && before.state == FEN_OPEN,
        .asked = p->q,
        .open = p->open,
    };
    if (!FEN_VEC_ROOM(&p->order, 1) || !FEN_VEC_PUSH(&p->undo, u)) {
        fen_prompt_fault(p, NULL, FEN_ENOMEM, 0);
        return false;
    }
    return true;
}

/* The group of kinds that is being asked further, or FEN_NONE. */
static fen_id group_asked(const fen_prompt *p)
{
    const fen_answer a = fen_session_given(p->s, FEN_KIND_FINDING);
    return a.state == FEN_KNOWN ? (fen_id)__builtin_ctzll(a.picks) : FEN_NONE;
}

/* Kinds are numbered within the group at hand, which no case file knows of. */
static bool is_kind_number(const fen_prompt *p, const char *text, fen_answer *ret_answer)
{
    fen_id offered[FEN_KINDS_MAX];
    char *end;
    const unsigned long nth = strtoul(text, &end, 10);
    const uint32_t n = fen_base_kind_choices(p->base, group_asked(p), offered);
    if (end == text || *end || text[0] == '-' || nth < 1 || nth > n)
        return false;
    *ret_answer = (fen_answer){.state = FEN_KNOWN, .picks = UINT64_C(1) << offered[nth - 1]};
    return true;
}

fen_status fen_prompt_parse(const fen_prompt *p, fen_id finding, const char *text, fen_answer *ret_answer, char reterr[256])
{
    if (finding == FEN_KIND_FINDING && is_kind_number(p, text, ret_answer))
        return FEN_OK;
    return fen_answer_read(p->base, finding, text, strlen(text), fen_session_today(p->s), ret_answer, reterr);
}

bool fen_prompt_read_answer(fen_prompt *p, fen_id finding, const char *text, fen_answer *ret_answer)
{
    char err[256];
    const fen_status st = fen_prompt_parse(p, finding, text, ret_answer, err);
    if (st == FEN_EINPUT)
        fen_prompt_refuse(p, "%s", err);
    else if (st)
        fen_prompt_fault(p, NULL, st, 0);
    return !st;
}

/* The answer in words, on one line: from the view's page, where it may be wrapped. */
static void answer_words(fen_prompt *p, fen_id finding, fen_answer a, fen_str *out)
{
    size_t len;
    fen_show_answer(p->page, p->base, finding, a, fen_session_today(p->s));
    const char *text = fen_page_text(p->page, &len);
    for (size_t i = 0; i < len; i++) {
        const bool blank = text[i] == ' ' || text[i] == '\n';
        if (!blank)
            fen_str_putc(out, text[i]);
        else if (i + 1 < len && text[i + 1] != ' ' && text[i + 1] != '\n')
            fen_str_putc(out, ' ');
    }
    fen_page_clear(p->page);
}

/* What was taken down, in full: a beginning or a number may have been typed. */
static void say_understood(fen_prompt *p, fen_id finding, fen_answer a)
{
    fen_str words;
    fen_str_init(&words, 64u << 10);
    answer_words(p, finding, a, &words);
    if (fen_str_status(&words))
        fen_prompt_fault(p, NULL, FEN_ENOMEM, 0);
    else
        fen_prompt_tell(p, "Noted: %s: %s", fen_base_finding(p->base, finding)->name, words.at);
    fen_str_free(&words);
}

void fen_prompt_take(fen_prompt *p, fen_id finding, fen_answer a)
{
    if (finding == FEN_KIND_FINDING && a.state == FEN_UNSURE && group_asked(p) != FEN_NONE) {
        fen_prompt_skip(p); /* the group stays known */
        return;
    }
    if (!remember(p, finding, true))
        return;
    const fen_status st = fen_session_answer(p->s, finding, a);
    if (st) {
        p->undo.count--;
        fen_prompt_refuse(p, "'%s' cannot be that; see '?' for what can be believed", fen_base_finding(p->base, finding)->name);
        return;
    }
    fen_session_skip(p->s, finding, false);
    if (p->undo.at[p->undo.count - 1].joined)
        p->order.at[p->order.count++] = finding;
    p->judged_now = false;
    say_understood(p, finding, a);
    fen_prompt_ask_on(p);
}

void fen_prompt_skip(fen_prompt *p)
{
    if (!remember(p, p->q.finding, false))
        return;
    fen_session_skip(p->s, p->q.finding, true);
    fen_prompt_tell(p, "Passed over: %s.", fen_base_finding(p->base, p->q.finding)->name);
    fen_prompt_ask_on(p);
}

void fen_prompt_back(fen_prompt *p)
{
    if (!p->undo.count) {
        fen_prompt_refuse(p, "there is nothing left to take back");
        return;
    }
    const fen_undo u = p->undo.at[--p->undo.count];
    fen_status st = fen_session_answer(p->s, u.finding, u.before);
    if (st) { /* it was taken before, so it is taken again */
        fen_prompt_fault(p, NULL, st, 0);
        return;
    }
    fen_session_skip(p->s, u.finding, u.skipped_before);
    if (u.joined)
        p->order.count--;
    if (p->undo.count < p->kept)
        p->kept = UINT32_MAX;
    p->judged_now = false;
    fen_prompt_tell(p, "Taken back: %s.", fen_base_finding(p->base, u.finding)->name);
    p->q = u.asked;
    if (u.open)
        fen_prompt_show_question(p);
    else
        fen_prompt_ask_on(p);
}
