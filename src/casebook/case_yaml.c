/* case_yaml.c -- see case_yaml.h. The keys of a case and of a visit are tables;
 * reading goes on after a problem, so that one run shows all of them.
 *
 * Numbers of answers ("2" for the second) are taken, because a person who has
 * just left the prompt writes them, but warned of: they change when a pack does.
 */
#include "case_yaml.h"

#include <stdio.h>
#include <string.h>

#include "answer.h"
#include "case_own.h"
#include "cause_text.h"
#include "kind_name.h"
#include "model/net.h"
#include "util/date.h"
#include "util/limits.h"
#include "util/near.h"
#include "util/number.h"
#include "util/vec.h"

typedef struct reader {
    const fen_base *base;
    const fen_source *src;
    fen_problems *problems;
    int32_t today;
    fen_arena *arena;
    bool lost;        /* an allocation failed */
    fen_case c;
    fen_visit visit;  /* the one being read */
} reader;

#define COMPLAIN(r, code, node, right, ...) \
    fen_source_problem((r)->src, (r)->problems, FEN_ERROR, (code), (node)->place, (right), __VA_ARGS__)
#define WARN(r, code, node, right, ...) \
    fen_source_problem((r)->src, (r)->problems, FEN_WARNING, (code), (node)->place, (right), __VA_ARGS__)

typedef void read_fn(reader *r, const fen_node *node);
typedef struct case_key {
    const char *key;
    read_fn *read;
    bool of_visit; /* belongs to one visit: may stand in an item of `visits` */
} case_key;

/* "did you mean 'x'" for what NEAR found, or FALLBACK. */
static const char *suggest(const fen_near *near, char buf[FEN_FAULT_TEXT], const char *fallback)
{
    if (!near->name)
        return fallback;
    snprintf(buf, FEN_FAULT_TEXT, "did you mean '%s'", near->name);
    return buf;
}

static const char *keep(reader *r, const fen_node *node)
{
    const char *text = fen_arena_text(r->arena, node->text, node->len);
    r->lost = r->lost || !text;
    return text;
}

static bool is_text(reader *r, const fen_node *node, const char *what, const char *right)
{
    if (node->type == FEN_NODE_TEXT)
        return true;
    COMPLAIN(r, FEN_CODE_SHAPE, node, right, "%s is a text, not a %s", what, node->type == FEN_NODE_LIST ? "list" : "map");
    return false;
}

static bool is_left_out(const fen_node *node)
{
    return node->type == FEN_NODE_TEXT && node->plain && (node->len == 0 || (node->len == 1 && *node->text == '~'));
}

static void read_name(reader *r, const fen_node *node)
{
    if (!is_text(r, node, "the name of a case", "write one name on one line"))
        return;
    if (node->len == 0)
        COMPLAIN(r, FEN_CODE_MISSING, node, "write a name, or leave 'case' out", "the case has an empty name");
    else
        r->c.id = keep(r, node);
}

static void read_format(reader *r, const fen_node *node)
{
    double format;
    size_t len;
    if (!is_text(r, node, "the format of a case", "leave 'format' as it was written"))
        return;
    if (!fen_number_read(node->text, node->len, &format, &len) || len != node->len || format < 1)
        COMPLAIN(r, FEN_CODE_BAD_VALUE, node, "leave 'format' as it was written, or leave it out", "'%.40s' is no format of a case",
                 node->text);
    else if (format > FEN_CASE_FORMAT)
        COMPLAIN(r, FEN_CODE_FORMAT, node, "use the later version of fenmend that kept it",
                 "the case has the format %.40s, and this version reads no later one than %d", node->text, FEN_CASE_FORMAT);
}

static void read_lesson(reader *r, const fen_node *node)
{
    if (is_text(r, node, "the lesson of a case", "write the name of the rule that was learnt from it") && !is_left_out(node))
        r->c.lesson = keep(r, node);
}

