/* record_csv.c -- a judged case as one row of a table for spreadsheets. Several names in
 * one cell are separated by ';', as they are read. */
#include <string.h>

#include "fenmend/records.h"
#include "text/csv.h"
#include "util/digits.h"

void fen_record_csv_head(struct fen_str *out)
{
    fen_str_puts(out, "case,kind,urgency,cause,p,score,covering,unexplained,hazards,next,stopped,error\r\n");
}

static void put_text(fen_str *out, const char *text)
{
    fen_csv_put(out, text, strlen(text));
}

static void next_cell(fen_str *out, const char *name)
{
    fen_str_putc(out, ',');
    if (name)
        fen_str_puts(out, name);
}

static void put_leader(fen_str *out, const fen_base *base, const fen_verdict *v)
{
    char buf[FEN_NUMBER_MAX];
    if (!v->ranking.count) {
        fen_str_puts(out, ",,,");
        return;
    }
    const fen_id c = v->ranking.at[0];
    next_cell(out, fen_base_cause(base, c)->id);
    fen_digits_chance(buf, v->p[c]);
    next_cell(out, buf);
    fen_digits_fixed12(buf, v->score[c]);
    next_cell(out, buf);
}

static void put_lists(fen_str *out, const fen_base *base, const fen_verdict *v)
{
    fen_id last = FEN_NONE;
    fen_str_putc(out, ',');
    for (uint32_t i = 0; i < v->covering.count; i++)
        fen_str_printf(out, "%s%s", i ? ";" : "", fen_base_cause(base, v->covering.at[i])->id);
    fen_str_putc(out, ',');
    for (uint32_t i = 0; i < v->unexplained.count; i++) {
        const fen_id f = fen_base_test(base, v->unexplained.at[i])->finding;
        if (f != last)
            fen_str_printf(out, "%s%s", i ? ";" : "", fen_base_finding(base, f)->id);
        last = f;
    }
    fen_str_putc(out, ',');
    for (uint32_t i = 0; i < v->hazards.count; i++)
        fen_str_printf(out, "%s%s", i ? ";" : "", fen_base_hazard(base, v->hazards.at[i])->id);
}

void fen_record_csv(struct fen_str *out, const fen_base *base, const fen_judged *j)
{
    put_text(out, j->id);
    if (j->c) {
        const fen_verdict *v = fen_session_verdict(j->session);
        const bool asks = j->question.reason != FEN_ASK_NOTHING && j->question.finding != FEN_NONE;
        next_cell(out, j->c->kind == FEN_NONE ? NULL : fen_base_kind(base, j->c->kind)->id);
        next_cell(out, fen_urgency_name(v->urgency));
        put_leader(out, base, v);
        put_lists(out, base, v);
        next_cell(out, asks ? fen_base_finding(base, j->question.finding)->id : NULL);
        next_cell(out, asks ? NULL : fen_stop_name(j->question.stop));
        fen_str_putc(out, ',');
    } else {
        fen_str_puts(out, ",,,,,,,,,,,");
        put_text(out, j->error);
    }
    fen_str_puts(out, "\r\n");
}
