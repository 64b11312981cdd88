/* read_findings.c -- findings: their type, their answers, how they are asked. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "model/quantity.h"
#include "resolve.h"
#include "shape.h"
#include "util/limits.h"

enum { NAME, ASK, HOW, EFFORT, KINDS, ASK_WHEN, ANSWERS, SEVERAL, YES_NO, QUANTITY, FROM, TO, USUAL, DATE, DERIVED, DEFAULT, LASTS };
static const fen_key keys[] = {
    { "name", true },    { "ask", false },     { "how", false },      { "effort", false },
    { "kinds", false },  { "ask when", false }, { "answers", false },  { "several", false },
    { "yes-no", false }, { "quantity", false }, { "from", false },     { "to", false },
    { "usual", false },  { "date", false },     { "derived", false },  { "default", false },
    { "lasts", false },
};

static const char *const effort_words[] = { "glance", "touch", "meter", "unpot" };

/* ---- answers ---- */

enum { O_SAY, O_USUAL, O_SIGN, O_WORDS, O_ALONE };
static const fen_key option_keys[] = { { "say", false }, { "usual", false }, { "sign", false }, { "words", false }, { "alone", false } };

static bool read_option(fen_loader *l, const fen_node *key, const fen_node *value, bool several, fen_option *o)
{
    char what[FEN_NAME_MAX + 32];
    fen_fields f;
    snprintf(what, sizeof what, "the answer '%.*s'", FEN_QUOTE(key->text, key->len));
    *o = (fen_option){ .id = fen_shape_keep(l, key), .usual = NAN };
    if (value->type == FEN_NODE_TEXT && value->len) {
        char right[FEN_SUGGEST_MAX];
        snprintf(right, sizeof right, "write '%.*s: {say: ...}'", FEN_QUOTE(key->text, key->len));
        fen_loader_error(l, FEN_CODE_SHAPE, value->place, right, "%s needs a map, but has a text", what);
        return false;
    }
    if (!o->id || !fen_shape_fields(l, value, key->place, what, option_keys, FEN_COUNT(option_keys), &f))
        return false;
    bool ok = f.clean;
    ok &= fen_shape_text(l, f.key[O_SAY], f.value[O_SAY], &o->say);
    ok &= fen_shape_share(l, f.key[O_USUAL], f.value[O_USUAL], &o->usual);
    ok &= fen_shape_flag(l, f.key[O_SIGN], f.value[O_SIGN], &o->sign);
    ok &= fen_shape_texts(l, f.key[O_WORDS], f.value[O_WORDS], &o->words);
    ok &= fen_shape_flag(l, f.key[O_ALONE], f.value[O_ALONE], &o->alone);
    if (!several && f.key[O_ALONE]) {
        fen_loader_error(l, FEN_CODE_UNKNOWN_KEY, f.key[O_ALONE]->place, "leave it out, or write 'several: yes' above the answers",
                         "'alone' means nothing where only one answer can hold");
        return false;
    }
    if (!o->say)
        o->say = o->id;
    return ok;
}

static bool option_name(fen_loader *l, const fen_node *key)
{
    if (!fen_loader_name(l, key, "answer"))
        return false;
    if (!fen_word_reserved_answer(key->text, key->len))
        return true;
    fen_loader_error(l, FEN_CODE_BAD_NAME, key->place, "it has a meaning in sentences already",
                     "'%s' cannot be the name of an answer", key->text);
    return false;
}

static bool read_options(fen_loader *l, const fen_node *key, const fen_node *value, fen_finding *f)
{
    bool ok = true;
    if (value->type != FEN_NODE_MAP || value->count < 1) {
        fen_loader_error(l, FEN_CODE_SHAPE, key->place, "write lines such as 'firm: {say: firm, usual: 80 %}' below it",
                         "'answers' needs a map, but has %s", value->type == FEN_NODE_MAP ? "nothing" : fen_shape_found(value));
        return false;
    }
    if (value->count > FEN_OPTIONS_MAX) {
        fen_loader_error(l, FEN_CODE_TOO_LARGE, value->pairs[FEN_OPTIONS_MAX].key->place, "group some of them",
                         "a finding can have at most %u answers, but '%s' has %u", FEN_OPTIONS_MAX, f->id, value->count);
        return false;
    }
    fen_option *o = fen_arena_zeroed(l->draft->arena, value->count, sizeof *o);
    if (!o)
        return fen_loader_nomem(l);
    for (size_t i = 0; i < value->count; i++) {
        ok &= option_name(l, value->pairs[i].key);
        ok &= read_option(l, value->pairs[i].key, value->pairs[i].value, f->type == FEN_SEVERAL, &o[i]);
    }
    f->options = o;
    f->n_options = (uint32_t)value->count;
    return ok;
}