static fen_place place_in(const reader *r, const fen_node *node, const fen_answer_fault *fault)
{
    return fen_node_place_at(r->src, node, fault->at, fault->width);
}

static void complain_answer(reader *r, const fen_node *node, const fen_answer_fault *fault)
{
    fen_source_problem(r->src, r->problems, FEN_ERROR, fault->code, place_in(r, node, fault),
                       fault->right[0] ? fault->right : NULL, "%s", fault->what);
}

/* A species that no kind lists: what is known of its genus holds, and the rest is asked. */
static void warn_of_genus(reader *r, const fen_node *node)
{
    fen_kind_name name;
    char buf[FEN_FAULT_TEXT], shown[FEN_SHORT_TEXT];
    const fen_piece text = { node->text, node->len };
    if (!fen_base_kind(r->base, r->c.kind)->group || !fen_kind_by_latin(r->base, text, &name) || !name.loose)
        return;
    snprintf(buf, sizeof buf, "did you mean '%.*s %s'", (int)name.genus.len, name.genus.at, name.near ? name.near : "");
    WARN(r, FEN_CODE_UNKNOWN_NAME, node, name.near ? buf : "write a narrower kind, if you know it",
         "'%s' is taken as '%s', by its genus alone", fen_piece_short(text, shown), fen_base_kind(r->base, r->c.kind)->id);
}

static void read_kind(reader *r, const fen_node *node)
{
    fen_answer a;
    fen_answer_fault fault;
    if (!is_text(r, node, "the kind of plant", "write one kind"))
        return;
    if (is_left_out(node))
        return;
    if (fen_answer_parse(r->base, FEN_KIND_FINDING, node->text, node->len, r->today, &a, &fault)) {
        complain_answer(r, node, &fault);
        return;
    }
    r->c.kind_unsure = a.state == FEN_UNSURE;
    for (fen_id i = 0; a.state == FEN_KNOWN && i < 64; i++)
        if (a.picks >> i & 1)
            r->c.kind = i;
    if (r->c.kind != FEN_NONE)
        warn_of_genus(r, node);
}

static void read_date(reader *r, const fen_node *node)
{
    /* Until it is read, no date of a finding is after it: one mistake, one message. */
    r->visit.date = fen_date_day(9999, 12, 31);
    if (!is_text(r, node, "a date", "write it as 2026-07-01"))
        return;
    if (!fen_date_read(node->text, node->len, &r->visit.date))
        COMPLAIN(r, FEN_CODE_BAD_VALUE, node, "write the year, month and day as 2026-07-01", "'%.40s' is not a date",
                 node->text);
}

static void read_note(reader *r, const fen_node *node)
{
    if (is_text(r, node, "a note", "write it as one text; '|' begins one of several lines") && !is_left_out(node))
        r->visit.note = keep(r, node);
}

/* -- findings -- */

static fen_id find_finding(reader *r, const fen_node *key)
{
    char buf[FEN_FAULT_TEXT];
    const fen_id id = fen_base_finding_named(r->base, key->text, key->len);
    if (id != FEN_NONE)
        return id;
    fen_near near;
    fen_near_begin(&near, key->text, key->len);
    for (fen_id i = 1; i < fen_base_findings(r->base); i++)
        if (!fen_base_finding(r->base, i)->derived)
            fen_near_offer(&near, fen_base_finding(r->base, i)->id);
    COMPLAIN(r, FEN_CODE_UNKNOWN_NAME, key, suggest(&near, buf, "write the name of a finding of the rules"),
             "there is no finding '%.64s'", key->text);
    return FEN_NONE;
}

static bool may_be_given(reader *r, const fen_node *key, fen_id finding)
{
    const fen_finding *f = fen_base_finding(r->base, finding);
    if (finding == FEN_KIND_FINDING) {
        COMPLAIN(r, FEN_CODE_UNKNOWN_KEY, key, "write 'kind' once, beside 'findings'",
                 "the kind of plant belongs to the case, not to a visit");
        return false;
    }
    if (f->derived) {
        COMPLAIN(r, FEN_CODE_BAD_VALUE, key, "leave it out", "'%s' is never asked: the rules work it out", f->id);
        return false;
    }
    return true;
}

