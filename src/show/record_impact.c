/* record_impact.c -- what an edited rule base changed about a case, as lines for people
 * and as a line of JSON; and the sums.
 */
#include <stdio.h>
#include <string.h>

#include "fenmend/impact.h"
#include "fenmend/records.h"
#include "record_text.h"
#include "text/json_write.h"
#include "util/utf8.h"

/* ---- for people ---- */

static const char *cause_name(const fen_base *base, fen_id cause)
{
    return cause == FEN_NONE ? "nothing that the rules know" : fen_base_cause(base, cause)->name;
}

static void put_clean(fen_str *out, fen_look look, const char *text)
{
    fen_utf8_clean(out, text, strlen(text), false, look.ascii);
}

static void put_side(fen_str *out, fen_look look, const fen_base *base, const fen_impact_side *s)
{
    char percent[16];
    snprintf(percent, sizeof percent, "%d %%", (int)(s->p * 100 + 0.5));
    put_clean(out, look, cause_name(base, s->cause));
    fen_str_printf(out, ", %s", s->p < 0.005 ? "<1 %" : percent);
}

static void put_finding(fen_str *out, const fen_base *base, fen_id f)
{
    fen_str_puts(out, f == FEN_NONE ? "nothing" : fen_base_finding(base, f)->id);
}

/* What the plan is made for. */
static void put_list(fen_str *out, const fen_base *base, const fen_verdict *v)
{
    uint32_t n = 0;
    for (uint32_t i = 0; i < v->held.count; i++)
        fen_str_printf(out, "%s%s", n++ ? ", " : "", fen_base_cause(base, v->held.at[i])->id);
    for (uint32_t i = 0; i < v->hazards.count; i++)
        fen_str_printf(out, "%s%s", n++ ? ", " : "", fen_base_hazard(base, v->hazards.at[i])->id);
    if (!n)
        fen_str_puts(out, "nothing");
}

static void put_plans(fen_str *out, const fen_impact *m, const fen_judged *j)
{
    fen_str a, c;
    fen_str_init(&a, 1u << 20);
    fen_str_init(&c, 1u << 20);
    put_list(&a, fen_impact_before(m), fen_session_verdict(j->session));
    put_list(&c, fen_impact_after(m), fen_session_verdict(j->other));
    const bool same = !fen_str_status(&a) && !fen_str_status(&c) && strcmp(a.at, c.at) == 0;
    if (same)
        fen_str_printf(out, "  plan: other steps for %s\n", a.at);
    else
        fen_str_printf(out, "  plan: for %s -> %s\n", a.at, c.at);
    fen_str_free(&a);
    fen_str_free(&c);
}

/* "2"; "none" for a cause that is ruled out. */
static void put_rank(fen_str *out, const char *before, uint32_t rank)
{
    fen_str_puts(out, before);
    if (rank)
        fen_str_printf(out, "%u", (unsigned)rank);
    else
        fen_str_puts(out, "none");
}

static void put_settled(fen_str *out, const fen_judged *j, const fen_impact *m, const fen_impact_case *c)
{
    if (!c->worse && !c->better)
        return;
    fen_str_printf(out, "  %s: settled as ", c->worse ? "WORSE" : "better");
    for (uint32_t i = 0; i < j->settled.count; i++)
        fen_str_printf(out, "%s%s", i ? ", " : "", fen_base_cause(fen_impact_before(m), j->settled.at[i])->id);
    if (c->what & FEN_IMPACT_UNREADABLE) {
        fen_str_puts(out, ", which can no longer be read\n");
    } else {
        put_rank(out, ", ranked ", c->before.rank);
        put_rank(out, " -> ", c->after.rank);
        fen_str_putc(out, '\n');
    }
}

static void put_case(fen_str *out, const fen_impact *m, fen_look look, const fen_judged *j, const fen_impact_case *c)
{
    put_clean(out, look, j->id);
    fen_str_puts(out, c->what ? "\n" : ": unchanged\n");
    if (c->what & FEN_IMPACT_VERDICT) {
        fen_str_puts(out, "  verdict: ");
        put_side(out, look, fen_impact_before(m), &c->before);
        fen_str_puts(out, " -> ");
        put_side(out, look, fen_impact_after(m), &c->after);
        fen_str_puts(out, "\n");
    }
    if (c->what & FEN_IMPACT_URGENCY)
        fen_str_printf(out, "  urgency: %s -> %s\n", fen_urgency_name(c->before.urgency), fen_urgency_name(c->after.urgency));
    if (c->what & FEN_IMPACT_PLAN)
        put_plans(out, m, j);
    if (c->what & FEN_IMPACT_QUESTION) {
        fen_str_puts(out, "  asks: ");
        put_finding(out, fen_impact_before(m), c->before.next);
        fen_str_puts(out, " -> ");
        put_finding(out, fen_impact_after(m), c->after.next);
        fen_str_puts(out, "\n");
    }
    if (c->what & FEN_IMPACT_UNREADABLE)
        fen_str_puts(out, "  cannot be read under the edited rules\n");
    put_settled(out, j, m, c);
}

/* TEXT's lines, broken at the page's width under where they begin. */
static void put_broken(fen_str *out, fen_look look, const fen_str *text)
{
    for (size_t at = 0; at < text->len;) {
        const char *end = memchr(text->at + at, '\n', text->len - at);
        const size_t next = end ? (size_t)(end - text->at) + 1 : text->len;
        size_t indent = 0;
        while (text->at[at + indent] == ' ')
            indent++;
        fen_gap_put(out, indent);
        fen_utf8_wrap(out, text->at + at + indent, next - at - indent - (end ? 1 : 0), look.width, indent + 2, indent);
        fen_str_putc(out, '\n');
        at = next;
    }
}

