/* html_plan.c -- a plan as one page: for a screen, and for one or two sheets of paper.
 *
 * Nothing is fetched and nothing runs: the style is inline, the pictures are SVG, and a
 * policy in the page forbids the rest. Everything a picture shows is in words as well.
 * The boxes beside the steps are for ticking off; nothing is sent anywhere.
 */
#include <math.h>
#include <string.h>

#include "fenmend/plan_data.h"
#include "html.h"
#include "model/caution.h"
#include "say.h"
#include "text_verdict.h"
#include "util/date.h"
#include "util/utf8.h"

enum { TITLE_NAME = 30 }; /* bytes */

static const char head[] =
    "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n"
    "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n"
    "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src 'unsafe-inline'\">\n"
    "<meta name=\"color-scheme\" content=\"light dark\">\n";

static const char style[] =
    "<style>\n"
    ":root{--page:#fcfcf9;--ink:#1c211d;--soft:#556057;--rule:#c6cdc4;--fill:#eef2ea;--leaf:#2d6a4a;--warn:#a3261c;--warnfill:#fbe9e6}\n"
    "@media (prefers-color-scheme:dark){:root{--page:#151a17;--ink:#e6eae4;--soft:#a4afa5;--rule:#3c463f;--fill:#212923;--leaf:#7cc79c;--warn:#ff9d90;--warnfill:#3a201d}}\n"
    "*{box-sizing:border-box}\n"
    "body{margin:0 auto;padding:1.2rem;max-width:48rem;background:var(--page);color:var(--ink);font:1rem/1.45 system-ui,sans-serif}\n"
    "h1{font-size:1.5rem;margin:0}h2{font-size:1.1rem;margin:1.4rem 0 .4rem;border-bottom:1px solid var(--rule)}p{margin:.3rem 0}\n"
    ".skip{position:absolute;left:-99rem}.skip:focus{left:1rem;top:.3rem;background:var(--page);padding:.3rem .6rem}\n"
    ":focus-visible{outline:3px solid var(--leaf);outline-offset:2px}\n"
    ".about{color:var(--soft)}.verdict{padding:.6rem .8rem;border-left:.4rem solid var(--leaf);background:var(--fill)}\n"
    ".verdict.urgent{border-color:var(--warn);background:var(--warnfill)}\n"
    "ol,ul{margin:.3rem 0;padding-left:1.6rem}li{margin:.35rem 0}\n"
    ".steps{list-style:none;padding:0;counter-reset:s}.steps li{display:grid;grid-template-columns:1.6rem 1fr;align-items:start}\n"
    ".steps input{width:1.1rem;height:1.1rem;margin:.18rem 0 0;accent-color:var(--leaf)}\n"
    ".steps label::before{counter-increment:s;content:counter(s) \". \"}\n"
    ".steps input:checked+label{color:var(--soft);text-decoration:line-through}\n"
    ".care{color:var(--warn);font-weight:600}.note{color:var(--soft)}\n"
    "svg{display:block;width:100%;height:auto;margin:.4rem 0;font:14px system-ui,sans-serif}\n"
    "svg text{fill:var(--ink)}svg .strong{font-weight:600}svg .small{font-size:12px;fill:var(--soft)}svg .small.strong{fill:var(--leaf)}\n"
    "svg .track{fill:var(--fill)}svg .bar{fill:var(--leaf)}svg .bar.danger{fill:var(--warn)}\n"
    "svg .line{stroke:var(--rule);fill:none}svg .flow{stroke:var(--leaf);fill:none;stroke-width:2}svg .flow.against{stroke:var(--warn);stroke-dasharray:5 4}\n"
    "svg .box{fill:var(--fill);stroke:var(--rule)}svg .box.said{fill:var(--page)}svg .box.against{stroke:var(--warn);stroke-dasharray:5 4}svg .box.cause{stroke:var(--leaf);stroke-width:2}\n"
    "svg .look{fill:var(--leaf)}svg .again{fill:var(--fill);stroke:var(--leaf);stroke-width:1.5}svg .mark{font-size:12px;font-weight:600}svg .look~.none{fill:none}\n"
    "svg circle.look+text.mark{fill:var(--page)}\n"
    "summary{cursor:pointer}dl{margin:.3rem 0}dt{font-weight:600}dd{margin:0 0 .4rem 1rem}\n"
    "footer{margin-top:1.4em;color:var(--soft);font-size:.9em}\n"
    "@page{margin:13mm}\n"
    "@media print{:root{--page:#fff;--ink:#000;--soft:#444;--rule:#999;--fill:#f2f2f2;--leaf:#255a3e;--warn:#8c1d15;--warnfill:#fff}\n"
    "body{padding:0;max-width:none;font-size:9pt;line-height:1.28}h1{font-size:14pt}h2{font-size:11pt;margin:.7rem 0 .2rem;break-after:avoid}\n"
    ".skip,details:not([open]){display:none}li,svg,dt{break-inside:avoid}li{margin:.15rem 0}svg{max-width:125mm;margin:.2rem 0}.two{columns:2;column-gap:8mm}dd{break-inside:avoid;margin-bottom:.15rem}svg{-webkit-print-color-adjust:exact;print-color-adjust:exact}}\n"
    "</style>\n";

