/* random_build.c -- from an rb_base to a fen_base, and back from a session to
 * facts. The only file of the random bases that knows the draft API.
 */
#include <math.h>
#include <string.h>

#include "model/draft.h"
#include "support/random_base.h"

typedef struct builder {
    const rb_base *b;
    fen_draft *d;
    fen_id first_atom[RB_FINDINGS];
    unsigned place_of[RB_RULES]; /* rb rule -> index in the fen_base */
    bool failed;
} builder;

static const char *named(builder *w, const char *what, int i)
{
    char text[32];
    const int len = snprintf(text, sizeof text, "%s-%d", what, i);
    const char *s = fen_arena_text(w->d->arena, text, (size_t)len);
    w->failed |= !s;
    return s;
}

static void note(builder *w, fen_status st)
{
    w->failed |= st != FEN_OK;
}

/* Kinds whose bit is set, as a list in the draft's arena. */
static fen_list kind_list(builder *w, unsigned kinds)
{
    fen_list list = {0};
    fen_id *at = fen_arena_take(w->d->arena, RB_KINDS, sizeof *at);
    w->failed |= !at;
    for (fen_id k = 0; at && k < RB_KINDS; k++)
        if (kinds >> k & 1u)
            at[list.count++] = k;
    list.at = at;
    return list;
}

static void add_kinds(builder *w)
{
    for (int i = 0; i < w->b->n_kinds; i++) {
        fen_kind k = {.id = named(w, "kind", i), .parent = w->b->parent[i] < 0 ? FEN_NONE : (fen_id)w->b->parent[i]};
        k.name = k.id;
        for (int j = 0; j < w->b->n_kinds; j++)
            k.group |= w->b->parent[j] == i;
        w->failed |= !FEN_VEC_PUSH(&w->d->kinds, k);
    }
    note(w, fen_draft_seal_kinds(w->d));
    if (!w->failed)
        w->first_atom[0] = w->d->findings.at[0].first_atom;
}

static void fill_options(builder *w, const rb_finding *from, fen_finding *f)
{
    fen_option *o = fen_arena_zeroed(w->d->arena, RB_OPTIONS, sizeof *o);
    if (!o) {
        w->failed = true;
        return;
    }
    for (int i = 0; i < from->n_options; i++)
        o[i] = (fen_option){.id = named(w, "option", i), .say = "so", .usual = from->share[i] / 10.0, .sign = from->signs >> i & 1u};
    f->options = o;
    f->n_options = (uint32_t)from->n_options;
}

static void add_finding(builder *w, int i)
{
    const rb_finding *from = &w->b->finding[i];
    fen_finding f = {.id = named(w, "finding", i), .type = from->type, .effort = from->effort, .derived = from->derived};
    f.name = f.id;
    f.ask = from->derived ? NULL : "what is it?";
    f.default_option = from->fallback < 0 ? FEN_NONE : (fen_id)from->fallback;
    f.ask_when = FEN_NONE;
    f.from = f.low = f.middle = f.high = f.to = (double)NAN;
    if (from->n_options > 0) {
        fill_options(w, from, &f);
    } else {
        f.dim = from->type == FEN_DATE ? FEN_DIM_TIME_SPAN : FEN_DIM_COUNT;
        f.from = 0;
        f.to = from->type == FEN_DATE ? 100000 : 1000;
        f.low = 2;
        f.middle = 9;
        f.high = 17;
    }
    fen_id id = 0;
    note(w, fen_draft_finding(w->d, f, &id));
    if (!w->failed)
        w->first_atom[i] = w->d->findings.at[id].first_atom;
}

/* ---- conditions ---- */

static fen_id sum_of(builder *w, const rb_cond *c)
{
    fen_expr_step *steps = fen_arena_zeroed(w->d->arena, 3, sizeof *steps);
    fen_id *findings = fen_arena_zeroed(w->d->arena, 2, sizeof *findings);
    fen_id id = 0;
    if (!steps || !findings) {
        w->failed = true;
        return 0;
    }
    findings[0] = (fen_id)c->finding;
    findings[1] = (fen_id)c->second;
    steps[0] = (fen_expr_step){.op = FEN_EXPR_FINDING, .finding = findings[0]};
    steps[1] = (fen_expr_step){.op = FEN_EXPR_FINDING, .finding = findings[1]};
    steps[2].op = c->arith == '+' ? FEN_EXPR_ADD : c->arith == '-' ? FEN_EXPR_SUB : FEN_EXPR_MUL;
    steps[2].finding = FEN_NONE;
    note(w, fen_draft_expr(w->d, (fen_expr){.steps = steps, .n_steps = 3, .dim = FEN_DIM_COUNT, .findings = {findings, 2}}, &id));
    return id;
}

