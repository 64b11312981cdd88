/* batch_judge.c -- a unit of any format to cases, a case to a result, its problems to text.
 * What fails on the way is the unit's own affair and becomes a result too.
 */
#include "batch_judge.h"

#include <stdio.h>
#include <string.h>

#include "case_yaml.h"
#include "feed_cut.h"
#include "grade.h"
#include "text/json.h"
#include "util/alloc.h"
#include "util/limits.h"
#include "util/problem_text.h"

struct fen_worker {
    const fen_batch *b;
    fen_session *session, *user; /* user: the simulated one; NULL if nothing is graded */
    fen_session *other;          /* under the other base, if there is one */
    fen_problems *problems, *other_problems;
    fen_str scratch;             /* a case's id, an error's line */
    fen_tree *tree;              /* of the unit at hand, if it is YAML */
    fen_arena *nodes;            /* the same of any other */
    fen_arena *cases;            /* the case at hand, also as the other base reads it */
    /* of the piece at hand */
    fen_batch_task *task;
    const fen_unit *unit;
    size_t problems_seen;        /* of the unit's cases before this one */
};

fen_status fen_worker_new(const fen_batch *b, fen_worker **ret_worker)
{
    fen_worker *w = fen_calloc(1, sizeof *w);
    if (!w)
        return FEN_ENOMEM;
    w->b = b;
    fen_str_init(&w->scratch, FEN_SCALAR_MAX);
    fen_status st = fen_problems_new(&w->problems);
    if (!st)
        st = fen_tree_new(&w->tree);
    if (!st && (!(w->nodes = fen_arena_new()) || !(w->cases = fen_arena_new())))
        st = FEN_ENOMEM;
    if (!st)
        st = fen_session_new(b->base, b->today, &w->session);
    if (!st && b->grade)
        st = fen_session_new(b->base, b->today, &w->user);
    if (!st && b->other)
        st = fen_session_new(b->other, b->today, &w->other);
    if (!st && b->other)
        st = fen_problems_new(&w->other_problems);
    if (st) {
        fen_worker_free(w);
        return st;
    }
    *ret_worker = w;
    return FEN_OK;
}

void fen_worker_free(fen_worker *w)
{
    if (!w)
        return;
    fen_session_free(w->session);
    fen_session_free(w->user);
    fen_session_free(w->other);
    fen_problems_free(w->problems);
    fen_problems_free(w->other_problems);
    fen_str_free(&w->scratch);
    fen_tree_free(w->tree);
    fen_arena_free(w->nodes);
    fen_arena_free(w->cases);
    fen_free(w);
}

fen_status fen_problems_flush(fen_problems **problems, fen_str *out)
{
    if (!fen_problems_count(*problems))
        return FEN_OK;
    fen_problems_sort(*problems);
    for (size_t i = 0; i < fen_problems_count(*problems); i++)
        fen_problem_write(out, *problems, fen_problems_at(*problems, i));
    fen_problems *fresh;
    fen_status st = fen_problems_status(*problems);
    if (!st)
        st = fen_problems_new(&fresh);
    if (st)
        return st;
    fen_problems_free(*problems);
    *problems = fresh;
    return fen_str_status(out);
}

/* -- results ------------------------------------------------------------------ */

static fen_status put_result(fen_worker *w, fen_judged *j, fen_mark mark)
{
    fen_batch_task *t = w->task;
    if (w->b->judge)
        w->b->judge(w->b->ctx, j, &t->out);
    mark.out_end = t->out.len;
    return FEN_VEC_PUSH(&t->marks, mark) ? fen_str_status(&t->out) : FEN_ENOMEM;
}

/* "plants.yaml:14:9: 'tapp' is no answer; did you mean 'tap'" */
static void write_error(fen_worker *w)
{
    fen_str *s = &w->scratch;
    for (size_t i = w->problems_seen; i < fen_problems_count(w->problems); i++) {
        const fen_problem *p = fen_problems_at(w->problems, i);
        if (p->severity != FEN_ERROR)
            continue;
        fen_str_printf(s, "%s:%u:%u: %s", fen_problems_path(w->problems, p->place.file), (unsigned)p->place.line,
                       (unsigned)p->place.column, p->text);
        if (p->right)
            fen_str_printf(s, "; %s", p->right);
        return;
    }
    fen_str_puts(s, "it could not be read");
}

