#include "names.h"

#include <ctype.h>
#include <stdio.h>
#include <string.h>

#include "util/near.h"

/* What the two kinds of things have in common: a count, two names each, and
 * whether one may be meant at all. */
typedef struct things {
    const char *what; /* "finding" */
    const char *list; /* what lists them */
    uint32_t (*count)(const fen_base *base);
    const char *(*id)(const fen_base *base, fen_id i);
    const char *(*name)(const fen_base *base, fen_id i);
    bool (*meant)(const fen_session *s, fen_id i);
} things;

static const char *finding_id(const fen_base *base, fen_id i)
{
    return fen_base_finding(base, i)->id;
}

static const char *finding_name(const fen_base *base, fen_id i)
{
    return fen_base_finding(base, i)->name;
}

static bool any_finding(const fen_session *s, fen_id i)
{
    return !fen_base_finding(fen_session_base(s), i)->derived;
}

static const char *cause_id(const fen_base *base, fen_id i)
{
    return fen_base_cause(base, i)->id;
}

static const char *cause_name(const fen_base *base, fen_id i)
{
    return fen_base_cause(base, i)->name;
}

static const things findings = {"finding", "'help note'", fen_base_findings, finding_id, finding_name, any_finding};
static const things causes = {"cause", "'standing'", fen_base_causes, cause_id, cause_name, fen_session_cause_applies};

size_t fen_names_word(const char **rest, const char **ret_word)
{
    const char *p = *rest;
    while (*p == ' ' || *p == '\t')
        p++;
    *ret_word = p;
    while (*p && *p != ' ' && *p != '\t')
        p++;
    const size_t len = (size_t)(p - *ret_word);
    while (*p == ' ' || *p == '\t')
        p++;
    *rest = p;
    return len;
}

static int folded(char c)
{
    return c == ' ' || c == '\t' || c == '_' ? '-' : tolower((unsigned char)c);
}

/* How many bytes of NAME the typed ones take up; SIZE_MAX: they differ. Runs of
 * blanks count once. */
static size_t matched(const char *typed, size_t len, const char *name)
{
    size_t n = 0;
    for (size_t i = 0; i < len; i++) {
        if (i && folded(typed[i]) == '-' && folded(typed[i - 1]) == '-')
            continue;
        if (!name[n] || folded(typed[i]) != folded(name[n]))
            return SIZE_MAX;
        n++;
    }
    return n;
}

bool fen_names_same(const char *typed, size_t len, const char *name)
{
    return matched(typed, len, name) == strlen(name);
}

bool fen_names_begins(const char *typed, size_t len, const char *name)
{
    return len && matched(typed, len, name) != SIZE_MAX;
}

static fen_status not_found(const things *t, const fen_session *s, const char *typed, size_t len, char reterr[FEN_NAMES_ERROR])
{
    const fen_base *base = fen_session_base(s);
    fen_near near;
    fen_near_begin(&near, typed, len);
    for (fen_id i = 0; i < t->count(base); i++)
        if (t->meant(s, i))
            fen_near_offer(&near, t->id(base, i));
    const int shown = (int)(len > 60 ? 60 : len);
    if (near.name)
        snprintf(reterr, FEN_NAMES_ERROR, "'%.*s' is no %s; did you mean '%s'", shown, typed, t->what, near.name);
    else
        snprintf(reterr, FEN_NAMES_ERROR, "'%.*s' is no %s; %s lists them", shown, typed, t->what, t->list);
    return FEN_EINPUT;
}

/* The things whose name in packs (or shown name) begins so: how many, and the first two. */
static uint32_t find_beginning(const things *t, const fen_session *s, const char *typed, size_t len,
                               const char *(*name)(const fen_base *, fen_id), fen_id found[2])
{
    const fen_base *base = fen_session_base(s);
    uint32_t n = 0;
    for (fen_id i = 0; i < t->count(base); i++)
        if (t->meant(s, i) && fen_names_begins(typed, len, name(base, i))) {
            if (n < 2)
                found[n] = i;
            n++;
        }
    return n;
}

/* Whole names first, then beginnings of names as in packs (which completion
 * shows), then of those shown. */
