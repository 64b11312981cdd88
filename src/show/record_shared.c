/* record_shared.c -- what cases have in common, as a table and as data. */
#include <stdio.h>
#include <string.h>

#include "fenmend/records.h"
#include "record_text.h"
#include "text/csv.h"
#include "text/json_write.h"
#include "util/number.h"

static const char *name_of(const fen_base *base, const fen_shared_row *r)
{
    return r->hazard ? fen_base_hazard(base, r->what)->name : fen_base_cause(base, r->what)->name;
}

static const char *id_of(const fen_base *base, const fen_shared_row *r)
{
    return r->hazard ? fen_base_hazard(base, r->what)->id : fen_base_cause(base, r->what)->id;
}

static void put_cell(fen_str *out, const char *text, size_t width)
{
    fen_cell_put(out, text, width, false, true);
    fen_gap_put(out, 2);
}

/* Widths of the columns: what is counted is never cut. */
typedef struct columns {
    size_t count, chance;
    bool beside; /* what is shared stands beside the figures, else above them */
    bool two;    /* and the figures take two lines */
} columns;

enum { COUNT = 14, CHANCE = 9, GAP = 2, NAME = 26 };

static size_t figures_width(const columns *c)
{
    return 2 * c->count + 2 * c->chance + 4 * GAP;
}

static void counts_of(const fen_shared_row *r, char here[64], char elsewhere[64])
{
    snprintf(here, 64, "%llu of %llu", (unsigned long long)r->both, (unsigned long long)r->with_value);
    snprintf(elsewhere, 64, "%llu of %llu", (unsigned long long)(r->with_what - r->both), (unsigned long long)(r->all - r->with_value));
}

static columns measure(fen_look look, const fen_shared_row *rows, size_t n)
{
    columns c = { .count = COUNT, .chance = CHANCE };
    for (size_t i = 0; i < n; i++) {
        char here[64], elsewhere[64];
        counts_of(&rows[i], here, elsewhere);
        c.count = strlen(here) > c.count ? strlen(here) : c.count;
        c.count = strlen(elsewhere) > c.count ? strlen(elsewhere) : c.count;
    }
    c.beside = look.width >= figures_width(&c) + NAME;
    c.two = look.width < figures_width(&c); /* the last gap is the indentation */
    return c;
}

/* "9 of 11" here, "3 of 40" elsewhere, and the two chances. */
static void put_figures(fen_str *out, const columns *c, const char *const text[4])
{
    if (!c->beside)
        fen_gap_put(out, GAP);
    put_cell(out, text[0], c->count);
    put_cell(out, text[1], c->count);
    if (c->two) {
        fen_line_end(out);
        fen_gap_put(out, GAP);
    }
    put_cell(out, text[2], c->two ? c->count : c->chance);
    put_cell(out, text[3], c->chance);
    if (!c->beside)
        fen_line_end(out);
}

static void put_row(fen_str *out, const fen_base *base, fen_look look, const columns *c, const fen_shared_row *r)
{
    char here[64], elsewhere[64], p[FEN_NUMBER_MAX], corrected[FEN_NUMBER_MAX];
    const size_t at = c->beside ? figures_width(c) : 0;
    fen_str text;
    fen_str_init(&text, 1u << 20);
    fen_str_printf(&text, "%s %s: %s", r->key, r->value, name_of(base, r));
    counts_of(r, here, elsewhere);
    fen_small_show(p, r->p);
    fen_small_show(corrected, r->corrected);
    if (c->beside)
        put_figures(out, c, (const char *const[]){ here, elsewhere, p, corrected });
    if (fen_str_status(&text))
        out->failed = true;
    else
        fen_wrapped_put(out, text.at, look.whole ? UINT32_MAX : look.width, c->beside ? at : 2 * GAP, at, look.ascii);
    fen_line_end(out);
    if (!c->beside)
        put_figures(out, c, (const char *const[]){ here, elsewhere, p, corrected });
    fen_str_free(&text);
}

static void put_head(fen_str *out, const columns *c)
{
    static const char *const heads[] = { "here", "elsewhere", "by luck", "corrected" };
    if (!c->beside)
        fen_str_puts(out, "what is shared\n");
    put_figures(out, c, heads);
    if (c->beside)
        fen_str_puts(out, "what is shared\n");
}

static void put_line(fen_str *out, fen_look look, const char *text)
{
    fen_wrapped_put(out, text, look.width, 0, 0, look.ascii);
    fen_str_putc(out, '\n');
}

void fen_record_shared(struct fen_str *out, const fen_base *base, fen_look look, const fen_shared_row *rows, size_t n,
                       uint64_t cases, uint64_t tried)
{
    const columns c = measure(look, rows, n);
    char text[160];
    if (n)
        put_head(out, &c);
    for (size_t i = 0; i < n; i++)
        put_row(out, base, look, &c, &rows[i]);
    if (n)
        fen_str_putc(out, '\n');
    snprintf(text, sizeof text, "%llu case%s, %llu pair%s tried%s", (unsigned long long)cases, cases == 1 ? "" : "s",
             (unsigned long long)tried, tried == 1 ? "" : "s", n ? "" : "; nothing is shared more than luck would have it");
    put_line(out, look, text);
    if (n) {
        put_line(out, look, "by luck: chance of as many here or more, were place and cause unrelated;");
        put_line(out, look, "corrected: the same for all the pairs that were tried");
    }
}

void fen_record_shared_json(struct fen_str *out, const fen_base *base, const fen_shared_row *r)
{
    fen_json_out j = fen_json_begin(out);
    fen_json_open(&j, '{');
    fen_json_key_text(&j, "key", r->key);
    fen_json_key_text(&j, "value", r->value);
    fen_json_key_text(&j, r->hazard ? "hazard" : "cause", id_of(base, r));
    fen_json_key(&j, "here");
    fen_json_count(&j, r->both);
    fen_json_key(&j, "of_here");
    fen_json_count(&j, r->with_value);
    fen_json_key(&j, "elsewhere");
    fen_json_count(&j, r->with_what - r->both);
    fen_json_key(&j, "of_elsewhere");
    fen_json_count(&j, r->all - r->with_value);
    fen_json_key(&j, "p");
    fen_json_number(&j, r->p);
    fen_json_key(&j, "corrected");
    fen_json_number(&j, r->corrected);
    fen_json_close(&j, '}');
    fen_str_putc(out, '\n');
}

void fen_record_shared_csv_head(struct fen_str *out)
{
    fen_str_puts(out, "key,value,cause,hazard,here,of_here,elsewhere,of_elsewhere,p,corrected\r\n");
}

void fen_record_shared_csv(struct fen_str *out, const fen_base *base, const fen_shared_row *r)
{
    char number[FEN_NUMBER_MAX];
    fen_csv_put(out, r->key, strlen(r->key));
    fen_str_putc(out, ',');
    fen_csv_put(out, r->value, strlen(r->value));
    fen_str_printf(out, r->hazard ? ",,%s" : ",%s,", id_of(base, r));
    fen_str_printf(out, ",%llu,%llu,%llu,%llu,", (unsigned long long)r->both, (unsigned long long)r->with_value,
                   (unsigned long long)(r->with_what - r->both), (unsigned long long)(r->all - r->with_value));
    fen_number_write(number, r->p);
    fen_str_printf(out, "%s,", number);
    fen_number_write(number, r->corrected);
    fen_str_printf(out, "%s\r\n", number);
}