static void put_list_open(fen_html *h, const char *title)
{
    fen_html_element(h, "h2", title);
    fen_html_raw(h, "<ul>\n");
}

/* ---- the head ---- */

/* A name of any length, cut to what a tab or a list of bookmarks shows. */
static void put_start(fen_html *h, const char *name)
{
    fen_str start;
    size_t len = 0;
    fen_str_init(&start, 256);
    while (name[len] && len < TITLE_NAME)
        len += fen_utf8_step(name + len, strlen(name + len));
    fen_str_put(&start, name, len);
    if (fen_str_status(&start))
        h->status = FEN_ENOMEM;
    fen_html_text(h, start.at);
    fen_html_raw(h, name[len] ? "\xe2\x80\xa6" : "");
    fen_str_free(&start);
}

static void put_head(fen_html *h, const fen_case *c)
{
    char date[FEN_DATE_TEXT];
    fen_date_write(date, fen_session_today(h->s));
    fen_html_raw(h, head);
    fen_html_raw(h, "<title>Plan for ");
    put_start(h, c->id);
    fen_html_rawf(h, ", %s</title>\n", date);
    fen_html_raw(h, style);
    fen_html_raw(h, "</head>\n<body>\n<a class=\"skip\" href=\"#steps\">Go to what to do</a>\n<header>\n<h1>Plan for ");
    fen_html_text(h, c->id);
    fen_html_raw(h, "</h1>\n<p class=\"about\">");
    if (c->kind != FEN_NONE) {
        fen_html_text(h, fen_base_kind(h->base, c->kind)->name);
        fen_html_raw(h, ", ");
    }
    fen_html_rawf(h, "looked at on <time datetime=\"%s\">%s</time></p>\n", date, date);
}

/* The first lines of the verdict, as the text view has them. */
static void put_verdict(fen_html *h)
{
    const bool urgent = fen_session_verdict(h->s)->urgency >= FEN_DAYS;
    size_t len;
    fen_page_clear(h->scratch);
    fen_show_verdict_head(h->scratch, h->s, h->plan);
    if (fen_page_status(h->scratch))
        h->status = FEN_ENOMEM;
    fen_html_raw(h, urgent ? "<p class=\"verdict urgent\">" : "<p class=\"verdict\">");
    fen_html_text(h, fen_page_text(h->scratch, &len));
    fen_html_raw(h, "</p>\n</header>\n<main>\n");
}

static void put_causes(fen_html *h)
{
    const fen_verdict *v = fen_session_verdict(h->s);
    if (!v->ranking.count)
        return;
    fen_html_element(h, "h2", "What it most likely is");
    fen_html_causes(h);
    fen_html_chain(h, h->plan->causes.count ? h->plan->causes.at[0] : fen_session_verdict(h->s)->ranking.at[0]);
}

/* ---- what to do ---- */

static const fen_step *step_of(const fen_html *h, const fen_plan_step *p)
{
    return &fen_base_remedy(h->base, p->remedy)->steps[p->step];
}

static void put_step_text(fen_html *h, const fen_plan_step *p)
{
    fen_str text;
    fen_str_init(&text, 1u << 20);
    fen_plan_step_text(&text, h->base, p, h->us);
    if (fen_str_status(&text))
        h->status = FEN_ENOMEM;
    fen_html_text(h, text.at);
    fen_str_free(&text);
    const fen_step *step = step_of(h, p);
    for (uint32_t i = 0; i < step->cautions.count; i++)
        fen_html_rawf(h, "%s%s%s", i ? ", " : " <span class=\"care\">Caution: ", step->cautions.at[i], i + 1 == step->cautions.count ? "</span>" : "");
}

