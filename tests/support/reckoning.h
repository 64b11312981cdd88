/* reckoning.h -- what the tests of the calculators share: one calculation from a
 * line of text, and the rows of tests/reference/reckon-*.csv.
 *
 * Columns of those: id, what ("reckoner.result", or a name the test program
 * explains), input ("name=value;name=value"), expected, unit, tolerance (absolute,
 * or relative with a trailing %), source, how_verified. A row of how_verified
 * "from-memory" is compared and reported, but fails nothing.
 */
#ifndef RECKONING_H
#define RECKONING_H

#include "fenmend/reckon.h"
#include "unit/unit.h"
#include "util/file.h"

typedef struct reckoning {
    const fen_reckoner *r;
    fen_reckon_value in[FEN_RECKON_INPUTS];
    double out[FEN_RECKON_OUTPUTS];
    fen_reckon_error error;
    fen_status status;
} reckoning;

/* Run NAME with "a=1 l;b=2 C"; a refusal is in status and error. INPUT must outlive it. */
static inline reckoning reckon(const char *name, const char *input)
{
    reckoning k = { .r = fen_reckoner_find(name, strlen(name)) };
    if (!k.r)
        fail_msg("there is no reckoner '%s'", name);
    fen_reckon_begin(k.r, k.in);
    for (const char *at = input; *at;) {
        const size_t len = strcspn(at, ";");
        const char *is = memchr(at, '=', len);
        if (!is)
            fail_msg("no '=' in '%s'", at);
        const size_t i = fen_reckon_input_find(k.r, at, (size_t)(is - at));
        if (i == FEN_RECKON_NONE)
            fail_msg("'%s' has no input like '%s'", name, at);
        k.status = fen_reckon_read(k.r, i, is + 1, len - (size_t)(is + 1 - at), &k.in[i], &k.error);
        if (k.status)
            return k;
        at += len + (at[len] == ';');
    }
    k.status = fen_reckon_run(k.r, k.in, k.out, &k.error);
    return k;
}

static inline double reckon_get(const reckoning *k, const char *output)
{
    const size_t i = fen_reckon_output_find(k->r, output, strlen(output));
    if (i == FEN_RECKON_NONE)
        fail_msg("'%s' has no result '%s'", k->r->name, output);
    if (k->status)
        fail_msg("'%s' was refused: %s; %s", k->r->name, k->error.wrong, k->error.right);
    return k->out[i];
}

/* One result of one calculation, in its stored unit. */
static inline double reckon_one(const char *name, const char *input, const char *output)
{
    const reckoning k = reckon(name, input);
    return reckon_get(&k, output);
}

/* The refusal as it is printed, but for its place. */
static inline void assert_refused(const char *name, const char *input, const char *text)
{
    const reckoning k = reckon(name, input);
    char got[512];
    if (!k.status)
        fail_msg("'%s' took '%s'", name, input);
    snprintf(got, sizeof got, "%s; %s [%s]", k.error.wrong, k.error.right, fen_code_name(k.error.code));
    assert_string_equal(got, text);
}

/* The number after KEY= in INPUT. */
static inline double reckon_arg(const char *input, const char *key)
{
    const size_t len = strlen(key);
    for (const char *at = input; at && *at; at = strchr(at, ';') ? strchr(at, ';') + 1 : NULL)
        if (!strncmp(at, key, len) && at[len] == '=')
            return strtod(at + len + 1, NULL);
    fail_msg("no '%s' in '%s'", key, input);
    return 0;
}

static inline bool reckon_arg_is(const char *input, const char *key, const char *value)
{
    const size_t len = strlen(key);
    for (const char *at = input; at && *at; at = strchr(at, ';') ? strchr(at, ';') + 1 : NULL)
        if (!strncmp(at, key, len) && at[len] == '=')
            return strcspn(at + len + 1, ";") == strlen(value) && !strncmp(at + len + 1, value, strlen(value));
    return false;
}

/* ---- rows of a reference file ---- */

typedef struct reckon_special {
    const char *what;
    double (*value)(const char *input);
} reckon_special;

