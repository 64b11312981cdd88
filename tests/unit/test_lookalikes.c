/* Troubles that growers take for one another, and the one finding that tells
 * them apart. The same plant is judged twice; only that finding differs, and the
 * verdict must go over from one cause to the other.
 *
 * The pairs are those that growers' own guides set side by side (look-alike
 * tables gathered from society pages, the growers' mailing list 1993-2000, nursery question
 * columns and University IPM leaflets; the rules carry the sources one by one).
 */
#include "unit.h"

#include "fenmend/case.h"

enum { TODAY = 20000 };

static const struct pair {
    const char *kind;
    const char *rest;    /* what else is known: "finding: answer; ..." */
    const char *finding; /* the one that decides */
    const char *a, *cause_a, *b, *cause_b;
} pairs[] = {
    /* alive or dead, asleep or rotting */
    { "venus-flytrap", "season: winter; dying-parts: whole-plant; newest-leaf: stalled",
      "crown-feel", "firm", "winter-rest", "soft", "crown-rot" },
    { "venus-flytrap", "season: autumn; dying-parts: whole-plant; newest-leaf: stalled; tray: always-full",
      "how-fast", "weeks", "winter-rest", "overnight", "crown-rot" },
    { "venus-flytrap", "season: spring; newest-leaf: stalled",
      "crown-feel", "firm", "late-riser", "soft", "crown-rot" },
    /* age, salts, shade */
    { "venus-flytrap", "how-fast: weeks; season: summer; crown-feel: firm; water-kind: tap",
      "newest-leaf", "healthy", "old-leaf-ageing", "dying", "mineral-water" },
    { "venus-flytrap", "dying-parts: old-leaves; how-fast: weeks; season: summer; water-kind: pure",
      "runoff-reading", "30 ppm", "old-leaf-ageing", "300 ppm", "rich-mix" },
    { "venus-flytrap", "newest-leaf: small; place: window; water-kind: tap",
      "leaf-shape", "floppy", "too-little-light", "sturdy", "mineral-water" },
    { "venus-flytrap", "newest-leaf: small; how-fast: weeks; place: window",
      "water-reading", "10 ppm", "too-little-light", "250 ppm", "mineral-water" },
    { "venus-flytrap", "newest-leaf: dying; how-fast: weeks; runoff-reading: 400 ppm",
      "water-reading", "10 ppm", "rich-mix", "300 ppm", "mineral-water" },
    /* hanging leaves */
    { "venus-flytrap", "wilting: all-day; dying-parts: whole-plant",
      "soil-feel", "dry", "drought", "soggy", "crown-rot" },
    { "venus-flytrap", "wilting: all-day; soil-feel: soggy; dying-parts: whole-plant; crown-feel: firm",
      "fertiliser", "in-the-soil", "fertiliser-burn", "none", "drowned-roots" },
    { "venus-flytrap", "wilting: all-day; soil-feel: soggy; dying-parts: whole-plant",
      "crown-feel", "firm", "drowned-roots", "soft", "crown-rot" },
    { "venus-flytrap", "hottest: 36 C; season: summer",
      "wilting", "by-day", "heat-stress", "all-day", "drought" },
    { "venus-flytrap", "wilting: by-day; place: window",
      "hottest", "39 C", "heat-stress", "24 C", "too-little-light" },
    { "venus-flytrap", "change: drier-air; wilting: all-day; dying-parts: whole-plant; tray: falls-dry",
      "soil-feel", "damp", "air-shock", "dry", "drought" },
    { "venus-flytrap", "wilting: all-day; hottest: 39 C; soil-feel: soggy; crown-feel: firm",
      "soil-temperature", "45 C", "cooked-roots", "28 C", "drowned-roots" },
    /* marks */
    { "venus-flytrap", "dying-parts: old-leaves; how-fast: days; place: outdoors",
      "leaf-marks", "sun-patches", "sun-scorch", "growing-spots", "leaf-spot" },
    { "venus-flytrap", "dying-parts: old-leaves; how-fast: days; newest-leaf: healthy; crown-feel: firm",
      "change", "sunnier", "sun-scorch", "elsewhere", "move-sulk" },
    { "venus-flytrap", "leaf-marks: brown-edges; place: outdoors; season: winter",
      "how-fast", "overnight", "frost-damage", "weeks", "mineral-water" },
    { "venus-flytrap", "leaf-colour: redder; dying-parts: nothing",
      "leaf-marks", "unmarked", "colour-shift", "speckled", "spider-mites" },
    { "venus-flytrap", "",
      "leaf-marks", "wipes-off", "sooty-film", "growing-spots", "leaf-spot" },
    { "venus-flytrap", "",
      "mould", "grey-on-plant", "grey-mould", "white-on-mix", "harmless-threads" },
    { "venus-flytrap", "",
      "sprayed", "on-plant", "spray-injury", "weedkiller", "weedkiller" },
    /* small animals */
    { "venus-flytrap", "newest-leaf: misshapen; flower-stalk: finished",
      "leaf-animals", "aphids", "aphids", "nothing", "slump-after-flowering" },
    { "venus-flytrap", "newest-leaf: misshapen",
      "leaf-animals", "aphids", "aphids", "splinters", "thrips" },
    { "venus-flytrap", "newest-leaf: misshapen",
      "leaf-animals", "fine-web", "spider-mites", "wool", "mealybugs" },
    { "venus-flytrap", "",
      "leaf-marks", "silvery", "thrips", "speckled", "spider-mites" },
    { "venus-flytrap", "",
      "leaf-animals", "fine-web", "spider-mites", "loose-web", "spider-webs" },
    { "venus-flytrap", "",
      "soil-animals", "jumpers", "springtails", "flies", "fungus-gnats" },
    { "venus-flytrap", "newest-leaf: stalled",
      "roots-look", "waxy", "root-mealybugs", "slipping", "drowned-roots" },
    { "venus-flytrap", "place: outdoors",
      "eaten", "smooth-scoops", "slugs", "ragged-bites", "caterpillars" },
    { "venus-flytrap", "place: outdoors",
      "eaten", "pulled-out", "dug-up", "hole-in-fed-trap", "chewed-out-trap" },
    /* traps */
    { "venus-flytrap", "dying-parts: one-trap; newest-leaf: healthy",
      "inside-trap", "dry-shell", "finished-trap", "bulky-prey", "oversized-prey" },
    { "venus-flytrap", "dying-parts: one-trap; newest-leaf: healthy",
      "inside-trap", "other-food", "wrong-food", "bulky-prey", "oversized-prey" },
    { "venus-flytrap", "dying-parts: old-leaves; fed: live-insects; mould: on-a-meal; season: summer",
      "fed-traps", "8", "overfed", "1", "old-leaf-ageing" },
    { "venus-flytrap", "trap-response: all-slow; dying-parts: nothing; place: window",
      "coldest", "5 C", "cool-slow-traps", "17 C", "too-little-light" },
    { "venus-flytrap", "trap-response: all-shut; dying-parts: nothing",
      "poked", "often", "teased-traps", "hardly-ever", "too-little-light" },
    { "venus-flytrap", "dying-parts: nothing; mould: on-a-meal",
      "fed", "dead-insects", "missed-meal", "human-food", "wrong-food" },
    /* after a move */
    { "venus-flytrap", "acquired: 8 days ago; change: elsewhere; dying-parts: old-leaves; how-fast: days",
      "crown-feel", "firm", "move-sulk", "soft", "crown-rot" },
    { "venus-flytrap", "change: drier-air; last-move: 8 days ago; how-fast: days; leaf-marks: brown-edges; crown-feel: firm",
      "dying-parts", "old-leaves", "move-sulk", "whole-plant", "air-shock" },
    { "subtropical-sundew", "neighbours: ailing; how-fast: days; leaf-marks: brown-edges",
      "change", "other-water", "tainted-water", "sunnier", "sun-scorch" },
    { "venus-flytrap", "change: repotted; newest-leaf: stalled",
      "crown-level", "covered", "buried-crown", "level", "move-sulk" },
    /* years */
    { "venus-flytrap", "newest-leaf: small; size-trend: smaller; acquired: 900 days ago",
      "last-winter-rest", "0 weeks", "missed-rest", "14 weeks", "too-little-light" },
    { "venus-flytrap", "newest-leaf: small; leaf-colour: paler-green; fed: nothing; leaf-shape: sturdy; place: room; "
      "last-winter-rest: 12 weeks; acquired: 900 days ago; water-kind: pure; mix-kind: poor-open",
      "direct-sun", "7 h", "hunger", "0 h", "too-little-light" },
    { "venus-flytrap", "newest-leaf: stalled; dying-parts: old-leaves; roots-look: few; water-kind: pure; "
      "last-repot: 900 days ago",
      "soil-smell", "sour", "sour-mix", "clean", "rich-mix" },
    /* what it stands in */
    { "venus-flytrap", "dying-parts: nothing",
      "soil-surface", "moss-mat", "moss-overgrowth", "slime", "algae" },
    { "venus-flytrap", "newest-leaf: small; dying-parts: nothing",
      "many-centres", "yes", "splitting-crown", "no", "too-little-light" },
    { "venus-flytrap", "cover: sealed; direct-sun: 2 h; wilting: all-day",
      "how-fast", "overnight", "cooked-roots", "weeks", "closed-glass-decline" },
    { "upright-trumpet", "newest-leaf: small; dying-parts: old-leaves",
      "live-moss", "browning", "mineral-water", "green", "too-little-light" },
    { "venus-flytrap", "dying-parts: nothing; season: summer",
      "leaf-shape", "tall-narrow", "seasonal-leaves", "floppy", "too-little-light" },
    /* pitchers */
    { "upright-trumpet", "place: outdoors; season: summer; dying-parts: old-leaves",
      "pitcher-fails-from", "catch", "pitcher-indigestion", "top", "old-leaf-ageing" },
    { "upright-trumpet", "crowns-affected: one-worse; how-fast: overnight",
      "pitcher-fails-from", "base", "crown-rot", "catch", "pitcher-indigestion" },
    { "upright-trumpet", "crowns-affected: one-worse; how-fast: days; season: summer; pitcher-fails-from: base; "
      "crown-feel: soft",
      "rhizome-frass", "yes", "rhizome-borer", "no", "crown-rot" },
    { "upright-trumpet", "native-range: yes",
      "pitcher-holes", "grazed", "pitcher-moth", "round", "wasp-tenants" },
    { "upright-trumpet", "place: outdoors",
      "pitcher-holes", "torn", "torn-pitchers", "round", "wasp-tenants" },
    { "upright-trumpet", "season: summer",
      "pitcher-build", "flat", "sword-leaves", "thin", "too-little-light" },
    { "upright-trumpet", "place: outdoors; season: summer; dying-parts: old-leaves; pitcher-fails-from: top; crown-feel: firm; "
      "hottest: 34 C",
      "newest-leaf", "healthy", "old-leaf-ageing", "stalled", "summer-pause" },
    { "upright-trumpet", "season: spring; newest-leaf: stalled; crown-feel: firm",
      "flower-stalk", "rising", "flowers-before-pitchers", "none", "late-riser" },
    { "upright-trumpet", "dying-parts: young-leaves; newest-leaf: dying; leaf-marks: brown-edges; season: spring; coldest: -1 C",
      "how-fast", "overnight", "frost-damage", "weeks", "mineral-water" },
    { "upright-trumpet", "newest-leaf: misshapen; season: spring",
      "leaf-animals", "aphids", "aphids", "splinters", "thrips" },
    { "cobra-lily", "hottest: 39 C; season: summer; dying-parts: old-leaves",
      "growing-tip", "alive", "old-leaf-ageing", "dead", "warm-roots" },
    { "albany-pitcher", "dying-parts: whole-plant; how-fast: days; change: repotted",
      "growing-tip", "alive", "transplant-shock", "dead", "sudden-collapse" },
    { "albany-pitcher", "leaf-type: flat; growing-tip: alive; crown-feel: firm; place: window",
      "season", "winter", "flat-leaves", "summer", "too-little-light" },
    { "albany-pitcher", "leaf-type: flat; growing-tip: alive; season: spring; crown-feel: firm",
      "direct-sun", "4 h", "flat-leaves", "0 h", "too-little-light" },
    { "albany-pitcher", "change: elsewhere; how-fast: days",
      "growing-tip", "alive", "move-sulk", "dead", "sudden-collapse" },
    { "albany-pitcher", "dying-parts: whole-plant; change: repotted; last-repot: 20 days ago",
      "pull-test", "holds", "transplant-shock", "soft-foot", "sudden-collapse" },
    { "albany-pitcher", "",
      "white-film", "powder", "powdery-mildew", "smears", "mealybugs" },
    { "sun-pitcher", "",
      "tube-shape", "thin-brown", "highland-heat", "funnels", "too-little-light" },
    { "sun-pitcher", "pitcher-fails-from: top; crown-feel: firm",
      "newest-leaf", "healthy", "dry-pitcher-tops", "small", "highland-heat" },
    { "sun-pitcher", "dying-parts: whole-plant",
      "pull-test", "soft-foot", "crown-rot", "holds", "highland-heat" },
    /* tropical pitcher plants */
    { "intermediate-pitcher", "open-pitchers: lid-down; dying-parts: one-trap",
      "pitcher-buds", "opening", "pitcher-ageing", "dried", "dry-air-buds" },
    { "intermediate-pitcher", "dying-parts: one-trap; last-stir: 20 days ago; change: elsewhere",
      "open-pitchers", "most-at-once", "pitcher-sulk", "lid-down", "pitcher-ageing" },
    { "intermediate-pitcher", "open-pitchers: none-left",
      "leaf-habit", "long-soft", "too-little-light", "compact", "dry-air-buds" },
    { "intermediate-pitcher", "open-pitchers: none-left; place: window",
      "pitcher-buds", "dried", "dry-air-buds", "tiny", "too-little-light" },
    { "intermediate-pitcher", "open-pitchers: none-left; leaf-habit: alike; change: nothing; stem-look: sound",
      "humidity", "25 %", "dry-air-buds", "65 %", "too-little-light" },
    { "intermediate-pitcher", "open-pitchers: none-left; pitcher-buds: tiny; leaf-habit: alike; stem-look: sound",
      "last-stir", "20 days ago", "pitcher-sulk", "400 days ago", "too-little-light" },
    { "intermediate-pitcher", "stem-look: sound; newest-leaf: healthy",
      "blade-colours", "even-red", "red-freckles", "old-blotches", "leaf-spot" },
    { "intermediate-pitcher", "stem-look: sound; newest-leaf: healthy; dying-parts: old-leaves",
      "leaf-marks", "sun-patches", "sun-scorch", "growing-spots", "leaf-spot" },
    { "intermediate-pitcher", "open-pitchers: most-at-once; stem-look: sound",
      "soil-smell", "clean", "pitcher-sulk", "sour", "drowned-roots" },
    { "intermediate-pitcher", "blade-colours: cold-side; place: window",
      "coldest", "8 C", "tropical-chill", "22 C", "too-little-light" },
    { "highland-pitcher", "pitcher-buds: crippled; newest-leaf: misshapen; night-warmth: 13 C; leaf-animals: nothing",
      "leaf-marks", "silvery", "thrips", "unmarked", "hidden-mites" },
    { "highland-pitcher", "newest-leaf: misshapen; leaf-animals: nothing",
      "side-shoots", "all-along", "hidden-mites", "none", "nights-too-warm" },
    { "highland-pitcher", "newest-leaf: small",
      "night-warmth", "24 C", "nights-too-warm", "13 C", "too-little-light" },
    { "intermediate-pitcher", "wilting: all-day; stem-look: sound",
      "soil-feel", "soggy", "drowned-roots", "dry", "drought" },
    { "intermediate-pitcher", "",
      "stem-look", "soft-dark", "stem-rot", "dry-stretch", "stem-canker" },
    /* sundews */
    { "subtropical-sundew", "dew: none; place: outdoors; newest-leaf: healthy; acquired: 10 days ago",
      "leaf-wash", "yes", "washed-dew", "no", "dew-pause" },
    { "subtropical-sundew", "dew: none; place: window; water-kind: rain",
      "sundew-leaves", "long-pale", "too-little-light", "short-red", "dry-air" },
    { "subtropical-sundew", "dew: none; place: window; change: nothing",
      "humidity", "25 %", "dry-air", "65 %", "too-little-light" },
    { "subtropical-sundew", "newest-leaf: healthy; hottest: 30 C; change: nothing; direct-sun: 5 h",
      "dew", "not-at-noon", "noon-dew", "full", "old-leaf-ageing" },
    { "subtropical-sundew", "dew: none; newest-leaf: healthy; crown-feel: firm",
      "change", "elsewhere", "dew-pause", "sunnier", "sun-scorch" },
    { "subtropical-sundew", "dying-parts: young-leaves; dew: none; how-fast: weeks",
      "base-shoots", "yes", "stem-dies-back", "no", "mineral-water" },
    { "subtropical-sundew", "dew: none; place: window; dying-parts: nothing",
      "change", "drier-air", "dew-pause", "darker", "too-little-light" },
    { "subtropical-sundew", "dying-parts: whole-plant; season: winter; coldest: -5 C",
      "thick-root", "pale-firm", "cold-cut-back", "rotten", "frost-damage" },
    { "temperate-sundew", "season: winter; dying-parts: whole-plant",
      "heart", "closed-bud", "resting-bud", "rotten", "bud-lost" },
    { "pygmy-sundew", "season: summer; heart: closed-bud",
      "green-speck", "green", "summer-bud", "brown", "summer-bud-died" },
    { "tuberous-sundew", "season: summer; top-growth: gone",
      "store", "firm", "underground-rest", "rotten", "lost-at-rest" },
    { "petiolaris-sundew", "dew: none; heart: closed-bud",
      "coldest", "12 C", "cold-stall", "24 C", "dry-season-bud" },
    { "petiolaris-sundew", "heart: closed-bud; coldest: 12 C; tray: always-full",
      "crown-feel", "firm", "cold-stall", "soft", "crown-rot" },
    { "pygmy-sundew", "season: autumn; newest-leaf: small",
      "gemmae", "yes", "gemma-season", "no", "too-little-light" },
    { "tuberous-sundew", "season: winter; dying-parts: whole-plant; change: repotted; newest-leaf: dying",
      "crown-feel", "firm", "snapped-shoot", "soft", "crown-rot" },
    /* butterworts */
    { "mexican-butterwort", "season: winter; soil-feel: dry",
      "leaf-touch", "firm-dry", "succulent-rest", "limp", "drought" },
    { "mexican-butterwort", "season: summer; first-heat: yes",
      "browning-course", "heart", "browning-heart", "rim", "heat-jump" },
    { "mexican-butterwort", "browning-course: heart; tray: always-full",
      "season", "winter", "wet-winter-rot", "summer", "browning-heart" },
    { "mexican-butterwort", "browning-course: heart; season: summer",
      "fungicide-given", "yes", "fungicide-injury", "no", "browning-heart" },
    { "temperate-butterwort", "season: winter; newest-leaf: stalled",
      "heart", "closed-bud", "resting-bud", "rotten", "bud-lost" },
    /* the rest */
    { "dewy-pine", "wilting: all-day",
      "drain-hole", "heavy-wet", "dewy-pine-rot", "light-dry", "dewy-pine-thirst" },
    { "dewy-pine", "dying-parts: whole-plant; drain-hole: moist",
      "growth-stage", "seedling", "damping-off", "older", "dewy-pine-rot" },
    { "annual-rainbow-plant", "dying-parts: whole-plant; how-fast: weeks; season: autumn",
      "seed-pods", "yes", "lived-its-year", "no", "rainbow-base-rot" },
    { "giant-rainbow-plant", "dying-parts: whole-plant",
      "rootstock-feel", "firm", "back-to-rootstock", "soft", "rainbow-base-rot" },
    { "epiphytic-bladderwort", "dying-parts: whole-plant",
      "runners", "alive", "tuber-rest", "dead", "stifled-runners" },
    { "terrestrial-bladderwort", "carpet: patches",
      "runners", "alive", "patchy-but-alive", "dead", "worn-carpet" },
    { "epiphytic-bladderwort", "season: winter; leaf-colour: yellow; newest-leaf: stalled",
      "soil-smell", "clean", "tuber-rest", "sour", "stifled-runners" },
    { "corkscrew-plant", "season: winter; coldest: 7 C; newest-leaf: small",
      "runners", "alive", "winter-slow", "dead", "tropical-chill" },
    { "roridula", "dying-parts: one-trap; stuck-prey: left",
      "shoot-tips", "furry", "tip-fungus", "clean", "prey-mould" },
    { "waterwheel", "season: autumn",
      "strand-tip", "closed-bud", "turion", "shrinking", "short-of-carbon-dioxide" },
    { "waterwheel", "tank: bare; branching: no",
      "coating", "clean", "starved-strands", "coated", "short-of-carbon-dioxide" },
    { "carnivorous-bromeliad", "newest-leaf: stalled; dying-parts: whole-plant",
      "centre-pull", "holds", "flowered-rosette", "comes-out", "centre-rot" },
};

