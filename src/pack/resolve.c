#include "resolve.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "util/limits.h"
#include "util/near.h"

fen_place fen_resolve_place(const fen_loader *l, const fen_node *node, fen_span span)
{
    if (span.at == 0 && span.len == node->len)
        return node->place; /* most sentences are one clause, and most clauses fine */
    return fen_node_place_at(l->source, node, span.at, span.len ? span.len : 1);
}

void fen_resolve_grammar(fen_loader *l, const fen_node *node)
{
    const fen_sentence_error *e = &l->sentence.error;
    const fen_place place = fen_resolve_place(l, node, e->at);
    if (e->quoted)
        fen_loader_error(l, e->code, place, e->right, "'%.*s' %s", FEN_QUOTE(node->text + e->at.at, e->at.len), e->wrong);
    else
        fen_loader_error(l, e->code, place, e->right, "%s", e->wrong);
}

/* ---- names ---- */

/* "runoff-water" is one name; was it meant as a difference of two? */
static bool is_difference(const fen_loader *l, const char *name, size_t len)
{
    if (len > 2 * FEN_NAME_MAX + 1)
        return false;
    for (size_t i = 1; i + 1 < len; i++)
        if (name[i] == '-' && fen_loader_find_finding(l, name, i) != FEN_NONE &&
            fen_loader_find_finding(l, name + i + 1, len - i - 1) != FEN_NONE)
            return true;
    return false;
}

bool fen_resolve_finding(fen_loader *l, const fen_node *node, fen_span span, fen_id *ret_finding)
{
    const char *name = node->text + span.at;
    char buf[FEN_SUGGEST_MAX];
    *ret_finding = fen_loader_find_finding(l, name, span.len);
    if (*ret_finding != FEN_NONE)
        return !fen_loader_broken_finding(l, *ret_finding);
    l->meant = NULL;
    const char *right = is_difference(l, name, span.len)
                            ? "a minus between two findings needs blanks around it"
                            : fen_loader_suggest(l, FEN_PART_FINDINGS, name, span.len,
                                                 "declare it in a pack, or correct the name", buf);
    fen_loader_error(l, FEN_CODE_UNKNOWN_NAME, fen_resolve_place(l, node, span), right, "there is no finding '%.*s'",
                     FEN_QUOTE(name, span.len));
    fen_loader_mend_name(l, fen_resolve_place(l, node, span));
    return false;
}

/* Answers differ early as a rule, and there may be millions to look up: a loop
 * in place beats a call. */
fen_id fen_resolve_option(const fen_finding *f, const char *name, size_t len)
{
    for (uint32_t i = 0; i < f->n_options; i++) {
        const char *id = f->options[i].id;
        size_t k = 0;
        while (k < len && id[k] == name[k])
            k++;
        if (k == len && id[k] == '\0')
            return i;
    }
    return FEN_NONE;
}

void fen_resolve_no_option(fen_loader *l, const fen_node *node, fen_span span, const fen_finding *f)
{
    const char *name = node->text + span.at;
    char buf[FEN_SUGGEST_MAX], list[FEN_SUGGEST_MAX];
    fen_near near;
    size_t len = (size_t)snprintf(list, sizeof list, "the answers are");
    fen_near_begin(&near, name, span.len);
    for (uint32_t i = 0; i < f->n_options; i++) {
        fen_near_offer(&near, f->options[i].id);
        if (len < sizeof list)
            len += (size_t)snprintf(list + len, sizeof list - len, "%s '%s'", i ? "," : "", f->options[i].id);
    }
    fen_loader_error(l, FEN_CODE_UNKNOWN_NAME, fen_resolve_place(l, node, span),
                     fen_loader_meant(near.name, len < sizeof list ? list : NULL, buf), "'%s' has no answer '%.*s'", f->id,
                     FEN_QUOTE(name, span.len));
    fen_loader_note_meant(l, &near);
    fen_loader_mend_name(l, fen_resolve_place(l, node, span));
}

/* ---- tests ---- */

static unsigned long long bits_of(double d)
{
    unsigned long long bits;
    d += 0.0; /* -0 and 0 are one bound */
    memcpy(&bits, &d, sizeof bits);
    return bits;
}

bool fen_resolve_test(fen_loader *l, fen_test t, fen_id *ret_test)
{
    char key[96];
    uint32_t id;
    if (l->nomem) /* a name may have been taken without its test */
        return false;
    const int len = snprintf(key, sizeof key, "%d %u %u %llx %llx %d%d", (int)t.op, (unsigned)t.finding, (unsigned)t.expr,
                             bits_of(t.lo), bits_of(t.hi), t.lo_open, t.hi_open);
    if (fen_intern_add(l->tests, key, (size_t)len, &id))
        return fen_loader_nomem(l);
    if (id == l->test_ids.count) {
        fen_id test;
        if (fen_draft_test(l->draft, t, &test) || !FEN_VEC_PUSH(&l->test_ids, test))
            return fen_loader_nomem(l);
    }
    *ret_test = l->test_ids.at[id];
    return true;
}