static void warn_of_number(reader *r, const fen_node *node, fen_id finding, const fen_answer *a)
{
    const fen_finding *f = fen_base_finding(r->base, finding);
    char right[FEN_FAULT_TEXT];
    fen_id option = 0;
    if (f->type == FEN_QUANTITY || f->type == FEN_DATE || !fen_answer_is_number(node->text, node->len) || !a->picks)
        return;
    while (!(a->picks >> option & 1))
        option++;
    if (strcmp(f->options[option].id, node->text) == 0)
        return;
    snprintf(right, sizeof right, "write '%s'", f->options[option].id);
    WARN(r, FEN_CODE_BAD_VALUE, node, right, "'%.40s' is taken as '%s', but numbers change when the rules do", node->text,
         f->options[option].id);
}

static bool read_text_answer(reader *r, const fen_node *node, fen_id finding, fen_answer *a)
{
    fen_answer_fault fault;
    if (fen_answer_parse(r->base, finding, node->text, node->len, r->visit.date, a, &fault)) {
        complain_answer(r, node, &fault);
        return false;
    }
    warn_of_number(r, node, finding, a);
    return true;
}

/* One item of a list: a single answer, never "none" or "unsure". */
static bool read_item(reader *r, const fen_node *item, fen_id finding, uint64_t *picks)
{
    fen_answer_fault fault;
    fen_id option;
    if (!is_text(r, item, "an item of this list", "write one answer in each item"))
        return false;
    if (fen_answer_option(r->base, finding, item->text, item->len, &option, &fault)) {
        if (fen_answer_is_none(item->text, item->len) || fen_answer_is_unsure(item->text, item->len))
            COMPLAIN(r, FEN_CODE_BAD_VALUE, item, "write it alone, without a list",
                     "'%.40s' cannot stand in a list of answers", item->text);
        else
            complain_answer(r, item, &fault);
        return false;
    }
    const fen_answer a = { FEN_KNOWN, UINT64_C(1) << option, 0.0 };
    warn_of_number(r, item, finding, &a);
    if (*picks & a.picks)
        COMPLAIN(r, FEN_CODE_DUPLICATE, item, "write it once", "'%s' is in this list twice",
                 fen_base_finding(r->base, finding)->options[option].id);
    *picks |= a.picks;
    return true;
}

static bool read_list_answer(reader *r, const fen_node *node, fen_id finding, fen_answer *a)
{
    const fen_finding *f = fen_base_finding(r->base, finding);
    bool good = true;
    *a = (fen_answer){ FEN_KNOWN, 0, 0.0 };
    if (f->type != FEN_SEVERAL) {
        COMPLAIN(r, FEN_CODE_SHAPE, node, "write the answer without brackets", "'%s' takes one answer, not a list", f->id);
        return false;
    }
    for (size_t i = 0; i < node->count; i++)
        good = read_item(r, node->items[i], finding, &a->picks) && good;
    fen_answer_fault fault;
    if (!a->picks)
        a->picks = fen_finding_without(f);
    if (good && !fen_answer_together(f, a->picks, node->len, &fault)) {
        complain_answer(r, node, &fault);
        return false;
    }
    return good;
}

static bool read_answer(reader *r, const fen_node *node, fen_id finding, fen_answer *a)
{
    const fen_finding *f = fen_base_finding(r->base, finding);
    switch (node->type) {
    case FEN_NODE_TEXT:
        if (!is_left_out(node))
            return read_text_answer(r, node, finding, a);
        COMPLAIN(r, FEN_CODE_MISSING, node, "write an answer, or 'unsure', or leave the line out", "'%s' has no answer",
                 f->id);
        return false;
    case FEN_NODE_LIST:
        return read_list_answer(r, node, finding, a);
    case FEN_NODE_MAP:
        break;
    }
    COMPLAIN(r, FEN_CODE_SHAPE, node, "write the answer on the same line", "the answer to '%s' is a text%s, not a map", f->id,
             f->type == FEN_SEVERAL ? " or a list" : "");
    return false;
}

