/* propose_pack.c -- the proposed rules, as a base to be asked and as a pack to be reviewed.
 * Both have the same weights, so that what was measured is what is written.
 */
#include <math.h>
#include <string.h>

#include "model/draft.h"
#include "propose.h"
#include "tune_score.h"
#include "util/str.h"

static const char *name_of(const fen_proposal *p, uint32_t f)
{
    return p->t->columns.at[p->findings.at[f].column].name;
}

static const char *answer_name(const fen_proposal *p, uint32_t f, uint32_t o)
{
    return fen_intern_name(p->t->columns.at[p->findings.at[f].column].answers, o);
}

/* ---- as a base ------------------------------------------------------------------------ */

static fen_status draft_rule(const fen_proposal *p, fen_draft *d, const double *w, uint32_t feature, fen_id test)
{
    fen_effect *e = fen_arena_take(d->arena, p->n_causes, sizeof *e);
    fen_rule r = { .id = "proposed", .why = "counted", .effects = e };
    if (!e)
        return FEN_ENOMEM;
    for (uint32_t c = 0; c < p->n_causes; c++) {
        const double dban = fen_proposal_weight(p, w, feature, c);
        if (dban != 0)
            e[r.n_effects++] = (fen_effect){ FEN_WEIGH, c, (fen_weight)llround(dban * (double)FEN_DBAN) };
    }
    if (!r.n_effects)
        return FEN_OK;
    const fen_status st = fen_draft_cond(d, FEN_COND_TEST, NULL, 0, test, "it is so", (fen_place){ 0 }, &r.cond);
    return st ? st : FEN_VEC_PUSH(&d->rules, r) ? FEN_OK : FEN_ENOMEM;
}

static fen_status draft_finding(const fen_proposal *p, fen_draft *d, uint32_t f, const double *usual)
{
    const fen_proposed_finding *at = &p->findings.at[f];
    fen_option options[FEN_TABLE_ANSWERS] = { { 0 } };
    fen_id id;
    for (uint32_t o = 0; o < at->answers; o++) {
        const char *name = answer_name(p, f, o);
        options[o] = (fen_option){ .id = fen_arena_text(d->arena, name, strlen(name)), .say = "so", .usual = usual[at->first + o] };
        if (!options[o].id)
            return FEN_ENOMEM;
    }
    const fen_finding finding = { .id = fen_arena_text(d->arena, name_of(p, f), strlen(name_of(p, f))), .name = "it", .ask = "what?",
                                  .default_option = FEN_NONE, .ask_when = FEN_NONE, .from = (double)NAN, .to = (double)NAN,
                                  .low = (double)NAN, .middle = (double)NAN, .high = (double)NAN, .options = options, .n_options = at->answers };
    return finding.id ? fen_draft_finding(d, finding, &id) : FEN_ENOMEM;
}

static fen_status draft_rules(const fen_proposal *p, fen_draft *d, const double *w, uint32_t f)
{
    const fen_proposed_finding *at = &p->findings.at[f];
    fen_status st = FEN_OK;
    fen_id unsure;
    for (uint32_t o = 0; o < at->answers && !st; o++)
        st = draft_rule(p, d, w, at->first + o, d->findings.at[f + 1].first_atom + o);
    if (st || !p->missing_used)
        return st;
    st = fen_draft_test(d, (fen_test){ .op = FEN_TEST_UNSURE, .finding = f + 1 }, &unsure);
    return st ? st : draft_rule(p, d, w, at->first + at->answers, unsure);
}

static fen_status draft_causes(const fen_proposal *p, fen_draft *d, const double *w)
{
    double *rates = fen_arena_take(d->arena, p->n_causes, sizeof *rates);
    if (!rates)
        return FEN_ENOMEM;
    fen_proposal_rates(p, w, rates);
    for (uint32_t c = 0; c < p->n_causes; c++) {
        const char *name = fen_intern_name(p->t->causes, c);
        const fen_cause cause = { .id = fen_arena_text(d->arena, name, strlen(name)), .name = "it", .usual = rates[c], .deciding = FEN_NONE };
        if (!cause.id || !FEN_VEC_PUSH(&d->causes, cause))
            return FEN_ENOMEM;
    }
    return FEN_OK;
}

fen_status fen_proposal_base(const fen_proposal *p, const double *w, const double *usual, fen_base **ret_base)
{
    fen_cycle cycle;
    fen_draft *d = fen_draft_new();
    fen_status st = d ? fen_draft_seal_kinds(d) : FEN_ENOMEM;
    for (uint32_t f = 0; f < p->findings.count && !st; f++)
        st = draft_finding(p, d, f, usual);
    if (!st)
        st = draft_causes(p, d, w);
    for (uint32_t f = 0; f < p->findings.count && !st; f++)
        st = draft_rules(p, d, w, f);
    if (!st) {
        d->something_else = 0;
        d->settings = (fen_settings){ .stop_level = 1, .danger_level = 1, .least_worth = 0, .effort = { 1, 1, 1, 1 } };
        st = fen_draft_finish(d, ret_base, &cycle);
    }
    if (st)
        fen_draft_free(d);
    return st;
}

/* ---- as text ---------------------------------------------------------------------------- */

static void put_in_words(fen_str *out, const char *name)
{
    for (; *name; name++)
        fen_str_putc(out, *name == '-' ? ' ' : *name);
}

static uint32_t index_of(const fen_proposal *p, uint32_t f, const char *answer)
{
    return fen_intern_find(p->t->columns.at[p->findings.at[f].column].answers, answer, strlen(answer));
}