static bool add_cond(fen_loader *l, fen_cond_op op, const fen_id *parts, uint32_t n, fen_id test, const char *text,
                     fen_place place, fen_id *ret)
{
    return fen_draft_cond(l->draft, op, parts, n, test, text, place, ret) == FEN_OK || fen_loader_nomem(l);
}

/* Make a condition of the parts pushed since BASE, and pop them. */
static bool join_parts(fen_loader *l, fen_cond_op op, uint32_t base, const char *text, fen_place place, fen_id *ret)
{
    const uint32_t n = l->parts.count - base;
    const bool alone = n == 1 && op != FEN_COND_NONE;
    bool ok = true;
    if (alone)
        *ret = l->parts.at[base];
    else
        ok = add_cond(l, op, l->parts.at + base, n, FEN_NONE, text, place, ret);
    if (alone && text)
        l->draft->conds.at[*ret].text = text;
    l->parts.count = base;
    return ok;
}

static bool push_part(fen_loader *l, fen_id cond)
{
    return FEN_VEC_PUSH(&l->parts, cond) || fen_loader_nomem(l);
}

/* ---- clauses about answers ---- */

static const char *type_words(const fen_finding *f)
{
    return f->type == FEN_DATE ? "a date" : "a quantity";
}

/* Does the word between finding and answer suit the finding's type? */
static bool suits(fen_loader *l, const fen_node *node, const fen_clause *c, const fen_finding *f)
{
    const bool measured = f->type == FEN_QUANTITY || f->type == FEN_DATE;
    if (!measured && (f->type == FEN_SEVERAL) == (c->form != FEN_CLAUSE_IS))
        return true;
    const fen_place at = fen_resolve_place(l, node, c->op);
    if (measured)
        fen_loader_error(l, FEN_CODE_CONDITION, at,
                         f->type == FEN_DATE ? "compare its age, such as '< 14 days'"
                                             : "compare it with '<', '<=', '=', '>=' or '>'",
                         "'%s' is %s and has no answers by name", f->id, type_words(f));
    else if (f->type == FEN_SEVERAL)
        fen_loader_error(l, FEN_CODE_CONDITION, at, "write 'includes' or 'excludes'",
                         "'%s' may have several answers at once", f->id);
    else
        fen_loader_error(l, FEN_CODE_CONDITION, at, "write 'is' or 'is not'", "'%s' has one answer at a time", f->id);
    if (!measured && !c->negated)
        fen_problems_instead(l->problems, at, f->type == FEN_SEVERAL ? "includes" : c->form == FEN_CLAUSE_EXCLUDES ? "is not" : "is");
    return false;
}

/* Tests of one clause carry no text of their own, unless it is but one test. */
static bool push_test(fen_loader *l, fen_id test, fen_place place)
{
    fen_id cond;
    return add_cond(l, FEN_COND_TEST, NULL, 0, test, NULL, place, &cond) && push_part(l, cond);
}

/* "unsure" and "unknown" as answers; they suit every type. */
static bool push_state(fen_loader *l, const fen_node *node, fen_span word, fen_id finding)
{
    const fen_finding *f = &l->draft->findings.at[finding];
    const fen_place place = fen_resolve_place(l, node, word);
    const bool unsure = word.len == strlen("unsure");
    fen_id test;
    if (f->derived) {
        fen_loader_error(l, FEN_CODE_NEVER, place, "test one of its answers",
                         "'%s' is derived, so nobody is asked and nobody can be unsure", f->id);
        return false;
    }
    const fen_test t = {
        .op = unsure ? FEN_TEST_UNSURE : FEN_TEST_UNKNOWN, .finding = finding, .option = FEN_NONE, .expr = FEN_NONE
    };
    return fen_resolve_test(l, t, &test) && push_test(l, test, place);
}

static bool is_state(const char *text, fen_span word)
{
    return (word.len == 6 && memcmp(text + word.at, "unsure", 6) == 0) ||
           (word.len == 7 && memcmp(text + word.at, "unknown", 7) == 0);
}

/* The options that the answer WORD stands for: itself, and for the kind of plant
 * every kind below. */
static bool options_of(fen_loader *l, const fen_node *node, fen_span word, fen_id finding, uint64_t *ret_bits)
{
    const fen_finding *f = &l->draft->findings.at[finding];
    const fen_id option = fen_resolve_option(f, node->text + word.at, word.len);
    if (option == FEN_NONE) {
        fen_resolve_no_option(l, node, word, f);
        return false;
    }
    *ret_bits = finding == FEN_KIND_FINDING ? l->kind_below[option] | UINT64_C(1) << option : UINT64_C(1) << option;
    return true;
}