static void answer(fen_session *s, const char *finding, const char *text)
{
    const fen_base *base = fen_session_base(s);
    const fen_id f = fen_base_find_finding(base, finding);
    fen_answer a;
    char why[256];
    if (f == FEN_NONE)
        fail_msg("no finding '%s'", finding);
    if (fen_answer_read(base, f, text, strlen(text), TODAY, &a, why) != FEN_OK)
        fail_msg("%s: %s: %s", finding, text, why);
    assert_int_equal(fen_session_answer(s, f, a), FEN_OK);
}

/* "finding: answer; finding: answer" */
static void answer_all(fen_session *s, const char *rest)
{
    char copy[512];
    assert_true(strlen(rest) < sizeof copy);
    strcpy(copy, rest);
    char *save = NULL;
    for (char *part = strtok_r(copy, ";", &save); part; part = strtok_r(NULL, ";", &save)) {
        while (*part == ' ')
            part++;
        char *colon = strchr(part, ':');
        assert_non_null(colon);
        *colon = '\0';
        answer(s, part, colon + 2);
    }
}

static fen_id leading(fen_session *s, const struct pair *p, const char *text)
{
    fen_session_clear(s);
    answer(s, "kind", p->kind);
    answer_all(s, p->rest);
    if (text)
        answer(s, p->finding, text);
    return fen_session_verdict(s)->ranking.at[0];
}

