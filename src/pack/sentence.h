/* sentence.h -- the sentences of packs, taken apart: conditions ("crown-feel is
 * soft or slimy", "runoff - water > 30 ppm") and effects ("strong for
 * crown-rot"). rules/README.md describes them for authors.
 *
 * Only grammar here: no name is looked up, no dimension compared; resolve.h does
 * that. Everything found is a span of bytes of the text, so that a problem can
 * point at exactly what it is about.
 *
 *     condition  = clause { "or" clause } | clause { "and" clause }
 *     clause     = NAME "is" [ "not" ] NAME { "or" NAME }
 *                | NAME "includes" NAME { "or" NAME } | NAME "excludes" NAME
 *                | sum ( "<" | "<=" | ">" | ">=" | "=" ) sum
 *                | sum "from" [ "above" ] sum "to" [ "below" ] sum
 *     sum        = product { ( "+" | "-" ) product }
 *     product    = factor { ( "*" | "/" ) factor }
 *     factor     = NAME | QUANTITY | "(" sum ")"
 *     effect     = ( "slight" | "fair" | "strong" | "decisive" | NUMBER "dBan" ) ( "for" | "against" ) NAME
 *                | "excludes" NAME | "hazard" NAME | NAME ( "is" | "includes" ) NAME
 *
 * A fen_sentence is scratch memory: made zero, filled again and again, freed
 * once. Filling borrows the text.
 */
#ifndef FEN_SENTENCE_H
#define FEN_SENTENCE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "fenmend/base.h"
#include "util/vec.h"

typedef struct fen_span { /* bytes of the sentence's text */
    uint32_t at, len;
} fen_span;

typedef enum fen_term_op {
    FEN_TERM_NAME,
    FEN_TERM_QUANTITY,
    FEN_TERM_ADD,
    FEN_TERM_SUB,
    FEN_TERM_MUL,
    FEN_TERM_DIV
} fen_term_op;

typedef struct fen_term {
    fen_term_op op;
    fen_span span;
    uint32_t left, right; /* terms */
    /* QUANTITY. A plain number is a count. "5 C" may be a temperature or a
     * difference of temperatures: `value` is the former, `difference` the latter. */
    double value, difference;
    bool plain;           /* written without a unit */
    /* NAME: filled by resolve.h */
    fen_id finding;
    /* every term; QUANTITY is set here, the rest by resolve.h */
    fen_dim dim;
    bool loose;           /* a temperature that may still turn out a difference */
} fen_term;

typedef enum fen_clause_form {
    FEN_CLAUSE_IS,
    FEN_CLAUSE_INCLUDES,
    FEN_CLAUSE_EXCLUDES,
    FEN_CLAUSE_COMPARE,
    FEN_CLAUSE_BETWEEN
} fen_clause_form;

typedef enum fen_compare { FEN_LESS, FEN_AT_MOST, FEN_EQUAL, FEN_AT_LEAST, FEN_MORE } fen_compare;

typedef struct fen_clause {
    fen_clause_form form;
    fen_span span;
    fen_span finding, op;    /* IS, INCLUDES, EXCLUDES; the word between */
    bool negated;            /* "is not" */
    uint32_t answers, n_answers; /* slice of fen_sentence.answers */
    fen_compare compare;
    uint32_t left, right;    /* COMPARE: terms. BETWEEN: the middle, the lower bound */
    uint32_t upper;          /* BETWEEN */
    bool lo_open, hi_open;   /* BETWEEN: "above", "below" */
} fen_clause;

/* What could not be read: `wrong` follows the quoted span if `quoted`. */
typedef struct fen_sentence_error {
    fen_code code;
    fen_span at;
    bool quoted;
    const char *wrong, *right; /* right may be NULL */
} fen_sentence_error;

typedef struct fen_sentence {
    const char *text;
    uint32_t len;
    FEN_VEC(fen_clause) clauses;
    FEN_VEC(fen_span) answers;
    FEN_VEC(fen_term) terms;
    bool any; /* clauses are joined by "or", not by "and" */
    fen_sentence_error error;
} fen_sentence;

typedef struct fen_effect_words {
    fen_effect_op op;
    fen_weight weight;  /* FEN_WEIGH */
    fen_span target;    /* cause, hazard, or derived finding */
    fen_span answer;    /* FEN_DERIVE */
    bool includes;      /* FEN_DERIVE: "includes" instead of "is" */
} fen_effect_words;

/* LEN at most FEN_SCALAR_MAX. FEN_EINPUT: s->error tells. */
FEN_MUST_USE fen_status fen_sentence_condition(fen_sentence *s, const char *text, size_t len);
FEN_MUST_USE fen_status fen_sentence_effect(fen_sentence *s, const char *text, size_t len, fen_effect_words *ret_effect);
void fen_sentence_free(fen_sentence *s);

/* A decimal number at the front of TEXT as dBan, rounded to the nearest 1e-12:
 * "7.5" is 7.5 dBan exactly. false: no number, or more than FEN_WEIGHT_MAX
 * (*ret_len is then 0, or the bytes of the number). */
bool fen_weight_read(const char *text, size_t len, fen_weight *ret_weight, size_t *ret_len);

/* May a thing be called so: small letters, digits, hyphens within, at most FEN_NAME_MAX? */
bool fen_name_formed(const char *text, size_t len);
/* Words that have a meaning in sentences and cannot be names of findings or answers. */
bool fen_word_reserved(const char *word, size_t len);
bool fen_word_reserved_answer(const char *word, size_t len);

#endif