/* Answers without a share get, of a choice, an equal part of what the others
 * leave; of `several`, even odds: nothing is known about them. */
static bool share_out(fen_loader *l, const fen_node *at, fen_finding *f, fen_option *o)
{
    double sum = 0;
    uint32_t without = 0;
    for (uint32_t i = 0; i < f->n_options; i++) {
        if (isnan(o[i].usual))
            without++;
        else
            sum += o[i].usual;
    }
    const double left = f->type == FEN_SEVERAL ? 0.5 * without : 1 - sum;
    if (without && left <= 1e-9) {
        uint32_t first = 0;
        while (!isnan(o[first].usual))
            first++;
        fen_loader_error(l, FEN_CODE_MISSING, at->place, "give every answer a 'usual'",
                         "the shares of '%s' leave nothing for its answer '%s'", f->id, o[first].id);
        return false;
    }
    for (uint32_t i = 0; i < f->n_options; i++)
        if (isnan(o[i].usual))
            o[i].usual = left / without;
    return true;
}

static bool read_answers(fen_loader *l, const fen_fields *in, fen_finding *f)
{
    bool several = false;
    if (!fen_shape_flag(l, in->key[SEVERAL], in->value[SEVERAL], &several))
        return false;
    f->type = several ? FEN_SEVERAL : FEN_CHOICE;
    if (!read_options(l, in->key[ANSWERS], in->value[ANSWERS], f))
        return false;
    fen_option *o = fen_arena_copy(l->draft->arena, f->options, f->n_options, sizeof *o);
    if (!o)
        return fen_loader_nomem(l);
    f->options = o;
    return share_out(l, in->key[ANSWERS], f, o);
}

static bool read_yes_no(fen_loader *l, const fen_fields *in, fen_finding *f)
{
    const fen_node *key = in->key[YES_NO], *value = in->value[YES_NO];
    fen_option *o = fen_arena_zeroed(l->draft->arena, 2, sizeof *o);
    fen_fields yes;
    if (!o)
        return fen_loader_nomem(l);
    o[0] = (fen_option){ .id = "yes", .say = "yes", .usual = NAN };
    o[1] = (fen_option){ .id = "no", .say = "no" };
    f->type = FEN_YES_NO;
    f->options = o;
    f->n_options = 2;
    if (value->type != FEN_NODE_MAP && !fen_shape_empty(value)) {
        fen_loader_error(l, FEN_CODE_SHAPE, value->place, "write 'yes-no: {}', or 'yes-no: {usual: 15 %}'",
                         "'yes-no' needs a map, but has %s", fen_shape_found(value));
        return false;
    }
    if (!fen_shape_fields(l, value, key->place, "'yes-no'", option_keys + O_USUAL, O_ALONE - O_USUAL, &yes))
        return false;
    bool ok = yes.clean;
    ok &= fen_shape_share(l, yes.key[O_USUAL - 1], yes.value[O_USUAL - 1], &o[0].usual);
    ok &= fen_shape_flag(l, yes.key[O_SIGN - 1], yes.value[O_SIGN - 1], &o[0].sign);
    ok &= fen_shape_texts(l, yes.key[O_WORDS - 1], yes.value[O_WORDS - 1], &o[0].words);
    if (isnan(o[0].usual))
        o[0].usual = 0.5;
    o[1].usual = 1 - o[0].usual;
    return ok;
}

/* ---- numbers ---- */

