#include "sentence.h"

#include <string.h>

#include "lexer.h"
#include "model/quantity.h"
#include "util/limits.h"
#include "util/number.h"

/* The grammar's state: where it reads, and how deep in brackets. */
typedef struct reader {
    fen_lexer x;
    fen_sentence *s;
    unsigned depth;
    uint32_t first_term; /* of the clause being read */
    bool nomem;
} reader;

static const char *const reserved[] = {
    "is", "not", "or", "and", "from", "to", "above", "below", "includes", "excludes", "unsure", "unknown", "kind",
    "hazard", "slight", "fair", "strong", "decisive", "for", "against",
};
static const char *const reserved_answers[] = { "is", "not", "or", "and", "from", "to", "unsure", "unknown" };

static bool among(const char *const *words, size_t n, const char *word, size_t len)
{
    for (size_t i = 0; i < n; i++)
        if (strlen(words[i]) == len && memcmp(words[i], word, len) == 0)
            return true;
    return false;
}

bool fen_name_formed(const char *text, size_t len)
{
    for (size_t i = 0; i < len; i++)
        if (!(text[i] >= 'a' && text[i] <= 'z') && !(text[i] >= '0' && text[i] <= '9') && text[i] != '-')
            return false;
    return len && len <= FEN_NAME_MAX && text[0] != '-' && text[len - 1] != '-';
}

bool fen_word_reserved(const char *word, size_t len)
{
    return among(reserved, FEN_COUNT(reserved), word, len);
}

bool fen_word_reserved_answer(const char *word, size_t len)
{
    return among(reserved_answers, FEN_COUNT(reserved_answers), word, len);
}

void fen_sentence_free(fen_sentence *s)
{
    FEN_VEC_FREE(&s->clauses);
    FEN_VEC_FREE(&s->answers);
    FEN_VEC_FREE(&s->terms);
}

/* Note the first error and give up: the rest of the sentence would only follow
 * from it. Always false, for the caller to return. */
static bool refuse(reader *r, fen_code code, fen_span at, bool quoted, const char *wrong, const char *right)
{
    r->s->error = (fen_sentence_error){ code, at, quoted, wrong, right };
    return false;
}

static bool unexpected(reader *r, const char *wanted)
{
    if (fen_lexer_end(&r->x))
        return refuse(r, FEN_CODE_CONDITION, fen_lexer_here(&r->x), false, "the sentence ends too early", wanted);
    return refuse(r, FEN_CODE_CONDITION, fen_lexer_here(&r->x), true, "cannot stand here", wanted);
}

/* From START to here, without the blanks that were looked past. */
static fen_span since(const reader *r, uint32_t start)
{
    uint32_t end = r->x.at;
    while (end > start && fen_lexer_blank(r->x.text[end - 1]))
        end--;
    return (fen_span){ start, end - start };
}

/* ---- sums ---- */

static bool read_sum(reader *r, uint32_t *ret_term);

static bool add_term(reader *r, fen_term t, uint32_t *ret_term)
{
    /* one less: comparing two sums takes a step of its own */
    if (r->s->terms.count - r->first_term >= FEN_EXPR_MAX - 1)
        return refuse(r, FEN_CODE_TOO_LARGE, t.span, false, "the sum has too many parts", "split it over two sentences");
    if (!FEN_VEC_PUSH(&r->s->terms, t)) {
        r->nomem = true;
        return false;
    }
    *ret_term = r->s->terms.count - 1;
    return true;
}

/* A number whose unit is missing or unknown. What follows may go on with the
 * sentence ("2 * runoff", "from 3 to 5") or be a unit that nobody knows. */
static bool read_plain(reader *r, size_t n_number, fen_term *t)
{
    fen_lexer after = r->x;
    after.at += (uint32_t)n_number;
    static const char *const next[] = { "or", "and", "to", "below", "from" };
    const fen_span word = fen_lexer_peek(&after);
    const bool goes_on = word.len ? among(next, FEN_COUNT(next), after.text + word.at, word.len)
                                  : after.at == after.len || strchr("+-*/()<>=", after.text[after.at]) != NULL;
    if (!goes_on) {
        fen_span bad = fen_lexer_here(&after);
        bad.len += bad.at - r->x.at;
        bad.at = r->x.at;
        const bool comma = after.at < after.len && after.text[after.at] == ',';
        return refuse(r, FEN_CODE_NUMBER, bad, true, "is not a number with a unit",
                      comma ? "a point, not a comma, stands before decimals"
                            : "write a unit that is known, such as '5 ppm', '24 C' or '3 weeks'");
    }
    t->span.len = (uint32_t)n_number;
    t->dim = FEN_DIM_COUNT;
    t->plain = true;
    r->x.at += (uint32_t)n_number;
    return true;
}