static fen_id test_of(builder *w, const rb_cond *c)
{
    static const fen_test_op ops[] = {[RB_RANGE] = FEN_TEST_RANGE, [RB_SUM] = FEN_TEST_EXPR, [RB_UNSURE] = FEN_TEST_UNSURE, [RB_UNKNOWN] = FEN_TEST_UNKNOWN};
    if (c->op == RB_IS)
        return w->first_atom[c->finding] + (fen_id)c->option;
    fen_test t = {.op = ops[c->op], .finding = (fen_id)c->finding, .expr = FEN_NONE};
    if (c->op == RB_RANGE || c->op == RB_SUM) {
        t.lo = c->has_lo ? c->lo : -(double)INFINITY;
        t.hi = c->has_hi ? c->hi : (double)INFINITY;
        t.lo_open = c->has_lo && c->lo_open;
        t.hi_open = c->has_hi && c->hi_open;
    }
    if (c->op == RB_SUM) {
        t.finding = FEN_NONE;
        t.expr = sum_of(w, c);
    }
    fen_id id = 0;
    note(w, fen_draft_test(w->d, t, &id));
    return id;
}

static fen_id add_cond(builder *w, int cond)
{
    const rb_cond *c = &w->b->cond[cond];
    fen_id parts[RB_PARTS], id = 0, test = FEN_NONE;
    for (int i = 0; i < c->n_parts; i++)
        parts[i] = add_cond(w, c->part[i]);
    static const fen_cond_op ops[] = {[RB_ALL] = FEN_COND_ALL, [RB_ANY] = FEN_COND_ANY, [RB_NONE] = FEN_COND_NONE};
    const fen_cond_op op = c->n_parts > 0 ? ops[c->op] : FEN_COND_TEST;
    if (op == FEN_COND_TEST)
        test = test_of(w, c);
    if (w->failed)
        return 0;
    note(w, fen_draft_cond(w->d, op, op == FEN_COND_TEST ? NULL : parts, (uint32_t)c->n_parts, test,
                           op == FEN_COND_TEST ? "it is so" : NULL, (fen_place){0}, &id));
    return id;
}

static void add_ask_whens(builder *w)
{
    for (int i = 1; i < w->b->n_findings && !w->failed; i++)
        if (w->b->finding[i].ask_when >= 0) {
            const fen_id id = add_cond(w, w->b->finding[i].ask_when);
            w->d->findings.at[i].ask_when = id;
        }
}

/* ---- causes, hazards, rules ---- */

static void add_causes(builder *w)
{
    for (int i = 0; i < w->b->n_causes; i++) {
        const rb_cause *from = &w->b->cause[i];
        fen_cause c = {.id = named(w, "cause", i), .usual = from->share / 1000.0, .urgency = from->urgency};
        c.name = c.id;
        c.deciding = from->deciding < 0 ? FEN_NONE : (fen_id)from->deciding;
        c.kinds = kind_list(w, from->kinds);
        w->failed |= !FEN_VEC_PUSH(&w->d->causes, c);
    }
    for (int i = 0; i < w->b->n_hazards; i++) {
        fen_hazard h = {.id = named(w, "hazard", i), .urgency = (fen_urgency)(i % 4)};
        h.name = h.id;
        w->failed |= !FEN_VEC_PUSH(&w->d->hazards, h);
    }
    w->d->something_else = w->b->something_else / 1000.0;
}

static void fill_effects(builder *w, const rb_rule *from, fen_rule *r)
{
    fen_effect *e = fen_arena_zeroed(w->d->arena, RB_EFFECTS, sizeof *e);
    w->failed |= !e;
    for (int i = 0; e && i < from->n_effects; i++) {
        const rb_effect *x = &from->effect[i];
        e[i].op = x->op;
        e[i].target = x->op == FEN_DERIVE ? w->first_atom[x->target] + (fen_id)x->option : (fen_id)x->target;
        e[i].weight = x->op == FEN_WEIGH ? x->tenths * (FEN_DBAN / 10) : 0;
    }
    r->effects = e;
    r->n_effects = (uint32_t)from->n_effects;
}