static bool read_percentiles(fen_loader *l, const fen_fields *in, fen_finding *f)
{
    enum { LOW, MIDDLE, HIGH };
    static const fen_key share_keys[] = { { "low", true }, { "middle", true }, { "high", true } };
    fen_fields u;
    if (!in->value[USUAL])
        return true;
    if (in->value[USUAL]->type != FEN_NODE_MAP) {
        fen_loader_error(l, FEN_CODE_SHAPE, in->value[USUAL]->place, "write 'usual: {low: ..., middle: ..., high: ...}'",
                         "'usual' of '%s' needs a map, but has %s", f->id, fen_shape_found(in->value[USUAL]));
        return false;
    }
    if (!fen_shape_fields(l, in->value[USUAL], in->key[USUAL]->place, "'usual'", share_keys, FEN_COUNT(share_keys),
                          &u) ||
        !u.clean)
        return false;
    bool ok = fen_shape_quantity(l, u.key[LOW], u.value[LOW], f->dim, &f->low);
    ok &= fen_shape_quantity(l, u.key[MIDDLE], u.value[MIDDLE], f->dim, &f->middle);
    ok &= fen_shape_quantity(l, u.key[HIGH], u.value[HIGH], f->dim, &f->high);
    if (!ok)
        return false;
    if (!(f->low <= f->middle && f->middle <= f->high)) {
        fen_loader_error(l, FEN_CODE_NUMBER, in->key[USUAL]->place, "order them from small to large",
                         "'low', 'middle' and 'high' of '%s' are not in order", f->id);
        return false;
    }
    if (f->low < f->from || f->high > f->to) {
        fen_loader_error(l, FEN_CODE_NUMBER, in->key[USUAL]->place, "widen them, or correct 'usual'",
                         "'usual' of '%s' lies outside its 'from' and 'to'", f->id);
        return false;
    }
    return true;
}

static void usual_bounds(fen_finding *f)
{
    f->from = f->dim == FEN_DIM_TEMPERATURE ? -273.15 : f->dim == FEN_DIM_TEMPERATURE_DIFFERENCE ? -INFINITY : 0;
    f->to = f->dim == FEN_DIM_PERCENT ? 100 : INFINITY;
}

static bool read_dim(fen_loader *l, const fen_fields *in, fen_finding *f)
{
    const char *names[FEN_DIMS];
    int index = 0;
    for (int d = FEN_DIM_TEMPERATURE; d < FEN_DIMS; d++)
        names[d - 1] = fen_dim_name((fen_dim)d);
    if (!fen_shape_word(l, in->key[QUANTITY], in->value[QUANTITY], names, FEN_DIMS - 1, &index))
        return false;
    f->dim = (fen_dim)(index + 1);
    return true;
}

static bool read_quantity(fen_loader *l, const fen_fields *in, fen_finding *f)
{
    f->type = FEN_QUANTITY;
    if (!read_dim(l, in, f))
        return false;
    usual_bounds(f);
    bool ok = fen_shape_quantity(l, in->key[FROM], in->value[FROM], f->dim, &f->from);
    ok &= fen_shape_quantity(l, in->key[TO], in->value[TO], f->dim, &f->to);
    if (!ok)
        return false;
    if (f->from >= f->to) {
        fen_loader_error(l, FEN_CODE_NUMBER, in->key[in->value[FROM] ? FROM : TO]->place, "write the smaller one as 'from'",
                         "'from' of '%s' is not below its 'to'", f->id);
        return false;
    }
    return read_percentiles(l, in, f);
}

static bool read_date(fen_loader *l, const fen_fields *in, fen_finding *f)
{
    bool yes = false;
    if (!fen_shape_flag(l, in->key[DATE], in->value[DATE], &yes))
        return false;
    if (!yes) {
        fen_loader_error(l, FEN_CODE_BAD_VALUE, in->value[DATE]->place, "write 'date: yes', or another type",
                         "'%s' has no type", f->id);
        return false;
    }
    f->type = FEN_DATE;
    f->dim = FEN_DIM_TIME_SPAN;
    f->from = 0;
    f->to = INFINITY;
    return read_percentiles(l, in, f);
}

/* ---- types ---- */

static const struct {
    int key;
    bool (*read)(fen_loader *l, const fen_fields *in, fen_finding *f);
} types[] = { { ANSWERS, read_answers }, { YES_NO, read_yes_no }, { QUANTITY, read_quantity }, { DATE, read_date } };

