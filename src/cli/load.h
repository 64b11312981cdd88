/* load.h -- the rules and the case that a command line means, with the complaints
 * printed.
 */
#ifndef FEN_LOAD_H
#define FEN_LOAD_H

#include "command.h"

/* The packs meant: shipped, the grower's own, those of --rules, then MORE (e.g. vet's
 * operands). That there are none at all is told, too. */
typedef FEN_VEC(char *) fen_load_paths;
fen_exit fen_load_list(const fen_run *run, const char *const *more, size_t n_more, fen_load_paths *ret_paths);
void fen_load_paths_free(fen_load_paths *paths);

/* The packs in PATHS as a base, with what is wrong printed as below. */
fen_exit fen_load_packs(const fen_run *run, const fen_load_paths *paths, fen_base **ret_base);

/* Load the base; problems are printed to standard error (warnings only as a count: `vet`
 * shows them). */
fen_exit fen_load_base(const fen_run *run, fen_base **ret_base);

/* Load a case and open a session at its last visit with its answers. */
fen_exit fen_load_case(const fen_run *run, const fen_base *base, const char *path, fen_case **ret_case, fen_session **ret_session);

/* The same for a file of many cases in any format that 'check' reads, or standard input ("-"): the
 * case called ID, or the only one if ID is NULL. */
fen_exit fen_load_one(const fen_run *run, const fen_base *base, const char *path, const char *id, fen_case **ret_case,
                      fen_session **ret_session);
/* Open a session at the last visit of C, which was read from PATH. */
fen_exit fen_load_answers(const fen_run *run, const fen_base *base, const char *path, const fen_case *c, fen_session **ret_session);

/* Print problems in the standard form to SINK, which goes to FD. */
fen_status fen_load_print(const fen_run *run, const fen_problems *problems, fen_sink *sink, int fd);

#endif
