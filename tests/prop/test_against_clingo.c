/* Random rule bases, judged by the engine and by clingo (Gebser, Kaminski,
 * Kaufmann, Schaub: answer set programming; Debian's gringo). A stratified base
 * has exactly one answer set, the perfect model of Apt, Blair and Walker 1988.
 *
 * The translation is propositional: condition C of base N becomes two atoms,
 * t(N,C) for true and f(N,C) for false, with Kleene's strong tables written out
 * as rules; unknown is the absence of both.
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>

#include <cmocka.h>

#include "support/oracle.h"

static void prelude(FILE *out)
{
    fputs("#show fired/2. #show holds/2. #show fails/2. #show has/3. #show raised/2. #show out/2.\n"
          "some(N,F) :- set(N,F,_).\n"
          "has(N,F,O) :- set(N,F,O).\n"
          "has(N,F,O) :- fallback(N,F,O), not some(N,F).\n"
          "filled(N,F) :- has(N,F,_).\n"
          "filled(N,F) :- known(N,F).\n"
          "beaten(N,R) :- over(N,S,R), fired(N,S).\n"
          "fired(N,R) :- holds(N,R), not beaten(N,R).\n"
          /* a kind asked about: true at and above the one answered, open below it */
          "above(N,K,P) :- parent(N,K,P).\n"
          "above(N,K,Q) :- above(N,K,P), parent(N,P,Q).\n"
          "iskind(N,K) :- is(N,0,K).\n"
          "iskind(N,P) :- is(N,0,K), above(N,K,P).\n"
          "maybe(N,K) :- is(N,0,P), above(N,K,P).\n"
          "notkind(N,K) :- kind(N,K), known(N,0), not iskind(N,K), not maybe(N,K).\n"
          "out(N,C) :- excludes(N,R,C), fired(N,R).\n"
          "fits(N,C) :- of(N,C,K), not notkind(N,K).\n"
          "out(N,C) :- of(N,C,_), not fits(N,C).\n",
          out);
}

static void write_test(const rb_base *b, int n, int i, FILE *out)
{
    const rb_cond *c = &b->cond[i];
    const int f = c->finding, o = c->option;
    if (c->op == RB_UNKNOWN) {
        fprintf(out, "t(%d,%d) :- not filled(%d,%d). f(%d,%d) :- filled(%d,%d).\n", n, i, n, f, n, i, n, f);
    } else if (c->op == RB_UNSURE) {
        fprintf(out, "t(%d,%d) :- unsure(%d,%d). f(%d,%d) :- known(%d,%d).\n", n, i, n, f, n, i, n, f);
    } else if (f == 0) {
        fprintf(out, "t(%d,%d) :- iskind(%d,%d). f(%d,%d) :- notkind(%d,%d).\n", n, i, n, o, n, i, n, o);
    } else {
        const char *word = b->finding[f].derived ? "has" : "is";
        fprintf(out, "t(%d,%d) :- %s(%d,%d,%d). f(%d,%d) :- filled(%d,%d), not %s(%d,%d,%d).\n", n, i, word, n, f, o, n, i, n, f, word, n,
                f, o);
    }
}

static void write_range(const rb_cond *c, int n, int i, FILE *out)
{
    char value[64], given[96];
    if (c->op == RB_SUM) {
        snprintf(value, sizeof value, "X%cY", c->arith);
        snprintf(given, sizeof given, "number(%d,%d,X), number(%d,%d,Y)", n, c->finding, n, c->second);
    } else {
        snprintf(value, sizeof value, "X");
        snprintf(given, sizeof given, "number(%d,%d,X)", n, c->finding);
    }
    fprintf(out, "t(%d,%d) :- %s", n, i, given);
    if (c->has_lo)
        fprintf(out, ", %s %s %d", value, c->lo_open ? ">" : ">=", c->lo);
    if (c->has_hi)
        fprintf(out, ", %s %s %d", value, c->hi_open ? "<" : "<=", c->hi);
    fprintf(out, ". f(%d,%d) :- %s, not t(%d,%d).\n", n, i, given, n, i);
}

/* One rule whose body needs all parts; SIGN is their truth. */
static void write_every(const rb_cond *c, int n, int i, char head, char sign, FILE *out)
{
    fprintf(out, "%c(%d,%d) :- ", head, n, i);
    for (int k = 0; k < c->n_parts; k++)
        fprintf(out, "%s%c(%d,%d)", k ? ", " : "", sign, n, c->part[k]);
    fputs(".\n", out);
}

static void write_some(const rb_cond *c, int n, int i, char head, char sign, FILE *out)
{
    for (int k = 0; k < c->n_parts; k++)
        fprintf(out, "%c(%d,%d) :- %c(%d,%d).\n", head, n, i, sign, n, c->part[k]);
}

static void write_cond(const rb_base *b, int n, int i, FILE *out)
{
    const rb_cond *c = &b->cond[i];
    for (int k = 0; k < c->n_parts; k++)
        write_cond(b, n, c->part[k], out);
    switch (c->op) {
    case RB_ALL:
        write_every(c, n, i, 't', 't', out);
        write_some(c, n, i, 'f', 'f', out);
        break;
    case RB_ANY:
        write_some(c, n, i, 't', 't', out);
        write_every(c, n, i, 'f', 'f', out);
        break;
    case RB_NONE:
        write_every(c, n, i, 't', 'f', out);
        write_some(c, n, i, 'f', 't', out);
        break;
    case RB_RANGE:
    case RB_SUM: write_range(c, n, i, out); break;
    case RB_IS:
    case RB_UNSURE:
    case RB_UNKNOWN: write_test(b, n, i, out); break;
    }
}

