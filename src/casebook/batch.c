/* batch.c -- the line on which pieces go from the reader to the workers and back.
 *
 * A ring of tasks. The caller's thread reads pieces into free tasks and hands on
 * finished ones, oldest first; workers take the oldest that nobody has. The ring's
 * size bounds what is in memory. With one job there is no thread and one task.
 */
#include "fenmend/batch.h"

#include <errno.h>
#include <pthread.h>
#include <string.h>

#include "batch_judge.h"
#include "util/alloc.h"
#include "util/limits.h"

#define RING_PER_JOB 4u /* pieces a worker: it never waits while another is slow with its own */
#define JOBS_MAX 256u

typedef struct line {
    const fen_batch *b;
    fen_feed *feed;
    fen_batch_task *ring;
    uint32_t size, jobs;
    /* counted for ever; a task's place is its number modulo size */
    uint64_t filled, taken, delivered;
    bool *done;              /* [size] */
    pthread_mutex_t lock;
    pthread_cond_t work, finished;
    bool closing;
    FEN_VEC(fen_csv_head *) heads; /* of all files so far */
    const fen_csv_head *head;      /* of the file at hand */
    fen_problems *problems;  /* of heads and files */
} line;

/* -- delivering ------------------------------------------------------------------ */

/* What is wrong with a file as a whole, and its name, stand before its cases. */
static bool hand_on(line *l, fen_batch_task *t)
{
    const fen_part part = {
        .path = t->piece.file->path,
        .out = t->out.at, .out_len = t->out.len,
        .err = t->err.at, .err_len = t->err.len,
        .marks = t->marks.at, .n_marks = t->marks.count,
        .bytes = t->piece.bytes,
        .unusable = t->piece.failed,
    };
    return l->b->deliver(l->b->ctx, &part);
}

/* -- filling --------------------------------------------------------------------- */

static void tell_unreadable(line *l, const fen_feed_file *file)
{
    uint32_t index;
    const char *why = file->error == EISDIR ? "this is a folder" : file->error == ENOENT ? "there is no such file"
                    : file->error == EACCES ? "it may not be read" : "reading failed";
    if (fen_problems_file(l->problems, file->path, &index))
        return;
    fen_problems_add(l->problems, FEN_ERROR, FEN_CODE_READ, (fen_place){ .file = index, .width = 1 }, NULL,
                     file->error == EISDIR ? "name the files in it" : NULL, "%s", why);
}

/* The first row of a table is read once, before any of its other rows. */
static fen_status read_head(line *l, fen_batch_task *t)
{
    fen_csv_head *head = NULL;
    l->head = NULL;
    if (t->piece.file->input != FEN_INPUT_CSV || !t->piece.file->header)
        return FEN_OK;
    const fen_status st = fen_csv_head_read(l->b->base, t->piece.file, l->problems, &head);
    if (st == FEN_EINPUT) {
        t->piece.failed = true;
        fen_feed_drop(l->feed);
        return FEN_OK;
    }
    if (st)
        return st;
    l->head = head;
    if (FEN_VEC_PUSH(&l->heads, head))
        return FEN_OK;
    fen_csv_head_free(head);
    return FEN_ENOMEM;
}

static fen_status fill(line *l, fen_batch_task *t, bool *ret_more)
{
    fen_str_clear(&t->out);
    fen_str_clear(&t->err);
    t->marks.count = 0;
    fen_status st = fen_feed_next(l->feed, &t->piece, ret_more);
    if (st || !*ret_more)
        return st;
    if (t->piece.first)
        st = read_head(l, t);
    t->head = l->head;
    if (t->piece.failed && t->piece.file->error)
        tell_unreadable(l, t->piece.file);
    return st ? st : fen_problems_flush(&l->problems, &t->err);
}

/* -- one job ---------------------------------------------------------------------- */

static fen_status run_alone(line *l)
{
    fen_worker *w;
    bool more = true;
    fen_status st = fen_worker_new(l->b, &w);
    if (st)
        return st;
    while (!st && more) {
        st = fill(l, l->ring, &more);
        if (st || !more)
            break;
        fen_worker_do(w, l->ring);
        st = l->ring->status;
        if (!st && !hand_on(l, l->ring))
            break;
    }
    fen_worker_free(w);
    return st;
}

/* -- several jobs ------------------------------------------------------------------ */

typedef struct hand {
    line *l;
    fen_worker *worker;
    pthread_t thread;
} hand;

static void *work(void *ctx)
{
    hand *h = ctx;
    line *l = h->l;
    pthread_mutex_lock(&l->lock);
    for (;;) {
        while (l->taken == l->filled && !l->closing)
            pthread_cond_wait(&l->work, &l->lock);
        if (l->closing)
            break;
        const uint32_t at = (uint32_t)(l->taken++ % l->size);
        pthread_mutex_unlock(&l->lock);
        fen_worker_do(h->worker, &l->ring[at]);
        pthread_mutex_lock(&l->lock);
        l->done[at] = true;
        pthread_cond_signal(&l->finished);
    }
    pthread_mutex_unlock(&l->lock);
    return NULL;
}

