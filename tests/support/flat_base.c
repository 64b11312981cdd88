/* flat_base.c -- see flat_base.h.
 */
#include "support/flat_base.h"

#include <math.h>

#include "model/draft.h"

double flat_share(const flat_base *b, int finding, int option)
{
    double sum = 0, all = 0;
    for (int c = 0; c < b->n_causes; c++) {
        sum += b->prior[c] * b->finding[finding].p[option][c];
        all += b->prior[c];
    }
    return sum / all;
}

/* In dBan; NaN where the answer is impossible with the cause. */
static double weight(const flat_base *b, int f, int o, int c)
{
    const double p = b->finding[f].p[o][c];
    return p > 0 ? 10 * log10(p / flat_share(b, f, o)) : (double)NAN;
}

/* ---- through the draft API ---- */

static const char *text_of(fen_draft *d, const char *name, const char *what, int i)
{
    char text[64];
    const int len = name ? snprintf(text, sizeof text, "%s", name) : snprintf(text, sizeof text, "%s-%d", what, i);
    return fen_arena_text(d->arena, text, (size_t)len);
}

static bool add_finding(const flat_base *b, fen_draft *d, int i, fen_id *ret_first)
{
    const flat_finding *from = &b->finding[i];
    fen_option options[FLAT_OPTIONS] = {{0}};
    fen_id id = 0;
    for (int o = 0; o < from->n_options; o++)
        options[o] = (fen_option){.id = text_of(d, NULL, "answer", o), .say = "so", .usual = flat_share(b, i, o)};
    const fen_finding f = {.id = text_of(d, from->name, "finding", i), .name = "it", .ask = "what?", .default_option = FEN_NONE,
                           .ask_when = FEN_NONE, .from = (double)NAN, .to = (double)NAN, .low = (double)NAN, .middle = (double)NAN,
                           .high = (double)NAN, .options = options, .n_options = (uint32_t)from->n_options};
    if (fen_draft_finding(d, f, &id) != FEN_OK)
        return false;
    *ret_first = d->findings.at[id].first_atom;
    return f.id != NULL;
}

static bool add_rule(const flat_base *b, fen_draft *d, int f, int o, fen_id atom)
{
    fen_effect *e = fen_arena_take(d->arena, FLAT_CAUSES, sizeof *e);
    fen_rule r = {.id = text_of(d, NULL, "rule", f * FLAT_OPTIONS + o), .why = "counted", .effects = e};
    if (!e || !r.id)
        return false;
    for (int c = 0; c < b->n_causes; c++) {
        const double w = weight(b, f, o, c);
        e[r.n_effects++] = isnan(w) ? (fen_effect){.op = FEN_EXCLUDE, .target = (fen_id)c}
                                    : (fen_effect){.op = FEN_WEIGH, .target = (fen_id)c, .weight = (fen_weight)llround(w * (double)FEN_DBAN)};
    }
    return fen_draft_cond(d, FEN_COND_TEST, NULL, 0, atom, "it is so", (fen_place){0}, &r.cond) == FEN_OK && FEN_VEC_PUSH(&d->rules, r);
}

static bool fill(const flat_base *b, fen_draft *d)
{
    fen_id first[FLAT_FINDINGS];
    if (fen_draft_seal_kinds(d) != FEN_OK)
        return false;
    for (int i = 0; i < b->n_findings; i++)
        if (!add_finding(b, d, i, &first[i]))
            return false;
    for (int c = 0; c < b->n_causes; c++) {
        const fen_cause cause = {.id = text_of(d, b->cause_name[c], "cause", c), .name = "it", .usual = b->prior[c], .deciding = FEN_NONE};
        if (!cause.id || !FEN_VEC_PUSH(&d->causes, cause))
            return false;
    }
    for (int i = 0; i < b->n_findings; i++)
        for (int o = 0; o < b->finding[i].n_options; o++)
            if (!add_rule(b, d, i, o, first[i] + (fen_id)o))
                return false;
    d->something_else = 0;
    d->settings = (fen_settings){.stop_level = b->stop_level, .danger_level = 0.05, .least_worth = 0, .effort = {1, 1, 1, 1}};
    return true;
}

fen_status flat_build(const flat_base *b, fen_base **ret_base)
{
    fen_cycle cycle;
    fen_draft *d = fen_draft_new();
    fen_status st = d && fill(b, d) ? fen_draft_finish(d, ret_base, &cycle) : FEN_ENOMEM;
    if (st != FEN_OK)
        fen_draft_free(d);
    return st;
}

/* ---- as a pack ---- */

static void write_name(const char *name, const char *what, int i, FILE *out)
{
    if (name)
        fputs(name, out);
    else
        fprintf(out, "%s-%d", what, i);
}

static void write_finding(const flat_base *b, int i, FILE *out)
{
    fputs("  ", out);
    write_name(b->finding[i].name, "finding", i, out);
    fprintf(out, ":\n    name: number %d\n    ask: What is it?\n    effort: glance\n    answers:\n", i);
    for (int o = 0; o < b->finding[i].n_options; o++)
        fprintf(out, "      answer-%d: {say: number %d, usual: %.17g %%}\n", o, o, 100 * flat_share(b, i, o));
}

static void write_rule(const flat_base *b, int i, int o, FILE *out)
{
    fprintf(out, "  rule-%d-%d:\n    when:\n    - ", i, o);
    write_name(b->finding[i].name, "finding", i, out);
    fprintf(out, " is answer-%d\n    then:\n", o);
    for (int c = 0; c < b->n_causes; c++) {
        const double w = weight(b, i, o, c);
        if (isnan(w))
            fputs("    - excludes ", out);
        else
            fprintf(out, "    - %.17g dBan %s ", fabs(w), w < 0 ? "against" : "for");
        write_name(b->cause_name[c], "cause", c, out);
        fputc('\n', out);
    }
    fputs("    why: counted\n", out);
}

void flat_write_pack(const flat_base *b, FILE *out)
{
    fprintf(out, "pack: counted\nabout: Made from counts.\nsettings:\n  something else: 0 %%\n  stop level: %.17g %%\n  least worth: 0\n"
                 "  effort: {glance: 1, touch: 1, meter: 1, unpot: 1}\nfindings:\n", 100 * b->stop_level);
    for (int i = 0; i < b->n_findings; i++)
        write_finding(b, i, out);
    fputs("causes:\n", out);
    for (int c = 0; c < b->n_causes; c++) {
        fputs("  ", out);
        write_name(b->cause_name[c], "cause", c, out);
        fprintf(out, ":\n    name: number %d\n    about: Counted.\n    usual: %.17g %%\n    urgency: none\n    harmless: yes\n", c, 100 * b->prior[c]);
    }
    fputs("rules:\n", out);
    for (int i = 0; i < b->n_findings; i++)
        for (int o = 0; o < b->finding[i].n_options; o++)
            write_rule(b, i, o, out);
}
