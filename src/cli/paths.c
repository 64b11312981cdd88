#include "paths.h"

#include <errno.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "util/file.h"

static bool absolute_env(fen_str *out, const char *name)
{
    const char *value = getenv(name);
    if (!value || value[0] != '/')
        return false;
    fen_str_puts(out, value);
    return true;
}

/* $VARIABLE/fenmend/REST, by default ~/DEFAULT/fenmend/REST. */
static bool xdg(fen_str *out, const char *variable, const char *usual, const char *rest)
{
    if (!absolute_env(out, variable)) {
        if (!absolute_env(out, "HOME"))
            return false;
        fen_str_printf(out, "/%s", usual);
    }
    fen_str_printf(out, "/fenmend%s", rest);
    return !fen_str_status(out);
}

bool fen_paths_state(fen_str *out)
{
    return xdg(out, "XDG_STATE_HOME", ".local/state", "");
}

/* A folder whose last pack was taken out is no rules, not rules that are missing. One that
 * cannot be read is told by whoever loads it. */
bool fen_paths_own_rules(fen_str *out)
{
    char **names;
    size_t n;
    if (!xdg(out, "XDG_DATA_HOME", ".local/share", "/rules") || !fen_file_is_folder(out->at))
        return false;
    if (fen_file_list(out->at, ".yaml", &names, &n))
        return true;
    fen_file_names_free(names, n);
    return n > 0;
}

bool fen_paths_own_pack(fen_str *out)
{
    return xdg(out, "XDG_DATA_HOME", ".local/share", "/rules/my-own.yaml");
}

bool fen_paths_settled(fen_str *out)
{
    return xdg(out, "XDG_DATA_HOME", ".local/share", "/settled.yaml");
}

fen_status fen_paths_make_room(const char *path)
{
    const char *slash = strrchr(path, '/');
    fen_str folder;
    if (!slash || slash == path)
        return FEN_OK;
    fen_str_init(&folder, 8192);
    fen_str_put(&folder, path, (size_t)(slash - path));
    fen_status st = fen_str_status(&folder);
    if (!st && !fen_file_is_folder(folder.at))
        st = fen_file_make_folders(folder.at, 0700); /* as the XDG specification asks for what is new */
    const int error = errno;
    fen_str_free(&folder);
    errno = error;
    return st;
}

/* PREFIX/share/fenmend/rules for the program at PREFIX/bin, where the system
 * tells the program's own place. */
static bool beside_program(fen_str *out)
{
    char self[4096];
    const ssize_t n = readlink("/proc/self/exe", self, sizeof self - 1);
    if (n <= 0)
        return false;
    self[n] = '\0';
    for (int up = 0; up < 2; up++) {
        char *slash = strrchr(self, '/');
        if (!slash)
            return false;
        *slash = '\0';
    }
    fen_str_printf(out, "%s/share/fenmend/rules", self);
    return !fen_str_status(out) && fen_file_is_folder(out->at);
}

bool fen_paths_shipped(fen_str *out)
{
    /* An installed tree may have been moved as a whole, so what lies beside the
     * program comes first; a program in its build tree has nothing there. */
    if (beside_program(out))
        return true;
    static const char *const places[] = {FENMEND_RULES_BUILD, FENMEND_RULES_INSTALLED};
    for (size_t i = 0; i < sizeof places / sizeof *places; i++)
        if (fen_file_is_folder(places[i])) {
            fen_str_clear(out);
            fen_str_puts(out, places[i]);
            return !fen_str_status(out);
        }
    return false;
}

void fen_paths_expand(fen_str *out, const char *name)
{
    if (name[0] == '~' && (name[1] == '/' || !name[1]) && absolute_env(out, "HOME"))
        name++;
    fen_str_puts(out, name);
}