static bool read_quantity(reader *r, uint32_t *ret_term)
{
    const char *here = r->x.text + r->x.at;
    const size_t left = r->x.len - r->x.at;
    fen_term t = { .op = FEN_TERM_QUANTITY, .span = { r->x.at, 0 } };
    fen_quantity q, difference;
    size_t n = 0;
    if (fen_quantity_scan(here, left, FEN_DIM_NONE, &q, &n) == FEN_OK) {
        t.span.len = (uint32_t)n;
        t.value = q.value;
        t.dim = q.dim;
        t.loose = q.dim == FEN_DIM_TEMPERATURE;
        if (t.loose && fen_quantity_scan(here, left, FEN_DIM_TEMPERATURE_DIFFERENCE, &difference, &n) == FEN_OK)
            t.difference = difference.value;
        r->x.at += t.span.len;
    } else if (!fen_number_read(here, left, &t.value, &n)) {
        return refuse(r, FEN_CODE_NUMBER, fen_lexer_here(&r->x), true, "is not a number", NULL);
    } else if (!read_plain(r, n, &t)) {
        return false;
    }
    return add_term(r, t, ret_term);
}

static bool read_brackets(reader *r, uint32_t *ret_term)
{
    const uint32_t start = r->x.at;
    if (r->depth >= FEN_EXPR_MAX)
        return refuse(r, FEN_CODE_TOO_LARGE, (fen_span){ start, 1 }, false, "brackets are nested too deep",
                      "leave out brackets that are not needed");
    r->depth++;
    r->x.at++;
    if (!read_sum(r, ret_term))
        return false;
    if (fen_lexer_end(&r->x) || r->x.text[r->x.at] != ')')
        return refuse(r, FEN_CODE_CONDITION, (fen_span){ start, 1 }, false, "this bracket is not closed", "add a ')'");
    r->x.at++;
    r->depth--;
    fen_term *t = &r->s->terms.at[*ret_term];
    if (t->op != FEN_TERM_NAME && t->op != FEN_TERM_QUANTITY) /* those are looked up by their span */
        t->span = since(r, start);
    return true;
}

static bool starts_number(const reader *r)
{
    const char *c = r->x.text + r->x.at;
    const size_t left = r->x.len - r->x.at;
    return fen_lexer_digit(*c) || ((*c == '-' || *c == '+' || *c == '.') && left > 1 && (fen_lexer_digit(c[1]) || c[1] == '.'));
}

static bool read_factor(reader *r, uint32_t *ret_term)
{
    if (fen_lexer_end(&r->x))
        return unexpected(r, "write a finding or a quantity here");
    if (r->x.text[r->x.at] == '(')
        return read_brackets(r, ret_term);
    if (starts_number(r))
        return read_quantity(r, ret_term);
    const fen_span word = fen_lexer_peek(&r->x);
    if (word.len == 0 || fen_word_reserved(r->x.text + word.at, word.len))
        return unexpected(r, "write a finding or a quantity here");
    r->x.at += word.len;
    return add_term(r, (fen_term){ .op = FEN_TERM_NAME, .span = word, .finding = FEN_NONE }, ret_term);
}

/* The operator here, out of the two characters of OPS. */
static bool take_operator(reader *r, const char *ops, char *ret_op)
{
    if (fen_lexer_end(&r->x) || !strchr(ops, r->x.text[r->x.at]))
        return false;
    *ret_op = r->x.text[r->x.at++];
    return true;
}

static fen_term_op op_of(char c)
{
    return c == '+' ? FEN_TERM_ADD : c == '-' ? FEN_TERM_SUB : c == '*' ? FEN_TERM_MUL : FEN_TERM_DIV;
}

/* One level of operators of equal rank, from the left. */
static bool read_level(reader *r, const char *ops, bool (*read_part)(reader *, uint32_t *), uint32_t *ret_term)
{
    uint32_t left, right;
    if (!read_part(r, &left))
        return false;
    for (char op; take_operator(r, ops, &op);) {
        if (!read_part(r, &right))
            return false;
        const uint32_t start = r->s->terms.at[left].span.at;
        const fen_term both = { .op = op_of(op), .span = since(r, start), .left = left, .right = right };
        if (!add_term(r, both, &left))
            return false;
    }
    *ret_term = left;
    return true;
}

