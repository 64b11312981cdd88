/* prompt_state.h -- what the prompt remembers; shared by prompt.c and the
 * functions of its words (prompt_words.c), and by nobody else.
 */
#ifndef FEN_PROMPT_STATE_H
#define FEN_PROMPT_STATE_H

#include "prompt.h"
#include "util/vec.h"

/* One thing that `back` can undo, with the question it answered. */
typedef struct fen_undo {
    fen_id finding;
    fen_answer before;
    bool skipped_before;
    bool skip;          /* it was passed over, not answered */
    bool joined;        /* it was the first answer to this finding: the last of `order` */
    fen_question asked; /* finding FEN_NONE: none was open */
    bool open;
} fen_undo;

struct fen_prompt {
    fen_prompt_setup set;
    const fen_base *base;
    fen_session *s;
    fen_page *page;
    fen_look look;        /* PAGE's */

    fen_question q;       /* what is asked, or could be asked still */
    bool open;            /* it was asked and waits for its answer */
    bool fresh;           /* it is the last thing shown */
    fen_urgency warned;   /* how urgent it was said to be */
    bool judged;          /* a verdict was shown ... */
    bool judged_now;      /* ... for the answers as they are */
    uint64_t judged_mark; /* what it was */
    bool told_what_is_left;
    bool told_progress;    /* since the last visit; once all that was promised is looked at */

    FEN_VEC(fen_undo) undo;
    FEN_VEC(fen_id) order; /* findings answered, in order */
    uint32_t kept;         /* depth of `undo` when the case was loaded or kept; UINT32_MAX: below it by now */
    fen_str file;          /* where `keep` writes when no file is named; empty: nowhere yet */
    fen_str refused_file;  /* the name that `keep` has just refused to replace */

    fen_id settled;        /* what `lesson` was told that it turned out to be, or FEN_NONE: as the case says */
    bool learnt;           /* a rule that these rules do not have yet */
    bool teaching;         /* the dialogue about a lesson reads the lines */

    uint32_t line;         /* lines read */
    bool leave;
    fen_exit exit;
};

/* A blank line before what is longer than a line. */
void fen_prompt_part(fen_prompt *p);
/* Show what is on the page, and clear it. */
void fen_prompt_flush(fen_prompt *p);
/* Refuse the present line: "what is wrong; what would be right". */
void fen_prompt_refuse(fen_prompt *p, const char *format, ...) FEN_PRINTF(2, 3);
/* The machine failed; WHAT (or NULL) it was doing; ERROR is the errno of FEN_EIO. */
void fen_prompt_fault(fen_prompt *p, const char *what, fen_status st, int error);
/* Refuse it for what is wrong with a file. */
void fen_prompt_problems(fen_prompt *p, const fen_problems *problems);
/* A line that is neither result nor complaint. */
void fen_prompt_tell(fen_prompt *p, const char *format, ...) FEN_PRINTF(2, 3);

/* Read TEXT as FINDING's answer; false: refused, and said so. */
/* fen_answer_read, and for the kind of plant its number in the list last shown. */
fen_status fen_prompt_parse(const fen_prompt *p, fen_id finding, const char *text, fen_answer *ret_answer, char reterr[256]);
bool fen_prompt_read_answer(fen_prompt *p, fen_id finding, const char *text, fen_answer *ret_answer);
/* Take an answer, say what was understood, and ask on. */
void fen_prompt_take(fen_prompt *p, fen_id finding, fen_answer a);
/* Pass over the open question. */
void fen_prompt_skip(fen_prompt *p);
/* Undo one answer or skip, and ask its question again. */
void fen_prompt_back(fen_prompt *p);
/* The open question, or the one that could be asked still, which opens it. */
void fen_prompt_show_question(fen_prompt *p);
/* What the prompt can still do when nothing needs asking. */
void fen_prompt_say_what_is_left(fen_prompt *p);
/* Ask the best next question, or say the verdict if it is time. */
void fen_prompt_ask_on(fen_prompt *p);
void fen_prompt_verdict(fen_prompt *p);

#endif