static void put_again(fen_html *h, const fen_step *step)
{
    if (isnan(step->again))
        return;
    fen_html_raw(h, " Again after ");
    fen_say_quantity(fen_html_open(h), step->again, FEN_DIM_TIME_SPAN);
    fen_html_close(h);
    fen_html_rawf(h, step->times > 1 ? ", %u times in all." : ".", (unsigned)step->times + 1);
}

static void put_missing(fen_html *h, const fen_workings *w)
{
    if (w->done || !w->count)
        return;
    fen_html_raw(h, " <span class=\"note\">");
    for (uint32_t i = 0; i < w->missing.count; i++) {
        fen_html_raw(h, i ? ", " : "The figures wait for: ");
        fen_html_text(h, fen_base_finding(h->base, w->missing.at[i])->name);
    }
    for (uint32_t i = 0; !w->missing.count && i < w->count; i++)
        if (w->at[i].error.wrong[0]) {
            fen_html_raw(h, "No figures: ");
            fen_html_text(h, w->at[i].error.wrong);
            fen_html_raw(h, "; ");
            fen_html_text(h, w->at[i].error.right);
        }
    fen_html_raw(h, ".</span>");
}

static void put_steps(fen_html *h)
{
    unsigned n = 0;
    fen_html_raw(h, "<h2 id=\"steps\">What to do</h2>\n");
    for (size_t i = 0; i < h->plan->n_steps; i++) {
        const fen_plan_step *p = &h->plan->steps[i];
        if (p->ready < 1)
            continue;
        if (!n++)
            fen_html_raw(h, "<ol class=\"steps\">\n");
        fen_html_rawf(h, "<li><input type=\"checkbox\" id=\"step-%u\"><label for=\"step-%u\">", n, n);
        put_step_text(h, p);
        put_again(h, step_of(h, p));
        put_missing(h, &p->worked);
        fen_html_raw(h, "</label></li>\n");
    }
    fen_html_raw(h, n ? "</ol>\n" : "<p>Nothing is to be done as things stand.</p>\n");
}

static void put_measure(fen_html *h)
{
    const fen_list m = h->plan->measure;
    if (m.count)
        put_list_open(h, "Measure this, and the plan will say how much");
    for (uint32_t i = 0; i < m.count; i++) {
        const fen_finding *f = fen_base_finding(h->base, m.at[i]);
        fen_html_raw(h, "<li><b>");
        fen_html_text(h, f->name);
        fen_html_raw(h, ".</b> ");
        fen_html_text(h, f->ask);
        fen_html_raw(h, " ");
        fen_html_text(h, f->how ? f->how : "");
        fen_html_raw(h, "</li>\n");
    }
    if (m.count)
        fen_html_raw(h, "</ul>\n");
}

static void put_held(fen_html *h)
{
    bool any = false;
    for (size_t i = 0; i < h->plan->n_steps; i++) {
        const fen_plan_step *p = &h->plan->steps[i];
        if (p->ready == 1)
            continue;
        if (!any)
            put_list_open(h, "Hold back for now");
        any = true;
        fen_html_raw(h, "<li>");
        put_step_text(h, p);
        fen_html_raw(h, " <b>Only when</b> ");
        fen_say_cond(fen_html_open(h), h->base, step_of(h, p)->when);
        fen_html_close(h);
        fen_html_raw(h, p->ready < 0 ? "; that is not so now.</li>\n" : "; that is not known yet.</li>\n");
    }
    if (any)
        fen_html_raw(h, "</ul>\n");
}

static void put_left(fen_html *h)
{
    if (h->plan->n_left)
        put_list_open(h, "Left out, because it contradicts the rest");
    for (size_t i = 0; i < h->plan->n_left; i++) {
        fen_html_raw(h, "<li>&quot;");
        fen_html_text(h, fen_plan_item_text(h->base, h->plan->left[i].item));
        fen_html_raw(h, "&quot; gives way to &quot;");
        fen_html_text(h, fen_plan_item_text(h->base, h->plan->left[i].by));
        fen_html_raw(h, "&quot;</li>\n");
    }
    if (h->plan->n_left)
        fen_html_raw(h, "</ul>\n");
}