void fen_impact_row(fen_str *out, const fen_impact *m, fen_look look, const fen_judged *j, const fen_impact_case *c)
{
    fen_str text;
    fen_str_init(&text, 1u << 20);
    put_case(&text, m, look, j, c);
    if (fen_str_status(&text))
        out->failed = true;
    else
        put_broken(out, look, &text);
    fen_str_free(&text);
}

static void put_line(fen_str *out, const char *what, uint64_t n)
{
    fen_str_printf(out, "  %-28s %llu\n", what, (unsigned long long)n);
}

static void put_totals(fen_str *out, const fen_impact_sums *s)
{
    static const char *const says[FEN_IMPACT_BITS] = {
        "another leading cause", "another urgency", "another plan", "another next question", "no longer readable",
        "another rank of what it was",
    };
    fen_str_printf(out, "%llu case%s, %llu changed\n", (unsigned long long)s->cases, s->cases == 1 ? "" : "s", (unsigned long long)s->changed);
    for (unsigned i = 0; i < FEN_IMPACT_BITS; i++)
        if (s->changes[i])
            put_line(out, says[i], s->changes[i]);
    if (s->more_urgent)
        put_line(out, "more urgent than before", s->more_urgent);
    if (s->less_urgent)
        put_line(out, "less urgent than before", s->less_urgent);
    if (s->settled) {
        fen_str_printf(out, "%llu settled, of which right: %llu before, %llu after; %llu better, %llu worse\n", (unsigned long long)s->settled,
                       (unsigned long long)s->right_before, (unsigned long long)s->right_after, (unsigned long long)s->better,
                       (unsigned long long)s->worse);
    }
    if (s->broken)
        fen_str_printf(out, "%llu could not be read\n", (unsigned long long)s->broken);
}

void fen_impact_totals(fen_str *out, fen_look look, const fen_impact_sums *s)
{
    fen_str text;
    fen_str_init(&text, 1u << 20);
    put_totals(&text, s);
    if (fen_str_status(&text))
        out->failed = true;
    else
        put_broken(out, look, &text);
    fen_str_free(&text);
}

/* ---- for programs ---- */

static void put_count(fen_json_out *j, const char *key, uint64_t n)
{
    fen_json_key(j, key);
    fen_json_count(j, n);
}

static void put_ids(fen_json_out *j, const char *key, const fen_base *base, fen_list list, bool hazards)
{
    fen_json_key(j, key);
    fen_json_open(j, '[');
    for (uint32_t i = 0; i < list.count; i++)
        fen_json_name(j, hazards ? fen_base_hazard(base, list.at[i])->id : fen_base_cause(base, list.at[i])->id);
    fen_json_close(j, ']');
}

static void put_side_json(fen_json_out *j, const char *key, const fen_base *base, fen_session *session, const fen_impact_side *s, bool settled)
{
    fen_json_key(j, key);
    if (!session) {
        fen_json_text(j, NULL);
        return;
    }
    const fen_verdict *v = fen_session_verdict(session);
    fen_json_open(j, '{');
    fen_json_name_or_null(j, "cause", s->cause == FEN_NONE ? NULL : fen_base_cause(base, s->cause)->id);
    fen_json_key(j, "p");
    fen_json_chance(j, s->p);
    fen_json_name_or_null(j, "urgency", fen_urgency_name(s->urgency));
    put_ids(j, "covering", base, v->covering, false);
    put_ids(j, "hazards", base, v->hazards, true);
    fen_json_name_or_null(j, "next", s->next == FEN_NONE ? NULL : fen_base_finding(base, s->next)->id);
    if (settled)
        put_count(j, "rank", s->rank);
    fen_json_close(j, '}');
}

void fen_impact_json(fen_str *out, const fen_impact *m, const fen_judged *judged, const fen_impact_case *c)
{
    fen_json_out j = fen_json_begin(out);
    fen_json_open(&j, '{');
    fen_json_key_text(&j, "case", judged->id);
    fen_json_key(&j, "changed");
    fen_json_open(&j, '[');
    for (unsigned i = 0; i < FEN_IMPACT_BITS; i++)
        if (c->what >> i & 1)
            fen_json_name(&j, fen_impact_name(i));
    fen_json_close(&j, ']');
    if (c->settled) {
        put_ids(&j, "settled", fen_impact_before(m), judged->settled, false);
        fen_json_name_or_null(&j, "settled_is", c->worse ? "worse" : c->better ? "better" : "as-before");
    }
    put_side_json(&j, "before", fen_impact_before(m), judged->session, &c->before, c->settled);
    put_side_json(&j, "after", fen_impact_after(m), judged->other, &c->after, c->settled);
    fen_json_close(&j, '}');
    fen_str_putc(out, '\n');
}

void fen_impact_totals_json(fen_str *out, const fen_impact_sums *s)
{
    fen_json_out j = fen_json_begin(out);
    fen_json_open(&j, '{');
    fen_json_key(&j, "impact");
    fen_json_open(&j, '{');
    put_count(&j, "cases", s->cases);
    put_count(&j, "changed", s->changed);
    for (unsigned i = 0; i < FEN_IMPACT_BITS; i++)
        put_count(&j, fen_impact_name(i), s->changes[i]);
    put_count(&j, "more_urgent", s->more_urgent);
    put_count(&j, "less_urgent", s->less_urgent);
    put_count(&j, "settled", s->settled);
    put_count(&j, "right_before", s->right_before);
    put_count(&j, "right_after", s->right_after);
    put_count(&j, "better", s->better);
    put_count(&j, "worse", s->worse);
    put_count(&j, "broken", s->broken);
    fen_json_close(&j, '}');
    fen_json_close(&j, '}');
    fen_str_putc(out, '\n');
}
