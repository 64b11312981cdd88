/* load.c -- from paths to a rule base: read every file, declare every name, then
 * read everything, so that neither the order of files nor of lines matters.
 */
#include <errno.h>
#include <string.h>

#include "fenmend/vet.h"
#include "loader.h"
#include "shape.h"
#include "util/file.h"
#include "util/limits.h"
#include "util/near.h"
#include "vet.h"
#include "vet_deep.h"

/* ---- files ---- */

static void file_problem(fen_loader *l, const char *path, fen_code code, const char *right, const char *wrong, const char *detail)
{
    fen_place place = { 0, 0, 0, 1 };
    if (fen_problems_file(l->problems, path, &place.file))
        fen_loader_nomem(l);
    else
        fen_problems_add(l->problems, FEN_ERROR, code, place, NULL, right, "%s%s", wrong, detail);
}

static const char *last_part(const char *path)
{
    const char *slash = strrchr(path, '/');
    return slash ? slash + 1 : path;
}

/* A file named twice would give a message for every name in it. One that is met again on
 * another way (the folder of the shipped packs is named from within it) is the same pack. */
static bool is_here(fen_loader *l, const char *path)
{
    for (uint32_t i = 0; i < l->files.count; i++) {
        const char *here = l->files.at[i].source->path;
        if (strcmp(here, path) == 0) {
            file_problem(l, path, FEN_CODE_DUPLICATE, "name it once", "the pack is named twice", "");
            return true;
        }
        if (strcmp(last_part(here), last_part(path)) == 0 && fen_file_same(here, path))
            return true;
    }
    return false;
}

/* From the disk, or the text that is to be tried in its place. */
static fen_status open_source(fen_loader *l, const char *path, fen_source **ret)
{
    if (!l->edited || !fen_file_same(path, l->edited->path))
        return fen_source_open(path, FEN_PACK_MAX, l->problems, ret);
    l->edited_is_in = true;
    return fen_source_text(path, l->edited->text, l->edited->len, l->problems, ret);
}

static void add_file(fen_loader *l, const char *path)
{
    fen_pack_file file = { NULL, NULL };
    if (is_here(l, path))
        return;
    fen_status st = open_source(l, path, &file.source);
    if (!st)
        st = fen_yaml_read(file.source, l->problems, &file.tree);
    if (st == FEN_ENOMEM)
        fen_loader_nomem(l);
    if (st || !FEN_VEC_PUSH(&l->files, file)) {
        fen_tree_free(file.tree);
        fen_source_free(file.source);
        if (!st)
            fen_loader_nomem(l);
    }
}

static void add_folder(fen_loader *l, const char *path)
{
    char **names;
    size_t n;
    const fen_status st = fen_file_list(path, ".yaml", &names, &n);
    if (st == FEN_ENOMEM) {
        fen_loader_nomem(l);
        return;
    }
    if (st) {
        file_problem(l, path, FEN_CODE_READ, NULL, "the folder cannot be read: ", strerror(errno));
        return;
    }
    if (n == 0)
        file_problem(l, path, FEN_CODE_READ, "name a folder with packs (*.yaml)", "the folder has no packs", "");
    for (size_t i = 0; i < n && !l->nomem; i++)
        add_file(l, names[i]);
    fen_file_names_free(names, n);
}

/* ---- sections ---- */

static const struct {
    const char *key;
    fen_part part;  /* FEN_PARTS: not a section of names */
} sections[] = {
    { "pack", FEN_PARTS },   { "about", FEN_PARTS },          { "settings", FEN_PARTS },
    { "kinds", FEN_PART_KINDS },       { "findings", FEN_PART_FINDINGS }, { "hazards", FEN_PART_HAZARDS },
    { "causes", FEN_PART_CAUSES },     { "rules", FEN_PART_RULES },       { "remedies", FEN_PART_REMEDIES },
    { "tasks", FEN_PART_TASKS },
};

static void unknown_section(fen_loader *l, const fen_node *key)
{
    char buf[FEN_SUGGEST_MAX];
    fen_near near;
    fen_near_begin(&near, key->text, key->len);
    for (size_t i = 0; i < FEN_COUNT(sections); i++)
        fen_near_offer(&near, sections[i].key);
    fen_loader_error(
        l, FEN_CODE_UNKNOWN_KEY, key->place,
        fen_loader_meant(near.name,
                         "its parts are 'settings', 'kinds', 'findings', 'hazards', 'causes', 'rules', 'remedies' and 'tasks'",
                         buf),
        "a pack has no part '%.*s'", FEN_QUOTE(key->text, key->len));
}

static void declare_section(fen_loader *l, uint32_t file, const fen_pair *pair)
{
    size_t i = 0;
    const char *text;
    while (i < FEN_COUNT(sections) && strcmp(sections[i].key, pair->key->text) != 0)
        i++;
    if (i == FEN_COUNT(sections))
        unknown_section(l, pair->key);
    else if (sections[i].part == FEN_PARTS && strcmp(sections[i].key, "settings") != 0)
        (void)fen_shape_text(l, pair->key, pair->value, &text);
    else if (pair->value->type != FEN_NODE_MAP && !fen_shape_empty(pair->value))
        fen_loader_error(l, FEN_CODE_SHAPE, pair->value->place, "write lines of 'name:' below it", "'%s' needs a map, but has %s",
                         pair->key->text, fen_shape_found(pair->value));
    else if (pair->value->type == FEN_NODE_MAP && sections[i].part != FEN_PARTS)
        fen_loader_declare(l, sections[i].part, file, pair->value, sections[i].key);
}

