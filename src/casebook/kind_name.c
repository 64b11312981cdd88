#include "kind_name.h"

#include <string.h>

#include "util/near.h"
#include "util/vec.h"

enum { PARENTS_MAX = 8 };

typedef struct name_reader {
    const fen_base *base;
    fen_piece genus;   /* as written */
    bool short_genus;  /* "D." */
    fen_piece species[PARENTS_MAX];
    size_t n_species;
    bool many;         /* more than that */
} name_reader;

/* -- pieces ------------------------------------------------------------------------ */

static fen_piece first_word(fen_piece text)
{
    size_t n = 0;
    while (n < text.len && text.at[n] != ' ')
        n++;
    return (fen_piece){ text.at, n };
}

static fen_piece after(fen_piece text, size_t n)
{
    return fen_piece_trim((fen_piece){ text.at + n, text.len - n });
}

/* Bytes of the mark at the start of TEXT, of those in MARKS; 0: none. */
static size_t mark_at(fen_piece text, const char *const *marks, size_t n)
{
    for (size_t i = 0; i < n; i++) {
        const size_t len = strlen(marks[i]);
        if (text.len >= len && memcmp(text.at, marks[i], len) == 0)
            return len;
    }
    return 0;
}

/* -- what the rules call things ------------------------------------------------------ */

static fen_piece genus_of(const fen_kind *k)
{
    return k->latin ? first_word((fen_piece){ k->latin, strlen(k->latin) }) : (fen_piece){ "", 0 };
}

static bool is_capital(char c)
{
    return c >= 'A' && c <= 'Z';
}

/* Is NAME, of a kind with the genus OWN, "species" or "Genus species" for this name? */
static bool is_meant(const name_reader *r, fen_piece own, fen_piece name, fen_piece species)
{
    const fen_piece first = first_word(name);
    if (first.len < name.len && (is_capital(*first.at) || fen_piece_same(first, own))) {
        own = first;
        name = after(name, first.len);
    }
    const bool fits = r->short_genus ? own.len && fen_piece_same((fen_piece){ own.at, 1 }, r->genus) : fen_piece_same(own, r->genus);
    return fits && fen_piece_same(name, species);
}

/* "Drosera capensis, binata and the like": the list ends at the first "and". */
static bool is_in_latin(const name_reader *r, const fen_kind *k, fen_piece species)
{
    const char *end = k->latin ? strstr(k->latin, " and ") : NULL;
    fen_piece left = { k->latin ? k->latin : "", 0 }, own = genus_of(k);
    left.len = end ? (size_t)(end - left.at) : strlen(left.at);
    while (left.len) {
        size_t n = 0;
        while (n < left.len && left.at[n] != ',')
            n++;
        const fen_piece item = fen_piece_trim((fen_piece){ left.at, n });
        if (is_meant(r, own, item, species))
            return true;
        if (is_capital(*item.at))
            own = first_word(item);
        left = after(left, n < left.len ? n + 1 : n);
    }
    return false;
}

static bool is_among(const name_reader *r, const fen_kind *k, fen_texts texts, fen_piece species)
{
    for (uint32_t i = 0; i < texts.count; i++)
        if (is_meant(r, genus_of(k), (fen_piece){ texts.at[i], strlen(texts.at[i]) }, species))
            return true;
    return false;
}

static bool has_genus(const fen_kind *k, fen_piece genus)
{
    if (genus.len && fen_piece_same(genus_of(k), genus))
        return true;
    for (uint32_t i = 0; i < k->species.count; i++) {
        const fen_piece name = { k->species.at[i], strlen(k->species.at[i]) };
        if (genus.len && is_capital(*name.at) && fen_piece_same(first_word(name), genus))
            return true;
    }
    return false;
}

