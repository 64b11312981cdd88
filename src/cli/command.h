/* command.h -- the table of commands, and what every command is given.
 */
#ifndef FEN_COMMAND_H
#define FEN_COMMAND_H

#include "fenmend/report.h"
#include "message.h"
#include "option.h"
#include "term.h"

/* The options that every command has. */
typedef struct fen_common {
    fen_opt_list rules;
    bool only_rules;
    int units; /* 0 metric, 1 us */
    fen_opt_date today;
    int colour; /* fen_colour */
    bool help, version;
} fen_common;

typedef struct fen_command fen_command;

typedef struct fen_run {
    const fen_command *command;
    const fen_common *common;
    void *own; /* the command's own argument struct, or NULL */
    const char *const *operands;
    uint32_t n_operands;
    fen_sink *out, *err;
} fen_run;

struct fen_command {
    const char *name;
    const char *operands;  /* as usage shows them */
    const char *does;      /* one line */
    const char *about;     /* a paragraph or more for --help */
    uint32_t least, most;  /* operands */
    const fen_opt *opts;   /* own options, or NULL */
    size_t own_size;
    fen_exit (*run)(fen_run *run);
    /* `--help OPERAND...`, or NULL if operands mean nothing there */
    fen_exit (*help_on)(const fen_run *run, fen_str *out, size_t width);
};

const fen_command *fen_command_at(size_t i); /* NULL after the last */
const fen_opt *fen_command_common(void);     /* rows of the common options */

/* How results (FD 1) or complaints (FD 2) are to look. */
fen_look fen_command_look(const fen_run *run, int fd);
/* The date of today, as told or by the clock in local time. */
int32_t fen_command_today(const fen_run *run);

/* The name of whoever is logged in, or NULL. */
const char *fen_command_author(void);

/* The whole program: read the line, run the command, check that standard output
 * took everything. */
int fen_command_main(int argc, char **argv);

/* The commands; one file each. */
extern const fen_command fen_cmd_triage, fen_cmd_check, fen_cmd_shared, fen_cmd_explain, fen_cmd_plan, fen_cmd_due, fen_cmd_vet, fen_cmd_lesson, fen_cmd_impact, fen_cmd_tune, fen_cmd_reckon;

#endif