static void write_rule(const rb_base *b, int n, int r, FILE *out)
{
    const rb_rule *rule = &b->rule[r];
    if (rule->cond >= 0)
        write_cond(b, n, rule->cond, out);
    fprintf(out, "holds(%d,%d) :- ok(%d,%d)", n, r, n, r);
    if (rule->cond >= 0)
        fprintf(out, ", t(%d,%d)", n, rule->cond);
    fputs(".\n", out);
    if (rule->cond >= 0)
        fprintf(out, "fails(%d,%d) :- f(%d,%d).\n", n, r, n, rule->cond);
    if (rule->kinds == 0) {
        fprintf(out, "ok(%d,%d).\n", n, r);
    } else {
        fprintf(out, "fails(%d,%d) :- known(%d,0)", n, r, n);
        for (int k = 0; k < b->n_kinds; k++)
            if (rule->kinds >> k & 1u)
                fprintf(out, ", notkind(%d,%d)", n, k);
        fputs(".\n", out);
        for (int k = 0; k < b->n_kinds; k++)
            if (rule->kinds >> k & 1u)
                fprintf(out, "ok(%d,%d) :- iskind(%d,%d).\n", n, r, n, k);
    }
    for (int k = 0; k < rule->n_over; k++)
        fprintf(out, "over(%d,%d,%d).\n", n, r, rule->over[k]);
    for (int k = 0; k < rule->n_effects; k++) {
        const rb_effect *e = &rule->effect[k];
        if (e->op == FEN_DERIVE)
            fprintf(out, "set(%d,%d,%d) :- fired(%d,%d).\n", n, e->target, e->option, n, r);
        else if (e->op == FEN_RAISE)
            fprintf(out, "raised(%d,%d) :- fired(%d,%d).\n", n, e->target, n, r);
        else if (e->op == FEN_EXCLUDE)
            fprintf(out, "excludes(%d,%d,%d).\n", n, r, e->target);
    }
}

static void write_answer(const rb_base *b, int n, int f, FILE *out)
{
    const fen_answer *a = &b->answer[f];
    if (a->state == FEN_UNSURE)
        fprintf(out, "unsure(%d,%d).\n", n, f);
    if (a->state != FEN_KNOWN)
        return;
    fprintf(out, "known(%d,%d).\n", n, f);
    for (int o = 0; o < b->finding[f].n_options; o++)
        if (a->picks >> o & 1)
            fprintf(out, "is(%d,%d,%d).\n", n, f, o);
    if (b->finding[f].type == FEN_QUANTITY)
        fprintf(out, "number(%d,%d,%d).\n", n, f, (int)a->value);
    if (b->finding[f].type == FEN_DATE)
        fprintf(out, "number(%d,%d,%d).\n", n, f, RB_TODAY - (int)a->value);
}

static void write_base(const rb_base *b, int n, FILE *out)
{
    for (int k = 0; k < b->n_kinds; k++) {
        fprintf(out, "kind(%d,%d).\n", n, k);
        if (b->parent[k] >= 0)
            fprintf(out, "parent(%d,%d,%d).\n", n, k, b->parent[k]);
    }
    for (int f = 0; f < b->n_findings; f++) {
        if (b->finding[f].fallback >= 0)
            fprintf(out, "fallback(%d,%d,%d).\n", n, f, b->finding[f].fallback);
        write_answer(b, n, f, out);
    }
    for (int c = 0; c < b->n_causes; c++)
        for (int k = 0; k < b->n_kinds; k++)
            if (b->cause[c].kinds >> k & 1u)
                fprintf(out, "of(%d,%d,%d).\n", n, c, k);
    for (int r = 0; r < b->n_rules; r++)
        write_rule(b, n, r, out);
}

static void closing(int n_bases, FILE *out)
{
    (void)n_bases;
    (void)out;
}

static const oracle clingo = {
    .name = "clingo",
    .package = "gringo",
    .probe = "clingo --version >/dev/null 2>&1",
    .command = "clingo --verbose=0 --warn=none",
    .prelude = prelude,
    .write = write_base,
    .closing = closing,
};

static void kept_bases_agree_with_clingo(void **state)
{
    (void)state;
    if (!oracle_present(&clingo))
        skip();
    oracle_replay(&clingo);
}

static void random_stratified_bases_agree_with_clingo(void **state)
{
    (void)state;
    if (!oracle_present(&clingo))
        skip();
    oracle_campaign(&clingo, 1000000, 4000);
}

static void bases_with_negative_cycles_are_refused_and_no_others(void **state)
{
    (void)state;
    refusal_replay();
    refusal_campaign(5000000, 6000);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(kept_bases_agree_with_clingo),
        cmocka_unit_test(bases_with_negative_cycles_are_refused_and_no_others),
        cmocka_unit_test(random_stratified_bases_agree_with_clingo),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