/* The one kind that has SPECIES, or FEN_NONE. */
static fen_id kind_of(const name_reader *r, fen_piece species)
{
    fen_id found = FEN_NONE;
    for (fen_id i = 0; i < fen_base_kinds(r->base); i++) {
        const fen_kind *k = fen_base_kind(r->base, i);
        if (!r->short_genus && !has_genus(k, r->genus))
            continue;
        if (!is_in_latin(r, k, species) && !is_among(r, k, k->species, species) && !is_among(r, k, k->called, species))
            continue;
        if (found != FEN_NONE)
            return FEN_NONE;
        found = i;
    }
    return found;
}

/* The kind that is the genus alone, or the only one that has it. */
static fen_id kind_of_genus(const fen_base *base, fen_piece genus)
{
    fen_id only = FEN_NONE;
    uint32_t n = 0;
    for (fen_id i = 0; i < fen_base_kinds(base); i++) {
        const fen_kind *k = fen_base_kind(base, i);
        if (k->latin && fen_piece_match(genus, k->latin) == FEN_MATCH_ALL)
            return i;
        if (has_genus(k, genus))
            only = i, n++;
    }
    return n == 1 ? only : FEN_NONE;
}

/* The one genus that begins with this letter; empty: none, or several. */
static fen_piece genus_by_letter(const fen_base *base, fen_piece letter)
{
    fen_piece found = { "", 0 };
    for (fen_id i = 0; i < fen_base_kinds(base); i++) {
        const fen_piece genus = genus_of(fen_base_kind(base, i));
        if (!genus.len || !fen_piece_same((fen_piece){ genus.at, 1 }, letter) || fen_piece_same(genus, found))
            continue;
        if (found.len)
            return (fen_piece){ "", 0 };
        found = genus;
    }
    return found;
}

/* "N. hamata x ventricosa": what N. stands for, by its letter or by the first parent that is known. */
static fen_piece full_genus(const name_reader *r)
{
    fen_piece genus = r->short_genus ? genus_by_letter(r->base, r->genus) : r->genus;
    for (size_t i = 0; i < r->n_species && !genus.len; i++) {
        const fen_id kind = kind_of(r, r->species[i]);
        if (kind != FEN_NONE)
            genus = genus_of(fen_base_kind(r->base, kind));
    }
    return genus;
}

static bool is_genus(const fen_base *base, fen_piece word)
{
    for (fen_id i = 0; i < fen_base_kinds(base); i++)
        if (has_genus(fen_base_kind(base, i), word))
            return true;
    return false;
}

static bool is_short_genus(fen_piece word)
{
    return word.len == 2 && word.at[1] == '.' && ((word.at[0] | 32) >= 'a' && (word.at[0] | 32) <= 'z');
}

/* -- what was written ------------------------------------------------------------------ */

static const char *const quotes[] = { "'", "\"", "\xe2\x80\x98", "\xe2\x80\x99", "\xe2\x80\x9c", "\xe2\x80\x9d" };

static void add_species(name_reader *r, fen_piece name)
{
    if (!name.len)
        return;
    if (r->n_species < PARENTS_MAX)
        r->species[r->n_species++] = name;
    else
        r->many = true;
}

/* A cultivar names the plant only where no species does: Nepenthes 'Ventrata'. */
static void take_cultivar(name_reader *r, fen_piece text)
{
    size_t n = 0;
    while (n < text.len && !mark_at((fen_piece){ text.at + n, text.len - n }, quotes, FEN_COUNT(quotes)))
        n++;
    if (!r->n_species)
        add_species(r, fen_piece_trim((fen_piece){ text.at, n }));
}

static fen_piece strip(fen_piece word)
{
    while (word.len && strchr("([", *word.at))
        word.at++, word.len--;
    while (word.len && strchr(")],;", word.at[word.len - 1]))
        word.len--;
    return word;
}

