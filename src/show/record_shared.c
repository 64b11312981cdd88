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

/* "9 of 11" here, "3 of 40" elsewhere, and the two chances. */
static void put_figures(fen_str *out, const fen_shared_row *r)
{
    enum { HERE = 14, CHANCE = 9 };
    char text[64];
    snprintf(text, sizeof text, "%llu of %llu", (unsigned long long)r->both, (unsigned long long)r->with_value);
    put_cell(out, text, HERE);
    snprintf(text, sizeof text, "%llu of %llu", (unsigned long long)(r->with_what - r->both),
             (unsigned long long)(r->all - r->with_value));
    put_cell(out, text, HERE);
    fen_small_show(text, r->p);
    put_cell(out, text, CHANCE);
    fen_small_show(text, r->corrected);
    put_cell(out, text, CHANCE);
}

static void put_row(fen_str *out, const fen_base *base, fen_look look, const fen_shared_row *r)
{
    char text[512];
    const bool wide = look.width >= 80;
    snprintf(text, sizeof text, "%s %s: %s", r->key, r->value, name_of(base, r));
    if (wide)
        put_figures(out, r);
    fen_last_put(out, text, wide ? look.width - 54 : look.width - 1, look);
    fen_line_end(out);
    if (!wide) {
        fen_gap_put(out, 2);
        put_figures(out, r);
        fen_line_end(out);
    }
}

void fen_record_shared(struct fen_str *out, const fen_base *base, fen_look look, const fen_shared_row *rows, size_t n,
                       uint64_t cases, uint64_t tried)
{
    if (n) {
        if (look.width < 80)
            fen_str_puts(out, "what is shared\n  ");
        fen_str_puts(out, "here            elsewhere       by luck    corrected");
        fen_str_puts(out, look.width < 80 ? "\n" : "  what is shared\n");
    }
    for (size_t i = 0; i < n; i++)
        put_row(out, base, look, &rows[i]);
    fen_str_printf(out, "%s%llu cases, %llu pairs tried%s\n", n ? "\n" : "", (unsigned long long)cases, (unsigned long long)tried,
                   n ? "" : "; nothing is shared more than luck would have it");
    if (n)
        fen_str_puts(out, "by luck: chance of as many here or more, were place and cause unrelated;\n"
                          "corrected: the same for all the pairs that were tried\n");
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
