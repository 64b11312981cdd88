/* own_pack.c -- see own_pack.h. What belongs to a rule is told by indentation, as YAML
 * does in its blocks.
 */
#include "own_pack.h"

#include <errno.h>
#include <stdio.h>
#include <string.h>

#include "text/yaml.h"
#include "util/alloc.h"
#include "util/file.h"
#include "util/limits.h"

#define HEAD "pack: my-own\nabout: What my own plants have taught me.\n"
#define OURS "rules: # learnt from cases"
#define INDENT 2

typedef struct layout {
    fen_source *src;
    fen_tree *tree;
    const fen_node *rules;   /* the map, or NULL */
    const fen_node *rules_key;
    size_t indent;           /* of its keys */
    bool crlf;
    bool closed;             /* `rules` is in brackets */
} layout;

/* ---- files -------------------------------------------------------------------------------- */

fen_status fen_own_read(const char *path, fen_problems *problems, fen_own_pack *ret_pack)
{
    fen_place place = { 0, 0, 0, 1 };
    ret_pack->path = path;
    fen_status st = fen_file_read(path, FEN_PACK_MAX, &ret_pack->text, &ret_pack->len);
    if (!st || st == FEN_ENOMEM || (st == FEN_EIO && errno == ENOENT))
        return st == FEN_ENOMEM ? st : FEN_OK;
    const char *why = strerror(errno);
    st = fen_problems_file(problems, path, &place.file);
    if (!st)
        fen_problems_add(problems, FEN_ERROR, FEN_CODE_READ, place, NULL, NULL, "the pack cannot be read: %s", why);
    return st ? st : FEN_EINPUT;
}

void fen_own_close(fen_own_pack *p)
{
    fen_free(p->text);
    *p = (fen_own_pack){ 0 };
}

/* ---- where things stand ---------------------------------------------------------------------- */

static size_t offset_of(const layout *l, const fen_node *node)
{
    return fen_source_offset(l->src, node->place.line, node->place.column);
}

static fen_status refuse(const layout *l, fen_problems *problems, const fen_node *at, const char *wrong)
{
    fen_source_problem(l->src, problems, FEN_ERROR, FEN_CODE_SHAPE, at->place, "write 'rules:' on a line, and each rule on lines of its own below it",
                       "%s", wrong);
    return fen_problems_status(problems) ? FEN_ENOMEM : FEN_EINPUT;
}

static void shut(layout *l)
{
    fen_tree_free(l->tree);
    fen_source_free(l->src);
    *l = (layout){ 0 };
}

static fen_status open_layout(const fen_own_pack *p, const char *text, size_t len, fen_problems *problems, layout *l)
{
    *l = (layout){ .indent = INDENT };
    fen_status st = fen_source_text(p->path, text, len, problems, &l->src);
    if (!st)
        st = fen_yaml_read(l->src, problems, &l->tree);
    if (st)
        return st;
    const fen_node *root = fen_tree_root(l->tree);
    const char *lf = memchr(l->src->text, '\n', l->src->len);
    l->crlf = lf && lf > l->src->text && lf[-1] == '\r';
    for (uint32_t i = 0; root->type == FEN_NODE_MAP && i < root->count; i++)
        if (strcmp(root->pairs[i].key->text, "rules") == 0) {
            l->rules_key = root->pairs[i].key;
            l->rules = root->pairs[i].value;
        }
    if (!l->rules)
        return FEN_OK;
    const bool none = l->rules->type == FEN_NODE_TEXT && l->rules->plain && !l->rules->len;
    l->closed = !none && (l->rules->type != FEN_NODE_MAP || l->src->text[offset_of(l, l->rules)] == '{');
    if (!none && !l->closed && l->rules->count)
        l->indent = l->rules->pairs[0].key->place.column - 1;
    return FEN_OK;
}

/* The same, where rules are to be put in or taken out. */
static fen_status open_to_change(const fen_own_pack *p, const char *text, size_t len, fen_problems *problems, layout *l)
{
    const fen_status st = open_layout(p, text, len, problems, l);
    return st || !l->closed ? st : refuse(l, problems, l->rules_key, "no rule can be put in or out of 'rules' as it is written here");
}

static size_t line_start(const layout *l, size_t at)
{
    while (at && l->src->text[at - 1] != '\n')
        at--;
    return at;
}

static size_t line_end(const layout *l, size_t at)
{
    const char *lf = memchr(l->src->text + at, '\n', l->src->len - at);
    return lf ? (size_t)(lf - l->src->text) + 1 : l->src->len;
}

/* The end of what stands below the line at AT, which is indented by INDENT: behind the last
 * line that is indented deeper. Remarks and blank lines behind that are not of it. */