/* Put one more piece on the line. */
static fen_status put_on(line *l, bool *ret_more)
{
    const uint32_t at = (uint32_t)(l->filled % l->size);
    const fen_status st = fill(l, &l->ring[at], ret_more);
    if (st || !*ret_more)
        return st;
    pthread_mutex_lock(&l->lock);
    l->done[at] = false;
    l->filled++;
    pthread_cond_signal(&l->work);
    pthread_mutex_unlock(&l->lock);
    return FEN_OK;
}

/* Wait for the oldest piece and hand it on. */
static fen_status take_off(line *l, bool *ret_wanted)
{
    const uint32_t at = (uint32_t)(l->delivered % l->size);
    pthread_mutex_lock(&l->lock);
    while (!l->done[at])
        pthread_cond_wait(&l->finished, &l->lock);
    pthread_mutex_unlock(&l->lock);
    fen_batch_task *t = &l->ring[at];
    l->delivered++;
    if (!t->status)
        *ret_wanted = hand_on(l, t);
    return t->status;
}

/* A finished piece is handed on before another is read, and where there is nothing to
 * read yet it is waited for: who waits for results at the other end of a pipe shall not
 * wait for our input. */
static bool hand_on_first(line *l)
{
    if (l->delivered == l->filled)
        return false;
    if (fen_feed_waits(l->feed))
        return true;
    pthread_mutex_lock(&l->lock);
    const bool done = l->done[l->delivered % l->size];
    pthread_mutex_unlock(&l->lock);
    return done;
}

static fen_status run_line(line *l)
{
    fen_status st = FEN_OK;
    bool more = true, wanted = true;
    while (!st && wanted && (more || l->delivered < l->filled)) {
        const bool full = l->filled - l->delivered == l->size;
        if (!more || full || hand_on_first(l))
            st = take_off(l, &wanted);
        else
            st = put_on(l, &more);
    }
    return st;
}

static fen_status run_together(line *l)
{
    hand *hands = fen_calloc(l->jobs, sizeof *hands);
    uint32_t n = 0;
    fen_status st = hands ? FEN_OK : FEN_ENOMEM;
    for (; !st && n < l->jobs; n++) {
        hands[n].l = l;
        st = fen_worker_new(l->b, &hands[n].worker);
        if (!st && pthread_create(&hands[n].thread, NULL, work, &hands[n])) {
            fen_worker_free(hands[n].worker);
            st = n ? FEN_OK : FEN_ENOMEM; /* fewer hands do it too */
            break;
        }
        if (st)
            break;
    }
    if (!st)
        st = run_line(l);
    pthread_mutex_lock(&l->lock);
    l->closing = true;
    pthread_cond_broadcast(&l->work);
    pthread_mutex_unlock(&l->lock);
    for (uint32_t i = 0; i < n; i++) {
        pthread_join(hands[i].thread, NULL);
        fen_worker_free(hands[i].worker);
    }
    fen_free(hands);
    return st;
}

/* -- the door ----------------------------------------------------------------------- */

static fen_status make_ring(line *l)
{
    l->ring = fen_calloc(l->size, sizeof *l->ring);
    l->done = fen_calloc(l->size, sizeof *l->done);
    for (uint32_t i = 0; l->ring && i < l->size; i++) {
        fen_str_init(&l->ring[i].piece.text, (size_t)FEN_CASE_MAX * 2);
        fen_str_init(&l->ring[i].out, SIZE_MAX / 4);
        fen_str_init(&l->ring[i].err, SIZE_MAX / 4);
    }
    return l->ring && l->done ? FEN_OK : FEN_ENOMEM;
}

static void free_line(line *l)
{
    for (uint32_t i = 0; l->ring && i < l->size; i++) {
        fen_str_free(&l->ring[i].piece.text);
        FEN_VEC_FREE(&l->ring[i].piece.units);
        fen_str_free(&l->ring[i].out);
        fen_str_free(&l->ring[i].err);
        FEN_VEC_FREE(&l->ring[i].marks);
    }
    fen_free(l->ring);
    fen_free(l->done);
    for (uint32_t i = 0; i < l->heads.count; i++)
        fen_csv_head_free(l->heads.at[i]);
    FEN_VEC_FREE(&l->heads);
    fen_problems_free(l->problems);
    fen_feed_free(l->feed);
}

fen_status fen_batch_run(const fen_batch *b, const char *const *paths, size_t n_paths)
{
    line l = { .b = b, .jobs = b->jobs > JOBS_MAX ? JOBS_MAX : b->jobs };
    l.size = l.jobs > 1 ? l.jobs * RING_PER_JOB : 1;
    pthread_mutex_init(&l.lock, NULL);
    pthread_cond_init(&l.work, NULL);
    pthread_cond_init(&l.finished, NULL);
    fen_status st = make_ring(&l);
    if (!st)
        st = fen_problems_new(&l.problems);
    if (!st)
        st = fen_feed_new(paths, n_paths, b->input, &l.feed);
    if (!st)
        st = l.jobs > 1 ? run_together(&l) : run_alone(&l);
    free_line(&l);
    pthread_cond_destroy(&l.finished);
    pthread_cond_destroy(&l.work);
    pthread_mutex_destroy(&l.lock);
    return st;
}
