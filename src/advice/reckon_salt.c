/* reckon_salt.c -- where salts gather: in a pot that hardly drains, and in a tray
 * that is only ever topped up.
 *
 * Plants and sun take water and leave the salt. The leaching figures come from
 * field irrigation; they are offered because runoff is what a grower can measure.
 */
#include "reckon_rows.h"

/* ---- runoff-share ---- */

enum { SHARE_POURED, SHARE_RUNOFF, SHARE_WATER, SHARE_INPUTS };
enum { SHARE_SHARE, SHARE_GUIDE, SHARE_FACTOR, SHARE_ROOTS, SHARE_OUTPUTS };

#define NURSERY_MOST 0.15 /* what container nurseries should not exceed, to waste neither water nor feed */

static const char *const nursery_words[] = { "within 15 %", "above 15 %", NULL };

static const fen_reckon_input share_in[SHARE_INPUTS] = {
    IN_NEEDED("poured", VOLUME, 1, VOLUME_MOST, "water given from above"),
    IN_NEEDED("runoff", VOLUME, 0, VOLUME_MOST, "water that came out below"),
    IN_MAYBE("water", SOLIDS, 0, SOLIDS_MOST, "what the water reads"),
};

static const fen_reckon_output share_out[SHARE_OUTPUTS] = {
    OUT("share", PERCENT, "of the water that runs through"),
    OUT_PICK("nursery-guide", nursery_words, "that fed container plants should keep; flushing goes above it on purpose"),
    OUT("factor", NUMBER, "salt of a saturated sample of the mix, times that of the water"),
    OUT("at-the-roots", SOLIDS, "water between the roots in the long run"),
};

/* Mean over five depths of what is left in the water as roots take 40, 30, 20 and
 * 10 % of it on the way down; a saturated sample holds twice the water. */
static double concentration_factor(double share)
{
    static const double taken[] = { 0.4, 0.7, 0.9, 1.0 };
    double sum = 1;
    for (size_t i = 0; i < sizeof taken / sizeof *taken; i++)
        sum += 1 / (1 - (1 - share) * taken[i]);
    return sum / 5 / 2;
}

static fen_status run_share(const fen_reckon_value in[], double out[], fen_reckon_error *reterr)
{
    const double poured = in[SHARE_POURED].number;
    const double runoff = in[SHARE_RUNOFF].number;
    if (runoff > poured)
        return fen_reckon_refuse(reterr, FEN_CODE_NUMBER, SHARE_RUNOFF, "let the pot drain before you pour, and catch all of one pouring",
                                 "more ran out (%s) than was poured (%s)", fen_shown_of(FEN_MEASURE_VOLUME, runoff).at,
                                 fen_shown_of(FEN_MEASURE_VOLUME, poured).at);
    out[SHARE_SHARE] = runoff / poured * 100;
    out[SHARE_GUIDE] = runoff / poured > NURSERY_MOST * (1 + 1e-9);
    if (runoff / poured < 1e-6)
        return FEN_OK; /* nothing leaves: there is no long run */
    out[SHARE_FACTOR] = concentration_factor(runoff / poured);
    out[SHARE_ROOTS] = 2 * out[SHARE_FACTOR] * in[SHARE_WATER].number;
    return FEN_OK;
}

/* ---- leaching ---- */

enum { LEACH_WATER, LEACH_LIMIT, LEACH_USED, LEACH_RULE, LEACH_INPUTS };
enum { LEACH_SHARE, LEACH_TOTAL, LEACH_OUTPUTS };

static const char *const leach_rules[] = { "rounds", "steady", NULL };

static const fen_reckon_input leach_in[LEACH_INPUTS] = {
    IN_NEEDED("water", SOLIDS, 0, SOLIDS_MOST, "what the water reads"),
    IN_NEEDED("limit", SOLIDS, 0.1, SOLIDS_MOST, "what a saturated sample of the mix may read"),
    IN_MAYBE("used", VOLUME, 0, VOLUME_MOST, "what plant and air take, for the total"),
    IN_PICK("rule", leach_rules, 0, "rounds: watered now and then; steady: by drip, or several times a day"),
};

static const fen_reckon_output leach_out[LEACH_OUTPUTS] = {
    OUT("share", PERCENT, "of the water that must run through"),
    OUT("total", VOLUME, "to give in all"),
};