static bool push_options(fen_loader *l, fen_id finding, uint64_t bits, fen_place place)
{
    const fen_id first = l->draft->findings.at[finding].first_atom;
    const uint32_t n = l->draft->findings.at[finding].n_options;
    for (fen_id i = 0; i < n; i++)
        if (bits >> i & 1 && !push_test(l, first + i, place))
            return false;
    return true;
}

static bool said_twice(fen_loader *l, const fen_node *node, fen_span word)
{
    fen_loader_error(l, FEN_CODE_DUPLICATE, fen_resolve_place(l, node, word), "leave it out once",
                     "the answer '%.*s' is named twice", FEN_QUOTE(node->text + word.at, word.len));
    return false;
}

/* One named answer: a condition for "unsure" and "unknown", bits for options. */
static bool one_answer(fen_loader *l, const fen_node *node, const fen_clause *c, fen_span word, fen_id finding, uint64_t *bits,
                       unsigned *states)
{
    uint64_t more;
    if (is_state(node->text, word) && c->form == FEN_CLAUSE_IS) {
        const unsigned bit = word.len == strlen("unsure") ? 1 : 2;
        if (*states & bit)
            return said_twice(l, node, word);
        *states |= bit;
        return push_state(l, node, word, finding);
    }
    if (!options_of(l, node, word, finding, &more))
        return false;
    if ((*bits & more) == more)
        return said_twice(l, node, word);
    *bits |= more;
    return true;
}

static bool push_answers(fen_loader *l, const fen_node *node, const fen_clause *c, fen_id finding)
{
    uint64_t bits = 0;
    unsigned states = 0;
    bool ok = true, only_states = c->form == FEN_CLAUSE_IS;
    for (uint32_t i = 0; i < c->n_answers; i++)
        only_states &= is_state(node->text, l->sentence.answers.at[c->answers + i]);
    if (!only_states && !suits(l, node, c, &l->draft->findings.at[finding]))
        return false;
    for (uint32_t i = 0; i < c->n_answers; i++)
        ok &= one_answer(l, node, c, l->sentence.answers.at[c->answers + i], finding, &bits, &states);
    return ok && push_options(l, finding, bits, fen_resolve_place(l, node, c->span));
}

static bool answer_clause(fen_loader *l, const fen_node *node, const fen_clause *c, const char *text, fen_id *ret)
{
    const uint32_t base = l->parts.count;
    const bool not = c->negated || c->form == FEN_CLAUSE_EXCLUDES;
    fen_id finding;
    if (fen_resolve_finding(l, node, c->finding, &finding) && push_answers(l, node, c, finding))
        return join_parts(l, not ? FEN_COND_NONE : FEN_COND_ANY, base, text, fen_resolve_place(l, node, c->span), ret);
    l->parts.count = base;
    return false;
}

/* ---- sentences ---- */

static bool clause(fen_loader *l, const fen_node *node, uint32_t i, fen_id *ret)
{
    const fen_clause c = l->sentence.clauses.at[i];
    const char *text = fen_arena_text(l->draft->arena, node->text + c.span.at, c.span.len);
    if (!text)
        return fen_loader_nomem(l);
    if (c.form == FEN_CLAUSE_COMPARE || c.form == FEN_CLAUSE_BETWEEN)
        return fen_compare_clause(l, node, &c, text, ret);
    return answer_clause(l, node, &c, text, ret);
}

static bool read_sentence(fen_loader *l, const fen_node *node, fen_id *ret)
{
    const uint32_t base = l->parts.count;
    const fen_status st = fen_sentence_condition(&l->sentence, node->text, node->len);
    bool ok = true;
    fen_id cond;
    if (st == FEN_ENOMEM)
        return fen_loader_nomem(l);
    if (st) {
        fen_resolve_grammar(l, node);
        return false;
    }
    const uint32_t n = l->sentence.clauses.count;
    if (n == 1)
        return clause(l, node, 0, ret);
    for (uint32_t i = 0; i < n; i++)
        ok &= clause(l, node, i, &cond) && push_part(l, cond);
    const char *text = ok ? fen_arena_text(l->draft->arena, node->text, node->len) : NULL;
    if (!text) {
        l->parts.count = base;
        return ok ? fen_loader_nomem(l) : false;
    }
    return join_parts(l, l->sentence.any ? FEN_COND_ANY : FEN_COND_ALL, base, text, node->place, ret);
}

/* The same sentence stands in many rules: it is read once, and copied with its
 * own place. One that had a problem is read again, to tell it again. */
