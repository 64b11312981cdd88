#include "places.h"

#include <string.h>
#include <unistd.h>

#include "paths.h"
#include "util/file.h"

bool fen_places_loaded(const char *const *packs, size_t n_packs, const char *pack)
{
    for (size_t i = 0; i < n_packs; i++) {
        char **names;
        size_t n;
        bool found = fen_file_same(packs[i], pack);
        if (!found && fen_file_is_folder(packs[i]) && !fen_file_list(packs[i], ".yaml", &names, &n)) {
            for (size_t k = 0; k < n; k++)
                found |= fen_file_same(names[k], pack);
            fen_file_names_free(names, n);
        }
        if (found)
            return true;
    }
    return false;
}

static fen_exit list_packs(const fen_run *run, const char *into, fen_places *p)
{
    const bool there = into && access(into, F_OK) == 0;
    const fen_exit e = fen_load_list(run, there ? &into : NULL, there ? 1 : 0, &p->packs);
    if (!e && there && fen_places_loaded((const char *const *)p->packs.at, p->packs.count - 1, into))
        fen_free(p->packs.at[--p->packs.count]);
    return e;
}

/* A rule names rules and findings: a pack that every command loads must not need packs
 * that are loaded only now and then. */
static void find_pack(const fen_run *run, const char *into, fen_places *p)
{
    const bool usual = !run->common->only_rules && !run->common->rules.count;
    if (into)
        fen_str_puts(&p->pack, into);
    else if (!usual)
        p->shown.why_not = "a rule learnt under '--rules' may not fit your other rules; name a pack for it with '--into=FILE'";
    else if (!fen_paths_own_pack(&p->pack))
        p->shown.why_not = "there is no home folder for your own rules; name a pack for them with '--into=FILE'";
    p->shown.pack = p->shown.why_not ? NULL : p->pack.at;
}

static void find_store(const char *kept_in, fen_places *p)
{
    if (kept_in)
        fen_str_puts(&p->store, kept_in);
    if (kept_in || fen_paths_settled(&p->store))
        p->shown.store = p->store.at;
    else if (!p->shown.why_not)
        p->shown.why_not = "there is no home folder for settled cases; name a file for them with '--kept-in=FILE'";
}

fen_exit fen_places_find(const fen_run *run, const char *into, const char *kept_in, fen_places *ret_places)
{
    fen_places *p = ret_places;
    *p = (fen_places){ .shown = { .today = fen_command_today(run), .author = fen_command_author() } };
    fen_str_init(&p->pack, 1u << 16);
    fen_str_init(&p->store, 1u << 16);
    find_pack(run, into, p);
    find_store(kept_in, p);
    fen_exit e = list_packs(run, into, p);
    if (!e && (fen_str_status(&p->pack) || fen_str_status(&p->store))) {
        fen_message_status(run->err, "fenmend", FEN_ENOMEM, 0);
        e = FEN_EXIT_MACHINE;
    }
    p->shown.packs = (const char *const *)p->packs.at;
    p->shown.n_packs = p->packs.count;
    return e;
}

void fen_places_free(fen_places *p)
{
    fen_load_paths_free(&p->packs);
    fen_str_free(&p->pack);
    fen_str_free(&p->store);
}
