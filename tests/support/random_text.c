/* random_text.c -- the text form of an rb_base, for bases kept after a failure.
 *
 * One thing a line, keyword first, numbers only; '#' begins a comment line.
 * Conditions are written parts first, so that a line refers to lines above it.
 */
#include <inttypes.h>
#include <string.h>

#include "support/random_base.h"

static void write_cond(const rb_base *b, int i, FILE *out)
{
    const rb_cond *c = &b->cond[i];
    fprintf(out, "cond %d op %d finding %d option %d arith %c second %d bounds %d %d %d %d %d %d parts", i, (int)c->op, c->finding,
            c->option, c->arith ? c->arith : '.', c->second, c->has_lo, c->has_hi, c->lo_open, c->hi_open, c->lo, c->hi);
    for (int k = 0; k < c->n_parts; k++)
        fprintf(out, " %d", c->part[k]);
    fputc('\n', out);
}

static void write_tree(const rb_base *b, int i, bool done[RB_CONDS], FILE *out)
{
    if (i < 0 || done[i])
        return;
    for (int k = 0; k < b->cond[i].n_parts; k++)
        write_tree(b, b->cond[i].part[k], done, out);
    write_cond(b, i, out);
    done[i] = true;
}

static void write_findings(const rb_base *b, FILE *out)
{
    for (int i = 0; i < b->n_kinds; i++)
        fprintf(out, "kind %d\n", b->parent[i]);
    for (int i = 0; i < b->n_findings; i++) {
        const rb_finding *f = &b->finding[i];
        fprintf(out, "finding type %d options %d derived %d fallback %d level %d signs %u effort %d ask_when %d shares", (int)f->type,
                f->n_options, f->derived, f->fallback, f->level, f->signs, (int)f->effort, f->ask_when);
        for (int k = 0; k < RB_OPTIONS; k++)
            fprintf(out, " %d", f->share[k]);
        fputc('\n', out);
    }
}

static void write_rule(const rb_rule *r, FILE *out)
{
    fprintf(out, "rule cond %d kinds %u level %d over %d %d %d %d effects %d", r->cond, r->kinds, r->level, r->n_over, r->over[0],
            r->over[1], r->over[2], r->n_effects);
    for (int k = 0; k < r->n_effects; k++)
        fprintf(out, " %d %d %d %d", (int)r->effect[k].op, r->effect[k].target, r->effect[k].option, r->effect[k].tenths);
    fputc('\n', out);
}

void rb_write(const rb_base *b, FILE *out)
{
    bool done[RB_CONDS] = {false};
    fprintf(out, "seed %" PRIu64 "\nelse %d\nhazards %d\n", b->seed, b->something_else, b->n_hazards);
    write_findings(b, out);
    for (int i = 0; i < b->n_causes; i++)
        fprintf(out, "cause share %d kinds %u urgency %d deciding %d\n", b->cause[i].share, b->cause[i].kinds, (int)b->cause[i].urgency,
                b->cause[i].deciding);
    for (int i = 0; i < b->n_rules; i++)
        write_tree(b, b->rule[i].cond, done, out);
    for (int i = 0; i < b->n_findings; i++)
        write_tree(b, b->finding[i].ask_when, done, out);
    for (int i = 0; i < b->n_rules; i++)
        write_rule(&b->rule[i], out);
    for (int i = 0; i < b->n_findings; i++)
        if (b->answer[i].state != FEN_OPEN)
            fprintf(out, "answer %d state %d picks %" PRIu64 " value %.17g\n", i, (int)b->answer[i].state, b->answer[i].picks,
                    b->answer[i].value);
}

static bool read_cond(rb_base *b, const char *line)
{
    int i, op, lo_hi[4], len = 0;
    rb_cond c = {0};
    if (sscanf(line, "cond %d op %d finding %d option %d arith %c second %d bounds %d %d %d %d %d %d parts%n", &i, &op, &c.finding,
               &c.option, &c.arith, &c.second, &lo_hi[0], &lo_hi[1], &lo_hi[2], &lo_hi[3], &c.lo, &c.hi, &len) != 12 ||
        len == 0 || i < 0 || i >= RB_CONDS)
        return false;
    c.op = (rb_op)op;
    c.has_lo = lo_hi[0];
    c.has_hi = lo_hi[1];
    c.lo_open = lo_hi[2];
    c.hi_open = lo_hi[3];
    int more = 0;
    for (line += len; c.n_parts < RB_PARTS && sscanf(line, " %d%n", &c.part[c.n_parts], &more) == 1; line += more)
        c.n_parts++;
    b->cond[i] = c;
    if (b->n_conds <= i)
        b->n_conds = i + 1;
    return true;
}