/* Which of the four types this is: exactly one must be there. */
static bool find_type(fen_loader *l, const fen_item *item, const fen_fields *in, size_t *ret_type)
{
    size_t found = FEN_COUNT(types);
    for (size_t i = 0; i < FEN_COUNT(types); i++) {
        if (!in->value[types[i].key])
            continue;
        if (found < FEN_COUNT(types)) {
            fen_loader_error(l, FEN_CODE_SHAPE, in->key[types[i].key]->place, "keep one of them", "'%s' has both '%s' and '%s'",
                             item->key->text, keys[types[found].key].name, keys[types[i].key].name);
            return false;
        }
        found = i;
    }
    *ret_type = found;
    if (found < FEN_COUNT(types))
        return true;
    fen_loader_error(l, FEN_CODE_MISSING, item->key->place, "give it 'answers', 'yes-no', 'quantity' or 'date'",
                     "the finding '%s' has no type", item->key->text);
    return false;
}

/* Keys that only make sense beside others. */
static bool check_keys(fen_loader *l, const fen_fields *in, const fen_finding *f)
{
    static const struct {
        int key;
        unsigned types; /* bits of fen_type in which it has a meaning */
    } only[] = {
        { SEVERAL, 1u << FEN_CHOICE | 1u << FEN_SEVERAL }, { FROM, 1u << FEN_QUANTITY }, { TO, 1u << FEN_QUANTITY },
        { USUAL, 1u << FEN_QUANTITY | 1u << FEN_DATE },
    };
    static const char *const right[] = { [FEN_CHOICE] = "give each answer a 'usual' of its own",
                                         [FEN_SEVERAL] = "give each answer a 'usual' of its own",
                                         [FEN_YES_NO] = "write 'yes-no: {usual: 15 %}'" };
    bool ok = true;
    for (size_t i = 0; i < FEN_COUNT(only); i++) {
        const fen_node *key = in->key[only[i].key];
        if (!key || only[i].types >> f->type & 1)
            continue;
        fen_loader_error(l, FEN_CODE_UNKNOWN_KEY, key->place, only[i].key == USUAL ? right[f->type] : "leave it out",
                         "'%s' means nothing for this type of finding", key->text);
        ok = false;
    }
    return ok;
}

/* ---- asking ---- */

static bool check_derived(fen_loader *l, const fen_fields *in, const fen_finding *f)
{
    static const int asked[] = { ASK, HOW, EFFORT, ASK_WHEN };
    bool ok = true;
    for (size_t i = 0; i < FEN_COUNT(asked); i++) {
        if (!in->key[asked[i]])
            continue;
        fen_loader_error(l, FEN_CODE_UNKNOWN_KEY, in->key[asked[i]]->place, "leave it out",
                         "'%s' is derived and never asked, so '%s' means nothing", f->id, keys[asked[i]].name);
        ok = false;
    }
    if (f->type == FEN_QUANTITY || f->type == FEN_DATE) {
        fen_loader_error(l, FEN_CODE_SHAPE, in->key[DERIVED]->place, "give it 'answers' or 'yes-no'",
                         "rules cannot derive %s", f->type == FEN_DATE ? "a date" : "a quantity");
        ok = false;
    }
    return ok;
}

static bool read_default(fen_loader *l, const fen_fields *in, fen_finding *f)
{
    const fen_node *value = in->value[DEFAULT];
    if (!value)
        return true;
    if (!f->derived) {
        fen_loader_error(l, FEN_CODE_UNKNOWN_KEY, in->key[DEFAULT]->place, "leave it out, or write 'derived: yes'",
                         "only a derived finding has a default");
        return false;
    }
    const char *name;
    if (!fen_shape_text(l, in->key[DEFAULT], value, &name))
        return false;
    f->default_option = fen_resolve_option(f, name, value->len);
    if (f->default_option == FEN_NONE)
        fen_resolve_no_option(l, value, (fen_span){ 0, (uint32_t)value->len }, f);
    return f->default_option != FEN_NONE;
}