static void add_rule(builder *w, int i)
{
    const rb_rule *from = &w->b->rule[i];
    fen_rule r = {.id = named(w, "rule", i), .why = "by dice", .kinds = kind_list(w, from->kinds), .cond = FEN_NONE};
    fen_id *over = fen_arena_take(w->d->arena, RB_OVER, sizeof *over);
    w->failed |= !over;
    for (int k = 0; over && k < from->n_over; k++)
        over[k] = w->place_of[from->over[k]];
    r.over = (fen_list){over, (uint32_t)from->n_over};
    if (from->cond >= 0)
        r.cond = add_cond(w, from->cond);
    fill_effects(w, from, &r);
    w->failed |= !FEN_VEC_PUSH(&w->d->rules, r);
}

static void read_refusal(const rb_base *b, const unsigned *order, const fen_cycle *c, rb_refusal *ret)
{
    ret->refused = true;
    ret->too_many_strata = c->too_many_strata;
    ret->cycle_is_odd = c->rules.count > (uint32_t)b->n_rules + 1;
    for (uint32_t i = 0; i < c->rules.count && !ret->cycle_is_odd; i++) {
        const fen_id at = c->rules.at[i];
        ret->cycle_is_odd |= at >= (fen_id)b->n_rules;
        if (!ret->cycle_is_odd)
            ret->cycle[ret->n_cycle++] = order ? (int)order[at] : (int)at;
    }
}

fen_status rb_build(const rb_base *b, const unsigned *order, fen_base **ret_base, rb_refusal *ret_refusal)
{
    builder w = {.b = b, .d = fen_draft_new()};
    *ret_base = NULL;
    memset(ret_refusal, 0, sizeof *ret_refusal);
    if (!w.d)
        return FEN_ENOMEM;
    for (int i = 0; i < b->n_rules; i++)
        w.place_of[order ? order[i] : (unsigned)i] = (unsigned)i;
    add_kinds(&w);
    for (int i = 1; i < b->n_findings && !w.failed; i++)
        add_finding(&w, i);
    if (!w.failed)
        add_causes(&w);
    for (int i = 0; i < b->n_rules && !w.failed; i++)
        add_rule(&w, order ? (int)order[i] : i);
    add_ask_whens(&w);
    fen_cycle cycle = {.overflow_cause = FEN_NONE};
    const fen_status st = w.failed ? FEN_ENOMEM : fen_draft_finish(w.d, ret_base, &cycle);
    if (st == FEN_EINPUT)
        read_refusal(b, order, &cycle, ret_refusal);
    if (st != FEN_OK)
        fen_draft_free(w.d);
    return st == FEN_EINPUT ? FEN_OK : st;
}

/* ---- from a session to facts ---- */

fen_status rb_answer_all(const rb_base *b, fen_session *s)
{
    for (int i = 0; i < b->n_findings; i++)
        if (b->answer[i].state != FEN_OPEN || i == 0) { /* a base of one kind presets finding 0 */
            const fen_status st = fen_session_answer(s, (fen_id)i, b->answer[i]);
            if (st != FEN_OK)
                return st;
        }
    return FEN_OK;
}

void rb_read_facts(const rb_base *b, const unsigned *order, fen_session *s, rb_facts *ret_facts)
{
    memset(ret_facts, 0, sizeof *ret_facts);
    for (int i = 0; i < b->n_rules; i++)
        ret_facts->rule[order ? order[i] : (unsigned)i] = fen_session_rule(s, (fen_id)i);
    for (int i = 0; i < b->n_findings; i++)
        if (b->finding[i].derived) {
            bool is_default = false;
            ret_facts->derived[i] = fen_session_derived(s, (fen_id)i, &is_default);
        }
    const fen_verdict *v = fen_session_verdict(s);
    for (uint32_t i = 0; i < v->hazards.count; i++)
        if (v->hazards.at[i] < RB_HAZARDS)
            ret_facts->raised[v->hazards.at[i]] = true;
    for (int i = 0; i < b->n_causes; i++)
        ret_facts->out[i] = !(v->p[i] > 0);
}

fen_status rb_engine_facts(const rb_base *b, rb_facts *ret_facts)
{
    fen_base *base = NULL;
    fen_session *s = NULL;
    rb_refusal refusal;
    fen_status st = rb_build(b, NULL, &base, &refusal);
    if (st == FEN_OK && refusal.refused)
        st = FEN_EINPUT;
    if (st == FEN_OK)
        st = fen_session_new(base, RB_TODAY, &s);
    if (st == FEN_OK)
        st = rb_answer_all(b, s);
    if (st == FEN_OK)
        rb_read_facts(b, NULL, s, ret_facts);
    fen_session_free(s);
    fen_base_free(base);
    return st;
}