static void declare_file(fen_loader *l, uint32_t file)
{
    const fen_node *root = fen_tree_root(l->files.at[file].tree);
    l->source = l->files.at[file].source;
    if (root->type != FEN_NODE_MAP) {
        if (!fen_shape_empty(root))
            fen_loader_error(l, FEN_CODE_SHAPE, root->place, "begin with a line such as 'rules:'",
                             "a pack is a map, but this is %s", fen_shape_found(root));
        return;
    }
    for (size_t i = 0; i < root->count && !l->nomem; i++)
        declare_section(l, file, &root->pairs[i]);
}

static void read_all_settings(fen_loader *l)
{
    for (uint32_t i = 0; i < l->files.count; i++) {
        const fen_node *root = fen_tree_root(l->files.at[i].tree);
        const fen_node *settings = root->type == FEN_NODE_MAP ? fen_node_get(root, "settings") : NULL;
        l->source = l->files.at[i].source;
        if (settings && settings->type == FEN_NODE_MAP)
            fen_read_settings(l, settings);
    }
}

static void read_sections(fen_loader *l)
{
    static void (*const steps[])(fen_loader *) = {
        read_all_settings, fen_read_kinds,    fen_read_findings, fen_read_hazards,
        fen_read_causes,   fen_read_ask_when, fen_read_rules,    fen_read_remedies,
        fen_read_tasks,
    };
    for (size_t i = 0; i < FEN_COUNT(steps) && !l->nomem; i++)
        steps[i](l);
}

/* ---- the base ---- */

static bool prepare(fen_loader *l)
{
    l->draft = fen_draft_new();
    l->exprs = fen_intern_new();
    l->tests = fen_intern_new();
    l->sentences = fen_intern_new();
    bool ok = l->draft && l->exprs && l->tests && l->sentences;
    for (size_t i = 0; i < FEN_PARTS; i++)
        ok &= (l->part[i].table = fen_intern_new()) != NULL;
    return ok || fen_loader_nomem(l);
}

static fen_status state_of(const fen_loader *l, size_t errors_before)
{
    if (l->nomem || fen_problems_status(l->problems))
        return FEN_ENOMEM;
    return fen_problems_errors(l->problems) > errors_before ? FEN_EINPUT : FEN_OK;
}

static fen_status finish(fen_loader *l, fen_base **ret_base)
{
    fen_cycle cycle;
    fen_loader_fell_trees(l); /* their memory does for what is compiled now */
    const fen_status st = fen_draft_finish(l->draft, ret_base, &cycle);
    if (st == FEN_OK)
        l->draft = NULL;
    else if (st == FEN_EINPUT)
        fen_vet_cycle(l, &cycle);
    return st;
}

static fen_status judge(fen_loader *l, fen_base **base)
{
    const fen_status st = fen_vet_deep(l, *base);
    if (st) {
        fen_base_free(*base);
        *base = NULL;
    }
    return st;
}

static fen_status load(const char *const *paths, size_t n_paths, const fen_pack_text *edited, bool deep, fen_problems *problems,
                       fen_base **ret_base)
{
    fen_loader l = { .problems = problems, .edited = edited, .deep = deep };
    const size_t errors = fen_problems_errors(problems);
    bool ok = prepare(&l);
    for (size_t i = 0; ok && i < n_paths && !l.nomem; i++) {
        if (fen_file_is_folder(paths[i]))
            add_folder(&l, paths[i]);
        else
            add_file(&l, paths[i]);
    }
    if (ok && edited && !l.edited_is_in && !l.nomem)
        add_file(&l, edited->path);
    for (uint32_t i = 0; ok && i < l.files.count && !l.nomem; i++)
        declare_file(&l, i);
    if (ok && !l.nomem)
        read_sections(&l);
    fen_status st = state_of(&l, errors);
    if (st == FEN_OK) {
        fen_vet_draft(&l);
        st = state_of(&l, errors);
    }
    fen_base *base = NULL;
    if (st == FEN_OK)
        st = finish(&l, &base);
    if (st == FEN_OK && deep)
        st = judge(&l, &base);
    if (st == FEN_OK)
        *ret_base = base;
    if (fen_problems_status(problems) && st == FEN_EINPUT)
        st = FEN_ENOMEM;
    fen_problems_sort(problems);
    fen_loader_unload(&l);
    return st;
}

fen_status fen_base_load(const char *const *paths, size_t n_paths, fen_problems *problems, fen_base **ret_base)
{
    return load(paths, n_paths, NULL, false, problems, ret_base);
}

fen_status fen_vet(const char *const *paths, size_t n_paths, fen_problems *problems, fen_base **ret_base)
{
    return load(paths, n_paths, NULL, true, problems, ret_base);
}

fen_status fen_vet_edited(const char *const *paths, size_t n_paths, const fen_pack_text *edited, fen_problems *problems,
                          fen_base **ret_base)
{
    return load(paths, n_paths, edited, true, problems, ret_base);
}
