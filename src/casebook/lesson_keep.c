/* lesson_keep.c -- what was learnt goes into files, and out of them.
 *
 * Keeping writes the case first, the rule second; taking back removes the case first, the rule
 * second. Either way, what a kill leaves between the two is whole and loads, and the same
 * command again finishes it: a case that was put there for a rule names it (`lesson`), and
 * the rule, while it is there, is the last of its pack.
 *
 * Both files are locked, and are as they were when the lesson was worked out, or nothing is
 * written: what was shown to the grower is what is kept.
 */
#include <errno.h>
#include <stdio.h>
#include <string.h>

#include "fenmend/vet.h"
#include "lesson_own.h"
#include "util/file.h"
#include "util/limits.h"
#include "util/lock.h"

/* ---- locks --------------------------------------------------------------------------------------- */

typedef struct locks {
    fen_lock store, pack;
} locks;

static fen_status lock_one(const char *path, fen_problems *problems, fen_lock *lock)
{
    const fen_status st = fen_lock_take(path, FEN_LOCK_WAIT, lock);
    return st == FEN_EIO && errno == EWOULDBLOCK ? fen_store_busy(path, problems) : st;
}

/* Always in this order, so that two cannot wait for each other. */
static fen_status lock_both(const fen_lesson_setup *set, fen_problems *problems, locks *k)
{
    const fen_status st = lock_one(set->store, problems, &k->store);
    return st ? st : lock_one(set->pack, problems, &k->pack);
}

static void unlock(locks *k)
{
    fen_lock_give(&k->pack);
    fen_lock_give(&k->store);
}

/* ---- keeping ---------------------------------------------------------------------------------------- */

static fen_status unchanged(const char *path, const char *text, size_t len, fen_problems *problems)
{
    char *now = NULL;
    size_t now_len = 0;
    fen_place place = { 0, 0, 0, 1 };
    fen_status st = fen_file_read(path, FEN_PACK_MAX, &now, &now_len);
    if (st == FEN_EIO && errno == ENOENT)
        st = FEN_OK;
    const bool same = !st && !now == !text && now_len == len && (!len || memcmp(now, text, len) == 0);
    fen_free(now);
    if (st || same)
        return st;
    st = fen_problems_file(problems, path, &place.file);
    if (!st)
        fen_problems_add(problems, FEN_ERROR, FEN_CODE_BUSY, place, NULL, "ask for the lesson again", "the file has changed meanwhile");
    return st ? st : FEN_EINPUT;
}

/* The rule by which the case is marked: the one that it is put there for. One that was
 * there on its own account stays when the lesson is taken back, and one that was put there by a
 * kept lesson stays with that. */
static const char *mark_of(const fen_lesson *l, size_t i)
{
    const char *before = l->self == UINT32_MAX ? NULL : l->store.cases.at[l->self].c->lesson;
    if (before && fen_base_find_rule(l->set.base, before) != FEN_NONE)
        return before;
    return i != FEN_LESSON_NONE && (l->self == UINT32_MAX || before) ? l->rule : NULL;
}

static fen_status write_both(fen_lesson *l, const fen_case *c, const fen_str *pack, fen_problems *problems, fen_settled_put *ret_put)
{
    fen_str text;
    fen_settled_put put;
    fen_str_init(&text, (size_t)FEN_PACK_MAX + FEN_CASE_MAX);
    fen_status st = fen_store_put(&l->store, l->set.store, c, l->set.replace, l->set.today, problems, &put, &text);
    if (!st && text.len)
        st = fen_file_write(l->set.store, text.at, text.len, 0666);
    if (!st)
        *ret_put = put;
    if (!st && pack->len)
        st = fen_file_write(l->set.pack, pack->at, pack->len, 0666);
    const int error = errno;
    fen_str_free(&text);
    errno = error;
    return st;
}

fen_status fen_lesson_keep(fen_lesson *l, size_t i, fen_problems *problems, fen_settled_put *ret_put)
{
    locks k = { FEN_LOCK_NONE, FEN_LOCK_NONE };
    fen_case *c = NULL;
    fen_str pack;
    fen_str_init(&pack, (size_t)FEN_PACK_MAX + FEN_SCALAR_MAX * 8);
    fen_status st = fen_case_settle(l->set.c, FEN_NONE, mark_of(l, i), &c);
    if (!st && i != FEN_LESSON_NONE)
        st = fen_own_with(&l->own, l->drafts.at[i].shown.yaml, problems, &pack);
    if (!st)
        st = lock_both(&l->set, problems, &k);
    if (!st)
        st = unchanged(l->set.store, l->store.text, l->store.len, problems);
    if (!st && i != FEN_LESSON_NONE)
        st = unchanged(l->set.pack, l->own.text, l->own.len, problems);
    if (!st)
        st = write_both(l, c, &pack, problems, ret_put);
    unlock(&k);
    const int error = errno;
    fen_case_free(c);
    fen_str_free(&pack);
    errno = error;
    return st;
}