static size_t block_end(const layout *l, size_t at, size_t indent)
{
    size_t end = line_end(l, at);
    for (size_t line = end; line < l->src->len; line = line_end(l, line)) {
        const char *text = l->src->text + line;
        const size_t blanks = strspn(text, " ");
        if (text[blanks] == '\n' || text[blanks] == '\r' || text[blanks] == '\0')
            continue;
        if (blanks > indent)
            end = line_end(l, line);
        else if (text[blanks] != '#')
            break;
    }
    return end;
}

/* ---- did anything else change? ------------------------------------------------------------------ */

static bool same_node(const fen_node *a, const fen_node *b)
{
    if (a->type != b->type || a->count != b->count || a->len != b->len)
        return false;
    if (a->type == FEN_NODE_TEXT)
        return a->plain == b->plain && memcmp(a->text, b->text, a->len) == 0;
    for (uint32_t i = 0; i < a->count; i++) {
        if (a->type == FEN_NODE_LIST && !same_node(a->items[i], b->items[i]))
            return false;
        if (a->type == FEN_NODE_MAP && (strcmp(a->pairs[i].key->text, b->pairs[i].key->text) != 0 || !same_node(a->pairs[i].value, b->pairs[i].value)))
            return false;
    }
    return true;
}

/* Does MORE hold what LESS holds, and the rule NAME behind it? */
static bool one_rule_more(const layout *less, const layout *more, const char *name, size_t name_len)
{
    const fen_node *a = fen_tree_root(less->tree), *b = fen_tree_root(more->tree);
    if (b->type != FEN_NODE_MAP || !more->rules || more->rules->type != FEN_NODE_MAP || !more->rules->count)
        return false;
    const bool had = less->rules && less->rules->type == FEN_NODE_MAP;
    const uint32_t n = had ? less->rules->count : 0;
    if (more->rules->count != n + 1)
        return false;
    for (uint32_t i = 0, k = 0; i <= n; i++) {
        const fen_pair *p = &more->rules->pairs[i];
        if (p->key->len == name_len && memcmp(p->key->text, name, name_len) == 0)
            continue;
        if (k == n || strcmp(less->rules->pairs[k].key->text, p->key->text) != 0 || !same_node(less->rules->pairs[k].value, p->value))
            return false;
        k++;
    }
    for (uint32_t i = 0, k = 0; i < b->count; i++) {
        if (b->pairs[i].key == more->rules_key) {
            k += less->rules != NULL;
            continue;
        }
        if (a->type != FEN_NODE_MAP || k >= a->count || strcmp(a->pairs[k].key->text, b->pairs[i].key->text) != 0 ||
            !same_node(a->pairs[k].value, b->pairs[i].value))
            return false;
        k++;
    }
    return true;
}

/* ---- one more ----------------------------------------------------------------------------------- */

/* RULE's lines, indented, with the line ends of the file; without the last one if BARE. */
static void put_block(fen_str *out, const char *rule, size_t indent, bool crlf, bool bare)
{
    while (*rule) {
        const char *lf = strchr(rule, '\n');
        const size_t len = lf ? (size_t)(lf - rule) : strlen(rule);
        for (size_t i = 0; i < indent && len; i++)
            fen_str_putc(out, ' ');
        fen_str_put(out, rule, len);
        rule += len + (lf != NULL);
        if (*rule || !bare)
            fen_str_puts(out, crlf ? "\r\n" : "\n");
    }
}

static void insert(const fen_own_pack *p, const layout *l, const char *rule, fen_str *out)
{
    const char *text = l->src->text, *lf = l->crlf ? "\r\n" : "\n";
    size_t at = l->src->len;
    fen_str_put(out, l->src->owned, (size_t)(text - l->src->owned)); /* a byte order mark */
    if (l->rules && l->rules->type == FEN_NODE_MAP && l->rules->count)
        at = block_end(l, offset_of(l, l->rules->pairs[l->rules->count - 1].key), l->indent);
    else if (l->rules)
        at = line_end(l, offset_of(l, l->rules_key));
    fen_str_put(out, text, at);
    const bool bare = at && text[at - 1] != '\n'; /* the file's last line has no end: no more will ours */
    if (bare)
        fen_str_puts(out, lf);
    if (!l->rules && p->text && l->src->len)
        fen_str_puts(out, lf);
    if (!l->rules)
        fen_str_printf(out, "%s%s", OURS, lf);
    put_block(out, rule, l->indent, l->crlf, bare);
    fen_str_put(out, text + at, l->src->len - at);
}