/* ID NULL: named after its file and line. */
static fen_status put_broken(fen_worker *w, const char *id, uint32_t line)
{
    fen_str *s = &w->scratch;
    fen_str_clear(s);
    if (id)
        fen_str_printf(s, "%.*s", (int)FEN_LINE_MAX / 4, id);
    else
        fen_str_printf(s, "%s:%u", w->task->piece.file->stem, (unsigned)line);
    fen_str_putc(s, '\0');
    const size_t error_at = s->len;
    write_error(w);
    if (fen_str_status(s))
        return FEN_ENOMEM;
    fen_judged j = { .id = s->at, .error = s->at + error_at };
    return put_result(w, &j, (fen_mark){ .broken = true, .cause = FEN_NONE });
}

/* The whole unit cannot be read: the case is named after its first line. */
static fen_status put_broken_unit(fen_worker *w)
{
    const uint32_t lead = fen_cut_lead(w->task->piece.text.at + w->unit->at, w->unit->len);
    return put_broken(w, NULL, w->unit->lines_before + lead + 1);
}

static void answer_last(const fen_case *c, fen_session *s)
{
    fen_session_clear(s);
    fen_session_set_today(s, c->visits[c->n_visits - 1].date);
    fen_case_answer(c, c->n_visits - 1, s);
}

/* OTHER: the same under the other base, or NULL. */
static fen_status judge(fen_worker *w, const fen_case *c, const fen_case *other)
{
    answer_last(c, w->session);
    fen_judged j = { .id = c->id, .c = c, .session = w->session, .settled = fen_case_settled(c), .other_c = other };
    if (other) {
        answer_last(other, w->other);
        j.other = w->other;
        j.other_settled = fen_case_settled(other);
        if (w->b->ask)
            fen_session_next_or_stop(w->other, &j.other_question);
    }
    const fen_verdict *v = fen_session_verdict(w->session);
    fen_mark mark = { .urgency = v->urgency, .cause = v->ranking.count ? v->ranking.at[0] : FEN_NONE,
                      .blank = v->blank && !v->urgency };
    if (w->b->ask)
        fen_session_next_or_stop(w->session, &j.question);
    if (w->b->grade)
        fen_grade_case(c, j.settled, w->session, w->user, &mark.grade);
    return put_result(w, &j, mark);
}

/* -- reading ------------------------------------------------------------------- */

static const char *id_of_broken(const fen_node *node)
{
    const fen_node *id = fen_node_get(node, "case");
    return id && id->type == FEN_NODE_TEXT && id->len ? id->text : NULL;
}

/* The same case under the other base. That it cannot be read there is a result, told by
 * whoever asked for it: *RET_READ. */
static fen_status read_other_way(fen_worker *w, const fen_source *src, const fen_node *node, const char *name, fen_case *ret,
                                 bool *ret_read)
{
    *ret_read = false;
    if (!w->b->other)
        return FEN_OK;
    const fen_status st = fen_case_read_in(w->cases, w->b->other, src, node, name, w->b->today, w->other_problems, ret);
    *ret_read = !st;
    if (!fen_problems_count(w->other_problems))
        return st;
    fen_problems_free(w->other_problems);
    w->other_problems = NULL;
    const fen_status fresh = fen_problems_new(&w->other_problems);
    return fresh ? fresh : st == FEN_EINPUT ? FEN_OK : st;
}

static fen_status take_case(fen_worker *w, const fen_source *src, const fen_node *node)
{
    const fen_unit *u = w->unit;
    char name[112];
    fen_case c, other;
    bool has_other;
    const char *stem = w->task->piece.file->stem;
    if (u->state == FEN_UNIT_ONLY)
        snprintf(name, sizeof name, "%.80s", stem);
    else
        snprintf(name, sizeof name, "%.64s:%u", stem, (unsigned)node->place.line);
    w->problems_seen = fen_problems_count(w->problems);
    fen_arena_clear(w->cases);
    fen_status st = fen_case_read_in(w->cases, w->b->base, src, node, name, w->b->today, w->problems, &c);
    if (st == FEN_EINPUT)
        return put_broken(w, id_of_broken(node), node->place.line);
    if (!st)
        st = read_other_way(w, src, node, name, &other, &has_other);
    return st ? st : judge(w, &c, has_other ? &other : NULL);
}