static void put_never(fen_html *h)
{
    if (h->plan->never.count)
        fen_html_raw(h, "<h2>What not to do</h2>\n<ul class=\"two\">\n");
    for (uint32_t i = 0; i < h->plan->never.count; i++)
        fen_html_element(h, "li", h->plan->never.at[i]);
    if (h->plan->never.count)
        fen_html_raw(h, "</ul>\n");
}

static void put_cautions(fen_html *h)
{
    if (!h->plan->cautions.count)
        return;
    fen_html_raw(h, "<h2>For your own safety</h2>\n<dl class=\"two\">\n");
    for (uint32_t i = 0; i < h->plan->cautions.count; i++) {
        fen_caution c;
        const bool known = fen_caution_find(h->plan->cautions.at[i], &c);
        fen_html_element(h, "dt", h->plan->cautions.at[i]);
        fen_html_element(h, "dd", known ? fen_caution_text(c) : "Take care, and follow the label and local rules.");
    }
    fen_html_raw(h, "</dl>\n");
}

/* ---- amounts ---- */

static void put_worked(fen_html *h, const fen_worked *w)
{
    const fen_reckoner *r = w->reckoner;
    char buf[FEN_RECKON_TEXT];
    fen_html_element(h, "dt", r->purpose);
    fen_html_raw(h, "<dd>");
    for (size_t i = 0; i < r->n_outputs; i++) {
        if (isnan(w->out[i]))
            continue;
        fen_reckon_show(buf, r->outputs[i].measure, r->outputs[i].choices, w->out[i], h->us);
        fen_html_rawf(h, "%s%s ", i ? ", " : "", r->outputs[i].name);
        fen_html_text(h, buf);
    }
    fen_html_raw(h, "; from");
    for (size_t i = 0, n = 0; i < r->n_inputs; i++) {
        if (!w->in[i].text && isnan(w->in[i].number))
            continue;
        if (!w->in[i].text)
            fen_reckon_show(buf, r->inputs[i].measure, r->inputs[i].choices, w->in[i].number, h->us);
        fen_html_rawf(h, "%s %s ", n++ ? "," : "", r->inputs[i].name);
        fen_html_text(h, w->in[i].text ? w->in[i].text : buf);
        fen_html_raw(h, w->in[i].given ? "" : " (usual)");
    }
    fen_html_raw(h, ". ");
    fen_html_text(h, r->formula);
    fen_html_raw(h, ". Source: ");
    fen_html_text(h, r->source);
    fen_html_raw(h, ".</dd>\n");
}

static void put_amounts(fen_html *h)
{
    bool any = false;
    for (size_t i = 0; i < h->plan->n_steps; i++) {
        const fen_workings *w = &h->plan->steps[i].worked;
        if (!w->done || h->plan->steps[i].ready < 1)
            continue;
        if (!any)
            fen_html_raw(h, "<details>\n<summary>How the amounts were worked out</summary>\n<dl>\n");
        any = true;
        for (uint32_t k = 0; k < w->count; k++)
            put_worked(h, &w->at[k]);
    }
    if (any)
        fen_html_raw(h, "</dl>\n</details>\n");
}

static void put_page(fen_html *h, const fen_case *c, const fen_dues *dues)
{
    put_head(h, c);
    put_verdict(h);
    put_steps(h);
    put_measure(h);
    put_held(h);
    put_left(h);
    put_never(h);
    fen_html_days(h, dues, fen_session_today(h->s));
    put_causes(h);
    put_cautions(h);
    put_amounts(h);
    fen_html_raw(h, "</main>\n<footer>\n<p>Made by fenmend, which ranks what may ail a plant by its rules alone and can be mistaken. "
                    "Labels, local law and those licensed for the work have the last word.</p>\n</footer>\n</body>\n</html>\n");
}

fen_status fen_html_plan(struct fen_str *out, const fen_case *c, fen_session *s, const fen_dues *dues, bool us)
{
    fen_plan *plan = NULL;
    fen_html h = { .out = out, .s = s, .base = fen_session_base(s), .us = us };
    fen_status st = fen_plan_make(s, &plan);
    if (!st)
        st = fen_page_new((fen_look){ .width = 100, .us = us }, &h.scratch);
    if (!st) {
        h.plan = plan;
        put_page(&h, c, dues);
        st = h.status ? h.status : fen_str_status(out);
    }
    fen_page_free(h.scratch);
    fen_plan_free(plan);
    return st;
}