static fen_status run_leach(const fen_reckon_value in[], double out[], fen_reckon_error *reterr)
{
    const double water = in[LEACH_WATER].number;
    const double limit = in[LEACH_LIMIT].number;
    const double room = in[LEACH_RULE].number == 0 ? 5 * limit - water : 2 * limit;
    if (room <= 0 || water / room >= 0.999)
        return fen_reckon_refuse(reterr, FEN_CODE_NUMBER, LEACH_WATER, "use cleaner water",
                                 "with water of %s no runoff keeps the mix at %s", fen_shown_of(FEN_MEASURE_SOLIDS, water).at,
                                 fen_shown_of(FEN_MEASURE_SOLIDS, limit).at);
    out[LEACH_SHARE] = water / room * 100;
    out[LEACH_TOTAL] = in[LEACH_USED].number / (1 - water / room);
    return FEN_OK;
}

/* ---- tray ---- */

enum { TRAY_WATER, TRAY_HOLDS, TRAY_LOSS, TRAY_DAYS, TRAY_DRAINED, TRAY_START, TRAY_LIMIT, TRAY_INPUTS };
enum { TRAY_LEVEL, TRAY_TIMES, TRAY_ADDED, TRAY_REACHES, TRAY_SETTLES, TRAY_OUTPUTS };
enum { TRAY_LINE_DAY, TRAY_LINE_LEVEL, TRAY_COLUMNS };

static const fen_reckon_input tray_in[TRAY_INPUTS] = {
    IN_NEEDED("water", SOLIDS, 0, SOLIDS_MOST, "what the water for topping up reads"),
    IN_NEEDED("holds", VOLUME, 10, VOLUME_MOST, "water in tray and pots together at its usual level"),
    IN_NEEDED("loss", VOLUME, 0, VOLUME_MOST, "water that goes into the air each day"),
    IN_USUAL("days", TIME, 30, 0, 3653, "how long it is only topped up"),
    IN_USUAL("drained", PERCENT, 0, 0, 95, "share of each topping-up that is thrown away with what overflows"),
    IN_MAYBE("start", SOLIDS, 0, SOLIDS_MOST, "what the tray reads now; without it, the water's reading"),
    IN_USUAL("limit", SOLIDS, 100, 0, SOLIDS_MOST, "the reading at which to empty and rinse it"),
};

static const fen_reckon_output tray_out[TRAY_OUTPUTS] = {
    OUT("level", SOLIDS, "what the tray will read by then"),
    OUT("times", NUMBER, "as salty as the water that goes in"),
    OUT("added", VOLUME, "topped up until then"),
    OUT("limit-after", TIME, "when the limit is reached"),
    OUT("settles-at", SOLIDS, "where it levels off, as some is drained"),
};

static const fen_reckon_output tray_columns[TRAY_COLUMNS] = {
    OUT("day", COUNT, "day"),
    OUT("level", SOLIDS, "reading of the tray"),
};

typedef struct tray {
    double start, water, turn; /* turn: volumes of the tray drained, or lost if none is, in a day */
    double settles;            /* INFINITY if nothing drains */
} tray;

static tray tray_of(const fen_reckon_value in[])
{
    const double x = in[TRAY_DRAINED].number / 100;
    const double loss = in[TRAY_LOSS].number / in[TRAY_HOLDS].number;
    const double water = in[TRAY_WATER].number;
    return (tray){
        .start = in[TRAY_START].given ? in[TRAY_START].number : water,
        .water = water,
        .turn = x > 0 ? loss / (1 - x) * x : loss,
        .settles = x > 0 ? water / x : (double)INFINITY,
    };
}

static double tray_level(tray t, double days)
{
    if (isinf(t.settles))
        return t.start + t.water * t.turn * days;
    return t.settles + (t.start - t.settles) * exp(-t.turn * days);
}

/* NaN if it never gets there. */
static double tray_reaches(tray t, double limit)
{
    if (t.start >= limit)
        return 0;
    if (t.turn <= 0 || t.water <= 0 || t.settles <= limit)
        return (double)NAN;
    if (isinf(t.settles))
        return (limit - t.start) / (t.water * t.turn);
    return log((t.settles - t.start) / (t.settles - limit)) / t.turn;
}