/* A document is a case, or a list of them; one that is empty is nothing. */
static fen_status take_root(fen_worker *w, const fen_source *src, const fen_node *root)
{
    fen_status st = FEN_OK;
    if (root->type == FEN_NODE_MAP)
        return root->count || w->task->piece.file->input != FEN_INPUT_YAML ? take_case(w, src, root) : FEN_OK;
    if (root->type == FEN_NODE_TEXT)
        return take_case(w, src, root);
    for (size_t i = 0; !st && i < root->count; i++)
        st = take_case(w, src, root->items[i]);
    return st;
}

static fen_status read_yaml(fen_worker *w, const fen_source *src)
{
    const fen_status st = fen_tree_read(w->tree, src, w->problems);
    if (st)
        return st == FEN_EINPUT ? put_broken_unit(w) : st;
    return take_root(w, src, fen_tree_root(w->tree));
}

static fen_status read_other(fen_worker *w, const fen_source *src)
{
    const fen_node *root = NULL;
    fen_arena_clear(w->nodes);
    const fen_status st = w->task->piece.file->input == FEN_INPUT_CSV
                              ? fen_csv_case(w->task->head, src, w->nodes, w->problems, &root)
                              : fen_json_read(src, w->nodes, w->problems, &root);
    if (st)
        return st == FEN_EINPUT ? put_broken_unit(w) : st;
    return take_root(w, src, root);
}

/* A list of YAML in brackets cannot be cut. */
static bool is_bracketed(const fen_worker *w)
{
    return w->task->piece.file->input == FEN_INPUT_YAML && w->unit->len && w->task->piece.text.at[w->unit->at] == '[';
}

static void complain_of_unit(fen_worker *w, const fen_source *src)
{
    switch (w->unit->state) {
    case FEN_UNIT_STRAY: fen_csv_complain(src, FEN_CSV_STRAY, w->unit->bad, w->problems); break;
    case FEN_UNIT_AFTER: fen_csv_complain(src, FEN_CSV_AFTER, w->unit->bad, w->problems); break;
    case FEN_UNIT_OPEN: fen_csv_complain(src, FEN_CSV_OPEN, w->unit->bad, w->problems); break;
    case FEN_UNIT_UNENDED:
        fen_source_problem(src, w->problems, FEN_ERROR, FEN_CODE_SYNTAX, fen_source_place(src, 0),
                           "see whether the file is whole", "the list of cases has no ']' at its end");
        break;
    case FEN_UNIT_TOO_LONG:
    case FEN_UNIT_TEXT:
    case FEN_UNIT_ONLY:
        fen_source_problem(src, w->problems, FEN_ERROR, FEN_CODE_TOO_LARGE, fen_source_place(src, 0),
                           is_bracketed(w) ? "begin each case with '- ', or write it as a line of JSON" : "split it into several cases",
                           "the %s that begins here has more than %u bytes", is_bracketed(w) ? "list" : "case", FEN_CASE_MAX);
    }
}

static fen_status take_unit(fen_worker *w, const fen_unit *u)
{
    const fen_feed_file *file = w->task->piece.file;
    fen_source *src = NULL;
    const uint32_t first = w->task->marks.count;
    w->unit = u;
    w->problems_seen = 0;
    fen_status st = fen_source_piece(file->path, w->task->piece.text.at + u->at, u->len, u->lines_before, u->bytes_before,
                                     w->problems, &src);
    if (st == FEN_EINPUT)
        st = put_broken_unit(w);
    else if (!st && u->state != FEN_UNIT_TEXT && u->state != FEN_UNIT_ONLY) {
        complain_of_unit(w, src);
        st = put_broken_unit(w);
    } else if (!st)
        st = file->input == FEN_INPUT_YAML ? read_yaml(w, src) : read_other(w, src);
    fen_source_free(src);
    if (!st)
        st = fen_problems_flush(&w->problems, &w->task->err);
    for (uint32_t i = first; i < w->task->marks.count; i++)
        w->task->marks.at[i].err_end = w->task->err.len;
    return st;
}

void fen_worker_do(fen_worker *w, fen_batch_task *task)
{
    const fen_feed_file *file = task->piece.file;
    w->task = task;
    task->status = FEN_OK;
    if (file->input == FEN_INPUT_CSV && !task->head)
        return;
    for (uint32_t i = 0; !task->status && i < task->piece.units.count; i++)
        task->status = take_unit(w, &task->piece.units.at[i]);
}
