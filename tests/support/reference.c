/* reference.c -- see reference.h. A small reader for our own files: fields are
 * quoted only where they hold a comma, and never break over lines.
 */
#include "support/reference.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const char *field(const char *at, char *ret, size_t size)
{
    size_t n = 0;
    const bool quoted = *at == '"';
    at += quoted;
    while (*at && *at != '\n' && (quoted || *at != ',')) {
        if (quoted && *at == '"' && at[1] != '"')
            break;
        if (quoted && *at == '"')
            at++;
        if (n + 1 < size)
            ret[n++] = *at;
        at++;
    }
    ret[n] = '\0';
    at += quoted && *at == '"';
    return *at == ',' ? at + 1 : at;
}

static void split(const char *line, ref_row *ret)
{
    line = field(line, ret->id, sizeof ret->id);
    line = field(line, ret->input, sizeof ret->input);
    line = field(line, ret->expected, sizeof ret->expected);
    line = field(line, ret->tolerance, sizeof ret->tolerance);
    line = field(line, ret->source, sizeof ret->source);
    (void)field(line, ret->how, sizeof ret->how);
}

int ref_read(const char *name, ref_row rows[REF_ROWS])
{
    char path[512], line[1024];
    int n = -1; /* the first line names the columns */
    snprintf(path, sizeof path, "%s/reference/%s", FEN_TESTS_DIR, name);
    FILE *in = fopen(path, "r");
    if (!in) {
        fprintf(stderr, "cannot open %s\n", path);
        return -1;
    }
    while (n < REF_ROWS && fgets(line, sizeof line, in)) {
        if (n >= 0)
            split(line, &rows[n]);
        n++;
    }
    fclose(in);
    return n;
}

bool ref_text(const ref_row *row, const char *key, char ret[REF_TEXT])
{
    const size_t len = strlen(key);
    for (const char *at = row->input; at; at = strchr(at, ' ')) {
        at += *at == ' ';
        if (strncmp(at, key, len) != 0 || at[len] != '=')
            continue;
        at += len + 1;
        const size_t n = strcspn(at, " ");
        memcpy(ret, at, n);
        ret[n] = '\0';
        return true;
    }
    return false;
}

bool ref_number(const ref_row *row, const char *key, double *ret)
{
    char text[REF_TEXT];
    if (!ref_text(row, key, text))
        return false;
    *ret = strtod(text, NULL);
    return true;
}

bool ref_is(const ref_row *row, const char *key, const char *value)
{
    char text[REF_TEXT];
    return ref_text(row, key, text) && strcmp(text, value) == 0;
}

int ref_list(const char *text, double ret[REF_LIST])
{
    int n = 0;
    while (*text && n < REF_LIST) {
        char *end;
        ret[n++] = strtod(text, &end);
        text = *end ? end + 1 : end;
    }
    return n;
}

/* The I-th of several tolerances, or the only one. */
static double tolerance(const ref_row *row, int i, double want)
{
    const char *at = row->tolerance;
    for (; i > 0 && strchr(at, ';'); i--)
        at = strchr(at, ';') + 1;
    char *end;
    const double t = strtod(at, &end);
    return strncmp(end, "rel", 3) == 0 ? t * fabs(want) : t;
}

bool ref_near(const ref_row *row, int i, double got)
{
    double want[REF_LIST] = {0};
    const int n = ref_list(row->expected, want);
    if (i >= n)
        return false;
    /* a tolerance is meant decimally: give its own representation error away */
    if (fabs(got - want[i]) <= tolerance(row, i, want[i]) * (1 + 1e-9) + 1e-15 * fabs(want[i]))
        return true;
    fprintf(stderr, "%s %s: %.10g expected (%s, %s), not %.10g\n", row->id, row->input, want[i], row->source, row->how, got);
    return false;
}
