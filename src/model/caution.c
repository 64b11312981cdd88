#include "caution.h"

#include <string.h>

#include "util/vec.h"

static const struct {
    const char *name, *text;
} cautions[FEN_CAUTIONS] = {
    [FEN_CAUTION_DUST] = { "dust", "Dry perlite, vermiculite and peat give off dust that harms the lungs: wet them before handling, work "
                                   "outdoors or wear a dust mask, and follow the advice on the bag." },
    [FEN_CAUTION_MOSS] = { "moss", "Sphagnum moss and peat can carry the fungus behind rose gardener's disease, and bagged mixes can carry Legionella: "
                                   "wear gloves, cover cuts, breathe no dust, wash your hands, and see a doctor about a sore that does not heal." },
    [FEN_CAUTION_PESTICIDE] = { "pesticide", "Use only a product whose label names this plant or place and this pest, exactly as the label and local law say, "
                                             "with the protection it asks for; keep it from children, animals and open water, and leave what needs a licence to those who hold one." },
    [FEN_CAUTION_ALCOHOL] = { "alcohol", "Alcohol burns and its vapour catches fire: no flame, no smoking, no hot lamp near it, open a window, keep it off skin and eyes, "
                                         "and follow the label." },
    [FEN_CAUTION_SULPHUR] = { "sulphur", "Sulphur irritates eyes, skin and lungs and must not burn: gloves, glasses and a mask, only a product sold for plants, as its label and local law say." },
    [FEN_CAUTION_ELECTRICITY] = { "electricity", "Water and mains electricity kill: unplug before touching wet trays or lamps, use only fittings made for damp places on a circuit with "
                                                 "residual-current protection, and leave wiring to a licensed electrician." },
    [FEN_CAUTION_BLADES] = { "blades", "Cut away from yourself on a firm base, cap the blade afterwards, and let a doctor see any deep or dirty cut." },
    [FEN_CAUTION_LIFTING] = { "lifting", "A wet pot or a full tray is heavier than it looks: empty it first, lift with the legs, or get help." },
    [FEN_CAUTION_LAW] = { "law", "Collecting wild plants and moss, sending plants over borders and some pest controls are restricted: check local, national and CITES rules first." },
    [FEN_CAUTION_BLEACH] = { "bleach", "Bleach burns skin and eyes and gives off poison gas with acids or ammonia: never mix it, wear gloves and glasses, air the room, and follow the label." },
    [FEN_CAUTION_HEAT] = { "heat", "Boiling water, steam and hot ovens scald: use dry gloves and a stable surface, let everything cool, and keep children away." },
};

/* Words that call for a caution, in small letters. A word matches from its first
 * letter to its last; `open` ones also when more letters follow ("spray",
 * "sprayed"). They are the trade's words for what the hazards of the table are met
 * in; a step that touches none of these by name is left to its author. Common
 * practice, no source. */
