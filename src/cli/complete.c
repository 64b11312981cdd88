#include "complete.h"

#include <string.h>

#include "names.h"
#include "prompt_words.h"

typedef struct place {
    const fen_session *s;
    const fen_base *base;
    fen_id open;
    const char *word; /* what is there so far */
    size_t len;
    fen_candidates *out;
    bool failed;
} place;

static void offer(place *p, const char *candidate)
{
    if (p->len && !fen_names_begins(p->word, p->len, candidate))
        return;
    p->failed = p->failed || !FEN_VEC_PUSH(&p->out->at, candidate);
}

static void offer_answers(place *p, fen_id finding)
{
    if (finding == FEN_NONE)
        return;
    const fen_finding *f = fen_base_finding(p->base, finding);
    for (uint32_t i = 0; i < f->n_options; i++)
        if (finding != FEN_KIND_FINDING || !fen_base_kind(p->base, i)->group || fen_base_kind(p->base, i)->latin)
            offer(p, f->options[i].id);
    if (f->type == FEN_SEVERAL)
        offer(p, "none");
}

static void offer_findings(place *p)
{
    for (fen_id i = 0; i < fen_base_findings(p->base); i++)
        if (!fen_base_finding(p->base, i)->derived && fen_session_applies(p->s, i))
            offer(p, fen_base_finding(p->base, i)->id);
}

static void offer_causes(place *p)
{
    for (fen_id i = 0; i < fen_base_causes(p->base); i++)
        if (fen_session_cause_applies(p->s, i))
            offer(p, fen_base_cause(p->base, i)->id);
}

static void offer_words(place *p)
{
    for (size_t i = 0; i < fen_prompt_word_count(); i++)
        offer(p, fen_prompt_word_at(i)->name);
}

/* After "note" or "suppose": a finding, then its answers. A finding may have been
 * written as several words, so what comes before is read as the prompt will. */
static void offer_finding_or_answer(place *p, const char *before, size_t len)
{
    char text[512], err[FEN_NAMES_ERROR];
    fen_id finding;
    const char *rest;
    if (len >= sizeof text)
        return;
    memcpy(text, before, len);
    text[len] = '\0';
    if (strspn(text, " \t") == len) {
        offer_findings(p);
        return;
    }
    if (fen_names_finding_first(p->s, text, &finding, &rest, err))
        return;
    offer_answers(p, finding);
    if (fen_base_finding(p->base, finding)->type != FEN_SEVERAL || !*rest)
        offer(p, "unsure");
}

static void offer_arguments(place *p, const fen_prompt_word *w, const char *before, size_t len)
{
    switch (w->takes) {
    case FEN_TAKES_NOTHING:
        break;
    case FEN_TAKES_ANSWER:
        offer_answers(p, p->open);
        break;
    case FEN_TAKES_FINDING:
        offer_finding_or_answer(p, before, len);
        break;
    case FEN_TAKES_CAUSE:
    case FEN_TAKES_CAUSES:
        offer_causes(p);
        break;
    case FEN_TAKES_FILE:
        p->out->files = true;
        break;
    case FEN_TAKES_WORD:
        offer_words(p);
        break;
    }
}

fen_status fen_complete(const fen_session *s, fen_id open, const char *line, size_t start, size_t end, fen_candidates *ret)
{
    *ret = (fen_candidates){0};
    place p = {.s = s, .base = fen_session_base(s), .open = open, .word = line + start, .len = end - start, .out = ret};
    size_t at = strspn(line, " \t");
    const size_t first = strcspn(line + at, " \t");
    if (at >= start) { /* the first word */
        offer_answers(&p, open);
        offer_words(&p);
    } else {
        const fen_prompt_word *w = fen_prompt_word_find(line + at, first);
        at += first;
        if (w && at <= start)
            offer_arguments(&p, w, line + at, start - at);
        else
            offer_answers(&p, open); /* "old-traps, new-..." */
    }
    if (!p.failed)
        return FEN_OK;
    fen_candidates_free(ret);
    return FEN_ENOMEM;
}

void fen_candidates_free(fen_candidates *c)
{
    FEN_VEC_FREE(&c->at);
}
