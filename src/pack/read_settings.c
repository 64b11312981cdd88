/* read_settings.c -- numbers for the whole rule base; a later pack's win. */
#include <stdio.h>
#include <string.h>

#include "fenmend/reckon.h"
#include "shape.h"

enum { SOMETHING_ELSE, STOP_LEVEL, DANGER_LEVEL, LEAST_WORTH, EFFORT, LATITUDE };
static const fen_key keys[] = {
    { "something else", false }, { "stop level", false }, { "danger level", false },
    { "least worth", false },    { "effort", false },      { "latitude", false },
};

static const fen_key effort_keys[] = { { "glance", false }, { "touch", false }, { "meter", false }, { "unpot", false } };

static void read_effort(fen_loader *l, const fen_node *key, const fen_node *value)
{
    fen_fields f;
    if (!value || !fen_shape_fields(l, value, key->place, "'effort'", effort_keys, FEN_COUNT(effort_keys), &f))
        return;
    for (size_t i = 0; i < FEN_COUNT(effort_keys); i++)
        (void)fen_shape_number(l, f.key[i], f.value[i], 0.001, 1e6, &l->draft->settings.effort[i]);
}

/* A level of 0 would stop before the first question. */
static void read_level(fen_loader *l, const fen_node *key, const fen_node *value, double *level)
{
    double share = *level;
    if (!fen_shape_share(l, key, value, &share))
        return;
    if (share > 0)
        *level = share;
    else
        fen_loader_error(l, FEN_CODE_NUMBER, value->place, "write a share above 0 %", "'%s' cannot be '%s'", key->text,
                         value->text);
}

/* As the calculators read it, so that what is right here is right there. */
static void read_latitude(fen_loader *l, const fen_node *key, const fen_node *value)
{
    const fen_reckoner *r = fen_reckoner_find("dormancy", strlen("dormancy"));
    const size_t input = fen_reckon_input_find(r, "latitude", strlen("latitude"));
    const char *text;
    fen_reckon_value v;
    fen_reckon_error err;
    if (!value || !fen_shape_text(l, key, value, &text))
        return;
    if (fen_reckon_read(r, input, value->text, value->len, &v, &err))
        fen_loader_error(l, err.code, value->place, err.right, "%s", err.wrong);
    else if (v.number < -90 || v.number > 90)
        fen_loader_error(l, FEN_CODE_NUMBER, value->place, "write degrees from 90S to 90N", "there is no latitude '%.*s'",
                         FEN_QUOTE(value->text, value->len));
    else
        l->draft->settings.latitude = v.number;
}

void fen_read_settings(fen_loader *l, const fen_node *section)
{
    fen_fields f;
    if (!fen_shape_fields(l, section, section->place, "'settings'", keys, FEN_COUNT(keys), &f))
        return;
    (void)fen_shape_share(l, f.key[SOMETHING_ELSE], f.value[SOMETHING_ELSE], &l->draft->something_else);
    read_level(l, f.key[STOP_LEVEL], f.value[STOP_LEVEL], &l->draft->settings.stop_level);
    read_level(l, f.key[DANGER_LEVEL], f.value[DANGER_LEVEL], &l->draft->settings.danger_level);
    (void)fen_shape_number(l, f.key[LEAST_WORTH], f.value[LEAST_WORTH], 0, 64, &l->draft->settings.least_worth);
    read_effort(l, f.key[EFFORT], f.value[EFFORT]);
    read_latitude(l, f.key[LATITUDE], f.value[LATITUDE]);
}