static const struct {
    const char *word;
    fen_caution caution;
    bool open;
} words[] = {
    { "perlite", FEN_CAUTION_DUST, false }, { "vermiculite", FEN_CAUTION_DUST, false }, { "pumice", FEN_CAUTION_DUST, false },
    { "diatomite", FEN_CAUTION_DUST, false }, { "diatomaceous", FEN_CAUTION_DUST, false },
    { "dry peat", FEN_CAUTION_DUST, false }, { "peat dust", FEN_CAUTION_DUST, false }, { "dry mix", FEN_CAUTION_DUST, false },
    { "sphagnum", FEN_CAUTION_MOSS, false }, { "moss", FEN_CAUTION_MOSS, false }, { "mosses", FEN_CAUTION_MOSS, false },
    { "peat", FEN_CAUTION_MOSS, false }, { "spray", FEN_CAUTION_PESTICIDE, true },
    { "insecticid", FEN_CAUTION_PESTICIDE, true }, { "fungicid", FEN_CAUTION_PESTICIDE, true },
    { "miticid", FEN_CAUTION_PESTICIDE, true }, { "acaricid", FEN_CAUTION_PESTICIDE, true },
    { "pesticid", FEN_CAUTION_PESTICIDE, true }, { "herbicid", FEN_CAUTION_PESTICIDE, true },
    { "algaecid", FEN_CAUTION_PESTICIDE, true }, { "algicid", FEN_CAUTION_PESTICIDE, true },
    { "weedkiller", FEN_CAUTION_PESTICIDE, true }, { "weed killer", FEN_CAUTION_PESTICIDE, true },
    { "systemic", FEN_CAUTION_PESTICIDE, true }, { "neem", FEN_CAUTION_PESTICIDE, true },
    { "pyrethr", FEN_CAUTION_PESTICIDE, true }, { "spinosad", FEN_CAUTION_PESTICIDE, false },
    { "imidacloprid", FEN_CAUTION_PESTICIDE, false }, { "bti", FEN_CAUTION_PESTICIDE, false },
    { "horticultural oil", FEN_CAUTION_PESTICIDE, true }, { "iron phosphate", FEN_CAUTION_PESTICIDE, false },
    { "slug pellets", FEN_CAUTION_PESTICIDE, false }, { "bait", FEN_CAUTION_PESTICIDE, true },
    { "whose label", FEN_CAUTION_PESTICIDE, false }, { "alcohol", FEN_CAUTION_ALCOHOL, false },
    { "isopropyl", FEN_CAUTION_ALCOHOL, false }, { "ethanol", FEN_CAUTION_ALCOHOL, false },
    { "methylated spirit", FEN_CAUTION_ALCOHOL, true }, { "surgical spirit", FEN_CAUTION_ALCOHOL, true },
    { "white spirit", FEN_CAUTION_ALCOHOL, false }, { "acetone", FEN_CAUTION_ALCOHOL, false },
    { "sulphur", FEN_CAUTION_SULPHUR, true }, { "sulfur", FEN_CAUTION_SULPHUR, true },
    { "lamp", FEN_CAUTION_ELECTRICITY, false }, { "lamps", FEN_CAUTION_ELECTRICITY, false },
    { "grow light", FEN_CAUTION_ELECTRICITY, true }, { "led", FEN_CAUTION_ELECTRICITY, false },
    { "leds", FEN_CAUTION_ELECTRICITY, false }, { "fluorescent", FEN_CAUTION_ELECTRICITY, false },
    { "socket", FEN_CAUTION_ELECTRICITY, true }, { "plug it in", FEN_CAUTION_ELECTRICITY, false }, { "unplug", FEN_CAUTION_ELECTRICITY, true },
    { "timer", FEN_CAUTION_ELECTRICITY, true }, { "heating mat", FEN_CAUTION_ELECTRICITY, true },
    { "heat mat", FEN_CAUTION_ELECTRICITY, true }, { "heating cable", FEN_CAUTION_ELECTRICITY, true },
    { "heater", FEN_CAUTION_ELECTRICITY, true }, { "fan", FEN_CAUTION_ELECTRICITY, false },
    { "fans", FEN_CAUTION_ELECTRICITY, false }, { "pump", FEN_CAUTION_ELECTRICITY, false },
    { "pumps", FEN_CAUTION_ELECTRICITY, false }, { "humidifier", FEN_CAUTION_ELECTRICITY, true },
    { "fogger", FEN_CAUTION_ELECTRICITY, true }, { "extension lead", FEN_CAUTION_ELECTRICITY, true },
    { "mains", FEN_CAUTION_ELECTRICITY, false }, { "knife", FEN_CAUTION_BLADES, false },
    { "knives", FEN_CAUTION_BLADES, false }, { "blade", FEN_CAUTION_BLADES, false }, { "blades", FEN_CAUTION_BLADES, false },
    { "razor", FEN_CAUTION_BLADES, true }, { "scalpel", FEN_CAUTION_BLADES, true }, { "scissors", FEN_CAUTION_BLADES, false },
    { "secateurs", FEN_CAUTION_BLADES, false }, { "shears", FEN_CAUTION_BLADES, false }, { "cut", FEN_CAUTION_BLADES, false },
    { "cuts", FEN_CAUTION_BLADES, false }, { "cutting", FEN_CAUTION_BLADES, false }, { "snip", FEN_CAUTION_BLADES, true },
    { "trim", FEN_CAUTION_BLADES, true }, { "slice", FEN_CAUTION_BLADES, true }, { "slicing", FEN_CAUTION_BLADES, false },
    { "prune", FEN_CAUTION_BLADES, true }, { "pruning", FEN_CAUTION_BLADES, false }, { "slit", FEN_CAUTION_BLADES, true },
    { "saw", FEN_CAUTION_BLADES, false }, { "from the wild", FEN_CAUTION_LAW, false },
    { "wild-collected", FEN_CAUTION_LAW, false }, { "wild collected", FEN_CAUTION_LAW, false },
    { "wild plants", FEN_CAUTION_LAW, false }, { "collect moss", FEN_CAUTION_LAW, false },
    { "collect plants", FEN_CAUTION_LAW, false }, { "collect seed", FEN_CAUTION_LAW, true },
    { "dig up wild", FEN_CAUTION_LAW, false }, { "import", FEN_CAUTION_LAW, false }, { "imported", FEN_CAUTION_LAW, false },
    { "importing", FEN_CAUTION_LAW, false }, { "export", FEN_CAUTION_LAW, false }, { "abroad", FEN_CAUTION_LAW, false },
    { "cites", FEN_CAUTION_LAW, false }, { "bleach", FEN_CAUTION_BLEACH, true }, { "hypochlorite", FEN_CAUTION_BLEACH, false },
    { "boil", FEN_CAUTION_HEAT, true }, { "scald", FEN_CAUTION_HEAT, true }, { "microwave", FEN_CAUTION_HEAT, true },
    { "steam", FEN_CAUTION_HEAT, true }, { "oven", FEN_CAUTION_HEAT, false }, { "hot water", FEN_CAUTION_HEAT, false },
    { "kettle", FEN_CAUTION_HEAT, false },
};

