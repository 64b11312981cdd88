/* amount.c -- see amount.h.
 */
#include "amount.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "util/vec.h"

typedef struct worker {
    const fen_session *s;
    fen_arena *arena;
    FEN_VEC(fen_worked) worked;
    FEN_VEC(fen_id) missing;
    bool lost;
} worker;

static void miss(worker *k, fen_id finding)
{
    for (uint32_t i = 0; i < k->missing.count; i++)
        if (k->missing.at[i] == finding)
            return;
    k->lost = !FEN_VEC_PUSH(&k->missing, finding) || k->lost;
}

/* The answer picked, as one of the calculator's choices; NaN if it has none such. */
static double choice_of(const fen_finding *f, uint64_t picks, const char *const *choices)
{
    for (uint32_t o = 0; o < f->n_options; o++)
        for (size_t i = 0; (picks >> o & 1) && choices[i]; i++)
            if (strcmp(f->options[o].id, choices[i]) == 0)
                return (double)i;
    return NAN;
}

static double value_of(const worker *k, fen_id finding, const fen_reckon_input *in)
{
    const fen_answer a = fen_session_given(k->s, finding);
    const fen_finding *f = fen_base_finding(fen_session_base(k->s), finding);
    if (a.state != FEN_KNOWN)
        return NAN;
    if (f->type == FEN_CHOICE)
        return choice_of(f, a.picks, in->choices);
    return in->measure == FEN_MEASURE_HOURS ? a.value * 24 : a.value;
}

/* False: the value is not known. */
static bool bind(worker *k, const fen_binding *b, const fen_reckon_input *in, fen_reckon_value *v, const fen_worked *inner)
{
    *v = (fen_reckon_value){ b->number, b->text, b->text ? strlen(b->text) : 0, true };
    switch (b->op) {
    case FEN_BIND_FINDING:
        v->number = value_of(k, b->finding, in);
        break;
    case FEN_BIND_TODAY:
        v->number = fen_session_today(k->s);
        break;
    case FEN_BIND_HERE:
        v->number = fen_base_settings(fen_session_base(k->s))->latitude;
        break;
    case FEN_BIND_AMOUNT:
        v->number = inner && inner->done ? inner->out[b->result] : NAN;
        break;
    case FEN_BIND_VALUE:
        break;
    }
    v->given = v->text || !isnan(v->number);
    return v->given;
}

/* Is there a value for what NAME's row cannot do without? */
static bool is_needed(const fen_reckon_input *in)
{
    return in->group || in->need == FEN_RECKON_REQUIRED;
}

/* Where the garden is does not belong to a plant's findings, but to its keeper's pack. */
static void ask_for_place(fen_worked *w)
{
    w->error.code = FEN_CODE_MISSING;
    snprintf(w->error.wrong, sizeof w->error.wrong, "the latitude is not known");
    snprintf(w->error.right, sizeof w->error.right, "write your own in a pack of your own, as in 'settings: {latitude: 51 N}'");
}

static bool work(worker *k, const fen_amount *a, fen_worked *ret)
{
    bool known = true;
    fen_worked w = { .reckoner = a->reckoner };
    fen_reckon_begin(w.reckoner, w.in);
    for (uint32_t i = 0; i < a->n_bindings; i++) {
        const fen_binding *b = &a->bindings[i];
        const fen_reckon_input *in = &w.reckoner->inputs[b->input];
        fen_worked inner = { 0 };
        fen_reckon_value v;
        if (b->op == FEN_BIND_AMOUNT)
            (void)work(k, b->amount, &inner);
        if (bind(k, b, in, &v, &inner)) {
            w.in[b->input] = v;
        } else if (is_needed(in)) {
            known = false;
            if (b->op == FEN_BIND_FINDING)
                miss(k, b->finding);
            else if (b->op == FEN_BIND_HERE)
                ask_for_place(&w);
        }
    }
    if (known)
        w.done = fen_reckon_run(w.reckoner, w.in, w.out, &w.error) == FEN_OK;
    k->lost = !FEN_VEC_PUSH(&k->worked, w) || k->lost;
    *ret = w;
    return w.done;
}

fen_status fen_amount_work(const fen_session *s, const fen_amount *amount, fen_arena *arena, fen_workings *ret)
{
    worker k = { .s = s, .arena = arena };
    fen_worked w;
    const bool done = work(&k, amount, &w);
    const fen_worked *at = fen_arena_copy(arena, k.worked.at, k.worked.count, sizeof *k.worked.at);
    const fen_id *missing = fen_arena_copy(arena, k.missing.at, k.missing.count, sizeof *k.missing.at);
    *ret = (fen_workings){ at, k.worked.count, { missing, k.missing.count }, done };
    FEN_VEC_FREE(&k.worked);
    FEN_VEC_FREE(&k.missing);
    return k.lost || !at || !missing ? FEN_ENOMEM : FEN_OK;
}

static void put_value(fen_str *out, const fen_worked *w, const char *name, size_t len, bool us)
{
    char buf[FEN_RECKON_TEXT];
    const size_t o = fen_reckon_output_find(w->reckoner, name, len);
    const size_t i = fen_reckon_input_find(w->reckoner, name, len);
    if (o != FEN_RECKON_NONE)
        fen_reckon_show(buf, w->reckoner->outputs[o].measure, w->reckoner->outputs[o].choices, w->out[o], us);
    else if (i != FEN_RECKON_NONE && !w->in[i].text)
        fen_reckon_show(buf, w->reckoner->inputs[i].measure, w->reckoner->inputs[i].choices, w->in[i].number, us);
    if (o == FEN_RECKON_NONE && i != FEN_RECKON_NONE && w->in[i].text)
        fen_str_put(out, w->in[i].text, w->in[i].len);
    else if (o != FEN_RECKON_NONE || i != FEN_RECKON_NONE)
        fen_str_puts(out, buf);
}

/* The value that {NAME} stands for; NaN: there is none. */
static double value_named(const fen_worked *w, const char *name, size_t len)
{
    const size_t o = fen_reckon_output_find(w->reckoner, name, len);
    const size_t i = fen_reckon_input_find(w->reckoner, name, len);
    if (o != FEN_RECKON_NONE)
        return w->out[o];
    return i != FEN_RECKON_NONE && !w->in[i].text ? w->in[i].number : 0;
}

bool fen_amount_says(const char *text, const fen_worked *w)
{
    for (const char *brace = text; (brace = strchr(brace, '{')) != NULL; brace++) {
        const char *end = strchr(brace, '}');
        if (end && isnan(value_named(w, brace + 1, (size_t)(end - brace - 1))))
            return false;
    }
    return true;
}

void fen_amount_text(fen_str *out, const char *text, const fen_worked *w, bool us)
{
    for (const char *brace; (brace = strchr(text, '{')) != NULL;) {
        const char *end = strchr(brace, '}');
        if (!end)
            break;
        fen_str_put(out, text, (size_t)(brace - text));
        put_value(out, w, brace + 1, (size_t)(end - brace - 1), us);
        text = end + 1;
    }
    fen_str_puts(out, text);
}