/* ---- taking back --------------------------------------------------------------------------------------- */

typedef struct undoing {
    const fen_lesson_setup *set;
    fen_store store;
    fen_own_pack own;
    fen_own_lesson last;
    const fen_stored *stored; /* put there for the lesson, or NULL */
    fen_str store_text, pack_text;
} undoing;

static void find_stored(undoing *u)
{
    for (uint32_t i = 0; i < u->store.cases.count; i++)
        if (u->store.cases.at[i].c->lesson && strcmp(u->store.cases.at[i].c->lesson, u->last.rule) == 0 && u->store.cases.at[i].alone)
            u->stored = &u->store.cases.at[i];
}

/* Other rules may have been written since that need this one. */
static fen_status still_loads(const undoing *u, fen_problems *problems)
{
    fen_base *base = NULL;
    const fen_pack_text edited = { u->set->pack, u->pack_text.at, u->pack_text.len };
    const fen_status st = fen_vet_edited(u->set->packs, u->set->n_packs, &edited, problems, &base);
    fen_base_free(base);
    return st;
}

static fen_status plan(undoing *u, fen_problems *problems)
{
    fen_status st = fen_own_read(u->set->pack, problems, &u->own);
    if (!st)
        st = fen_own_last(&u->own, problems, &u->last);
    if (st || !u->last.rule[0])
        return st;
    st = fen_own_without(&u->own, u->last.rule, problems, &u->pack_text);
    if (!st)
        st = still_loads(u, problems);
    if (!st)
        st = fen_store_read(u->set->base, u->set->store, u->set->today, problems, &u->store);
    if (st)
        return st;
    find_stored(u);
    if (!u->stored)
        return FEN_OK;
    st = fen_store_without(&u->store, u->stored, &u->store_text);
    return st ? st : fen_store_check(&u->store, u->set->store, &u->store_text, u->store.cases.count - 1, u->set->today, problems);
}

/* An empty text is a file that may go. */
static fen_status put_back(const char *path, const char *text, size_t len, bool *ret_gone)
{
    *ret_gone = !len;
    return len ? fen_file_write(path, text, len, 0666) : fen_file_remove(path);
}

static fen_status carry_out(undoing *u, fen_lesson_undone *ret)
{
    const bool nothing_left = u->stored && u->store.cases.count == 1 && strcmp(u->store_text.at, FEN_STORE_HEAD) == 0;
    fen_status st = FEN_OK;
    if (u->stored)
        st = put_back(u->set->store, u->store_text.at, nothing_left ? 0 : u->store_text.len, &ret->store_gone);
    if (st)
        return st;
    ret->case_out = u->stored != NULL;
    return put_back(u->set->pack, u->pack_text.at, u->pack_text.len, &ret->pack_gone);
}

fen_status fen_lesson_undo(const fen_lesson_setup *setup, fen_problems *problems, fen_lesson_undone *ret_undone)
{
    undoing u = { .set = setup };
    locks k = { FEN_LOCK_NONE, FEN_LOCK_NONE };
    fen_lesson_undone done = { .case_out = false };
    fen_str_init(&u.store_text, FEN_PACK_MAX);
    fen_str_init(&u.pack_text, FEN_PACK_MAX);
    fen_status st = lock_both(setup, problems, &k);
    if (!st)
        st = plan(&u, problems);
    if (!st && u.last.rule[0])
        st = carry_out(&u, &done);
    if (!st) {
        snprintf(done.rule, sizeof done.rule, "%s", u.last.rule);
        snprintf(done.of_case, sizeof done.of_case, "%s", u.last.of_case);
        *ret_undone = done;
    }
    unlock(&k);
    const int error = errno;
    fen_store_close(&u.store);
    fen_own_close(&u.own);
    fen_str_free(&u.store_text);
    fen_str_free(&u.pack_text);
    errno = error;
    return st;
}