static bool read_product(reader *r, uint32_t *ret_term)
{
    return read_level(r, "*/", read_factor, ret_term);
}

static bool read_sum(reader *r, uint32_t *ret_term)
{
    return read_level(r, "+-", read_product, ret_term);
}

/* ---- comparisons ---- */

/* Comparisons in the order in which they must be tried: the longer first. */
static const struct {
    const char *sign;
    fen_compare compare;
} compares[] = {
    { "<=", FEN_AT_MOST }, { ">=", FEN_AT_LEAST }, { "<", FEN_LESS }, { ">", FEN_MORE }, { "=", FEN_EQUAL },
};

static bool read_compare_sign(reader *r, fen_compare *ret_compare)
{
    size_t run = 0;
    const char *here = r->x.text + r->x.at;
    while (run < r->x.len - r->x.at && strchr("<>=!", here[run]) != NULL)
        run++;
    for (size_t i = 0; i < FEN_COUNT(compares); i++) {
        if (strlen(compares[i].sign) == run && memcmp(here, compares[i].sign, run) == 0) {
            *ret_compare = compares[i].compare;
            r->x.at += (uint32_t)run;
            return true;
        }
    }
    if (run)
        return refuse(r, FEN_CODE_CONDITION, (fen_span){ r->x.at, (uint32_t)run }, true, "is not a comparison",
                      "write one of '<', '<=', '=', '>=', '>'");
    return unexpected(r, "write 'is', 'includes', 'from ... to ...' or one of '<', '<=', '=', '>=', '>' here");
}

static bool read_between(reader *r, fen_clause *c)
{
    c->form = FEN_CLAUSE_BETWEEN;
    c->lo_open = fen_lexer_take(&r->x, "above");
    if (!read_sum(r, &c->right))
        return false;
    if (!fen_lexer_take(&r->x, "to"))
        return unexpected(r, "a range reads 'from 50 ppm to 100 ppm'");
    c->hi_open = fen_lexer_take(&r->x, "below");
    return read_sum(r, &c->upper);
}

static bool read_comparison(reader *r, fen_clause *c)
{
    if (!read_sum(r, &c->left))
        return false;
    const fen_span op = fen_lexer_here(&r->x);
    c->op = op;
    if (fen_lexer_take(&r->x, "from"))
        return read_between(r, c);
    c->form = FEN_CLAUSE_COMPARE;
    if (fen_lexer_end(&r->x))
        return unexpected(r, "write what must hold, such as 'is soft' or '> 30 ppm'");
    return read_compare_sign(r, &c->compare) && read_sum(r, &c->right);
}

/* ---- answers ---- */

/* Does "or" here join another answer? Not if a new clause begins behind it. */
static bool another_answer(reader *r)
{
    fen_lexer ahead = r->x;
    if (!fen_lexer_take(&ahead, "or"))
        return false;
    const fen_span word = fen_lexer_peek(&ahead);
    if (word.len == 0)
        return false;
    ahead.at += word.len;
    if (fen_lexer_end(&ahead))
        return true;
    const fen_span next = fen_lexer_peek(&ahead);
    return fen_span_is(ahead.text, next, "or") || fen_span_is(ahead.text, next, "and");
}

/* "100" of "is 100 ppm": a word that goes on with neither "or" nor "and". */
static bool is_quantity(const reader *r, fen_span word)
{
    fen_lexer ahead = r->x;
    ahead.at = word.at + word.len;
    if (fen_lexer_end(&ahead))
        return false;
    const fen_span next = fen_lexer_peek(&ahead);
    return !fen_span_is(ahead.text, next, "or") && !fen_span_is(ahead.text, next, "and");
}

static bool read_answer(reader *r)
{
    const fen_span word = fen_lexer_peek(&r->x);
    const bool state = fen_span_is(r->x.text, word, "unsure") || fen_span_is(r->x.text, word, "unknown");
    if (word.len == 0 || (!state && fen_word_reserved_answer(r->x.text + word.at, word.len)))
        return unexpected(r, "write the name of an answer here");
    if (fen_lexer_digit(r->x.text[word.at]) && is_quantity(r, word))
        return refuse(r, FEN_CODE_CONDITION, word, true, "is not the name of an answer",
                      "compare a quantity by '=', '<', '<=', '>' or '>='");
    if (!FEN_VEC_PUSH(&r->s->answers, word)) {
        r->nomem = true;
        return false;
    }
    r->x.at += word.len;
    return true;
}

