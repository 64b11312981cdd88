#include "shared_keys.h"

#include <stdio.h>
#include <string.h>

#include "answer_text.h"
#include "util/near.h"
#include "util/str.h"

static bool has_named_answers(const fen_finding *f)
{
    return f->type == FEN_CHOICE || f->type == FEN_YES_NO || f->type == FEN_SEVERAL;
}

static fen_piece piece_of(const char *text)
{
    return (fen_piece){ text, strlen(text) };
}

/* What stands behind PREFIX in TEXT, or NULL. */
static const char *behind(const char *text, const char *prefix)
{
    const size_t len = strlen(prefix);
    return strlen(text) >= len && fen_piece_match((fen_piece){ text, len }, prefix) == FEN_MATCH_ALL ? text + len : NULL;
}

fen_status fen_wanted_read(const fen_base *base, const char *key, fen_wanted *ret, char reterr[FEN_SHARED_TEXT])
{
    const char *where = behind(key, "where."), *finding = behind(key, "finding.");
    const char *name = where ? where : finding ? finding : key;
    fen_wanted w = { .typed = key, .name = name, .where = !finding, .of_finding = !where, .finding = FEN_NONE };
    if (!fen_piece_trim(piece_of(name)).len) {
        snprintf(reterr, FEN_SHARED_TEXT, "'--by=%.40s' names nothing; write a name that the cases record under 'where', kind, or a finding", key);
        return FEN_EINPUT;
    }
    if (w.of_finding)
        w.finding = fen_finding_named(base, piece_of(name));
    if (w.finding != FEN_NONE && !has_named_answers(fen_base_finding(base, w.finding))) {
        snprintf(reterr, FEN_SHARED_TEXT, "'%.60s' is measured, so no two plants share it; compare by a finding with named answers", name);
        return FEN_EINPUT;
    }
    *ret = w;
    return FEN_OK;
}

bool fen_wanted_is(const fen_wanted *w, const char *where)
{
    return w->where && fen_piece_match(piece_of(w->name), where) == FEN_MATCH_ALL;
}

/* "they record 'bench', 'water' and 'supplier'" */
static void list_seen(const fen_intern *seen, fen_str *out)
{
    enum { SHOWN = 5 };
    const uint32_t all = fen_intern_count(seen), n = all < SHOWN ? all : SHOWN;
    fen_str_puts(out, "they record ");
    for (uint32_t i = 0; i < n; i++)
        fen_str_printf(out, "%s'%.30s'", !i ? "" : i + 1 < all ? ", " : " and ", fen_intern_name(seen, i));
    if (all > n)
        fen_str_puts(out, " and more");
}

void fen_wanted_missing(const fen_base *base, const fen_wanted *w, const fen_intern *seen, char ret[FEN_SHARED_TEXT])
{
    fen_near near;
    fen_str right;
    fen_str_init(&right, FEN_SHARED_TEXT);
    fen_near_begin(&near, w->name, strlen(w->name));
    for (uint32_t i = 0; w->where && i < fen_intern_count(seen); i++)
        fen_near_offer(&near, fen_intern_name(seen, i));
    for (fen_id f = 0; w->of_finding && f < fen_base_findings(base); f++)
        if (!fen_base_finding(base, f)->derived && has_named_answers(fen_base_finding(base, f)))
            fen_near_offer(&near, fen_base_finding(base, f)->id);
    if (near.name)
        fen_str_printf(&right, "did you mean '%.60s'", near.name);
    else if (w->where && fen_intern_count(seen))
        list_seen(seen, &right);
    else if (!w->where)
        fen_str_puts(&right, "write the name of a finding with named answers");
    else
        fen_str_puts(&right, "write it under 'where', or compare by kind or a finding");
    snprintf(ret, FEN_SHARED_TEXT, "no case records '%.60s'; %s", w->typed, fen_str_status(&right) ? "look at their 'where'" : right.at);
    fen_str_free(&right);
}
