/* limits.h -- every bound of the program, each with its reason.
 *
 * Packs and cases are untrusted text; a bound turns a hostile or broken file
 * into one clear error instead of a full disk or a hung machine.
 */
#ifndef FEN_LIMITS_H
#define FEN_LIMITS_H

#define FEN_PACK_MAX (256u << 20)   /* bytes of one pack: a generated base of 10^6 rules fits */
#define FEN_CASE_MAX (16u << 20)    /* bytes of one case file read whole: years of visits fit */
#define FEN_DEPTH_MAX 64u           /* nesting of YAML or JSON: libyaml is quadratic in depth */
#define FEN_NODES_MAX (1u << 25)    /* texts, lists and maps of one YAML file: 10^6 rules have half of it; two gigabytes */
#define FEN_ALIAS_MAX 0u            /* YAML aliases are refused: no pack needs them, and they can explode */
#define FEN_SCALAR_MAX (64u << 10)  /* bytes of one text: a screen holds two thousand */
#define FEN_NAME_MAX 64u            /* bytes of a name: it must fit a prompt and a table column */
#define FEN_OPTIONS_MAX 64u         /* answers of one finding: they are bits of one word */
#define FEN_STRATA_MAX 1024u        /* exceptions on exceptions: no author follows a hundred */
#define FEN_EXPR_MAX 32u            /* steps of an arithmetic expression: one line of text */
#define FEN_COND_DEPTH_MAX 32u      /* nesting of a condition: recursion over it is bounded */
#define FEN_PARTS_MAX (1u << 20)    /* kinds, findings, causes, rules: ids stay far below 2^31 */
#define FEN_VIEWS_MAX (1u << 22)    /* entries of the views by kind: 16 MB; a base that needs more does without */
#define FEN_RULES_MAX (1u << 22)    /* rules: four million */
#define FEN_WEIGHT_MAX 100.0        /* dBan of one effect: odds of 10^10; beyond is `excludes` */
#define FEN_PROBLEMS_MAX 1000u      /* problems kept; a thousand are enough for one run */
#define FEN_LINE_MAX (64u << 10)    /* bytes of one line typed or piped in */

#endif
