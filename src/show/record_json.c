/* record_json.c -- a judged case, and a batch's score, as one line of JSON each. */
#include <string.h>

#include "fenmend/records.h"
#include "text/json_write.h"
#include "util/digits.h"
#include "util/limits.h"

const char *fen_urgency_name(fen_urgency u)
{
    static const char *const names[] = { "none", "weeks", "days", "hours" };
    return names[u];
}

/* A cause's name has at most FEN_NAME_MAX bytes; the rest of its entry is shorter than this. */
#define ENTRY_MAX (FEN_NAME_MAX + FEN_NUMBER_MAX + FEN_DIGITS_FIXED + 40)

#define LAY(at, literal) ((char *)memcpy((at), (literal), sizeof(literal) - 1) + sizeof(literal) - 1)

/* Most of a line is its causes, so they are put together by hand. */
static char *lay_cause(char *at, const char *name, double p, fen_weight score)
{
    at = LAY(at, "{\"cause\":\"");
    at = stpcpy(at, name);
    at = LAY(at, "\",\"p\":");
    at += fen_digits_chance(at, p);
    at = LAY(at, ",\"score\":");
    at += fen_digits_fixed12(at, score);
    *at++ = '}';
    return at;
}

static void put_causes(fen_json_out *j, const fen_base *base, const fen_verdict *v)
{
    fen_json_key(j, "causes");
    fen_json_open(j, '[');
    char *at = fen_str_room(j->text, (size_t)v->ranking.count * ENTRY_MAX);
    for (uint32_t i = 0; at && i < v->ranking.count; i++) {
        const fen_id c = v->ranking.at[i];
        if (i)
            *at++ = ',';
        at = lay_cause(at, fen_base_cause(base, c)->id, v->p[c], v->score[c]);
    }
    if (at)
        fen_str_end(j->text, at);
    fen_json_close(j, ']');
}

static void put_covering(fen_json_out *j, const fen_base *base, fen_list causes)
{
    fen_json_key(j, "covering");
    fen_json_open(j, '[');
    for (uint32_t i = 0; i < causes.count; i++)
        fen_json_name(j, fen_base_cause(base, causes.at[i])->id);
    fen_json_close(j, ']');
}

/* Signs are answers of findings; a finding is named once. They come in base order. */
static void put_unexplained(fen_json_out *j, const fen_base *base, fen_list atoms)
{
    fen_id last = FEN_NONE;
    fen_json_key(j, "unexplained");
    fen_json_open(j, '[');
    for (uint32_t i = 0; i < atoms.count; i++) {
        const fen_id f = fen_base_test(base, atoms.at[i])->finding;
        if (f != last)
            fen_json_name(j, fen_base_finding(base, f)->id);
        last = f;
    }
    fen_json_close(j, ']');
}

static void put_hazards(fen_json_out *j, const fen_base *base, fen_list hazards)
{
    fen_json_key(j, "hazards");
    fen_json_open(j, '[');
    for (uint32_t i = 0; i < hazards.count; i++)
        fen_json_name(j, fen_base_hazard(base, hazards.at[i])->id);
    fen_json_close(j, ']');
}

static void put_verdict(fen_json_out *j, const fen_base *base, const fen_judged *judged)
{
    const fen_verdict *v = fen_session_verdict(judged->session);
    const fen_question *q = &judged->question;
    const fen_id kind = judged->c->kind;
    fen_json_name_or_null(j, "kind", kind == FEN_NONE ? NULL : fen_base_kind(base, kind)->id);
    fen_json_name_or_null(j, "urgency", fen_urgency_name(v->urgency));
    put_causes(j, base, v);
    put_covering(j, base, v->covering);
    put_unexplained(j, base, v->unexplained);
    put_hazards(j, base, v->hazards);
    const bool asks = q->reason != FEN_ASK_NOTHING && q->finding != FEN_NONE;
    fen_json_name_or_null(j, "next", asks ? fen_base_finding(base, q->finding)->id : NULL);
    fen_json_name_or_null(j, "stopped", asks ? NULL : fen_stop_name(q->stop));
}

