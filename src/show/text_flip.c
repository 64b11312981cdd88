/* text_flip.c -- the fewest answers that would have to be otherwise for another
 * cause to lead.
 */
#include "say.h"
#include "text_parts.h"

void fen_show_flip(fen_page *page, fen_session *s, const fen_flip *f)
{
    const fen_base *base = fen_session_base(s);
    if (f->from != FEN_NONE)
        fen_page_line(page, 0, FEN_TONE_PLAIN, "Most likely now: %s.", fen_say_name_of_cause(base, f->from));
    if (f->n_changes) {
        fen_show_part_flip(page, s, f, 0);
        if (f->n_changes > 1)
            fen_page_line(page, 0, FEN_TONE_PLAIN, "%s", f->exhaustive ? "No smaller change would do it."
                                                                       : "A smaller change was not found, but not all were tried.");
    } else {
        fen_page_line(page, 0, FEN_TONE_PLAIN, "%s",
                      f->exhaustive ? "No change of up to three of your answers would make another cause the most likely."
                                    : "No few answers were found that would make another cause the most likely; not all were tried.");
    }
    fen_page_line(page, 0, FEN_TONE_DIM, "Answers still to be given are not counted here; '?' at a question tells what they would do.");
}