static bool read_finding(rb_base *b, const char *line)
{
    int type, derived, effort;
    rb_finding f = {0};
    if (b->n_findings >= RB_FINDINGS ||
        sscanf(line, "finding type %d options %d derived %d fallback %d level %d signs %u effort %d ask_when %d shares %d %d %d %d %d", &type,
               &f.n_options, &derived, &f.fallback, &f.level, &f.signs, &effort, &f.ask_when, &f.share[0], &f.share[1], &f.share[2],
               &f.share[3], &f.share[4]) != 13)
        return false;
    f.type = (fen_type)type;
    f.derived = derived;
    f.effort = (fen_effort)effort;
    b->finding[b->n_findings++] = f;
    return true;
}

static bool read_rule(rb_base *b, const char *line)
{
    rb_rule r = {0};
    int len = 0, n = 0, op = 0, more = 0;
    if (b->n_rules >= RB_RULES || sscanf(line, "rule cond %d kinds %u level %d over %d %d %d %d effects %d%n", &r.cond, &r.kinds, &r.level,
                                         &r.n_over, &r.over[0], &r.over[1], &r.over[2], &n, &len) != 8)
        return false;
    line += len;
    for (; r.n_effects < n && r.n_effects < RB_EFFECTS; r.n_effects++, line += more) {
        rb_effect *e = &r.effect[r.n_effects];
        if (sscanf(line, " %d %d %d %d%n", &op, &e->target, &e->option, &e->tenths, &more) != 4)
            return false;
        e->op = (fen_effect_op)op;
    }
    b->rule[b->n_rules++] = r;
    return true;
}

static bool read_cause(rb_base *b, const char *line)
{
    rb_cause c = {0};
    int urgency = 0;
    if (b->n_causes >= RB_CAUSES || sscanf(line, "cause share %d kinds %u urgency %d deciding %d", &c.share, &c.kinds, &urgency, &c.deciding) != 4)
        return false;
    c.urgency = (fen_urgency)urgency;
    b->cause[b->n_causes++] = c;
    return true;
}

static bool read_answer(rb_base *b, const char *line)
{
    fen_answer a = {0};
    int i = 0, state = 0;
    if (sscanf(line, "answer %d state %d picks %" SCNu64 " value %lf", &i, &state, &a.picks, &a.value) != 4 || i < 0 || i >= RB_FINDINGS)
        return false;
    a.state = (fen_asked)state;
    b->answer[i] = a;
    return true;
}

static bool read_line(rb_base *b, const char *line)
{
    if (line[0] == '#' || line[0] == '\n' || strncmp(line, "op ", 3) == 0)
        return true; /* what a trace did is read by its own test */
    if (strncmp(line, "kind ", 5) == 0)
        return b->n_kinds < RB_KINDS && sscanf(line, "kind %d", &b->parent[b->n_kinds++]) == 1;
    return sscanf(line, "seed %" SCNu64, &b->seed) == 1 || sscanf(line, "else %d", &b->something_else) == 1 ||
           sscanf(line, "hazards %d", &b->n_hazards) == 1 || read_finding(b, line) || read_cond(b, line) || read_rule(b, line) ||
           read_cause(b, line) || read_answer(b, line);
}

bool rb_read(rb_base *ret_base, FILE *in)
{
    char line[512];
    memset(ret_base, 0, sizeof *ret_base);
    while (fgets(line, sizeof line, in))
        if (!read_line(ret_base, line))
            return false;
    return ret_base->n_findings > 0 && ret_base->n_kinds > 0;
}

void rb_keep(const rb_base *b, const char *name)
{
    char path[512];
    snprintf(path, sizeof path, "%s/prop/kept/%s", FEN_TESTS_DIR, name);
    FILE *out = fopen(path, "w");
    if (!out) {
        fprintf(stderr, "cannot write %s; the base is:\n", path);
        rb_write(b, stderr);
        return;
    }
    rb_write(b, out);
    fprintf(stderr, "%s: kept as %s\n", name, path);
    fclose(out);
}