void fen_record_json(struct fen_str *out, const fen_base *base, const fen_judged *judged)
{
    fen_json_out j = fen_json_begin(out);
    fen_json_open(&j, '{');
    fen_json_key_text(&j, "case", judged->id);
    if (judged->c)
        put_verdict(&j, base, judged);
    else
        fen_json_key_text(&j, "error", judged->error);
    fen_json_close(&j, '}');
    fen_str_putc(out, '\n');
}

/* -- the score ----------------------------------------------------------------- */

static void put_count(fen_json_out *j, const char *key, uint64_t n)
{
    fen_json_key(j, key);
    fen_json_count(j, n);
}

static void put_number(fen_json_out *j, const char *key, double x)
{
    fen_json_key(j, key);
    fen_json_number(j, x);
}

static void put_interval(fen_json_out *j, const char *key, const fen_share *s)
{
    fen_json_key(j, key);
    if (!s->n) {
        fen_json_text(j, NULL);
        return;
    }
    fen_json_open(j, '[');
    fen_json_number(j, s->lo);
    fen_json_number(j, s->hi);
    fen_json_close(j, ']');
}

static void put_bins(fen_json_out *j, const fen_score_sums *s)
{
    fen_json_key(j, "calibration");
    fen_json_open(j, '[');
    for (size_t i = 0; i < FEN_SCORE_BINS; i++) {
        fen_json_open(j, '{');
        put_number(j, "above", (double)i / FEN_SCORE_BINS);
        put_number(j, "to", (double)(i + 1) / FEN_SCORE_BINS);
        put_count(j, "cases", s->bin[i].n);
        put_number(j, "confidence", s->bin[i].confidence);
        put_number(j, "right", s->bin[i].right);
        fen_json_close(j, '}');
    }
    fen_json_close(j, ']');
}

static void put_confusion(fen_json_out *j, const fen_base *base, const fen_score_sums *s)
{
    fen_json_key(j, "confusion");
    fen_json_open(j, '[');
    for (size_t i = 0; i < s->n_confusion; i++) {
        const fen_confusion *c = &s->confusion[i];
        fen_json_open(j, '{');
        fen_json_name_or_null(j, "settled", fen_base_cause(base, c->was)->id);
        fen_json_name_or_null(j, "judged", c->judged == FEN_NONE ? NULL : fen_base_cause(base, c->judged)->id);
        put_count(j, "cases", c->n);
        fen_json_close(j, '}');
    }
    fen_json_close(j, ']');
}

static void put_asked(fen_json_out *j, const fen_score_sums *s)
{
    fen_json_key(j, "asked");
    fen_json_open(j, '{');
    put_number(j, "questions", s->asked);
    put_number(j, "answered", s->answered);
    put_number(j, "top1", s->asked_top1.p);
    put_interval(j, "top1_interval", &s->asked_top1);
    put_count(j, "right", s->asked_top1.k);
    put_number(j, "differs_p", s->asked_p);
    fen_json_close(j, '}');
}

void fen_record_score_json(struct fen_str *out, const fen_base *base, const fen_score_sums *s)
{
    fen_json_out j = fen_json_begin(out);
    fen_json_open(&j, '{');
    fen_json_key(&j, "score");
    fen_json_open(&j, '{');
    put_count(&j, "cases", s->cases);
    put_number(&j, "top1", s->top1.p);
    put_interval(&j, "top1_interval", &s->top1);
    put_number(&j, "top3", s->top3.p);
    put_interval(&j, "top3_interval", &s->top3);
    put_number(&j, "brier", s->brier);
    put_number(&j, "log_loss", s->log_loss);
    put_number(&j, "calibration_error", s->calibration);
    put_number(&j, "kappa", s->kappa);
    put_number(&j, "mean_recall", s->mean_recall);
    put_count(&j, "missed_danger", s->missed);
    put_count(&j, "late_danger", s->late);
    put_count(&j, "settled_urgent", s->urgent);
    put_asked(&j, s);
    put_bins(&j, s);
    put_confusion(&j, base, s);
    fen_json_close(&j, '}');
    fen_json_close(&j, '}');
    fen_str_putc(out, '\n');
}