static void write_finding(const fen_proposal *p, uint32_t f, const double *usual, fen_str *out)
{
    const fen_proposed_finding *at = &p->findings.at[f];
    fen_str_printf(out, "  %s:\n    name: ", name_of(p, f));
    put_in_words(out, name_of(p, f));
    fen_str_puts(out, "\n    ask: What about \"");
    put_in_words(out, name_of(p, f));
    fen_str_puts(out, "\"?\n    effort: glance\n");
    if (at->answers == 2 && index_of(p, f, "yes") != FEN_INTERN_NONE && index_of(p, f, "no") != FEN_INTERN_NONE) {
        fen_str_puts(out, "    yes-no: {usual: ");
        fen_tune_put_number(out, 100 * usual[at->first + index_of(p, f, "yes")], 6);
        fen_str_puts(out, " %}\n");
        return;
    }
    fen_str_puts(out, "    answers:\n");
    for (uint32_t o = 0; o < at->answers; o++) {
        fen_str_printf(out, "      %s: {say: ", answer_name(p, f, o));
        put_in_words(out, answer_name(p, f, o));
        fen_str_puts(out, ", usual: ");
        fen_tune_put_number(out, 100 * usual[at->first + o], 6);
        fen_str_puts(out, " %}\n");
    }
}

static void write_rule(const fen_proposal *p, const double *w, uint32_t f, uint32_t feature, const char *answer, fen_str *out)
{
    bool begun = false;
    for (uint32_t c = 0; c < p->n_causes; c++) {
        const double dban = fen_proposal_weight(p, w, feature, c);
        if (dban == 0)
            continue;
        if (!begun)
            fen_str_printf(out, "  %s-%s:\n    when: %s is %s\n    then:\n", name_of(p, f), answer, name_of(p, f), answer);
        begun = true;
        fen_str_puts(out, "    - ");
        fen_tune_put_number(out, fabs(dban), 6);
        fen_str_printf(out, " dBan %s %s\n", dban < 0 ? "against" : "for", fen_intern_name(p->t->causes, c));
    }
    if (begun)
        fen_str_puts(out, "    why: Fitted to settled cases.\n");
}

static void write_causes(const fen_proposal *p, const double *w, fen_str *out)
{
    double *rates = fen_calloc(p->n_causes, sizeof *rates);
    if (!rates) {
        out->failed = true;
        return;
    }
    fen_proposal_rates(p, w, rates);
    fen_str_puts(out, "\ncauses:\n");
    for (uint32_t c = 0; c < p->n_causes; c++) {
        const char *name = fen_intern_name(p->t->causes, c);
        fen_str_printf(out, "  %s:\n    name: ", name);
        put_in_words(out, name);
        fen_str_puts(out, "\n    about: To be written.\n    usual: ");
        fen_tune_put_number(out, 100 * rates[c], 12);
        fen_str_puts(out, " %\n    urgency: none   # to be set: how fast it kills\n    harmless: no\n");
    }
    fen_free(rates);
}

static void write_head(const fen_proposal *p, const fen_tune_report *r, fen_str *out)
{
    fen_str_printf(out, "# Drafted from %llu settled cases; to be read before it is used.\n# On cases that neither the fit nor its choices have seen:\n",
                   (unsigned long long)r->settled);
    fen_tune_put_score(out, "naive Bayes", &r->before);
    fen_tune_put_score(out, "fitted", &r->after);
    fen_str_puts(out, "#   asked one at a time          ");
    fen_tune_put_number(out, 100 * r->asked_right, 3);
    fen_str_puts(out, " % right after ");
    fen_tune_put_number(out, r->asked, 3);
    fen_str_puts(out, " questions (the levels were chosen on these cases)\n# Weights: naive Bayes with one case more in each count, then fitted with a prior of strength ");
    fen_tune_put_number(out, r->strength, 4);
    fen_str_printf(out, ".\n# Missing answers are %s.\n", p->missing_used ? "used, where a case says 'unsure'" : "ignored");
    for (uint32_t i = 0; i < p->t->columns.count; i++)
        if (p->t->columns.at[i].why)
            fen_str_printf(out, "# Left out: a finding; %s.\n", p->t->columns.at[i].why);
        else if (fen_intern_count(p->t->columns.at[i].answers) < 2)
            fen_str_printf(out, "# Left out: %s; it has only one answer.\n", p->t->columns.at[i].name);
}

void fen_proposal_write(const fen_proposal *p, const double *w, const double *usual, const fen_tune_report *r, fen_str *out)
{
    write_head(p, r, out);
    fen_str_puts(out, "pack: proposed\nabout: Drafted from settled cases.\n\nsettings:\n  something else: 0 %   # the cases know no other causes\n  stop level: ");
    fen_tune_put_number(out, 100 * r->stop_level, 6);
    fen_str_puts(out, " %\n  least worth: ");
    fen_tune_put_number(out, r->least_worth, 6);
    fen_str_puts(out, "\n  effort: {glance: 1, touch: 1, meter: 1, unpot: 1}\n\nfindings:\n");
    for (uint32_t f = 0; f < p->findings.count; f++)
        write_finding(p, f, usual, out);
    write_causes(p, w, out);
    fen_str_puts(out, "\nrules:\n");
    for (uint32_t f = 0; f < p->findings.count; f++) {
        const fen_proposed_finding *at = &p->findings.at[f];
        for (uint32_t o = 0; o < at->answers; o++)
            write_rule(p, w, f, at->first + o, answer_name(p, f, o), out);
        if (p->missing_used)
            write_rule(p, w, f, at->first + at->answers, "unsure", out);
    }
}