enum { ROW_ID, ROW_WHAT, ROW_INPUT, ROW_EXPECTED, ROW_UNIT, ROW_TOLERANCE, ROW_SOURCE, ROW_HOW, ROW_FIELDS };

/* Split a line in place; the files have no doubled quotes and no line ends in fields. */
static inline size_t reckon_fields(char *line, char *fields[ROW_FIELDS])
{
    size_t n = 0;
    for (char *at = line; n < ROW_FIELDS; n++) {
        const bool quoted = *at == '"';
        fields[n] = at += quoted;
        at += strcspn(at, quoted ? "\"" : ",");
        const bool last = !*at || (quoted && !at[1]);
        *at = '\0';
        at += quoted ? 2 : 1;
        if (last)
            return n + 1;
    }
    return n;
}

/* From the stored unit of a result to the unit a row is written in. */
static inline double reckon_scale(const char *unit)
{
    static const struct {
        const char *unit;
        double factor;
    } scales[] = { { "fraction", 0.01 }, { "F d", 1.8 }, { "min", 60 }, { "Pa", 1000 }, { "dS/m", 0.001 }, { "dS/m solids", 0.002 }, { "l", 0.001 } };
    for (size_t i = 0; i < COUNT(scales); i++)
        if (!strcmp(scales[i].unit, unit))
            return scales[i].factor;
    return 1;
}

static inline double reckon_row_value(char *const f[ROW_FIELDS], const reckon_special *specials)
{
    for (; specials && specials->what; specials++)
        if (!strcmp(specials->what, f[ROW_WHAT]))
            return specials->value(f[ROW_INPUT]);
    char name[64];
    const char *dot = strchr(f[ROW_WHAT], '.');
    assert_non_null(dot);
    snprintf(name, sizeof name, "%.*s", (int)(dot - f[ROW_WHAT]), f[ROW_WHAT]);
    return reckon_one(name, f[ROW_INPUT], dot + 1) * reckon_scale(f[ROW_UNIT]);
}

static inline bool reckon_row_near(char *const f[ROW_FIELDS], double got)
{
    const double want = strtod(f[ROW_EXPECTED], NULL);
    char *end;
    double tolerance = strtod(f[ROW_TOLERANCE], &end);
    if (*end == '%')
        tolerance *= fabs(want) / 100;
    tolerance = fmax(tolerance, 1e-12 * fmax(fabs(want), 1)); /* "exactly", in doubles */
    if (fabs(got - want) <= tolerance * (1 + 1e-9))
        return true;
    print_message("%s%s %s(%s) is %.10g %s, not %s within %s (%s)\n", strcmp(f[ROW_HOW], "from-memory") ? "" : "from memory only: ", f[ROW_ID],
                  f[ROW_WHAT], f[ROW_INPUT], got, f[ROW_UNIT], f[ROW_EXPECTED], f[ROW_TOLERANCE], f[ROW_SOURCE]);
    return false;
}

/* Compare every row of NAME; SPECIALS end with an empty row. At least LEAST rows. */
static inline void check_reference(const char *name, const reckon_special *specials, size_t least)
{
    char path[512];
    char *text = NULL;
    size_t len = 0;
    size_t rows = 0;
    size_t wrong = 0;
    snprintf(path, sizeof path, FEN_TESTS_DIR "/reference/%s.csv", name);
    assert_int_equal(fen_file_read(path, 1u << 20, &text, &len), FEN_OK);
    char *line = strchr(text, '\n'); /* past the heading */
    while (line && *++line) {
        char *f[ROW_FIELDS];
        char *end = strchr(line, '\n');
        if (end)
            *end = '\0';
        assert_int_equal(reckon_fields(line, f), ROW_FIELDS);
        rows++;
        const bool near = reckon_row_near(f, reckon_row_value(f, specials));
        wrong += !near && strcmp(f[ROW_HOW], "from-memory") != 0;
        line = end;
    }
    fen_free(text);
    assert_int_equal(wrong, 0);
    assert_true(rows >= least);
}

#endif