/* Of a plant of which only the group is known, what is asked of any below it may be. */
static bool may_apply(const fen_base *base, fen_id kind, const fen_finding *f)
{
    if (fen_base_kind_within(base, kind, f->kinds))
        return true;
    for (uint32_t i = 0; i < f->kinds.count; i++)
        if (fen_base_kind_within(base, f->kinds.at[i], (fen_list){ &kind, 1 }))
            return true;
    return false;
}

/* The kind is read before the findings, wherever it stands. */
static void warn_of_kind(reader *r, const fen_node *key, fen_id finding)
{
    if (r->c.kind != FEN_NONE && !may_apply(r->base, r->c.kind, fen_base_finding(r->base, finding)))
        WARN(r, FEN_CODE_NEVER, key, "leave it out, or look at 'kind' again", "'%s' is not a question about '%s'",
             key->text, fen_base_kind(r->base, r->c.kind)->id);
}

static void read_findings(reader *r, const fen_node *node)
{
    if (is_left_out(node))
        return;
    if (node->type != FEN_NODE_MAP) {
        COMPLAIN(r, FEN_CODE_SHAPE, node, "write lines such as 'crown-feel: soft' under it", "'findings' is a map");
        return;
    }
    fen_given *given = fen_arena_take(r->arena, node->count, sizeof *given);
    r->lost = r->lost || !given;
    for (size_t i = 0; given && i < node->count; i++) {
        fen_given *g = &given[r->visit.n_given];
        g->finding = find_finding(r, node->pairs[i].key);
        const fen_node *key = node->pairs[i].key;
        if (g->finding == FEN_NONE || !may_be_given(r, key, g->finding))
            continue;
        warn_of_kind(r, key, g->finding);
        if (read_answer(r, node->pairs[i].value, g->finding, &g->answer))
            r->visit.n_given++;
    }
    r->visit.given = given;
}

/* -- settled, where -- */

static void read_settled(reader *r, const fen_node *node)
{
    if (is_left_out(node))
        return;
    if (node->type == FEN_NODE_MAP)
        COMPLAIN(r, FEN_CODE_SHAPE, node, "write 'settled: [crown-rot]'", "'settled' is a list of causes, not a map");
    else if (fen_causes_read(r->base, r->src, node, r->problems, r->arena, &r->visit.settled))
        r->lost = true;
}

static void read_where(reader *r, const fen_node *node)
{
    if (is_left_out(node))
        return;
    if (node->type != FEN_NODE_MAP) {
        COMPLAIN(r, FEN_CODE_SHAPE, node, "write 'where: {tray: b4}'", "'where' is a map of names and texts");
        return;
    }
    fen_tag *tags = fen_arena_take(r->arena, node->count, sizeof *tags);
    r->lost = r->lost || !tags;
    for (size_t i = 0; tags && i < node->count; i++) {
        const fen_pair *p = &node->pairs[i];
        if (is_text(r, p->value, "what is recorded under 'where'", "write one text after each name"))
            tags[r->c.n_where++] = (fen_tag){ keep(r, p->key), keep(r, p->value) };
    }
    r->c.where = tags;
}

/* -- keys and visits -- */

static void read_visits(reader *r, const fen_node *node);

/* In the order of reading: a visit's date before its findings, whose dates
 * depend on it. */
static const case_key keys[] = {
    { "format", NULL, false },          { "lesson", read_lesson, false }, /* the format: before all else */
    { "case", read_name, false },       { "kind", read_kind, false },
    { "date", read_date, true },        { "findings", read_findings, true },
    { "note", read_note, true },        { "settled", read_settled, true },
    { "where", read_where, false },     { "visits", read_visits, false },
};

