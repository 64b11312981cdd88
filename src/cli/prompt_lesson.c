/* prompt_lesson.c -- the word `lesson`: the case at hand, as it stands, to the dialogue about
 * what it teaches.
 */
#include <errno.h>
#include <string.h>

#include "names.h"
#include "places.h"
#include "prompt_keep.h"
#include "prompt_state.h"
#include "util/alloc.h"
#include "util/limits.h"

/* What was typed, or what is known; false: refused, and said so. */
static bool find_cause(fen_prompt *p, const char *typed, fen_id *ret)
{
    char err[FEN_NAMES_ERROR];
    *ret = p->settled;
    if (*typed) {
        *ret = fen_base_find_cause(p->base, typed); /* also one that this kind cannot have: that is then the lesson */
        if (*ret != FEN_NONE || !fen_names_cause(p->s, typed, strlen(typed), NULL, ret, err))
            return true;
        fen_prompt_refuse(p, "%s", err);
        return false;
    }
    if (*ret != FEN_NONE || (p->set.earlier && fen_case_settled(p->set.earlier).count))
        return true;
    fen_prompt_refuse(p, "it is not known what it turned out to be; write 'lesson CAUSE'");
    return false;
}

static bool has_places(fen_prompt *p)
{
    if (p->set.places && p->set.places->pack && p->set.places->store)
        return true;
    fen_prompt_refuse(p, "%s", p->set.places && p->set.places->why_not ? p->set.places->why_not
                                                                         : "there is no place for rules of your own; 'fenmend lesson' takes '--into=FILE'");
    return false;
}

/* The rules and the case that a lesson is about. */
typedef struct lore {
    const char **packs; /* with the grower's own, which may not have been there when the prompt began */
    size_t n_packs;
    fen_base *base;
    fen_case *c;
} lore;

static void drop(lore *now)
{
    fen_case_free(now->c);
    fen_base_free(now->base);
    fen_free(now->packs);
}

static fen_status load_now(fen_prompt *p, const fen_case *c, fen_problems *problems, lore *now)
{
    const fen_lesson_places *places = p->set.places;
    now->packs = fen_calloc(places->n_packs + 1, sizeof *now->packs);
    if (!now->packs)
        return FEN_ENOMEM;
    for (; now->n_packs < places->n_packs; now->n_packs++)
        now->packs[now->n_packs] = places->packs[now->n_packs];
    if (!fen_places_loaded(places->packs, places->n_packs, places->pack))
        now->packs[now->n_packs++] = places->pack;
    const fen_status st = fen_base_load(now->packs, now->n_packs, problems, &now->base);
    return st ? st : fen_case_carry(p->base, c, now->base, problems, &now->c);
}

/* The prompt goes on by the rules that it began with: answers, questions and what was shown hang on
 * them. But what was learnt since must count, or the next lesson would be about a verdict that is mended. */
static bool find_lore(fen_prompt *p, const fen_case *c, lore *now)
{
    fen_problems *problems = NULL;
    fen_status st = fen_problems_new(&problems);
    if (!st)
        st = load_now(p, c, problems, now);
    const int error = errno;
    if (st == FEN_EINPUT)
        fen_prompt_problems(p, problems);
    else if (st)
        fen_prompt_fault(p, NULL, st, error);
    fen_problems_free(problems);
    return !st;
}

static void teach(fen_prompt *p, const fen_case *c, const lore *now)
{
    const fen_lesson_places *places = p->set.places;
    const fen_teach t = {
        .lesson = {.base = now->base ? now->base : p->base, .packs = now->base ? now->packs : places->packs,
                   .n_packs = now->base ? now->n_packs : places->n_packs, .pack = places->pack, .store = places->store,
                   .c = now->base ? now->c : c, .author = places->author, .today = places->today, .jobs = 1},
        .wish = FEN_WISH_ASK, .in = p->set.in, .out = p->set.out, .err = p->set.err, .look = p->look, .line = &p->line, .later = true,
    };
    bool kept, rule;
    fen_prompt_part(p);
    if (now->base)
        fen_prompt_tell(p, "Judged by the rules with what was learnt since they were loaded.");
    p->teaching = true;
    const fen_exit e = fen_teach_run(&t, &kept, &rule);
    p->teaching = false;
    p->learnt |= rule;
    if (kept)
        p->kept = p->undo.count;
    if (!p->set.in->terminal && e > FEN_EXIT_ATTENTION && p->exit < e)
        p->exit = e;
    p->fresh = false;
}

void fen_prompt_lesson(fen_prompt *p, const char *typed)
{
    fen_str id;
    fen_id cause;
    fen_case *c = NULL;
    lore now = {0};
    if (!has_places(p) || !find_cause(p, typed, &cause))
        return;
    if (p->set.follow && p->undo.count <= p->kept) { /* what was taken over is no look at the plant */
        fen_prompt_refuse(p, "nothing is told at this visit yet, so there is nothing to learn from; 'fenmend lesson FILE' learns from the last one");
        return;
    }
    if (!p->order.count) {
        fen_prompt_refuse(p, "nothing is told of this plant yet, so there is nothing to learn from; answer a question first");
        return;
    }
    p->settled = cause;
    fen_str_init(&id, FEN_LINE_MAX);
    fen_prompt_name(p, &id);
    fen_status st = fen_str_status(&id);
    if (!st)
        st = fen_prompt_case(p, id.at, &c);
    if (st)
        fen_prompt_fault(p, NULL, st, errno);
    else if (!p->learnt || find_lore(p, c, &now))
        teach(p, c, &now);
    drop(&now);
    fen_case_free(c);
    fen_str_free(&id);
}
