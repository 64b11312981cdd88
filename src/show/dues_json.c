/* dues_json.c -- what is due, one object a line. */
#include "fenmend/due.h"
#include "text/json_write.h"
#include "util/date.h"

static void put_day(fen_json_out *j, const char *key, int32_t day)
{
    char buf[FEN_DATE_TEXT];
    fen_date_write(buf, day);
    fen_json_key_text(j, key, buf);
}

static void put_texts(fen_json_out *j, const char *key, fen_texts t)
{
    fen_json_key(j, key);
    fen_json_open(j, '[');
    for (uint32_t i = 0; i < t.count; i++)
        fen_json_text(j, t.at[i]);
    fen_json_close(j, ']');
}

static void put_one(fen_json_out *j, const fen_base *base, const fen_due *d, int32_t today)
{
    static const char *const types[] = { "look", "again", "task" };
    fen_json_open(j, '{');
    put_day(j, "day", d->day);
    put_day(j, "until", d->until);
    fen_json_key_text(j, "type", types[d->type]);
    fen_json_key_text(j, "case", d->case_id);
    fen_json_key_text(j, "kind", d->kind == FEN_NONE ? NULL : fen_base_kind(base, d->kind)->id);
    put_day(j, "visit", d->visit);
    fen_json_key(j, "overdue");
    fen_json_bool(j, d->until < today);
    fen_json_key_text(j, "what", d->text);
    if (d->type == FEN_DUE_TASK) {
        fen_json_key_text(j, "task", fen_base_task(base, d->task)->id);
        put_texts(j, "cautions", fen_base_task(base, d->task)->cautions);
    } else {
        const fen_remedy *r = fen_base_remedy(base, d->remedy);
        fen_json_key_text(j, "remedy", r->id);
        if (d->type == FEN_DUE_AGAIN) {
            fen_json_key_text(j, "step", r->steps[d->step].id);
            put_texts(j, "cautions", r->steps[d->step].cautions);
        } else {
            fen_json_key_text(j, "otherwise", r->otherwise);
        }
    }
    fen_json_close(j, '}');
}

void fen_json_dues(struct fen_str *out, const fen_dues *d, int32_t today)
{
    for (size_t i = 0; i < fen_dues_count(d); i++) {
        fen_json_out j = fen_json_begin(out);
        put_one(&j, fen_dues_base(d), fen_dues_at(d, i), today);
        fen_str_putc(out, '\n');
    }
}