static bool check_asked(fen_loader *l, const fen_item *item, const fen_fields *in)
{
    bool ok = true;
    static const struct {
        int key;
        const char *right;
    } needed[] = { { ASK, "add the question, as a line 'ask: ...'" },
                   { EFFORT, "add a line 'effort: glance', 'touch', 'meter' or 'unpot'" } };
    for (size_t i = 0; i < FEN_COUNT(needed) && !item->broken; i++) {
        if (in->value[needed[i].key])
            continue;
        fen_loader_error(l, FEN_CODE_MISSING, item->key->place, needed[i].right, "the finding '%s' has no '%s'", item->key->text,
                         keys[needed[i].key].name);
        ok = false;
    }
    return ok;
}

static bool read_asking(fen_loader *l, const fen_item *item, const fen_fields *in, fen_finding *f)
{
    int effort = FEN_GLANCE;
    bool ok = fen_shape_text(l, in->key[NAME], in->value[NAME], &f->name);
    ok &= fen_shape_text(l, in->key[ASK], in->value[ASK], &f->ask);
    ok &= fen_shape_text(l, in->key[HOW], in->value[HOW], &f->how);
    ok &= fen_shape_names(l, in->key[KINDS], in->value[KINDS], FEN_PART_KINDS, &f->kinds);
    ok &= fen_shape_word(l, in->key[EFFORT], in->value[EFFORT], effort_words, FEN_COUNT(effort_words), &effort);
    ok &= fen_shape_flag(l, in->key[DERIVED], in->value[DERIVED], &f->derived);
    bool lasts = true;
    if (in->value[LASTS])
        ok &= fen_shape_flag(l, in->key[LASTS], in->value[LASTS], &lasts);
    f->passing = !lasts;
    f->effort = (fen_effort)effort;
    if (ok && !f->derived)
        ok = check_asked(l, item, in);
    return ok;
}

static bool read_finding(fen_loader *l, fen_item *item, fen_finding *f)
{
    fen_fields in;
    size_t type;
    if (!fen_shape_item(l, FEN_PART_FINDINGS, item, keys, FEN_COUNT(keys), &in))
        return false;
    bool ok = read_asking(l, item, &in, f);
    if (item->broken && !in.value[ANSWERS] && !in.value[YES_NO] && !in.value[QUANTITY] && !in.value[DATE])
        return false; /* the mistyped key is most likely the type */
    if (!find_type(l, item, &in, &type) || !types[type].read(l, &in, f) || !check_keys(l, &in, f))
        return false;
    if (f->derived)
        ok &= check_derived(l, &in, f);
    return ok & read_default(l, &in, f);
}

static void add_finding(fen_loader *l, uint32_t i)
{
    static const fen_option nothing[] = { { .id = "yes", .say = "yes" }, { .id = "no", .say = "no" } };
    fen_item *item = &l->part[FEN_PART_FINDINGS].items.at[i];
    fen_finding f = {
        .id = fen_shape_keep(l, item->key), .name = "", .default_option = FEN_NONE, .low = NAN, .middle = NAN, .high = NAN,
        .ask_when = FEN_NONE, .place = item->key->place, .from = -INFINITY, .to = INFINITY,
    };
    fen_id id;
    if (!f.id)
        return;
    item->broken |= !read_finding(l, item, &f);
    if (item->broken) { /* keeps its place; nothing is judged by it */
        f.type = FEN_YES_NO;
        f.options = nothing;
        f.n_options = 2;
    }
    if (fen_draft_finding(l->draft, f, &id))
        fen_loader_nomem(l);
}

void fen_read_findings(fen_loader *l)
{
    for (uint32_t i = 0; i < l->part[FEN_PART_FINDINGS].items.count && !l->nomem; i++)
        add_finding(l, i);
}

void fen_read_ask_when(fen_loader *l)
{
    const fen_names *findings = &l->part[FEN_PART_FINDINGS];
    for (uint32_t i = 0; i < findings->items.count && !l->nomem; i++) {
        const fen_item *item = &findings->items.at[i];
        if (item->broken || item->value->type != FEN_NODE_MAP)
            continue;
        fen_pair when;
        if (!fen_shape_pair(item->value, "ask when", &when))
            continue;
        l->source = l->files.at[item->file].source;
        fen_id cond;
        if (fen_resolve_condition(l, when.key, when.value, &cond))
            l->draft->findings.at[i + 1].ask_when = cond;
    }
}
