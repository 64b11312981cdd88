/* answer.c -- see answer.h and, for the grammar, fen_answer_read in case.h.
 */
#include "answer.h"

#include <assert.h>
#include <stdio.h>
#include <string.h>

#include "answer_text.h"
#include "answer_value.h"
#include "kind_name.h"
#include "model/net.h"
#include "util/near.h"
#include "util/utf8.h"
#include "util/vec.h"

enum { LONGEST_ANSWER = 1024 }; /* bytes: all 64 answers of a finding by name fit */

bool fen_answer_is_unsure(const char *text, size_t len)
{
    static const char *const words[] = {
        "unsure", "not sure", "i am not sure", "i'm not sure", "don't know", "dont know", "do not know",
        "i don't know", "i do not know", "dunno", "no idea", "can't tell", "cant tell", "cannot tell",
        "can't say", "cannot say", "unclear", "unknown",
    };
    return fen_piece_is_one_of(fen_piece_trim((fen_piece){ text, len }), words, FEN_COUNT(words));
}

bool fen_answer_is_none(const char *text, size_t len)
{
    static const char *const words[] = { "none", "nothing", "none of these", "none of them", "neither" };
    return fen_piece_is_one_of(fen_piece_trim((fen_piece){ text, len }), words, FEN_COUNT(words));
}

bool fen_answer_is_number(const char *text, size_t len)
{
    const fen_piece t = fen_piece_trim((fen_piece){ text, len });
    for (size_t i = 0; i < t.len; i++)
        if (t.at[i] < '0' || t.at[i] > '9')
            return false;
    return t.len > 0;
}

/* A group of kinds that is no answer of its own: see fen_base_kind_choices. */
static bool serves_rules(const fen_base *base, fen_id finding, fen_id option)
{
    return finding == FEN_KIND_FINDING && fen_base_kind(base, option)->group && !fen_base_kind(base, option)->latin;
}

uint32_t fen_answer_number(const fen_base *base, fen_id finding, fen_id option)
{
    fen_id offered[FEN_KINDS_MAX];
    if (finding != FEN_KIND_FINDING)
        return option + 1;
    const uint32_t n = fen_base_kind_choices(base, FEN_NONE, offered);
    for (uint32_t i = 0; i < n; i++)
        if (offered[i] == option)
            return i + 1;
    return 0;
}

/* How a text can meet an option that is not its id to the letter, closest first. */
typedef enum way { BY_ID, BY_SAY, BY_WORDS, BY_NUMBER, BY_TRUTH, BY_START, WAYS } way;

static bool meets_words(const fen_base *base, fen_id finding, fen_id option, fen_piece t)
{
    const fen_option *o = &fen_base_finding(base, finding)->options[option];
    if (fen_piece_is_one_of(t, o->words.at, o->words.count))
        return true;
    if (finding != FEN_KIND_FINDING)
        return false;
    const fen_kind *k = fen_base_kind(base, option);
    return fen_piece_is_one_of(t, k->called.at, k->called.count) || fen_piece_is_one_of(t, &k->name, 1) ||
           (k->latin && fen_piece_is_one_of(t, &k->latin, 1));
}

static bool meets_number(const fen_base *base, fen_id finding, fen_id option, fen_piece t)
{
    char number[16];
    snprintf(number, sizeof number, "%lu", (unsigned long)fen_answer_number(base, finding, option));
    return strlen(number) == t.len && memcmp(number, t.at, t.len) == 0;
}

/* What programs write for yes and no, in YAML and JSON alike. */
static bool meets_truth(const fen_option *o, fen_piece t)
{
    return (fen_piece_match(t, "true") == FEN_MATCH_ALL && strcmp(o->id, "yes") == 0) ||
           (fen_piece_match(t, "false") == FEN_MATCH_ALL && strcmp(o->id, "no") == 0);
}

static bool meets(const fen_base *base, fen_id finding, fen_id option, fen_piece t, way by)
{
    const fen_option *o = &fen_base_finding(base, finding)->options[option];
    switch (by) {
    case BY_ID:
        return fen_piece_match(t, o->id) == FEN_MATCH_ALL;
    case BY_SAY:
        return o->say && fen_piece_match(t, o->say) == FEN_MATCH_ALL;
    case BY_WORDS:
        return meets_words(base, finding, option, t);
    case BY_NUMBER:
        return meets_number(base, finding, option, t);
    case BY_TRUTH:
        return meets_truth(o, t);
    case BY_START:
        return !serves_rules(base, finding, option) &&
               (fen_piece_match(t, o->id) || (o->say && fen_piece_match(t, o->say)));
    case WAYS:
        break;
    }
    return false;
}

