/* reckon_pot.c -- what a pot holds, and what to mix for it.
 */
#include <string.h>

#include "reckon_rows.h"
#include "util/number.h"

#define PI 3.14159265358979323846

/* ---- pot ---- */

enum { POT_TOP, POT_BASE, POT_DEPTH, POT_SHAPE, POT_RIM, POT_COUNT, POT_HELD, POT_INPUTS };
enum { POT_EACH, POT_ALL, POT_WATER, POT_OUTPUTS };

static const char *const shapes[] = { "round", "square", NULL };

static const fen_reckon_input pot_in[POT_INPUTS] = {
    IN_NEEDED("top", LENGTH, 10, LENGTH_MOST, "inside width at the rim"),
    IN_NEEDED("base", LENGTH, 5, LENGTH_MOST, "inside width at the bottom"),
    IN_NEEDED("depth", LENGTH, 10, LENGTH_MOST, "inside, rim to bottom"),
    IN_PICK("shape", shapes, 0, "round or square"),
    IN_USUAL("rim", LENGTH, 0, 0, 1000, "left empty below the rim"),
    IN_USUAL("pots", COUNT, 1, 1, 100000, "how many alike"),
    IN_USUAL("held", PERCENT, 60, 10, 100, "share of the volume that is water once it has drained"),
};

static const fen_reckon_output pot_out[POT_OUTPUTS] = {
    OUT("volume", VOLUME, "of one pot's filling"),
    OUT("all", VOLUME, "of all"),
    OUT("water", VOLUME, "that one holds when drained"),
};

static fen_status run_pot(const fen_reckon_value in[], double out[], fen_reckon_error *reterr)
{
    const double depth = in[POT_DEPTH].number;
    const double base = in[POT_BASE].number;
    const double fill = depth - in[POT_RIM].number;
    const bool is_round = in[POT_SHAPE].number == 0;

    if (fill <= 0)
        return fen_reckon_refuse(reterr, FEN_CODE_NUMBER, POT_RIM, "leave less below the rim", "nothing fits in: the pot is only %s deep",
                                 fen_shown_of(FEN_MEASURE_LENGTH, depth).at);
    const double top = base + (in[POT_TOP].number - base) * fill / depth;
    const double volume = (is_round ? PI / 4 : 1) * fill / 3 * (top * top + top * base + base * base) / 1000;
    if (volume > VOLUME_MOST)
        return fen_reckon_refuse(reterr, FEN_CODE_NUMBER, POT_TOP, "check the units: inside measures, such as 10cm",
                                 "a pot of %s is a pond", fen_shown_of(FEN_MEASURE_VOLUME, volume).at);
    out[POT_EACH] = volume;
    out[POT_ALL] = volume * in[POT_COUNT].number;
    out[POT_WATER] = volume * in[POT_HELD].number / 100;
    return FEN_OK;
}

/* ---- substrate ---- */

enum { MIX_VOLUME, MIX_PARTS, MIX_SPARE, MIX_INPUTS };
enum { MIX_TOTAL, MIX_PART, MIX_OUTPUTS };
enum { MIX_LINE_NAME, MIX_LINE_SHARE, MIX_LINE_VOLUME, MIX_COLUMNS };

#define PARTS_MOST 16

static const fen_reckon_input mix_in[MIX_INPUTS] = {
    IN_NEEDED("volume", VOLUME, 1, VOLUME_MOST, "to fill, of all pots together"),
    IN_NEEDED("parts", PARTS, 0, 0, "by volume: '2 peat, 1 perlite', 'peat 60%, sand 40%', 2:1"),
    IN_USUAL("spare", PERCENT, 10, 0, 100, "more, as loose mixes settle"),
};

static const fen_reckon_output mix_out[MIX_OUTPUTS] = {
    OUT("total", VOLUME, "of loose parts to measure out"),
    OUT("part", VOLUME, "one part"),
};

static const fen_reckon_output mix_columns[MIX_COLUMNS] = {
    OUT("what", PARTS, "what"),
    OUT("share", PERCENT, "share"),
    OUT("volume", VOLUME, "how much"),
};

typedef struct part {
    const char *name;
    size_t len;
    double share;
} part;

static bool is_between(char c)
{
    return c && strchr(",:;+/", c);
}

static void trim(part *p)
{
    while (p->len && (*p->name == ' ' || *p->name == '%')) {
        p->name++;
        p->len--;
    }
    while (p->len && p->name[p->len - 1] == ' ')
        p->len--;
}

