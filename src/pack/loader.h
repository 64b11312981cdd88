/* loader.h -- what the readers of a pack's sections share.
 *
 * Packs are read in two passes, so that order never matters: all names of all
 * files are declared, then everything is read and names become ids. An item's
 * place in its part is its id in the draft (findings: one higher, since finding
 * 0 is the kind of plant). A name that was declared badly is still declared, so
 * that one mistake gives one message; its item is `broken`, and what is said
 * about a broken item is not judged.
 *
 * Functions return false when the thing at hand cannot be used: the problem is
 * then in the list, or `nomem` is set, and the caller goes on with the next
 * thing (after `nomem` to no end, but safely).
 */
#ifndef FEN_LOADER_H
#define FEN_LOADER_H

#include "fenmend/base.h"
#include "model/draft.h"
#include "sentence.h"
#include "text/yaml.h"
#include "util/intern.h"
#include "util/near.h"
#include "util/vec.h"

typedef enum fen_part {
    FEN_PART_KINDS,
    FEN_PART_FINDINGS,
    FEN_PART_HAZARDS,
    FEN_PART_CAUSES,
    FEN_PART_RULES,
    FEN_PART_REMEDIES,
    FEN_PART_TASKS,
    FEN_PARTS
} fen_part;

typedef struct fen_item {
    const fen_node *key, *value;
    uint32_t file;  /* index into fen_loader.files */
    uint32_t stamp; /* the list that last named it, see fen_shape_names */
    bool broken;
} fen_item;

typedef struct fen_names {
    fen_intern *table;
    FEN_VEC(fen_item) items;     /* in order of declaration, doubles too */
    FEN_VEC(uint32_t) first;     /* by name id: the item that declared it first */
    bool full;                   /* over its limit, and told so */
} fen_names;

typedef struct fen_pack_file {
    fen_source *source;
    fen_tree *tree;
} fen_pack_file;

typedef struct fen_loader {
    fen_draft *draft;
    fen_problems *problems;
    FEN_VEC(fen_pack_file) files;
    fen_names part[FEN_PARTS];
    const fen_source *source;    /* of what is being read now */
    uint64_t kind_below[64];     /* by kind: itself and everything below, as bits */
    fen_sentence sentence;       /* scratch */
    FEN_VEC(fen_id) parts;       /* scratch: a stack of conditions */
    FEN_VEC(fen_effect) effects; /* scratch */
    FEN_VEC(uint32_t) cause_rule, hazard_rule, finding_rule; /* rule + 1 that last had an effect on it */
    fen_intern *exprs;           /* expressions already in the draft, as text */
    fen_intern *tests;           /* comparisons already in the draft, as text */
    FEN_VEC(fen_id) test_ids;    /* by id in `tests` */
    fen_intern *sentences;       /* conditions already read without a word, as text */
    FEN_VEC(fen_id) sentence_conds; /* by id in `sentences` */
    fen_intern *acts;            /* words of `does`, while remedies are read */
    uint32_t stamp;
    size_t offered;              /* names compared for suggestions so far */
    const char *meant;           /* the name that the last unknown one was surely meant to be, or NULL */
    bool doubled;                /* a name is declared twice: nobody knows which is meant by it */
    const struct fen_pack_text *edited; /* stands in place of what is in its file; or NULL */
    bool edited_is_in;
    bool deep;                   /* judge, not only load: for `vet` */
    bool nomem;
} fen_loader;

#define fen_loader_error(l, code, place, right, ...)                                                \
    fen_source_problem((l)->source, (l)->problems, FEN_ERROR, (code), (place), (right), __VA_ARGS__)
#define fen_loader_warn(l, code, place, right, ...)                                                 \
    fen_source_problem((l)->source, (l)->problems, FEN_WARNING, (code), (place), (right), __VA_ARGS__)

/* For "%.*s": a text out of a pack, cut to what a message can hold. */
#define FEN_QUOTE(text, len) fen_quote_len((text), (len)), (text)
int fen_quote_len(const char *text, size_t len);

/* Note that memory ran out; always false. */
bool fen_loader_nomem(fen_loader *l);

/* The item of NAME, or FEN_NONE. */
fen_id fen_loader_find(const fen_loader *l, fen_part part, const char *name, size_t len);
/* The finding (with "kind") of NAME, or FEN_NONE. */
fen_id fen_loader_find_finding(const fen_loader *l, const char *name, size_t len);
/* Was the declaration of this finding unusable? */
bool fen_loader_broken_finding(const fen_loader *l, fen_id finding);

/* "did you mean 'crown-feel'" into BUF, or OTHERWISE when nothing is near. */
#define FEN_SUGGEST_MAX 320
const char *fen_loader_suggest(fen_loader *l, fen_part part, const char *name, size_t len, const char *otherwise,
                               char buf[FEN_SUGGEST_MAX]);
const char *fen_loader_meant(const char *name, const char *otherwise, char buf[FEN_SUGGEST_MAX]);

/* Note what the name looked for by NEAR was surely meant to be, if anything; and to mend the
 * problem told last, put it there. */
void fen_loader_note_meant(fen_loader *l, const fen_near *near);
void fen_loader_mend_name(fen_loader *l, fen_place at);

/* "finding", "rule", ... */
const char *fen_part_noun(fen_part part);

/* Is TEXT a name as packs may have them? Else says so at NODE. */
bool fen_loader_name(fen_loader *l, const fen_node *node, const char *noun);

/* Declare every name of SECTION (a map of names), of the file FILE. */
void fen_loader_declare(fen_loader *l, fen_part part, uint32_t file, const fen_node *section, const char *title);
/* Free the trees: all is read. Items keep their file, and nothing else. */
void fen_loader_fell_trees(fen_loader *l);
void fen_loader_unload(fen_loader *l);

/* The sections, each once all names are declared; in this order. */
void fen_read_kinds(fen_loader *l);
void fen_read_findings(fen_loader *l);
void fen_read_hazards(fen_loader *l);
void fen_read_causes(fen_loader *l);
void fen_read_ask_when(fen_loader *l); /* conditions of findings, now that all are there */
void fen_read_rules(fen_loader *l);
void fen_read_remedies(fen_loader *l);
void fen_read_tasks(fen_loader *l);
void fen_read_settings(fen_loader *l, const fen_node *section);

/* Kinds KINDS and everything below, as bits; all of them for an empty list. */
uint64_t fen_loader_kinds(const fen_loader *l, fen_list kinds);

#endif
