#include "vet.h"

#include <stdio.h>

#include "util/str.h"

/* Set the source to the item that declared thing I of PART. */
static void go_to(fen_loader *l, fen_part part, uint32_t i)
{
    l->source = l->files.at[l->part[part].items.at[i].file].source;
}

/* "'a' waits for 'b' waits for 'a'": every rule of the cycle, the first again. */
static void tell_rules(fen_loader *l, const fen_list rules)
{
    fen_str s;
    fen_str_init(&s, 4096);
    for (uint32_t i = 0; i <= rules.count; i++)
        fen_str_printf(&s, "%s'%s'", i ? " waits for " : "", l->draft->rules.at[rules.at[i % rules.count]].id);
    const fen_status st = fen_str_status(&s);
    go_to(l, FEN_PART_RULES, rules.at[0]);
    fen_loader_error(l, FEN_CODE_CYCLE, l->draft->rules.at[rules.at[0]].place, "take out one 'over', 'none' or default among them",
                     "rules depend on their own absence: %s", st ? "the cycle is too long to show" : s.at);
    fen_str_free(&s);
}

void fen_vet_cycle(fen_loader *l, const fen_cycle *cycle)
{
    if (cycle->rules.count) {
        tell_rules(l, cycle->rules);
    } else if (cycle->too_many_strata) {
        fen_place nowhere = { 0, 0, 0, 1 };
        if (l->files.count)
            nowhere.file = l->files.at[0].source->file;
        fen_problems_add(l->problems, FEN_ERROR, FEN_CODE_TOO_LARGE, nowhere, NULL, "let fewer rules wait for each other",
                         "exceptions on exceptions go more than 1024 deep");
    } else if (cycle->overflow_cause != FEN_NONE) {
        const fen_cause *c = &l->draft->causes.at[cycle->overflow_cause];
        go_to(l, FEN_PART_CAUSES, cycle->overflow_cause);
        fen_loader_error(l, FEN_CODE_TOO_LARGE, c->place, "use fewer rules or smaller weights",
                         "all weights for '%s' together are too large to add up", c->id);
    }
}

void fen_vet_draft(fen_loader *l)
{
    (void)l;
}
