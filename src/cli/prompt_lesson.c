/* prompt_lesson.c -- the word `lesson`: the case at hand, as it stands, to the dialogue about
 * what it teaches.
 */
#include <errno.h>
#include <string.h>

#include "names.h"
#include "prompt_keep.h"
#include "prompt_state.h"
#include "util/limits.h"

/* What was typed, or what is known; false: refused, and said so. */
static bool find_cause(fen_prompt *p, const char *typed, fen_id *ret)
{
    char err[FEN_NAMES_ERROR];
    *ret = p->settled;
    if (*typed) {
        *ret = fen_base_find_cause(p->base, typed); /* also one that this kind cannot have: that is then the lesson */
        if (*ret != FEN_NONE || !fen_names_cause(p->s, typed, strlen(typed), ret, err))
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

static void teach(fen_prompt *p, const fen_case *c)
{
    const fen_lesson_places *places = p->set.places;
    const fen_teach t = {
        .lesson = {.base = p->base, .packs = places->packs, .n_packs = places->n_packs, .pack = places->pack, .store = places->store, .c = c,
                   .author = places->author, .today = places->today, .jobs = 1},
        .wish = FEN_WISH_ASK, .in = p->set.in, .out = p->set.out, .err = p->set.err, .look = p->look, .line = &p->line, .later = true,
    };
    bool kept, rule;
    fen_prompt_part(p);
    const fen_exit e = fen_teach_run(&t, &kept, &rule);
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
    if (!has_places(p) || !find_cause(p, typed, &cause))
        return;
    if (p->set.follow && p->undo.count <= p->kept) { /* what was taken over is no look at the plant */
        fen_prompt_refuse(p, "nothing is told at this visit yet, so there is nothing to learn from; 'fenmend lesson FILE' learns from the last one");
        return;
    }
    if (p->learnt) { /* it would be judged by rules that have changed since */
        fen_prompt_refuse(p, "a rule was learnt since the rules were loaded; 'keep FILE', leave, and write 'fenmend lesson FILE'");
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
    else
        teach(p, c);
    fen_case_free(c);
    fen_str_free(&id);
}