static bool leads(fen_session *s, const struct pair *p, const char *text, const char *cause)
{
    const fen_base *base = fen_session_base(s);
    const fen_id want = fen_base_find_cause(base, cause);
    if (want == FEN_NONE)
        fail_msg("no cause '%s'", cause);
    const fen_id lead = leading(s, p, text);
    if (lead == want)
        return true;
    const fen_verdict *v = fen_session_verdict(s);
    print_error("%s, %s: with '%s: %s', '%s' (%.0f %%) leads and not '%s' (%.0f %%)\n", p->kind, p->rest, p->finding, text,
                fen_base_cause(base, lead)->id, 100 * v->p[lead], cause, 100 * v->p[want]);
    return false;
}

static fen_base *shipped(void)
{
    const char *path = FEN_RULES_DIR;
    fen_problems *problems = NULL;
    fen_base *base = NULL;
    assert_int_equal(fen_problems_new(&problems), FEN_OK);
    if (fen_base_load(&path, 1, problems, &base) != FEN_OK)
        fail_msg("%s", fen_problems_at(problems, 0)->text);
    fen_problems_free(problems);
    return base;
}

static void the_deciding_finding_flips_the_verdict_of_every_pair(void **state)
{
    (void)state;
    fen_base *base = shipped();
    fen_session *s = NULL;
    size_t wrong = 0;
    assert_int_equal(fen_session_new(base, TODAY, &s), FEN_OK);
    for (size_t i = 0; i < COUNT(pairs); i++) {
        wrong += !leads(s, &pairs[i], pairs[i].a, pairs[i].cause_a);
        wrong += !leads(s, &pairs[i], pairs[i].b, pairs[i].cause_b);
    }
    fen_session_free(s);
    fen_base_free(base);
    assert_int_equal(wrong, 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_deciding_finding_flips_the_verdict_of_every_pair),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
