/* text_problems.c -- problems as the readers found them. Their lines are not
 * wrapped: editors and other programs take FILE:LINE:COL from them.
 */
#include "page.h"
#include "util/problem_text.h"

enum { LONGEST = 64 << 20 }; /* bytes: FEN_PROBLEMS_MAX of them, each with a line of 64 KiB */

void fen_show_problems(fen_page *page, const fen_problems *problems)
{
    fen_str text;
    fen_str_init(&text, LONGEST);
    for (size_t i = 0; i < fen_problems_count(problems); i++)
        fen_problem_write(&text, problems, fen_problems_at(problems, i));
    fen_page_raw(page, text.at);
    if (fen_str_status(&text))
        fen_page_fail(page, FEN_ENOMEM);
    fen_str_free(&text);
}