/* How many options T meets in the closest way that any does; the first two in FOUND. The
 * id to the letter comes before all, so that what a case file holds always reads back. */
static size_t find_options(const fen_base *base, fen_id finding, fen_piece t, way last, fen_id found[2])
{
    const fen_finding *f = fen_base_finding(base, finding);
    found[0] = fen_base_find_option(base, finding, t.at, t.len);
    if (found[0] != FEN_NONE)
        return 1;
    for (way by = BY_ID; by <= last; by++) {
        size_t n = 0;
        for (fen_id i = 0; i < f->n_options; i++)
            if (meets(base, finding, i, t, by)) {
                if (n < 2)
                    found[n] = i;
                n++;
            }
        if (n)
            return n;
    }
    return 0;
}

/* "'firm', 'soft' or 'slimy'" as far as BUF goes: all options that are answers. */
static void name_options(const fen_base *base, fen_id finding, char *buf, size_t size)
{
    const fen_finding *f = fen_base_finding(base, finding);
    size_t n = 0;
    buf[0] = '\0';
    for (fen_id i = 0; i < f->n_options; i++) {
        if (serves_rules(base, finding, i))
            continue;
        const int more = snprintf(buf + n, size - n, "%s'%s'", n ? ", " : "", f->options[i].id);
        if (more < 0 || n + (size_t)more + 8 > size) {
            snprintf(buf + n, size - n, ", ...");
            return;
        }
        n += (size_t)more;
    }
}

static const char *nearest(const fen_base *base, fen_id finding, fen_piece t)
{
    const fen_finding *f = fen_base_finding(base, finding);
    fen_near near;
    fen_near_begin(&near, t.at, t.len);
    for (fen_id i = 0; i < f->n_options; i++)
        if (!serves_rules(base, finding, i))
            fen_near_offer(&near, f->options[i].id);
    for (fen_id i = 0; i < f->n_options; i++) {
        const fen_option *o = &f->options[i];
        if (serves_rules(base, finding, i))
            continue;
        if (o->say)
            fen_near_offer(&near, o->say);
        for (uint32_t w = 0; w < o->words.count; w++)
            fen_near_offer(&near, o->words.at[w]);
    }
    return near.name;
}

static fen_status no_such_option(const fen_base *base, fen_id finding, fen_piece t, fen_answer_fault *fault)
{
    const fen_finding *f = fen_base_finding(base, finding);
    char is[FEN_SHORT_TEXT], names[FEN_FAULT_TEXT - 32];
    const char *near = fen_answer_is_number(t.at, t.len) ? NULL : nearest(base, finding, t);
    fen_fault_set(fault, finding == FEN_KIND_FINDING ? FEN_CODE_UNKNOWN_NAME : FEN_CODE_BAD_VALUE, 0, t.len);
    fen_piece_short(t, is);
    if (finding == FEN_KIND_FINDING)
        fen_fault_what(fault, "there is no kind of plant '%s'", is);
    else
        fen_fault_what(fault, "'%s' is not an answer to '%s'", is, f->id);
    if (near) {
        fen_fault_right(fault, "did you mean '%s'", near);
    } else {
        name_options(base, finding, names, sizeof names);
        fen_fault_right(fault, "write one of %s, or 'unsure'", names);
    }
    return FEN_EINPUT;
}

static fen_status ambiguous(const fen_finding *f, fen_piece t, const fen_id found[2], size_t n, fen_answer_fault *fault)
{
    char is[FEN_SHORT_TEXT];
    fen_fault_set(fault, FEN_CODE_BAD_VALUE, 0, t.len);
    fen_fault_what(fault, "'%s' could be '%s' or '%s'%s", fen_piece_short(t, is), f->options[found[0]].id,
                   f->options[found[1]].id, n > 2 ? " or another" : "");
    fen_fault_right(fault, "write more of the one you mean");
    return FEN_EINPUT;
}

