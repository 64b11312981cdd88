/* explain_json.c -- a case and the reasons for its verdict, as one object.
 *
 * A chain is a list of steps. A step of a rule has `rule`, `why`, `source`, and `from`:
 * the answers and worked-out values that its condition used, each again with the steps it
 * came from. Steps of a cause have `weight` (dBan) and `p`, the cause's chance after it.
 */
#include "fenmend/records.h"
#include "model/quantity.h"
#include "text/json_write.h"
#include "util/date.h"

#include <math.h>

/* -- answers and tests --------------------------------------------------------------- */

static void put_picks(fen_json_out *j, const fen_finding *f, uint64_t picks)
{
    fen_json_open(j, '[');
    for (uint32_t i = 0; i < f->n_options; i++)
        if (picks >> i & 1)
            fen_json_name(j, f->options[i].id);
    fen_json_close(j, ']');
}

static void put_number_with_unit(fen_json_out *j, double value, fen_dim dim)
{
    char buf[FEN_QUANTITY_TEXT];
    fen_quantity_write(buf, (fen_quantity){ value, dim });
    fen_json_text(j, buf);
}

/* As a case file has it: several answers as a list, quantities with their unit. */
static void put_answer(fen_json_out *j, const fen_finding *f, fen_answer a)
{
    char date[FEN_DATE_TEXT];
    if (a.state == FEN_UNSURE)
        fen_json_text(j, "unsure");
    else if (f->type == FEN_SEVERAL)
        put_picks(j, f, a.picks);
    else if (f->type == FEN_QUANTITY)
        put_number_with_unit(j, a.value, f->dim);
    else if (f->type == FEN_DATE) {
        fen_date_write(date, (int32_t)a.value);
        fen_json_text(j, date);
    } else
        for (uint32_t i = 0; i < f->n_options; i++)
            if (a.picks >> i & 1)
                fen_json_name(j, f->options[i].id);
}

static void put_bound(fen_json_out *j, const char *at, const char *beyond, double value, bool open, fen_dim dim)
{
    if (!isfinite(value))
        return;
    fen_json_key(j, open ? beyond : at);
    put_number_with_unit(j, value, dim);
}

static void put_findings_of(fen_json_out *j, const fen_base *base, fen_list list, const char *key)
{
    fen_json_key(j, key);
    fen_json_open(j, '[');
    for (uint32_t i = 0; i < list.count; i++)
        fen_json_name(j, fen_base_finding(base, list.at[i])->id);
    fen_json_close(j, ']');
}

static void put_test(fen_json_out *j, const fen_base *base, fen_id test)
{
    const fen_test *t = fen_base_test(base, test);
    const fen_finding *f = t->finding == FEN_NONE ? NULL : fen_base_finding(base, t->finding);
    fen_dim dim = FEN_DIM_NONE;
    if (f)
        fen_json_key_text(j, "finding", f->id);
    switch (t->op) {
    case FEN_TEST_ATOM: fen_json_key_text(j, "is", f->options[t->option].id); return;
    case FEN_TEST_UNSURE: fen_json_key_text(j, "is", "unsure"); return;
    case FEN_TEST_UNKNOWN: fen_json_key_text(j, "is", "unknown"); return;
    case FEN_TEST_RANGE: dim = f->type == FEN_DATE ? FEN_DIM_TIME_SPAN : f->dim; break;
    case FEN_TEST_EXPR:
        dim = fen_base_expr(base, t->expr)->dim;
        put_findings_of(j, base, fen_base_expr(base, t->expr)->findings, "of");
        break;
    }
    put_bound(j, "from", "above", t->lo, t->lo_open, dim);
    put_bound(j, "to", "below", t->hi, t->hi_open, dim);
}

/* -- chains ---------------------------------------------------------------------------- */

static void put_dban(fen_json_out *j, const char *key, fen_weight w)
{
    fen_json_key(j, key);
    fen_json_fixed12(j, w);
}

static void put_step_head(fen_json_out *j, const fen_base *base, const fen_line *l, bool weighed)
{
    static const char *const types[] = { "rule", "answer", "derived", "default", "above" };
    fen_json_key_text(j, "type", types[l->type]);
    if (l->type != FEN_LINE_RULE) {
        put_test(j, base, l->test);
        fen_json_key(j, "denied");
        fen_json_bool(j, l->denied);
        return;
    }
    const fen_rule *r = fen_base_rule(base, l->rule);
    fen_json_key_text(j, "rule", r->id);
    fen_json_key_text(j, "why", r->why);
    fen_json_key_text(j, "source", r->source);
    if (weighed && !l->depth) {
        put_dban(j, "weight", l->weight);
        fen_json_key(j, "p");
        fen_json_chance(j, l->p_after);
    }
}

/* The lines at DEPTH from I on; returns the first that belongs to none of them. Depth is
 * bounded by the strata of the base. */
static size_t put_steps(fen_json_out *j, const fen_base *base, const fen_line *line, size_t n, size_t i, uint32_t depth, bool weighed)
{
    fen_json_open(j, '[');
    while (i < n && line[i].depth >= depth) {
        fen_json_open(j, '{');
        put_step_head(j, base, &line[i], weighed);
        i++;
        if (i < n && line[i].depth > depth) {
            fen_json_key(j, "from");
            i = put_steps(j, base, line, n, i, depth + 1, weighed);
        }
        fen_json_close(j, '}');
    }
    fen_json_close(j, ']');
    return i;
}

static void put_pending(fen_json_out *j, const fen_base *base, const fen_because *b)
{
    fen_json_key(j, "pending");
    fen_json_open(j, '[');
    for (size_t i = 0; i < b->n_pending; i++) {
        fen_json_open(j, '{');
        fen_json_key_text(j, "rule", fen_base_rule(base, b->pending[i].rule)->id);
        put_dban(j, "weight", b->pending[i].weight);
        put_findings_of(j, base, b->pending[i].waits_for, "waits_for");
        fen_json_close(j, '}');
    }
    fen_json_close(j, ']');
}