static const case_key *find_key(const char *text)
{
    for (size_t i = 0; i < FEN_COUNT(keys); i++)
        if (keys[i].key[0] == text[0] && strcmp(keys[i].key, text) == 0)
            return &keys[i];
    return NULL;
}

/* The values of a case or of a visit, by key; NULL: not written. */
typedef struct key_values {
    const fen_node *of[FEN_COUNT(keys)];
} key_values;

static key_values find_values(const fen_node *map)
{
    key_values v = { 0 };
    for (size_t i = 0; i < map->count; i++) {
        const case_key *k = find_key(map->pairs[i].key->text);
        if (k)
            v.of[k - keys] = map->pairs[i].value;
    }
    return v;
}

static void complain_key(reader *r, const fen_node *key, bool in_visit)
{
    char buf[FEN_FAULT_TEXT];
    const case_key *known = find_key(key->text);
    const fen_id finding = fen_base_find_finding(r->base, key->text);
    fen_near near;
    fen_near_begin(&near, key->text, key->len);
    for (size_t i = 0; i < FEN_COUNT(keys); i++)
        if (!in_visit || keys[i].of_visit)
            fen_near_offer(&near, keys[i].key);
    if (known)
        COMPLAIN(r, FEN_CODE_UNKNOWN_KEY, key, "write it once, outside 'visits'", "'%s' belongs to the case, not to a visit",
                 key->text);
    else if (finding != FEN_NONE)
        COMPLAIN(r, FEN_CODE_UNKNOWN_KEY, key, "indent it below 'findings:'", "the finding '%s' stands outside 'findings'",
                 key->text);
    else
        COMPLAIN(r, FEN_CODE_UNKNOWN_KEY, key,
                 suggest(&near, buf, in_visit ? "a visit has date, findings, note and settled"
                                              : "a case has case, kind, date, findings, note, where, settled and visits"),
                 "%s has no '%.64s'", in_visit ? "a visit" : "a case", key->text);
}

static void check_keys(reader *r, const fen_node *map, bool in_visit)
{
    const bool has_visits = !in_visit && fen_node_get(map, "visits");
    for (size_t i = 0; i < map->count; i++) {
        const fen_node *key = map->pairs[i].key;
        const case_key *k = find_key(key->text);
        if (!k || (in_visit && !k->of_visit))
            complain_key(r, key, in_visit);
        else if (k->of_visit && has_visits)
            COMPLAIN(r, FEN_CODE_UNKNOWN_KEY, key, "move it into one of the visits",
                     "'%s' stands beside 'visits', so it is not clear which visit it belongs to", key->text);
    }
}

static void read_keys(reader *r, const key_values *values, bool of_visit)
{
    for (size_t i = 0; i < FEN_COUNT(keys); i++)
        if (values->of[i] && keys[i].read && keys[i].of_visit == of_visit)
            keys[i].read(r, values->of[i]);
}

static void read_visit(reader *r, const key_values *values)
{
    r->visit = (fen_visit){ .date = r->today };
    read_keys(r, values, true);
}

static void check_order(reader *r, const fen_node *item, const fen_visit *before)
{
    char earlier[FEN_DATE_TEXT], now[FEN_DATE_TEXT];
    if (r->visit.date > before->date)
        return;
    const fen_node *date = fen_node_get(item, "date");
    fen_date_write(earlier, before->date);
    fen_date_write(now, r->visit.date);
    if (r->visit.date == before->date)
        COMPLAIN(r, FEN_CODE_DUPLICATE, date ? date : item, "put what was found on one day into one visit",
                 "there is another visit on %s", now);
    else
        COMPLAIN(r, FEN_CODE_BAD_VALUE, date ? date : item, "write the visits in order of date",
                 "the visit of %s stands after that of %s", now, earlier);
}