static bool sentence(fen_loader *l, const fen_node *node, fen_id *ret)
{
    uint32_t id = fen_intern_find(l->sentences, node->text, node->len);
    if (id != FEN_INTERN_NONE) {
        fen_cond again = l->draft->conds.at[l->sentence_conds.at[id]];
        again.place = node->place;
        *ret = l->draft->conds.count;
        return FEN_VEC_PUSH(&l->draft->conds, again) || fen_loader_nomem(l);
    }
    const size_t problems = fen_problems_count(l->problems);
    if (!read_sentence(l, node, ret))
        return false;
    if (fen_problems_count(l->problems) != problems)
        return true;
    if (fen_intern_add(l->sentences, node->text, node->len, &id) || !FEN_VEC_PUSH(&l->sentence_conds, *ret))
        return fen_loader_nomem(l);
    return true;
}

/* ---- trees ---- */

static bool tree(fen_loader *l, const fen_node *key, const fen_node *node, unsigned depth, fen_id *ret);

static bool empty(fen_loader *l, const fen_node *key)
{
    fen_loader_error(l, FEN_CODE_MISSING, key->place, "write a condition such as 'crown-feel is soft'",
                     "'%.*s' has no condition", FEN_QUOTE(key->text, key->len));
    return false;
}

/* The parts of an `all`, `any` or `none`, or of a list under `when`. */
static bool list(fen_loader *l, const fen_node *key, const fen_node *node, fen_cond_op op, unsigned depth, fen_id *ret)
{
    const uint32_t base = l->parts.count;
    const bool many = node->type == FEN_NODE_LIST;
    const size_t n = many ? node->count : 1;
    bool ok = true;
    fen_id cond;
    if (n == 0)
        return empty(l, key);
    for (size_t i = 0; i < n && !l->nomem; i++)
        ok &= tree(l, key, many ? node->items[i] : node, depth + 1, &cond) && push_part(l, cond);
    if (ok && !l->nomem)
        return join_parts(l, op, base, NULL, key->place, ret);
    l->parts.count = base;
    return false;
}

static bool no_such_tree(fen_loader *l, const fen_pair *p)
{
    char buf[FEN_SUGGEST_MAX];
    const char *right = "the keys are 'all', 'any' and 'none'";
    if (fen_loader_find_finding(l, p->key->text, p->key->len) != FEN_NONE) {
        snprintf(buf, sizeof buf, "a condition is a sentence, such as '%.*s is ...', without a colon",
                 FEN_QUOTE(p->key->text, p->key->len));
        right = buf;
    }
    fen_loader_error(l, FEN_CODE_UNKNOWN_KEY, p->key->place, right, "a condition has no key '%.*s'",
                     FEN_QUOTE(p->key->text, p->key->len));
    return false;
}

static bool map(fen_loader *l, const fen_node *node, unsigned depth, fen_id *ret)
{
    static const char *const words[] = { [FEN_COND_ALL] = "all", [FEN_COND_ANY] = "any", [FEN_COND_NONE] = "none" };
    const uint32_t base = l->parts.count;
    bool ok = true;
    fen_id cond;
    for (size_t i = 0; i < node->count && !l->nomem; i++) {
        const fen_pair *p = &node->pairs[i];
        int op = 0;
        while (op < (int)FEN_COUNT(words) && strcmp(words[op], p->key->text) != 0)
            op++;
        ok &= op == (int)FEN_COUNT(words) ? no_such_tree(l, p)
                                          : list(l, p->key, p->value, (fen_cond_op)op, depth, &cond) && push_part(l, cond);
    }
    if (ok && !l->nomem)
        return join_parts(l, FEN_COND_ALL, base, NULL, node->place, ret);
    l->parts.count = base;
    return false;
}

static bool tree(fen_loader *l, const fen_node *key, const fen_node *node, unsigned depth, fen_id *ret)
{
    if (depth > FEN_COND_DEPTH_MAX - 4) { /* a sentence adds two levels, a rule's kinds and `over` as many */
        fen_loader_error(l, FEN_CODE_TOO_LARGE, node->place, "derive a finding from a part of it",
                         "the condition is nested too deep");
        return false;
    }
    if (node->type == FEN_NODE_LIST)
        return list(l, key, node, FEN_COND_ALL, depth, ret);
    if (node->type == FEN_NODE_MAP)
        return node->count ? map(l, node, depth, ret) : empty(l, key);
    return node->len ? sentence(l, node, ret) : empty(l, key);
}

bool fen_resolve_condition(fen_loader *l, const fen_node *key, const fen_node *node, fen_id *ret_cond)
{
    return tree(l, key, node, 1, ret_cond) && !l->nomem;
}