/* Words in which the one that would call for a caution is told of and not used. */
static const char *const harmless[] = {
    "the cut", "a cut", "each cut", "every cut", "hot lamp", "hot lamps", "under a lamp", "under the lamp", "under lamps", "moss killer", "cover cuts", "cover any cuts", "keep the moss",
};

const char *fen_caution_name(fen_caution c)
{
    return cautions[c].name;
}

const char *fen_caution_text(fen_caution c)
{
    return cautions[c].text;
}

bool fen_caution_find(const char *name, fen_caution *ret_caution)
{
    for (int i = 0; i < FEN_CAUTIONS; i++) {
        if (strcmp(cautions[i].name, name) == 0) {
            *ret_caution = (fen_caution)i;
            return true;
        }
    }
    return false;
}

static char lower(char c)
{
    return c >= 'A' && c <= 'Z' ? (char)(c - 'A' + 'a') : c;
}

static bool letter(char c)
{
    return lower(c) >= 'a' && lower(c) <= 'z';
}

/* Bytes of TEXT that WORD covers, with the rest of an open one; 0: no match. */
static size_t match(const char *text, size_t len, const char *word, bool open)
{
    size_t n = 0;
    for (; word[n]; n++)
        if (n >= len || lower(text[n]) != word[n])
            return 0;
    while (open && n < len && letter(text[n]))
        n++;
    return n < len && letter(text[n]) ? 0 : n;
}

/* Does a harmless pair of words end with the word at AT? */
static bool is_harmless(const char *text, size_t at, size_t len)
{
    for (size_t i = 0; i < FEN_COUNT(harmless); i++) {
        const size_t all = strlen(harmless[i]);
        if (all <= at + len && all > len && match(text + at + len - all, all, harmless[i], false) == all &&
            (at + len == all || !letter(text[at + len - all - 1])))
            return true;
    }
    return false;
}

bool fen_caution_next(const char *text, size_t len, size_t from, fen_caution_word *ret_word)
{
    for (size_t at = from; at < len; at++) {
        if (!letter(text[at]) || (at > 0 && letter(text[at - 1])))
            continue;
        for (size_t i = 0; i < FEN_COUNT(words); i++) {
            const size_t n = match(text + at, len - at, words[i].word, words[i].open);
            if (n && !is_harmless(text, at, n)) {
                *ret_word = (fen_caution_word){ words[i].caution, at, n };
                return true;
            }
        }
    }
    return false;
}
