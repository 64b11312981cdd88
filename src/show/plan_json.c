/* plan_json.c -- a plan as one JSON object.
 */
#include <math.h>

#include "advice/plan.h"
#include "fenmend/plan_data.h"
#include "fenmend/records.h"
#include "model/caution.h"
#include "text/json_write.h"
#include "util/date.h"

typedef struct writer {
    fen_json_out j;
    fen_session *s;
    const fen_base *base;
    const fen_plan *plan;
    bool us;
} writer;

static void put_day(fen_json_out *j, const char *key, int32_t day)
{
    char buf[FEN_DATE_TEXT];
    fen_date_write(buf, day);
    fen_json_key_text(j, key, buf);
}

static void open_list(writer *w, const char *key)
{
    fen_json_key(&w->j, key);
    fen_json_open(&w->j, '[');
}

static void put_texts(writer *w, const char *key, fen_texts t)
{
    open_list(w, key);
    for (uint32_t i = 0; i < t.count; i++)
        fen_json_text(&w->j, t.at[i]);
    fen_json_close(&w->j, ']');
}

static void put_findings(writer *w, const char *key, fen_list ids)
{
    open_list(w, key);
    for (uint32_t i = 0; i < ids.count; i++)
        fen_json_text(&w->j, fen_base_finding(w->base, ids.at[i])->id);
    fen_json_close(&w->j, ']');
}

/* ---- what it is for ---- */

static void put_causes(writer *w)
{
    const fen_verdict *v = fen_session_verdict(w->s);
    open_list(w, "causes");
    for (uint32_t i = 0; i < w->plan->causes.count; i++) {
        const fen_cause *c = fen_base_cause(w->base, w->plan->causes.at[i]);
        fen_json_open(&w->j, '{');
        fen_json_key_text(&w->j, "cause", c->id);
        fen_json_key_text(&w->j, "name", c->name);
        fen_json_key(&w->j, "p");
        fen_json_number(&w->j, v->p[w->plan->causes.at[i]]);
        fen_json_close(&w->j, '}');
    }
    fen_json_close(&w->j, ']');
    open_list(w, "hazards");
    for (uint32_t i = 0; i < v->hazards.count; i++)
        fen_json_text(&w->j, fen_base_hazard(w->base, v->hazards.at[i])->id);
    fen_json_close(&w->j, ']');
}

static void put_checks(writer *w)
{
    open_list(w, "checks");
    for (size_t i = 0; i < w->plan->n_checks; i++) {
        const fen_plan_check *c = &w->plan->checks[i];
        fen_json_open(&w->j, '{');
        fen_json_key_text(&w->j, "cause", fen_base_cause(w->base, c->cause)->id);
        fen_json_key_text(&w->j, "finding", fen_base_finding(w->base, c->finding)->id);
        fen_json_key(&w->j, "p");
        fen_json_number(&w->j, c->p);
        fen_json_close(&w->j, '}');
    }
    fen_json_close(&w->j, ']');
}

/* ---- amounts ---- */

static void put_value(writer *w, const char *name, fen_measure m, const char *const *choices, double number, const char *text)
{
    fen_json_open(&w->j, '{');
    fen_json_key_text(&w->j, "name", name);
    fen_json_key(&w->j, "value");
    if (text)
        fen_json_text(&w->j, text);
    else if (choices && !isnan(number))
        fen_json_text(&w->j, choices[(size_t)number]);
    else if (m == FEN_MEASURE_DATE && !isnan(number)) {
        char buf[FEN_DATE_TEXT];
        fen_date_write(buf, (int32_t)number);
        fen_json_text(&w->j, buf);
    } else
        fen_json_number(&w->j, number);
    fen_json_key_text(&w->j, "unit", fen_reckon_unit(m));
}

static void put_worked(writer *w, const fen_worked *k)
{
    const fen_reckoner *r = k->reckoner;
    fen_json_open(&w->j, '{');
    fen_json_key_text(&w->j, "reckon", r->name);
    fen_json_key_text(&w->j, "formula", r->formula);
    fen_json_key_text(&w->j, "source", r->source);
    fen_json_key_text(&w->j, "trust", r->trust);
    open_list(w, "inputs");
    for (size_t i = 0; i < r->n_inputs; i++) {
        if (!k->in[i].text && isnan(k->in[i].number))
            continue;
        put_value(w, r->inputs[i].name, r->inputs[i].measure, r->inputs[i].choices, k->in[i].number, k->in[i].text);
        fen_json_key(&w->j, "usual");
        fen_json_bool(&w->j, !k->in[i].given);
        fen_json_close(&w->j, '}');
    }
    fen_json_close(&w->j, ']');
    open_list(w, "results");
    for (size_t i = 0; k->done && i < r->n_outputs; i++) {
        put_value(w, r->outputs[i].name, r->outputs[i].measure, r->outputs[i].choices, k->out[i], NULL);
        fen_json_close(&w->j, '}');
    }
    fen_json_close(&w->j, ']');
    fen_json_close(&w->j, '}');
}

/* ---- steps ---- */

static void put_step_text(writer *w, const fen_plan_step *p)
{
    fen_str text;
    fen_str_init(&text, 1u << 20);
    fen_plan_step_text(&text, w->base, p, w->us);
    if (fen_str_status(&text))
        w->j.text->failed = true;
    fen_json_key_text(&w->j, "text", text.at);
    fen_str_free(&text);
}

