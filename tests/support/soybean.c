/* soybean.c -- see soybean.h.
 */
#include "support/soybean.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static char *next_word(char **at)
{
    while (**at && strchr(", \t\r\n", **at))
        ++*at;
    char *word = *at;
    while (**at && !strchr(", \t\r\n}", **at))
        ++*at;
    if (**at)
        *(*at)++ = '\0';
    return *word ? word : NULL;
}

static bool copy_name(char to[SOY_NAME], const char *from)
{
    return snprintf(to, SOY_NAME, "%s", from) < SOY_NAME;
}

/* "@ATTRIBUTE name {a,b,c}" */
static bool read_attribute(soybean *d, char *at)
{
    const int a = d->n_attributes;
    at += strlen("@ATTRIBUTE");
    char *name = next_word(&at), *open = strchr(at, '{');
    if (a > SOY_ATTRIBUTES || !name || !open || !copy_name(d->attribute[a], name))
        return false;
    at = open + 1;
    for (char *v = next_word(&at); v; v = next_word(&at))
        if (d->n_values[a] > SOY_CLASSES || !copy_name(d->value[a][d->n_values[a]++], v))
            return false;
    d->n_attributes++;
    return true;
}

static int value_index(const soybean *d, int a, const char *word)
{
    for (int v = 0; v < d->n_values[a]; v++)
        if (strcmp(d->value[a][v], word) == 0)
            return v;
    return -2;
}

static bool read_row(soybean *d, char *at)
{
    char *word = next_word(&at);
    if (!word || *word == '%')
        return true;
    for (int a = 0; a <= SOY_ATTRIBUTES; a++, word = next_word(&at)) {
        if (!word || d->n_rows >= SOY_ROWS)
            return false;
        const int v = strcmp(word, "?") == 0 ? -1 : value_index(d, a, word);
        if (v == -2)
            return false;
        d->cell[d->n_rows][a] = (signed char)v;
    }
    d->n_rows++;
    return true;
}

bool soy_read(soybean *ret)
{
    char line[2048];
    bool data = false, fine = true;
    FILE *in = fopen(SOY_PATH, "r");
    memset(ret, 0, sizeof *ret);
    if (!in) {
        fprintf(stderr, "%s is not there; install Debian's weka\n", SOY_PATH);
        return false;
    }
    while (fine && fgets(line, sizeof line, in)) {
        if (data)
            fine = read_row(ret, line);
        else if (strncmp(line, "@ATTRIBUTE", 10) == 0)
            fine = read_attribute(ret, line);
        else
            data = strncmp(line, "@DATA", 5) == 0;
    }
    fclose(in);
    if (!fine || ret->n_rows != SOY_ROWS || ret->n_attributes != SOY_ATTRIBUTES + 1)
        fprintf(stderr, "%s is not as expected after %d rows\n", SOY_PATH, ret->n_rows);
    return fine && ret->n_rows == SOY_ROWS && ret->n_attributes == SOY_ATTRIBUTES + 1;
}

bool soy_is_the_file(void)
{
    char sum[80] = "";
    FILE *in = popen("sha256sum " SOY_PATH, "r");
    const bool read = in && fgets(sum, sizeof sum, in);
    if (in)
        pclose(in);
    return read && strncmp(sum, SOY_SHA256, 64) == 0;
}

static void train_attribute(const soybean *d, const bool use[SOY_ROWS], int a, int n_classes, flat_finding *ret)
{
    double count[SOY_VALUES][SOY_CLASSES] = {{0}}, known[SOY_CLASSES] = {0};
    for (int r = 0; r < d->n_rows; r++)
        if (use[r] && soy_class(d, r) < n_classes && d->cell[r][a] >= 0) {
            count[d->cell[r][a]][soy_class(d, r)]++;
            known[soy_class(d, r)]++;
        }
    ret->name = d->attribute[a];
    ret->n_options = d->n_values[a];
    for (int v = 0; v < d->n_values[a]; v++)
        for (int c = 0; c < n_classes; c++)
            ret->p[v][c] = (count[v][c] + 1) / (known[c] + d->n_values[a]);
}

void soy_train(const soybean *d, const bool use[SOY_ROWS], int n_classes, flat_base *ret_model)
{
    double total = 0;
    memset(ret_model, 0, sizeof *ret_model);
    for (int r = 0; r < d->n_rows; r++)
        if (use[r] && soy_class(d, r) < n_classes) {
            ret_model->prior[soy_class(d, r)]++;
            total++;
        }
    for (int c = 0; c < n_classes; c++)
        ret_model->prior[c] /= total;
    ret_model->n_causes = n_classes;
    ret_model->n_findings = SOY_ATTRIBUTES;
    ret_model->stop_level = 0.95;
    for (int a = 0; a < SOY_ATTRIBUTES; a++)
        train_attribute(d, use, a, n_classes, &ret_model->finding[a]);
}

void soy_posterior(const flat_base *model, const soybean *d, int row, double ret_p[SOY_CLASSES])
{
    double most = -INFINITY, sum = 0;
    for (int c = 0; c < model->n_causes; c++) {
        ret_p[c] = log(model->prior[c]);
        for (int a = 0; a < SOY_ATTRIBUTES; a++)
            if (d->cell[row][a] >= 0)
                ret_p[c] += log(model->finding[a].p[d->cell[row][a]][c]);
        most = fmax(most, ret_p[c]);
    }
    for (int c = 0; c < model->n_causes; c++)
        sum += ret_p[c] = exp(ret_p[c] - most);
    for (int c = 0; c < model->n_causes; c++)
        ret_p[c] /= sum;
}