static fen_status run_tray(const fen_reckon_value in[], double out[], fen_reckon_error *reterr)
{
    const tray t = tray_of(in);
    const double x = in[TRAY_DRAINED].number / 100;
    const double days = in[TRAY_DAYS].number;
    if (in[TRAY_LOSS].number > in[TRAY_HOLDS].number)
        return fen_reckon_refuse(reterr, FEN_CODE_NUMBER, TRAY_LOSS, "check the two volumes",
                                 "a tray that holds %s cannot lose %s a day between toppings-up",
                                 fen_shown_of(FEN_MEASURE_VOLUME, in[TRAY_HOLDS].number).at,
                                 fen_shown_of(FEN_MEASURE_VOLUME, in[TRAY_LOSS].number).at);
    out[TRAY_LEVEL] = tray_level(t, days);
    if (t.water > 0)
        out[TRAY_TIMES] = out[TRAY_LEVEL] / t.water;
    out[TRAY_ADDED] = in[TRAY_LOSS].number / (1 - x) * days;
    out[TRAY_REACHES] = tray_reaches(t, in[TRAY_LIMIT].number);
    if (!isinf(t.settles))
        out[TRAY_SETTLES] = t.settles;
    return FEN_OK;
}

/* One line a week, and the last day. */
static size_t tray_lines(const fen_reckon_value in[])
{
    return (size_t)ceil(in[TRAY_DAYS].number / 7) + 1;
}

static void tray_line(const fen_reckon_value in[], size_t i, fen_reckon_value ret_cells[])
{
    const double day = fmin((double)i * 7, in[TRAY_DAYS].number);
    ret_cells[TRAY_LINE_DAY] = fen_reckon_cell(day);
    ret_cells[TRAY_LINE_LEVEL] = fen_reckon_cell(tray_level(tray_of(in), day));
}

static const fen_reckoner rows[] = {
    { .name = "runoff-share", .purpose = "how much of a watering runs through, and how salty the roots' water becomes", .family = "water",
      .example = "poured=300ml runoff=45ml water=40ppm",
      .inputs = share_in, .n_inputs = SHARE_INPUTS, .outputs = share_out, .n_outputs = SHARE_OUTPUTS,
      .formula = "share = runoff / poured; factor = half the mean of 1 and of 1 / (1 - (1 - share) * c) for c = 0.4, 0.7, 0.9, 1; at the roots = 2 * factor * water",
      .source = "share and guide: UF/IFAS ENH1268; factor: FAO Irrigation and Drainage Paper 29, roots taking 40, 30, 20 and 10 % by depth",
      .trust = "the share is exact; the factor is a field crop's and only shows how steeply salts rise once little runs through",
      .run = run_share },
    { .name = "leaching", .purpose = "how much of each watering must run through to hold salts at a limit", .family = "water",
      .example = "water=40ppm limit=50ppm used=200ml",
      .inputs = leach_in, .n_inputs = LEACH_INPUTS, .outputs = leach_out, .n_outputs = LEACH_OUTPUTS,
      .formula = "rounds: share = water / (5 * limit - water); steady: share = water / (2 * limit); total = used / (1 - share)",
      .source = "Rhoades, in FAO Irrigation and Drainage Paper 29",
      .trust = "made for fields; take it as the least, and better use purer water than more of a hard one",
      .run = run_leach },
    { .name = "tray", .purpose = "how salts build up in a tray that is only topped up", .family = "water",
      .example = "water=20ppm holds=3l loss=200ml days=60days",
      .inputs = tray_in, .n_inputs = TRAY_INPUTS, .outputs = tray_out, .n_outputs = TRAY_OUTPUTS,
      .columns = tray_columns, .n_columns = TRAY_COLUMNS,
      .formula = "nothing drained: level = start + water * loss * days / holds; a share x drained: settles = water / x, "
                 "level = settles + (start - settles) * exp(-x / (1 - x) * loss * days / holds)",
      .source = "conservation of salt; the limit of 100 ppm is common practice, no source",
      .trust = "a lower bound: old mix and feeding add salts of their own; rain on the tray dilutes; measure when it says the limit is near",
      .run = run_tray, .lines = tray_lines, .line = tray_line },
};

const fen_reckon_family fen_reckon_salt = { ROWS(rows) };