static bool read_answers(reader *r, fen_clause *c)
{
    c->answers = r->s->answers.count;
    if (!read_answer(r))
        return false;
    while (another_answer(r))
        if (!fen_lexer_take(&r->x, "or") || !read_answer(r))
            return false;
    c->n_answers = r->s->answers.count - c->answers;
    if (r->s->answers.count > FEN_OPTIONS_MAX * 4)
        return refuse(r, FEN_CODE_TOO_LARGE, c->finding, false, "the sentence has too many answers",
                      "split it over several sentences");
    return true;
}

/* NAME is/includes/excludes ...: true if the clause is of this form at all. */
static bool is_about_answers(reader *r, fen_clause *c)
{
    static const struct {
        const char *word;
        fen_clause_form form;
    } ops[] = { { "is", FEN_CLAUSE_IS }, { "includes", FEN_CLAUSE_INCLUDES }, { "excludes", FEN_CLAUSE_EXCLUDES } };
    fen_lexer ahead = r->x;
    c->finding = fen_lexer_peek(&ahead);
    if (c->finding.len == 0)
        return false;
    ahead.at += c->finding.len;
    c->op = fen_lexer_peek(&ahead);
    for (size_t i = 0; i < FEN_COUNT(ops); i++) {
        if (fen_span_is(ahead.text, c->op, ops[i].word)) {
            c->form = ops[i].form;
            r->x.at = c->op.at + c->op.len;
            return true;
        }
    }
    return false;
}

static bool about_answers(reader *r, fen_clause *c)
{
    if (c->form == FEN_CLAUSE_IS)
        c->negated = fen_lexer_take(&r->x, "not");
    if (!read_answers(r, c))
        return false;
    if (c->form == FEN_CLAUSE_EXCLUDES && c->n_answers > 1) {
        const fen_span second = r->s->answers.at[c->answers + 1];
        return refuse(r, FEN_CODE_CONDITION, second, false, "'excludes ... or ...' can be read in two ways",
                      "write one 'excludes' a line, under 'all' or 'any'");
    }
    return true;
}

static bool read_clause(reader *r)
{
    fen_clause c = { 0 };
    r->first_term = r->s->terms.count;
    r->depth = 0;
    fen_lexer_skip(&r->x);
    const uint32_t start = r->x.at;
    const bool reserved_first = is_about_answers(r, &c) && !fen_span_is(r->x.text, c.finding, "kind") &&
                                fen_word_reserved(r->x.text + c.finding.at, c.finding.len);
    if (reserved_first)
        return refuse(r, FEN_CODE_CONDITION, c.finding, true, "cannot stand here", "a sentence begins with a finding");
    if (r->x.at > start ? !about_answers(r, &c) : !read_comparison(r, &c))
        return false;
    c.span = since(r, start);
    if (!FEN_VEC_PUSH(&r->s->clauses, c)) {
        r->nomem = true;
        return false;
    }
    return true;
}

static bool read_joined(reader *r)
{
    const char *word = NULL;
    if (!read_clause(r))
        return false;
    while (!fen_lexer_end(&r->x)) {
        const fen_span at = fen_lexer_peek(&r->x);
        const char *join = fen_lexer_take(&r->x, "or") ? "or" : fen_lexer_take(&r->x, "and") ? "and" : NULL;
        if (!join)
            return r->x.text[r->x.at] == ',' ? unexpected(r, "join answers and sentences by 'or' or 'and'")
                                             : unexpected(r, "the sentence should end here, or go on with 'or' or 'and'");
        if (fen_lexer_end(&r->x))
            return unexpected(r, "write another answer or sentence behind it");
        if (word && strcmp(word, join) != 0)
            return refuse(r, FEN_CODE_CONDITION, at, false, "'and' beside 'or' can be read in two ways",
                          "write the sentences under 'all' and 'any'");
        word = join;
        if (r->s->clauses.count >= FEN_OPTIONS_MAX)
            return refuse(r, FEN_CODE_TOO_LARGE, at, false, "the sentence has too many parts",
                          "write the sentences under 'all' and 'any'");
        if (!read_clause(r))
            return false;
    }
    r->s->any = word && strcmp(word, "or") == 0;
    return true;
}

fen_status fen_sentence_condition(fen_sentence *s, const char *text, size_t len)
{
    reader r = { .x = { text, (uint32_t)len, 0 }, .s = s };
    s->text = text;
    s->len = (uint32_t)len;
    s->clauses.count = s->answers.count = s->terms.count = 0;
    s->any = false;
    if (read_joined(&r))
        return FEN_OK;
    return r.nomem ? FEN_ENOMEM : FEN_EINPUT;
}