static void take_words(name_reader *r, fen_piece text)
{
    static const char *const crosses[] = { "x", "X", "\xc3\x97" }, *const cross_marks[] = { "\xc3\x97" };
    static const char *const below[] = { "ssp", "ssp.", "subsp", "subsp.", "var", "var.", "f.", "fo.", "forma" };
    static const char *const no_species[] = { "sp", "sp.", "spp", "spp.", "species", "hybrid", "hybrids", "seedling", "seedlings" };
    static const char *const hedges[] = { "cf", "cf.", "aff", "aff." }, *const cultivar[] = { "cv", "cv." };
    bool next = true; /* a species may stand here */
    for (fen_piece word; text.len; text = after(text, (size_t)(word.at + word.len - text.at))) {
        word = first_word(text);
        const size_t quote = mark_at(text, quotes, FEN_COUNT(quotes));
        if (quote || fen_piece_is_one_of(word, cultivar, FEN_COUNT(cultivar))) {
            take_cultivar(r, quote ? after(text, quote) : after(text, word.len));
            return;
        }
        fen_piece name = strip(word);
        const bool cross = fen_piece_is_one_of(name, crosses, FEN_COUNT(crosses));
        const size_t mark = cross ? 0 : mark_at(name, cross_marks, 1); /* "×moorei" */
        name = (fen_piece){ name.at + mark, name.len - mark };
        if (fen_piece_is_one_of(name, no_species, FEN_COUNT(no_species)) || fen_piece_is_one_of(name, below, FEN_COUNT(below)))
            next = false;
        else if (cross)
            next = true;
        else if (fen_piece_is_one_of(name, hedges, FEN_COUNT(hedges)) || is_short_genus(name) || fen_piece_same(name, r->genus))
            continue;
        else if (next || mark) {
            add_species(r, name);
            next = false;
        }
    }
}

static bool read_name(name_reader *r, fen_piece text)
{
    const fen_piece trimmed = fen_piece_trim(text);
    r->genus = first_word(trimmed);
    r->short_genus = is_short_genus(r->genus);
    if (!r->short_genus && !is_genus(r->base, r->genus))
        return false;
    const fen_piece rest = after(trimmed, r->genus.len);
    if (r->short_genus)
        r->genus.len = 1;
    take_words(r, rest);
    return !r->short_genus || r->n_species;
}

/* -- the whole --------------------------------------------------------------------------- */

static fen_id kind_of_all(const name_reader *r)
{
    fen_id found = FEN_NONE;
    for (size_t i = 0; i < r->n_species; i++) {
        const fen_id kind = kind_of(r, r->species[i]);
        if (kind == FEN_NONE || (found != FEN_NONE && kind != found))
            return FEN_NONE;
        found = kind;
    }
    return r->many ? FEN_NONE : found;
}

static void offer_all(fen_near *near, const name_reader *r, const fen_kind *k, fen_texts texts)
{
    for (uint32_t i = 0; i < texts.count; i++)
        if (fen_piece_same(genus_of(k), r->genus) && !strchr(texts.at[i], ' '))
            fen_near_offer(near, texts.at[i]);
}

/* Of a single species that is not known. */
static const char *nearest(const name_reader *r)
{
    fen_near near;
    if (r->n_species != 1)
        return NULL;
    fen_near_begin(&near, r->species[0].at, r->species[0].len);
    for (fen_id i = 0; i < fen_base_kinds(r->base); i++) {
        const fen_kind *k = fen_base_kind(r->base, i);
        offer_all(&near, r, k, k->species);
        offer_all(&near, r, k, k->called);
    }
    return near.name;
}

bool fen_kind_by_latin(const fen_base *base, fen_piece text, fen_kind_name *ret)
{
    name_reader r = { .base = base };
    fen_kind_name name = { .kind = FEN_NONE };
    if (!read_name(&r, text))
        return false;
    name.kind = kind_of_all(&r);
    if (name.kind == FEN_NONE) {
        r.genus = name.genus = full_genus(&r);
        name.kind = kind_of_genus(base, r.genus);
        name.loose = r.n_species && name.kind != FEN_NONE && fen_base_kind(base, name.kind)->group;
        name.near = name.loose ? nearest(&r) : NULL;
    }
    if (name.kind == FEN_NONE)
        return false;
    *ret = name;
    return true;
}