static fen_status check(const fen_own_pack *p, const layout *before, const fen_str *out, const char *name, size_t name_len, bool more,
                        fen_problems *problems)
{
    layout after;
    fen_problems *quiet;
    const fen_node *at = before->rules_key ? before->rules_key : fen_tree_root(before->tree);
    fen_status st = fen_str_status(out);
    if (!st)
        st = fen_problems_new(&quiet);
    if (st)
        return st;
    st = open_layout(p, out->at, out->len, quiet, &after);
    if (st == FEN_EINPUT || (!st && !one_rule_more(more ? before : &after, more ? &after : before, name, name_len)))
        st = fen_problems_status(quiet) ? FEN_ENOMEM
             : refuse(before, problems, at, more ? "a rule cannot be added without changing what stands beside it"
                                                 : "the rule cannot be taken out without changing what stands beside it");
    shut(&after);
    fen_problems_free(quiet);
    return st;
}

fen_status fen_own_with(const fen_own_pack *p, const char *rule, fen_problems *problems, fen_str *out)
{
    layout l;
    const char *text = p->text ? p->text : HEAD "\n";
    fen_status st = open_to_change(p, text, p->text ? p->len : strlen(text), problems, &l);
    if (!st) {
        insert(p, &l, rule, out);
        st = check(p, &l, out, rule, strcspn(rule, ":"), true, problems);
    }
    shut(&l);
    return st;
}

/* ---- one less ----------------------------------------------------------------------------------- */

static const fen_node *find_rule(const layout *l, const char *rule)
{
    for (uint32_t i = 0; l->rules && l->rules->type == FEN_NODE_MAP && i < l->rules->count; i++)
        if (strcmp(l->rules->pairs[i].key->text, rule) == 0)
            return l->rules->pairs[i].key;
    return NULL;
}

/* If the rule was the only one under a `rules:` of ours, that goes too, with the blank line that
 * was put before it. */
static size_t with_our_line(const layout *l, size_t from)
{
    const size_t line = line_start(l, offset_of(l, l->rules_key));
    const char *text = l->src->text;
    if (l->rules->count != 1 || line_end(l, line) != from || strncmp(text + line, OURS, strlen(OURS)) != 0)
        return from;
    size_t blank = line;
    if (blank && text[blank - 1] == '\n')
        blank--;
    if (blank && text[blank - 1] == '\r')
        blank--;
    return blank && text[blank - 1] == '\n' ? blank : line;
}

fen_status fen_own_without(const fen_own_pack *p, const char *rule, fen_problems *problems, fen_str *out)
{
    layout l;
    fen_status st = open_to_change(p, p->text ? p->text : "", p->len, problems, &l);
    const fen_node *key = st ? NULL : find_rule(&l, rule);
    if (!st && !key)
        st = refuse(&l, problems, fen_tree_root(l.tree), "the rule is not there any more");
    if (!st) {
        size_t from = line_start(&l, offset_of(&l, key)), to = block_end(&l, from, l.indent);
        const bool bare = to == l.src->len && to && l.src->text[to - 1] != '\n';
        from = with_our_line(&l, from);
        if (bare && from)
            from -= from > 1 && l.src->text[from - 2] == '\r' ? 2 : 1;
        fen_str_put(out, l.src->owned, (size_t)(l.src->text - l.src->owned));
        fen_str_put(out, l.src->text, from);
        fen_str_put(out, l.src->text + to, l.src->len - to);
        st = check(p, &l, out, rule, strlen(rule), false, problems);
    }
    if (!st && strcmp(out->at, HEAD) == 0)
        fen_str_clear(out);
    shut(&l);
    return st;
}

fen_status fen_own_last(const fen_own_pack *p, fen_problems *problems, fen_own_lesson *ret_lesson)
{
    layout l;
    fen_status st = open_layout(p, p->text ? p->text : "", p->len, problems, &l);
    ret_lesson->rule[0] = ret_lesson->of_case[0] = '\0';
    for (uint32_t i = 0; !st && l.rules && l.rules->type == FEN_NODE_MAP && i < l.rules->count; i++) {
        const fen_pair *rule = &l.rules->pairs[i];
        const fen_node *lesson = rule->value->type == FEN_NODE_MAP ? fen_node_get(rule->value, "lesson") : NULL;
        const fen_node *of = lesson && lesson->type == FEN_NODE_MAP ? fen_node_get(lesson, "case") : NULL;
        if (!of || of->type != FEN_NODE_TEXT)
            continue;
        snprintf(ret_lesson->rule, sizeof ret_lesson->rule, "%s", rule->key->text);
        snprintf(ret_lesson->of_case, sizeof ret_lesson->of_case, "%s", of->text);
    }
    shut(&l);
    return st;
}
