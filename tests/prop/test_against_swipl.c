/* Random rule bases, judged by the engine and by SWI-Prolog (Debian's
 * swi-prolog-nox) under the well-founded semantics of Van Gelder, Ross and
 * Schlipf 1991, which for a stratified base is total and the perfect model.
 *
 * The translation is a small interpreter: a condition stays a term, and sure(C)
 * and denied(C) walk it; only what may be recursive is tabled, and every absence
 * is a tnot on a tabled goal. A goal left undefined is printed as a fact of a
 * base that does not exist, so that it cannot pass for agreement.
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>

#include <cmocka.h>

#include "support/oracle.h"

static void prelude(FILE *out)
{
    fputs(":- table fired/2, set/3, some/2, has/3, filled/2, beaten/2.\n"
          ":- discontiguous rule/4, over/3, sets/4, raises/3, excludes/3, fallback/3, given/3, number/3, unsure/2, parent/3, of/3, sized/5.\n"
          ":- dynamic rule/4, over/3, sets/4, raises/3, excludes/3, fallback/3, given/3, number/3, unsure/2, parent/3, of/3, sized/5.\n"
          "set(N,F,O) :- sets(N,R,F,O), fired(N,R).\n"
          "some(N,F) :- set(N,F,_).\n"
          "has(N,F,O) :- set(N,F,O).\n"
          "has(N,F,O) :- fallback(N,F,O), tnot(some(N,F)).\n"
          "filled(N,F) :- has(N,F,_).\n"
          "beaten(N,R) :- over(N,S,R), fired(N,S).\n"
          "fired(N,R) :- rule(N,R,K,C), inkind(N,K), sure(N,C), tnot(beaten(N,R)).\n"
          "within(_,K,K).\n"
          "within(N,K,Q) :- parent(N,K,P), within(N,P,Q).\n"
          "inkind(_,[]).\n"
          "inkind(N,Ks) :- given(N,0,[H]), once((member(K,Ks), within(N,H,K))).\n"
          "outkind(N,Ks) :- Ks = [_|_], given(N,0,[H]), \\+ (member(K,Ks), (within(N,H,K) ; within(N,K,H))).\n"
          "sure(_,always).\n"
          "sure(N,all(L)) :- all_are(N,L).\n"
          "sure(N,any(L)) :- member(C,L), sure(N,C).\n"
          "sure(N,none(L)) :- none_are(N,L).\n"
          "sure(N,kind(K)) :- inkind(N,[K]).\n"
          "sure(N,told(F,O)) :- given(N,F,L), memberchk(O,L).\n"
          "sure(N,drawn(F,O)) :- has(N,F,O).\n"
          "sure(N,within(E,B)) :- value(N,E,V), inside(V,B).\n"
          "sure(N,unsure(F)) :- unsure(N,F).\n"
          "sure(N,open(F)) :- \\+ given(N,F,_).\n"
          "sure(N,empty(F)) :- tnot(filled(N,F)).\n"
          "denied(N,all(L)) :- member(C,L), denied(N,C).\n"
          "denied(N,any(L)) :- none_are(N,L).\n"
          "denied(N,none(L)) :- member(C,L), sure(N,C).\n"
          "denied(N,kind(K)) :- outkind(N,[K]).\n"
          "denied(N,told(F,O)) :- given(N,F,L), \\+ memberchk(O,L).\n"
          "denied(N,drawn(F,O)) :- filled(N,F), tnot(has(N,F,O)).\n"
          "denied(N,within(E,B)) :- value(N,E,V), \\+ inside(V,B).\n"
          "denied(N,unsure(F)) :- given(N,F,_).\n"
          "denied(N,open(F)) :- given(N,F,_).\n"
          "denied(N,empty(F)) :- filled(N,F).\n"
          "all_are(_,[]).\n"
          "all_are(N,[C|L]) :- sure(N,C), all_are(N,L).\n"
          "none_are(_,[]).\n"
          "none_are(N,[C|L]) :- denied(N,C), none_are(N,L).\n"
          "value(N,q(F),V) :- number(N,F,V).\n"
          "value(N,E,V) :- E =.. [Op,q(A),q(B)], number(N,A,X), number(N,B,Y), G =.. [Op,X,Y], V is G.\n"
          "inside(V,L-H) :- low(L,V), high(H,V).\n"
          "low(none,_). low(from(B),V) :- V >= B. low(above(B),V) :- V > B.\n"
          "high(none,_). high(to(B),V) :- V =< B. high(below(B),V) :- V < B.\n"
          "out(N,C) :- excludes(N,R,C), fired(N,R).\n"
          "out(N,C) :- setof(K,of(N,C,K),Ks), outkind(N,Ks).\n"
          "raised(N,H) :- raises(N,R,H), fired(N,R).\n"
          "holds(N,R) :- rule(N,R,K,C), inkind(N,K), sure(N,C).\n"
          "fails(N,R) :- rule(N,R,K,C), (outkind(N,K) ; denied(N,C)).\n"
          "tell(G,T) :- forall(call_delays(G,D), (D == true -> format('~w ',[T]) ; writeln('fired(999999,0)'))).\n"
          "base(N) :- sized(N,Rs,Fs,Hs,Cs),\n"
          "  forall(between(1,Rs,I), (R is I-1, tell(fired(N,R),fired(N,R)), tell(holds(N,R),holds(N,R)), tell(fails(N,R),fails(N,R)))),\n"
          "  forall((between(1,Fs,I), F is I-1), tell(has(N,F,O),has(N,F,O))),\n"
          "  forall(between(1,Hs,I), (H is I-1, tell(raised(N,H),raised(N,H)))),\n"
          "  forall(between(1,Cs,I), (C is I-1, tell(out(N,C),out(N,C)))),\n"
          "  nl, abolish_all_tables.\n",
          out);
}

static void write_bounds(const rb_cond *c, FILE *out)
{
    if (c->has_lo)
        fprintf(out, "%s(%d)-", c->lo_open ? "above" : "from", c->lo);
    else
        fputs("none-", out);
    if (c->has_hi)
        fprintf(out, "%s(%d)", c->hi_open ? "below" : "to", c->hi);
    else
        fputs("none", out);
}

static void write_cond(const rb_base *b, int i, FILE *out)
{
    static const char *const words[] = {"all", "any", "none"};
    const rb_cond *c = &b->cond[i];
    const bool derived = c->n_parts == 0 && b->finding[c->finding].derived;
    if (c->n_parts > 0) {
        fprintf(out, "%s([", words[c->op]);
        for (int k = 0; k < c->n_parts; k++) {
            if (k)
                fputc(',', out);
            write_cond(b, c->part[k], out);
        }
        fputs("])", out);
    } else if (c->op == RB_UNKNOWN) {
        fprintf(out, "%s(%d)", derived ? "empty" : "open", c->finding);
    } else if (c->op == RB_UNSURE) {
        fprintf(out, "unsure(%d)", c->finding);
    } else if (c->op == RB_IS && c->finding == 0) {
        fprintf(out, "kind(%d)", c->option);
    } else if (c->op == RB_IS) {
        fprintf(out, "%s(%d,%d)", derived ? "drawn" : "told", c->finding, c->option);
    } else {
        if (c->op == RB_SUM)
            fprintf(out, "within(%c(q(%d),q(%d)),", c->arith, c->finding, c->second);
        else
            fprintf(out, "within(q(%d),", c->finding);
        write_bounds(c, out);
        fputc(')', out);
    }
}

static void write_kinds(unsigned kinds, FILE *out)
{
    const char *comma = "";
    fputc('[', out);
    for (int k = 0; k < RB_KINDS; k++)
        if (kinds >> k & 1u) {
            fprintf(out, "%s%d", comma, k);
            comma = ",";
        }
    fputc(']', out);
}

static void write_rule(const rb_base *b, int n, int r, FILE *out)
{
    const rb_rule *rule = &b->rule[r];
    fprintf(out, "rule(%d,%d,", n, r);
    write_kinds(rule->kinds, out);
    fputc(',', out);
    if (rule->cond >= 0)
        write_cond(b, rule->cond, out);
    else
        fputs("always", out);
    fputs(").\n", out);
    for (int k = 0; k < rule->n_over; k++)
        fprintf(out, "over(%d,%d,%d).\n", n, r, rule->over[k]);
    for (int k = 0; k < rule->n_effects; k++) {
        const rb_effect *e = &rule->effect[k];
        if (e->op == FEN_DERIVE)
            fprintf(out, "sets(%d,%d,%d,%d).\n", n, r, e->target, e->option);
        else if (e->op == FEN_RAISE)
            fprintf(out, "raises(%d,%d,%d).\n", n, r, e->target);
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
    const char *comma = "";
    fprintf(out, "given(%d,%d,[", n, f);
    for (int o = 0; o < b->finding[f].n_options; o++)
        if (a->picks >> o & 1) {
            fprintf(out, "%s%d", comma, o);
            comma = ",";
        }
    fputs("]).\n", out);
    if (b->finding[f].type == FEN_QUANTITY)
        fprintf(out, "number(%d,%d,%d).\n", n, f, (int)a->value);
    if (b->finding[f].type == FEN_DATE)
        fprintf(out, "number(%d,%d,%d).\n", n, f, RB_TODAY - (int)a->value);
}

static void write_base(const rb_base *b, int n, FILE *out)
{
    fprintf(out, "sized(%d,%d,%d,%d,%d).\n", n, b->n_rules, b->n_findings, b->n_hazards, b->n_causes);
    for (int k = 0; k < b->n_kinds; k++)
        if (b->parent[k] >= 0)
            fprintf(out, "parent(%d,%d,%d).\n", n, k, b->parent[k]);
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
    fprintf(out, ":- initialization((forall((between(1,%d,I), N is I-1), base(N)), halt)).\n", n_bases);
}

static const oracle prolog = {
    .name = "swipl",
    .package = "swi-prolog-nox",
    .probe = "swipl --version >/dev/null 2>&1",
    .command = "swipl -q -f none </dev/null",
    .prelude = prelude,
    .write = write_base,
    .closing = closing,
};

static void kept_bases_agree_with_prolog(void **state)
{
    (void)state;
    if (!oracle_present(&prolog))
        skip();
    oracle_replay(&prolog);
}

static void random_stratified_bases_agree_with_prolog(void **state)
{
    (void)state;
    if (!oracle_present(&prolog))
        skip();
    oracle_campaign(&prolog, 2000000, 8000);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(kept_bases_agree_with_prolog),
        cmocka_unit_test(random_stratified_bases_agree_with_prolog),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