static const char *refusal(const fen_workings *k)
{
    for (uint32_t i = 0; i < k->count; i++)
        if (k->at[i].error.wrong[0])
            return k->at[i].error.wrong;
    return NULL;
}

static void put_step(writer *w, const fen_plan_step *p)
{
    static const char *const ready[] = { "no", "unknown", "yes" };
    const fen_remedy *r = fen_base_remedy(w->base, p->remedy);
    const fen_step *step = &r->steps[p->step];
    fen_json_open(&w->j, '{');
    fen_json_key_text(&w->j, "remedy", r->id);
    fen_json_key_text(&w->j, "step", step->id);
    put_step_text(w, p);
    fen_json_key_text(&w->j, "urgency", fen_urgency_name(p->urgency));
    fen_json_key_text(&w->j, "ready", ready[p->ready + 1]);
    put_texts(w, "cautions", step->cautions);
    fen_json_key(&w->j, "again_days");
    fen_json_number(&w->j, step->again);
    fen_json_key(&w->j, "times");
    fen_json_count(&w->j, step->times);
    put_findings(w, "missing", p->worked.missing);
    fen_json_key_text(&w->j, "refused", p->worked.done ? NULL : refusal(&p->worked));
    open_list(w, "amounts");
    for (uint32_t i = 0; i < p->worked.count; i++)
        put_worked(w, &p->worked.at[i]);
    fen_json_close(&w->j, ']');
    fen_json_close(&w->j, '}');
}

static void put_steps(writer *w)
{
    open_list(w, "steps");
    for (size_t i = 0; i < w->plan->n_steps; i++)
        put_step(w, &w->plan->steps[i]);
    fen_json_close(&w->j, ']');
    put_findings(w, "measure", w->plan->measure);
}

static void put_left(writer *w)
{
    open_list(w, "left_out");
    for (size_t i = 0; i < w->plan->n_left; i++) {
        const fen_plan_left *l = &w->plan->left[i];
        fen_json_open(&w->j, '{');
        fen_json_key_text(&w->j, "text", fen_plan_item_text(w->base, l->item));
        fen_json_key_text(&w->j, "remedy", fen_base_remedy(w->base, l->item.remedy)->id);
        fen_json_key_text(&w->j, "act", l->act);
        fen_json_key_text(&w->j, "gives_way_to", fen_plan_item_text(w->base, l->by));
        fen_json_key_text(&w->j, "of_remedy", fen_base_remedy(w->base, l->by.remedy)->id);
        fen_json_close(&w->j, '}');
    }
    fen_json_close(&w->j, ']');
}

static void put_cautions(writer *w)
{
    fen_json_key(&w->j, "cautions");
    fen_json_open(&w->j, '{');
    for (uint32_t i = 0; i < w->plan->cautions.count; i++) {
        fen_caution c;
        if (fen_caution_find(w->plan->cautions.at[i], &c))
            fen_json_key_text(&w->j, w->plan->cautions.at[i], fen_caution_text(c));
    }
    fen_json_close(&w->j, '}');
}

static void put_looks(writer *w)
{
    open_list(w, "look_again");
    for (size_t i = 0; i < w->plan->n_remedies; i++) {
        const fen_remedy *r = fen_base_remedy(w->base, w->plan->remedies[i].remedy);
        if (isnan(r->look_again))
            continue;
        fen_json_open(&w->j, '{');
        fen_json_key_text(&w->j, "remedy", r->id);
        put_day(&w->j, "day", fen_session_today(w->s) + (int32_t)ceil(r->look_again));
        fen_json_key_text(&w->j, "expect", r->expect);
        fen_json_key_text(&w->j, "otherwise", r->otherwise);
        open_list(w, "look");
        for (uint32_t k = 0; k < r->n_look; k++)
            fen_json_text(&w->j, fen_base_finding(w->base, r->look[k].finding)->id);
        fen_json_close(&w->j, ']');
        fen_json_close(&w->j, '}');
    }
    fen_json_close(&w->j, ']');
}

fen_status fen_json_plan(struct fen_str *out, const fen_case *c, fen_session *s, bool us)
{
    fen_plan *plan = NULL;
    const fen_status st = fen_plan_make(s, &plan);
    if (st)
        return st;
    writer w = { .j = fen_json_begin(out), .s = s, .base = fen_session_base(s), .plan = plan, .us = us };
    fen_json_open(&w.j, '{');
    fen_json_key_text(&w.j, "case", c->id);
    fen_json_key_text(&w.j, "kind", c->kind == FEN_NONE ? NULL : fen_base_kind(w.base, c->kind)->id);
    put_day(&w.j, "date", fen_session_today(s));
    fen_json_key_text(&w.j, "urgency", fen_urgency_name(fen_session_verdict(s)->urgency));
    put_causes(&w);
    put_checks(&w);
    put_steps(&w);
    put_left(&w);
    put_texts(&w, "never", plan->never);
    put_cautions(&w);
    put_looks(&w);
    fen_json_close(&w.j, '}');
    fen_str_putc(out, '\n');
    fen_plan_free(plan);
    return fen_str_status(out);
}