/* "2 peat", "peat 2", "60% peat", "peat" (one part), "2". */
static bool read_part(const char *text, size_t len, part *ret)
{
    size_t used = 0;
    part p = { text, len, 1 };
    trim(&p);
    if (!p.len)
        return false;
    if (fen_number_read(p.name, p.len, &p.share, &used)) {
        p.name += used;
        p.len -= used;
        trim(&p);
    } else {
        size_t at = p.len - (p.name[p.len - 1] == '%');
        while (at && strchr("0123456789. ", p.name[at - 1]))
            at--;
        while (at < p.len && p.name[at] == ' ')
            at++;
        if (at < p.len && fen_number_read(p.name + at, p.len - at, &p.share, &used))
            p.len = at;
        trim(&p);
    }
    *ret = p;
    return p.share > 0 && p.share <= 1000;
}

/* Number of parts; 0: PART number *reterr_at begins where the text does not fit. */
static size_t read_parts(fen_reckon_value v, part parts[PARTS_MOST], size_t *reterr_at)
{
    size_t n = 0;
    for (size_t at = 0; at <= v.len;) {
        size_t end = at;
        while (end < v.len && !is_between(v.text[end]))
            end++;
        *reterr_at = at;
        if (n == PARTS_MOST || !read_part(v.text + at, end - at, &parts[n]))
            return 0;
        n++;
        at = end + 1;
    }
    return n;
}

static double sum_of(const part parts[], size_t n)
{
    double sum = 0;
    for (size_t i = 0; i < n; i++)
        sum += parts[i].share;
    return sum;
}

static double loose_volume(const fen_reckon_value in[])
{
    return in[MIX_VOLUME].number * (1 + in[MIX_SPARE].number / 100);
}

static fen_status run_mix(const fen_reckon_value in[], double out[], fen_reckon_error *reterr)
{
    part parts[PARTS_MOST];
    size_t at = 0;
    const size_t n = read_parts(in[MIX_PARTS], parts, &at);
    if (!n) {
        fen_status st = fen_reckon_refuse(reterr, FEN_CODE_BAD_VALUE, MIX_PARTS, "write up to 16 parts like '2 peat, 1 perlite'",
                                          "'parts' is not a list of parts");
        reterr->at = at;
        return st;
    }
    out[MIX_TOTAL] = loose_volume(in);
    out[MIX_PART] = out[MIX_TOTAL] / sum_of(parts, n);
    return FEN_OK;
}

static size_t mix_lines(const fen_reckon_value in[])
{
    part parts[PARTS_MOST];
    size_t at;
    return read_parts(in[MIX_PARTS], parts, &at);
}

static void mix_line(const fen_reckon_value in[], size_t i, fen_reckon_value ret_cells[])
{
    part parts[PARTS_MOST];
    size_t at;
    const size_t n = read_parts(in[MIX_PARTS], parts, &at);
    const double share = parts[i].share / sum_of(parts, n);
    ret_cells[MIX_LINE_NAME] = parts[i].len ? fen_reckon_word(parts[i].name, parts[i].len) : fen_reckon_word("part", 4);
    ret_cells[MIX_LINE_SHARE] = fen_reckon_cell(share * 100);
    ret_cells[MIX_LINE_VOLUME] = fen_reckon_cell(share * loose_volume(in));
}

static const fen_reckoner rows[] = {
    { .name = "pot", .purpose = "volume of a pot from its measures", .family = "pot",
      .example = "top=12cm base=9cm depth=12cm rim=1cm",
      .inputs = pot_in, .n_inputs = POT_INPUTS, .outputs = pot_out, .n_outputs = POT_OUTPUTS,
      .formula = "round: pi / 12 * h * (a^2 + a * b + b^2); square: 1 / 3 * h * (a^2 + a * b + b^2); h depth less rim, a width at that height, b width at the base",
      .source = "volume of a frustum (geometry); the share held is common practice, no source",
      .trust = "within 5 % for straight sides; feet and ribs take a little; weigh it full of water if it matters",
      .run = run_pot },
    { .name = "substrate", .purpose = "how much of each part of a mix", .family = "pot",
      .example = "volume=5l parts='2 peat, 1 perlite'",
      .inputs = mix_in, .n_inputs = MIX_INPUTS, .outputs = mix_out, .n_outputs = MIX_OUTPUTS,
      .columns = mix_columns, .n_columns = MIX_COLUMNS,
      .formula = "volume of a part = volume * (1 + spare) * its share of all parts",
      .source = "proportion; the tenth to spare is common practice, no source",
      .trust = "parts are loose volumes, not pressed; fine sand fills the gaps of coarse parts, so such mixes need more to spare",
      .caution = "wet perlite, pumice, sand and peat before you tip them and wear a dust mask (quartz and perlite dust harm lungs); "
                 "gloves with sphagnum: it can carry sporotrichosis into scratches",
      .run = run_mix, .lines = mix_lines, .line = mix_line },
};

const fen_reckon_family fen_reckon_pot = { ROWS(rows) };
