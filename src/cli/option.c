#include "option.h"

#include <assert.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include "columns.h"
#include "util/date.h"
#include "util/near.h"

/* One reading of a command line; lets the helpers share what they all need. */
typedef struct reading {
    const fen_opt_group *groups;
    size_t n_groups;
    int argc, at;
    char **argv;
    char *err;
} reading;

typedef struct hit {
    const fen_opt *opt;
    void *into;
} hit;

FEN_PRINTF(2, 3) static fen_status refuse(const reading *r, const char *format, ...)
{
    va_list args;
    va_start(args, format);
    vsnprintf(r->err, FEN_OPT_ERROR, format, args);
    va_end(args);
    return FEN_EINPUT;
}

/* ---- values -------------------------------------------------------------- */

static fen_status take_choice(const reading *r, const fen_opt *o, const char *text, int *ret)
{
    const size_t len = strlen(text);
    int index = 0;
    for (const char *p = o->value; p; index++) {
        const char *end = strchr(p, '|');
        const size_t n = end ? (size_t)(end - p) : strlen(p);
        if (n == len && memcmp(p, text, n) == 0) {
            *ret = index;
            return FEN_OK;
        }
        p = end ? end + 1 : NULL;
    }
    return refuse(r, "'%.60s' is no value of '--%s'; write one of %s", text, o->name, o->value);
}

static fen_status take_count(const reading *r, const fen_opt *o, const char *text, uint32_t *ret)
{
    uint64_t n = 0;
    for (const char *p = text; *p; p++) {
        if (*p < '0' || *p > '9' || n > UINT32_MAX / 10)
            return refuse(r, "'%.60s' is no value of '--%s'; write a whole number from 1", text, o->name);
        n = n * 10 + (uint64_t)(*p - '0');
    }
    if (n < 1 || n > UINT32_MAX)
        return refuse(r, "'%.60s' is no value of '--%s'; write a whole number from 1", text, o->name);
    *ret = (uint32_t)n;
    return FEN_OK;
}

static fen_status take_date(const reading *r, const fen_opt *o, const char *text, fen_opt_date *ret)
{
    int32_t day;
    if (!fen_date_read(text, strlen(text), &day))
        return refuse(r, "'%.60s' is no date for '--%s'; write year, month and day as in 2026-07-12", text, o->name);
    *ret = (fen_opt_date){.given = true, .day = day};
    return FEN_OK;
}

static fen_status take(const reading *r, hit h, const char *text)
{
    void *to = (char *)h.into + h.opt->to;
    switch (h.opt->type) {
    case FEN_OPT_FLAG:
        *(bool *)to = true;
        return FEN_OK;
    case FEN_OPT_CHOICE:
        return take_choice(r, h.opt, text, to);
    case FEN_OPT_COUNT:
        return take_count(r, h.opt, text, to);
    case FEN_OPT_TEXT:
        *(const char **)to = text;
        return FEN_OK;
    case FEN_OPT_LIST:
        return FEN_VEC_PUSH((fen_opt_list *)to, text) ? FEN_OK : FEN_ENOMEM;
    case FEN_OPT_DATE:
        return take_date(r, h.opt, text, to);
    case FEN_OPT_END:
        break;
    }
    assert(!"a row of an unknown type");
    return FEN_EINPUT;
}

/* ---- names --------------------------------------------------------------- */

static fen_status unknown_long(const reading *r, const char *name, size_t len)
{
    fen_near near;
    fen_near_begin(&near, name, len);
    for (size_t g = 0; g < r->n_groups; g++)
        for (const fen_opt *o = r->groups[g].opts; o->type != FEN_OPT_END; o++)
            fen_near_offer(&near, o->name);
    if (near.name)
        return refuse(r, "unknown option '--%.*s'; did you mean '--%s'", (int)(len > 60 ? 60 : len), name, near.name);
    return refuse(r, "unknown option '--%.*s'; '--help' lists the options", (int)(len > 60 ? 60 : len), name);
}

/* An exact name wins; else the one name that begins with NAME. */
static fen_status find_long(const reading *r, const char *name, size_t len, hit *ret)
{
    hit found = {0};
    const fen_opt *other = NULL;
    for (size_t g = 0; g < r->n_groups; g++)
        for (const fen_opt *o = r->groups[g].opts; o->type != FEN_OPT_END; o++) {
            if (strncmp(o->name, name, len) != 0)
                continue;
            if (strlen(o->name) == len) {
                *ret = (hit){o, r->groups[g].into};
                return FEN_OK;
            }
            other = found.opt;
            found = (hit){o, r->groups[g].into};
        }
    if (!found.opt || len == 0)
        return unknown_long(r, name, len);
    if (other)
        return refuse(r, "option '--%.*s' could be two; write '--%s' or '--%s'", (int)len, name, other->name, found.opt->name);
    *ret = found;
    return FEN_OK;
}