fen_status fen_answer_option(const fen_base *base, fen_id finding, const char *text, size_t len, fen_id *ret_option,
                             fen_answer_fault *reterr_fault)
{
    const fen_piece t = fen_piece_trim((fen_piece){ text, len });
    fen_id found[2] = { 0, 0 };
    const size_t n = find_options(base, finding, t, BY_START, found);
    fen_kind_name latin;
    if (n == 0 && finding == FEN_KIND_FINDING && fen_kind_by_latin(base, t, &latin)) {
        *ret_option = latin.kind;
        return FEN_OK;
    }
    if (n == 0)
        return no_such_option(base, finding, t, reterr_fault);
    if (n > 1)
        return ambiguous(fen_base_finding(base, finding), t, found, n, reterr_fault);
    *ret_option = found[0];
    return FEN_OK;
}

/* The longest text from AT that is an answer in full: what an option says may
 * itself have a comma in it. 0: none. */
static size_t longest_option(const fen_base *base, fen_id finding, fen_piece t, size_t at, fen_id *ret_option,
                             size_t *ret_next)
{
    size_t best = 0, next = at, end;
    do {
        fen_id found[2];
        end = fen_piece_break(t, next, &next);
        const fen_piece part = fen_piece_trim((fen_piece){ t.at + at, end - at });
        if (part.len && find_options(base, finding, part, BY_WORDS, found) == 1)
            best = end, *ret_option = found[0], *ret_next = next;
    } while (end < t.len);
    return best;
}

/* "1 3": numbers may stand with only a blank between them. */
static void shorten_to_number(fen_piece t, size_t at, size_t *end, size_t *next)
{
    size_t i = at;
    while (*end > at && t.at[*end - 1] == ' ')
        --*end;
    while (i < *end && t.at[i] >= '0' && t.at[i] <= '9')
        i++;
    for (size_t j = i; j < *end; j++)
        if (t.at[j] != ' ' && (t.at[j] < '0' || t.at[j] > '9'))
            return;
    if (i > at && i < *end)
        *end = *next = i;
}

static size_t skip_between(fen_piece t, size_t at)
{
    while (at < t.len && strchr(" ,;&+", t.at[at]))
        at++;
    /* "a, b, and c" */
    if (t.len - at > 4 && t.at[at + 3] == ' ' && fen_piece_match((fen_piece){ t.at + at, 3 }, "and") == FEN_MATCH_ALL)
        return skip_between(t, at + 4);
    return at;
}

bool fen_answer_together(const fen_finding *f, uint64_t picks, size_t width, fen_answer_fault *reterr_fault)
{
    if (fen_finding_fits(f, picks))
        return true;
    fen_id alone = 0;
    while (!f->options[alone].alone || !(picks >> alone & 1))
        alone++;
    fen_fault_set(reterr_fault, FEN_CODE_BAD_VALUE, 0, width);
    fen_fault_what(reterr_fault, "'%s' says that none of the others holds", f->options[alone].id);
    fen_fault_right(reterr_fault, "write it alone, or leave it out");
    return false;
}

static fen_status parse_several(const fen_base *base, fen_id finding, fen_piece t, uint64_t *ret_picks,
                                fen_answer_fault *fault)
{
    uint64_t picks = 0;
    for (size_t at = skip_between(t, 0); at < t.len; at = skip_between(t, at)) {
        fen_id option = 0;
        size_t next = t.len;
        if (!longest_option(base, finding, t, at, &option, &next)) {
            size_t end = fen_piece_break(t, at, &next);
            shorten_to_number(t, at, &end, &next);
            const fen_status st = fen_answer_option(base, finding, t.at + at, end - at, &option, fault);
            if (st) {
                fault->at += at;
                return st;
            }
        }
        picks |= UINT64_C(1) << option;
        at = next;
    }
    if (!picks) /* nothing but commas */
        return no_such_option(base, finding, t, fault);
    if (!fen_answer_together(fen_base_finding(base, finding), picks, t.len, fault))
        return FEN_EINPUT;
    *ret_picks = picks;
    return FEN_OK;
}

/* Even where a pack has an answer of that name: case files need one word for it. */
static bool is_unsure_word(fen_piece t)
{
    return fen_piece_match(t, "unsure") == FEN_MATCH_ALL;
}