static void read_visits(reader *r, const fen_node *node)
{
    if (node->type != FEN_NODE_LIST || node->count == 0) {
        COMPLAIN(r, FEN_CODE_SHAPE, node, "begin each visit with '- date: 2026-07-01'", "'visits' is a list of visits");
        return;
    }
    fen_visit *visits = fen_arena_take(r->arena, node->count, sizeof *visits);
    r->lost = r->lost || !visits;
    for (size_t i = 0; visits && i < node->count; i++) {
        const fen_node *item = node->items[i];
        if (item->type != FEN_NODE_MAP) {
            COMPLAIN(r, FEN_CODE_SHAPE, item, "write 'date', 'findings', 'note' or 'settled' in it", "a visit is a map");
            continue;
        }
        const size_t errors = fen_problems_errors(r->problems);
        check_keys(r, item, true);
        const key_values values = find_values(item);
        read_visit(r, &values);
        if (r->c.n_visits && errors == fen_problems_errors(r->problems))
            check_order(r, item, &visits[r->c.n_visits - 1]);
        visits[r->c.n_visits++] = r->visit;
    }
    r->c.visits = visits;
}

/* What a later version wrote may mean anything: one message, and nothing is read. */
static bool can_be_read(reader *r, const fen_node *root)
{
    const fen_node *format = fen_node_get(root, "format");
    const size_t errors = fen_problems_errors(r->problems);
    if (format)
        read_format(r, format);
    return fen_problems_errors(r->problems) == errors;
}

static void read_case(reader *r, const fen_node *root, const char *stem)
{
    if (!can_be_read(r, root))
        return;
    check_keys(r, root, false);
    const key_values values = find_values(root);
    read_keys(r, &values, false);
    if (!fen_node_get(root, "visits")) {
        fen_visit *only = fen_arena_take(r->arena, 1, sizeof *only);
        r->lost = r->lost || !only;
        read_visit(r, &values);
        if (only)
            *only = r->visit;
        r->c.visits = only;
        r->c.n_visits = 1;
    }
    if (!r->c.id)
        r->c.id = fen_arena_text(r->arena, stem, strlen(stem));
    r->lost = r->lost || !r->c.id;
}

static fen_status outcome(const reader *r, size_t errors_before)
{
    if (r->lost || fen_problems_status(r->problems))
        return FEN_ENOMEM;
    return fen_problems_errors(r->problems) > errors_before ? FEN_EINPUT : FEN_OK;
}

fen_status fen_case_read_in(fen_arena *arena, const fen_base *base, const fen_source *src, const fen_node *root,
                            const char *stem, int32_t today, fen_problems *problems, fen_case *ret_case)
{
    const size_t errors = fen_problems_errors(problems);
    reader r = { .base = base, .src = src, .problems = problems, .today = today, .arena = arena,
                 .c = { .kind = FEN_NONE, .place = root->place } };
    if (root->type == FEN_NODE_MAP)
        read_case(&r, root, stem);
    else
        COMPLAIN(&r, FEN_CODE_SHAPE, root, "begin with 'kind:' and 'findings:'", "a case is a map");
    const fen_status st = outcome(&r, errors);
    if (!st)
        *ret_case = r.c;
    return st;
}

fen_status fen_case_read(const fen_base *base, const fen_source *src, const fen_node *root, const char *stem,
                         int32_t today, fen_problems *problems, fen_case **ret_case)
{
    fen_case c;
    fen_arena *arena = fen_arena_new();
    if (!arena)
        return FEN_ENOMEM;
    const fen_status st = fen_case_read_in(arena, base, src, root, stem, today, problems, &c);
    if (st) {
        fen_arena_free(arena);
        return st;
    }
    fen_case *made = fen_case_own(arena, &c);
    if (!made)
        return FEN_ENOMEM;
    *ret_case = made;
    return FEN_OK;
}