static fen_status find_letter(const reading *r, char letter, hit *ret)
{
    for (size_t g = 0; g < r->n_groups; g++)
        for (const fen_opt *o = r->groups[g].opts; o->type != FEN_OPT_END; o++)
            if (o->letter == letter) {
                *ret = (hit){o, r->groups[g].into};
                return FEN_OK;
            }
    if ((unsigned char)letter < 0x21 || (unsigned char)letter > 0x7e)
        return refuse(r, "unknown option; '--help' lists the options");
    return refuse(r, "unknown option '-%c'; '--help' lists the options", letter);
}

/* ---- arguments ------------------------------------------------------------ */

static fen_status value_or_next(reading *r, hit h, const char *value)
{
    if (!value && r->at < r->argc)
        value = r->argv[r->at++];
    if (!value)
        return refuse(r, "option '--%s' needs a value; write '--%s=%s'", h.opt->name, h.opt->name, h.opt->value);
    return take(r, h, value);
}

static fen_status read_long(reading *r, const char *text)
{
    const char *equals = strchr(text, '=');
    const size_t len = equals ? (size_t)(equals - text) : strlen(text);
    hit h;
    fen_status st = find_long(r, text, len, &h);
    if (st)
        return st;
    if (h.opt->type != FEN_OPT_FLAG)
        return value_or_next(r, h, equals ? equals + 1 : NULL);
    if (equals)
        return refuse(r, "option '--%s' takes no value; write '--%s' alone", h.opt->name, h.opt->name);
    return take(r, h, NULL);
}

/* "-ab": flags, or a letter and its value, which may follow without a space. */
static fen_status read_letters(reading *r, const char *text)
{
    for (; *text; text++) {
        hit h;
        fen_status st = find_letter(r, *text, &h);
        if (st)
            return st;
        if (h.opt->type != FEN_OPT_FLAG)
            return value_or_next(r, h, text[1] ? text + 1 : NULL);
        st = take(r, h, NULL);
        if (st)
            return st;
    }
    return FEN_OK;
}

fen_status fen_opt_read(const fen_opt_group *groups, size_t n_groups, int argc, char **argv, bool to_operand,
                        fen_opt_list *operands, int *ret_used, char reterr[FEN_OPT_ERROR])
{
    assert(fen_opt_sound(groups, n_groups));
    reading r = {.groups = groups, .n_groups = n_groups, .argc = argc, .argv = argv, .err = reterr};
    fen_status st = FEN_OK;
    bool options = true;

    while (!st && r.at < argc) {
        const char *arg = argv[r.at];
        const bool operand = !options || arg[0] != '-' || !arg[1];
        if (operand && to_operand)
            break;
        r.at++;
        if (operand)
            st = FEN_VEC_PUSH(operands, arg) ? FEN_OK : FEN_ENOMEM;
        else if (strcmp(arg, "--") == 0)
            options = false;
        else if (arg[1] == '-')
            st = read_long(&r, arg + 2);
        else
            st = read_letters(&r, arg + 1);
    }
    if (!st)
        *ret_used = r.at;
    return st;
}

void fen_opt_list_free(fen_opt_list *list)
{
    FEN_VEC_FREE(list);
}

/* ---- help and soundness --------------------------------------------------- */

void fen_opt_help(fen_str *out, const fen_opt *opts, size_t width)
{
    for (const fen_opt *o = opts; o->type != FEN_OPT_END; o++) {
        char left[160];
        const char letter[] = {'-', o->letter, ',', ' ', '\0'};
        snprintf(left, sizeof left, "%s--%s%s%s", o->letter ? letter : "    ", o->name, o->value ? "=" : "", o->value ? o->value : "");
        fen_columns_put(out, left, o->help, 32, width);
    }
}

static bool row_complete(const fen_opt *o)
{
    return o->name && o->name[0] && o->help && (o->value != NULL) == (o->type != FEN_OPT_FLAG);
}

static bool clashes(const fen_opt *a, const fen_opt *b)
{
    return strcmp(a->name, b->name) == 0 || (a->letter && a->letter == b->letter);
}

bool fen_opt_sound(const fen_opt_group *groups, size_t n_groups)
{
    for (size_t g = 0; g < n_groups; g++)
        for (const fen_opt *a = groups[g].opts; a->type != FEN_OPT_END; a++) {
            if (!row_complete(a))
                return false;
            for (size_t h = 0; h <= g; h++)
                for (const fen_opt *b = groups[h].opts; b->type != FEN_OPT_END; b++) {
                    if (h == g && b == a)
                        break; /* the rows after it find it themselves */
                    if (clashes(a, b))
                        return false;
                }
        }
    return true;
}