static fen_status parse_picks(const fen_base *base, fen_id finding, fen_piece t, fen_answer *a, fen_answer_fault *fault)
{
    const fen_finding *f = fen_base_finding(base, finding);
    fen_id found[2] = { 0, 0 };
    fen_status st = FEN_OK;
    if (is_unsure_word(t)) {
        a->state = FEN_UNSURE;
    } else if (find_options(base, finding, t, BY_WORDS, found) == 1) {
        a->picks = UINT64_C(1) << found[0];
    } else if (fen_answer_is_unsure(t.at, t.len)) {
        a->state = FEN_UNSURE;
    } else if (f->type == FEN_SEVERAL && fen_answer_is_none(t.at, t.len)) {
        a->picks = fen_finding_without(f);
    } else if (f->type == FEN_SEVERAL) {
        st = parse_several(base, finding, t, &a->picks, fault);
    } else {
        st = fen_answer_option(base, finding, t.at, t.len, &found[0], fault);
        a->picks = st ? 0 : UINT64_C(1) << found[0];
    }
    return st;
}

static fen_status refuse(fen_answer_fault *fault, fen_code code, size_t width, const char *what, const char *right)
{
    fen_fault_set(fault, code, 0, width);
    fen_fault_what(fault, "%s", what);
    fen_fault_right(fault, "%s", right);
    return FEN_EINPUT;
}

static fen_status parse(const fen_base *base, fen_id finding, fen_piece t, int32_t today, fen_answer *a,
                        fen_answer_fault *fault)
{
    const fen_finding *f = fen_base_finding(base, finding);
    if (f->type == FEN_CHOICE || f->type == FEN_SEVERAL || f->type == FEN_YES_NO)
        return parse_picks(base, finding, t, a, fault);
    /* what begins with a digit is no word, which spares a batch most of the comparing */
    if ((t.at[0] < '0' || t.at[0] > '9') && fen_answer_is_unsure(t.at, t.len)) {
        a->state = FEN_UNSURE;
        return FEN_OK;
    }
    return f->type == FEN_QUANTITY ? fen_answer_quantity(f, t, &a->value, fault)
                                   : fen_answer_date(f, t, today, &a->value, fault);
}

fen_status fen_answer_parse(const fen_base *base, fen_id finding, const char *text, size_t len, int32_t today,
                            fen_answer *ret_answer, fen_answer_fault *reterr_fault)
{
    const fen_finding *f = fen_base_finding(base, finding);
    const fen_piece t = fen_piece_trim((fen_piece){ text, len });
    fen_answer a = { FEN_KNOWN, 0, 0.0 };
    if (f->derived) {
        fen_fault_set(reterr_fault, FEN_CODE_BAD_VALUE, 0, len);
        fen_fault_what(reterr_fault, "'%s' is never asked: the rules work it out", f->id);
        fen_fault_right(reterr_fault, "leave it out");
        return FEN_EINPUT;
    }
    const fen_id named = f->n_options ? fen_base_find_option(base, finding, t.at, t.len) : FEN_NONE;
    if (named != FEN_NONE && !is_unsure_word(t)) { /* as nearly all in a file are: no more needs looking at */
        *ret_answer = (fen_answer){ FEN_KNOWN, UINT64_C(1) << named, 0.0 };
        return FEN_OK;
    }
    if (t.len == 0)
        return refuse(reterr_fault, FEN_CODE_MISSING, 1, "there is no answer here", "write one, or 'unsure'");
    if (t.len > LONGEST_ANSWER || fen_utf8_check(t.at, t.len) != t.len)
        return refuse(reterr_fault, FEN_CODE_BAD_VALUE, 1, "this is too long for an answer, or not readable text",
                      "write the answer alone");
    const size_t skipped = (size_t)(t.at - text);
    const fen_status st = parse(base, finding, t, today, &a, reterr_fault);
    if (st)
        reterr_fault->at += skipped;
    else
        *ret_answer = a;
    return st;
}

fen_status fen_answer_read(const fen_base *base, fen_id finding, const char *text, size_t len, int32_t today,
                           fen_answer *ret_answer, char reterr[256])
{
    fen_answer_fault fault;
    const fen_status st = fen_answer_parse(base, finding, text, len, today, ret_answer, &fault);
    if (st) {
        snprintf(reterr, 256, fault.right[0] ? "%s; %s" : "%s", fault.what, fault.right);
        reterr[fen_utf8_check(reterr, strlen(reterr))] = '\0';
    }
    return st;
}
