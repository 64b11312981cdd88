/* text_plan.c -- what to do, while the questions still go on.
 */
#include "page.h"
#include "text_verdict.h"

void fen_show_plan(fen_page *page, fen_session *s)
{
    fen_plan *plan = NULL;
    const fen_status st = fen_plan_make(s, &plan);
    if (st) {
        fen_page_fail(page, st);
        return;
    }
    fen_show_verdict_head(page, s, plan);
    if (plan->n_steps || plan->never.count)
        fen_show_verdict_plan(page, s, plan);
    else
        fen_show_text(page, "There is nothing to do yet: no cause is likely enough, and no hazard is known.");
    fen_plan_free(plan);
}