static void put_chance(fen_json_out *j, const char *key, double p)
{
    fen_json_key(j, key);
    fen_json_chance(j, p);
}

static void put_because(fen_json_out *j, const fen_base *base, const fen_because *b)
{
    fen_json_open(j, '{');
    fen_json_key_text(j, "cause", fen_base_cause(base, b->cause)->id);
    put_chance(j, "p", b->p);
    put_dban(j, "score", b->score);
    put_chance(j, "p_usual", b->p_usual);
    put_chance(j, "p_before", b->p_before);
    fen_json_key(j, "excluded");
    fen_json_bool(j, b->excluded);
    fen_json_key(j, "for");
    (void)put_steps(j, base, b->pro, b->n_pro, 0, 0, true);
    fen_json_key(j, "against");
    (void)put_steps(j, base, b->contra, b->n_contra, 0, 0, true);
    put_pending(j, base, b);
    fen_json_key(j, "beaten");
    fen_json_open(j, '[');
    for (uint32_t i = 0; i < b->beaten.count; i++)
        fen_json_name(j, fen_base_rule(base, b->beaten.at[i])->id);
    fen_json_close(j, ']');
    fen_json_close(j, '}');
}

static fen_status put_causes(fen_json_out *j, fen_session *s, const fen_id *causes, size_t n)
{
    fen_status st = FEN_OK;
    fen_json_key(j, "causes");
    fen_json_open(j, '[');
    for (size_t i = 0; !st && i < n; i++) {
        fen_because *b;
        st = fen_why_because(s, causes[i], &b);
        if (st)
            break;
        put_because(j, fen_session_base(s), b);
        fen_because_free(b);
    }
    fen_json_close(j, ']');
    return st;
}

/* A verdict is the session's until its next change; explaining tries things. */
static fen_status put_hazards(fen_json_out *j, fen_session *s)
{
    const fen_base *base = fen_session_base(s);
    fen_status st = FEN_OK;
    fen_json_key(j, "hazards");
    fen_json_open(j, '[');
    for (uint32_t i = 0; !st && i < fen_session_verdict(s)->hazards.count; i++) {
        const fen_id h = fen_session_verdict(s)->hazards.at[i];
        fen_chain *c;
        st = fen_why_hazard(s, h, &c);
        if (st)
            break;
        fen_json_open(j, '{');
        fen_json_key_text(j, "hazard", fen_base_hazard(base, h)->id);
        fen_json_key(j, "because");
        (void)put_steps(j, base, c->line, c->n_lines, 0, 0, false);
        fen_json_close(j, '}');
        fen_chain_free(c);
    }
    fen_json_close(j, ']');
    return st;
}

/* -- the case --------------------------------------------------------------------------- */

static void put_answers(fen_json_out *j, const fen_session *s)
{
    const fen_base *base = fen_session_base(s);
    fen_json_key(j, "answers");
    fen_json_open(j, '{');
    for (fen_id f = 0; f < fen_base_findings(base); f++) {
        const fen_answer a = fen_session_given(s, f);
        if (a.state == FEN_OPEN)
            continue;
        fen_json_key(j, fen_base_finding(base, f)->id);
        put_answer(j, fen_base_finding(base, f), a);
    }
    fen_json_close(j, '}');
}

static void put_derived(fen_json_out *j, const fen_session *s)
{
    const fen_base *base = fen_session_base(s);
    fen_json_key(j, "derived");
    fen_json_open(j, '{');
    for (fen_id f = 0; f < fen_base_findings(base); f++) {
        bool by_default;
        if (!fen_base_finding(base, f)->derived)
            continue;
        const uint64_t picks = fen_session_derived(s, f, &by_default);
        if (!picks)
            continue;
        fen_json_key(j, fen_base_finding(base, f)->id);
        put_picks(j, fen_base_finding(base, f), picks);
    }
    fen_json_close(j, '}');
}

static void put_verdict(fen_json_out *j, fen_session *s)
{
    const fen_base *base = fen_session_base(s);
    const fen_verdict *v = fen_session_verdict(s);
    fen_json_key(j, "covering");
    fen_json_open(j, '[');
    for (uint32_t i = 0; i < v->covering.count; i++)
        fen_json_name(j, fen_base_cause(base, v->covering.at[i])->id);
    fen_json_close(j, ']');
    fen_json_key(j, "unexplained");
    fen_json_open(j, '[');
    for (uint32_t i = 0; i < v->unexplained.count; i++) {
        fen_json_open(j, '{');
        put_test(j, base, v->unexplained.at[i]);
        fen_json_close(j, '}');
    }
    fen_json_close(j, ']');
    put_findings_of(j, base, v->clashes, "clashes");
}

fen_status fen_explain_json(struct fen_str *out, fen_session *s, const fen_case *c, const fen_id *causes, size_t n)
{
    char date[FEN_DATE_TEXT];
    fen_json_out j = fen_json_begin(out);
    fen_date_write(date, fen_session_today(s));
    fen_json_open(&j, '{');
    fen_json_key_text(&j, "case", c->id);
    fen_json_key_text(&j, "date", date);
    fen_json_key_text(&j, "urgency", fen_urgency_name(fen_session_verdict(s)->urgency));
    put_answers(&j, s);
    put_derived(&j, s);
    put_verdict(&j, s);
    fen_status st = put_causes(&j, s, causes, n);
    if (!st)
        st = put_hazards(&j, s);
    fen_json_close(&j, '}');
    fen_str_putc(out, '\n');
    return st ? st : fen_str_status(out);
}