static fen_status find(const things *t, const fen_session *s, const char *typed, size_t len, fen_id *ret, char reterr[FEN_NAMES_ERROR])
{
    const fen_base *base = fen_session_base(s);
    fen_id found[2];
    for (fen_id i = 0; len && i < t->count(base); i++)
        if (t->meant(s, i) && (fen_names_same(typed, len, t->id(base, i)) || fen_names_same(typed, len, t->name(base, i)))) {
            *ret = i;
            return FEN_OK;
        }
    uint32_t n = find_beginning(t, s, typed, len, t->id, found);
    if (!n)
        n = find_beginning(t, s, typed, len, t->name, found);
    if (!n)
        return not_found(t, s, typed, len, reterr);
    if (n > 1) {
        snprintf(reterr, FEN_NAMES_ERROR, "'%.*s' could be more than one %s; write '%s' or '%s'%s", (int)(len > 60 ? 60 : len), typed,
                 t->what, t->id(base, found[0]), t->id(base, found[1]), n > 2 ? ", or one of the others" : "");
        return FEN_EINPUT;
    }
    *ret = found[0];
    return FEN_OK;
}

fen_status fen_names_finding(const fen_session *s, const char *typed, size_t len, fen_id *ret_finding, char reterr[FEN_NAMES_ERROR])
{
    const fen_base *base = fen_session_base(s);
    const fen_status st = find(&findings, s, typed, len, ret_finding, reterr);
    if (st)
        for (fen_id i = 0; i < fen_base_findings(base); i++)
            if (fen_base_finding(base, i)->derived && fen_names_same(typed, len, finding_id(base, i)))
                snprintf(reterr, FEN_NAMES_ERROR, "'%s' is worked out by the rules; say what was seen or measured instead",
                         finding_id(base, i));
    return st;
}

fen_status fen_names_cause(const fen_session *s, const char *typed, size_t len, const char *list, fen_id *ret_cause,
                           char reterr[FEN_NAMES_ERROR])
{
    const fen_base *base = fen_session_base(s);
    things t = causes;
    if (list)
        t.list = list;
    const fen_status st = find(&t, s, typed, len, ret_cause, reterr);
    if (st)
        for (fen_id i = 0; i < fen_base_causes(base); i++)
            if (fen_names_same(typed, len, cause_id(base, i)))
                snprintf(reterr, FEN_NAMES_ERROR, "'%s' does not occur in this kind of plant; %s lists those that do",
                         cause_id(base, i), t.list);
    return st;
}

fen_status fen_names_finding_first(const fen_session *s, const char *typed, fen_id *ret_finding, const char **ret_rest, char reterr[FEN_NAMES_ERROR])
{
    const char *word, *rest = typed, *after_one = NULL;
    fen_status one = FEN_EINPUT;
    fen_id found = FEN_NONE, longest = FEN_NONE;
    const char *after_longest = NULL;
    size_t len = fen_names_word(&rest, &word);
    const char *start = word;
    after_one = rest;
    one = fen_names_finding(s, start, len, &found, reterr);
    const fen_base *base = fen_session_base(s);
    /* Longer fits must be whole names: a beginning of many words would swallow
     * the answer. */
    while ((len = fen_names_word(&rest, &word))) {
        const size_t whole = (size_t)(word + len - start);
        for (fen_id i = 0; i < fen_base_findings(base); i++)
            if (any_finding(s, i) && (fen_names_same(start, whole, finding_id(base, i)) || fen_names_same(start, whole, finding_name(base, i)))) {
                longest = i;
                after_longest = rest;
            }
    }
    if (longest != FEN_NONE) {
        *ret_finding = longest;
        *ret_rest = after_longest;
        return FEN_OK;
    }
    if (!one) {
        *ret_finding = found;
        *ret_rest = after_one;
    }
    return one;
}

fen_status fen_names_two_causes(const fen_session *s, const char *typed, fen_id *ret_a, fen_id *ret_b, char reterr[FEN_NAMES_ERROR])
{
    const char *word, *rest = typed;
    size_t len = fen_names_word(&rest, &word);
    const char *start = word;
    char first_error[FEN_NAMES_ERROR] = "";
    while (len && *rest) {
        fen_id a, b;
        char err[FEN_NAMES_ERROR];
        const size_t half = (size_t)(word + len - start);
        size_t end = strlen(rest);
        while (end && (rest[end - 1] == ' ' || rest[end - 1] == '\t'))
            end--;
        if (!fen_names_cause(s, start, half, NULL, &a, err) && !fen_names_cause(s, rest, end, NULL, &b, err)) {
            *ret_a = a;
            *ret_b = b;
            return FEN_OK;
        }
        if (!first_error[0])
            memcpy(first_error, err, sizeof err);
        len = fen_names_word(&rest, &word);
    }
    if (first_error[0])
        memcpy(reterr, first_error, sizeof first_error);
    else
        snprintf(reterr, FEN_NAMES_ERROR, "two causes are needed; write 'contrast CAUSE CAUSE'");
    return FEN_EINPUT;
}
