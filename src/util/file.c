#include "file.h"

#include <dirent.h>
#include <errno.h>
#include <fcntl.h>
#include <limits.h>
#include <stdatomic.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "alloc.h"
#include "str.h"
#include "vec.h"

#define LINKS_MAX 40  /* as many as the kernel follows */
#define TRIES_MAX 100 /* names tried for a temporary file */

static void close_quietly(int fd)
{
    const int error = errno; /* the failure before this one is the one to tell */
    if (fd >= 0)
        close(fd);
    errno = error;
}

/* ---- reading ---- */

/* One byte over MAX is asked for, to tell "just MAX" from "more". */
static fen_status read_all(int fd, size_t hint, size_t max, char **ret_text, size_t *ret_len)
{
    size_t cap = hint < max ? hint + 2 : max + 2, len = 0;
    char *text = fen_alloc(cap);
    fen_status st = text ? FEN_OK : FEN_ENOMEM;
    while (!st) {
        if (cap - len < 2) {
            const size_t want = cap < max / 2 ? cap * 2 : max + 2;
            char *more = fen_realloc(text, want, 1);
            if (!more) {
                st = FEN_ENOMEM;
                break;
            }
            text = more;
            cap = want;
        }
        const ssize_t got = read(fd, text + len, cap - len - 1);
        if (got == 0)
            break;
        if (got < 0 && errno == EINTR)
            continue;
        if (got < 0) {
            st = errno == EISDIR ? FEN_EINPUT : FEN_EIO;
            break;
        }
        len += (size_t)got;
        if (len > max) {
            errno = EFBIG;
            st = FEN_EINPUT;
        }
    }
    if (st) {
        fen_free(text);
        return st;
    }
    text[len] = '\0';
    *ret_text = text;
    *ret_len = len;
    return FEN_OK;
}

fen_status fen_file_read(const char *path, size_t max, char **ret_text, size_t *ret_len)
{
    struct stat info;
    if (max > SIZE_MAX / 2)
        max = SIZE_MAX / 2;
    if (strcmp(path, "-") == 0)
        return read_all(STDIN_FILENO, 65536, max, ret_text, ret_len);
    const int fd = open(path, O_RDONLY | O_CLOEXEC);
    if (fd < 0)
        return FEN_EIO;
    fen_status st = fstat(fd, &info) ? FEN_EIO : FEN_OK;
    if (!st && S_ISDIR(info.st_mode)) {
        errno = EISDIR;
        st = FEN_EINPUT;
    }
    if (!st && S_ISREG(info.st_mode) && info.st_size > 0 && (uintmax_t)info.st_size > max) {
        errno = EFBIG; /* said before a byte of it is read */
        st = FEN_EINPUT;
    }
    if (!st)
        st = read_all(fd, S_ISREG(info.st_mode) ? (size_t)info.st_size : 4096, max, ret_text, ret_len);
    close_quietly(fd);
    return st;
}

/* ---- writing ---- */

static fen_status write_all(int fd, const char *text, size_t len)
{
    while (len) {
        const ssize_t put = write(fd, text, len);
        if (put < 0 && errno == EINTR)
            continue;
        if (put < 0)
            return FEN_EIO;
        text += put;
        len -= (size_t)put;
    }
    return FEN_OK;
}

/* The folder part of PATH, with its last slash; empty for the current one. */
static size_t folder_len(const char *path)
{
    const char *slash = strrchr(path, '/');
    return slash ? (size_t)(slash - path) + 1 : 0;
}

/* Follow links by hand: the target may not exist yet, and realpath(3) would
 * then refuse. OUT becomes the name of what PATH stands for. */
static fen_status follow(const char *path, fen_str *out)
{
    fen_str_clear(out);
    fen_str_puts(out, path);
    for (int i = 0; i < LINKS_MAX; i++) {
        char link[PATH_MAX];
        struct stat info;
        if (fen_str_status(out))
            return FEN_ENOMEM;
        if (lstat(out->at, &info) || !S_ISLNK(info.st_mode))
            return FEN_OK;
        const ssize_t n = readlink(out->at, link, sizeof link - 1);
        if (n < 0)
            return FEN_EIO;
        link[n] = '\0';
        if (link[0] == '/') {
            fen_str_clear(out);
        } else {
            out->len = folder_len(out->at);
            out->at[out->len] = '\0';
        }
        fen_str_puts(out, link);
    }
    errno = ELOOP;
    return FEN_EIO;
}

/* A new file beside TARGET under a name nobody else uses. O_EXCL decides who
 * was first; the counter keeps threads of one process apart. */
static int create_beside(const char *target, unsigned mode, fen_str *name)
{
    static atomic_uint counter;
    for (int i = 0; i < TRIES_MAX; i++) {
        fen_str_clear(name);
        fen_str_put(name, target, folder_len(target));
        fen_str_printf(name, ".fenmend-%ld-%u", (long)getpid(), atomic_fetch_add(&counter, 1));
        if (fen_str_status(name)) {
            errno = ENOMEM;
            return -1;
        }
        const int fd = open(name->at, O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC | O_NOFOLLOW, (mode_t)mode);
        if (fd >= 0 || errno != EEXIST)
            return fd;
    }
    return -1;
}

/* Owner and group only if we may; the mode always. */
static fen_status keep_mode(int fd, const struct stat *old)
{
    if (fchown(fd, old->st_uid, old->st_gid))
        errno = 0;
    return fchmod(fd, old->st_mode & 07777) ? FEN_EIO : FEN_OK;
}

/* A rename lasts only once its folder is on disk. Some file systems cannot
 * flush a folder and say EINVAL: then there is nothing more to do. */
static fen_status flush_folder(int folder)
{
    return fsync(folder) && errno != EINVAL ? FEN_EIO : FEN_OK;
}

static int open_folder_of(const char *target)
{
    char *folder = fen_strndup(target, folder_len(target));
    if (!folder) {
        errno = ENOMEM;
        return -1;
    }
    const int fd = open(folder[0] ? folder : ".", O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    const int error = errno;
    fen_free(folder);
    errno = error;
    return fd;
}

static fen_status fill(int fd, const char *text, size_t len, const struct stat *old)
{
    fen_status st = old ? keep_mode(fd, old) : FEN_OK;
    if (!st)
        st = write_all(fd, text, len);
    if (!st && fsync(fd))
        st = FEN_EIO;
    return st;
}

static fen_status machine_status(void)
{
    return errno == ENOMEM ? FEN_ENOMEM : FEN_EIO;
}

static fen_status replace(const char *target, const char *text, size_t len, unsigned mode, const struct stat *old)
{
    fen_str name;
    fen_status st = FEN_OK;
    int fd = -1;
    fen_str_init(&name, PATH_MAX);
    const int folder = open_folder_of(target);
    if (folder < 0)
        st = machine_status();
    if (!st) {
        fd = create_beside(target, mode, &name);
        if (fd < 0)
            st = machine_status();
    }
    if (fd >= 0) {
        st = fill(fd, text, len, old);
        if (st)
            close_quietly(fd);
        else if (close(fd))
            st = FEN_EIO;
        if (!st && rename(name.at, target))
            st = FEN_EIO;
        if (st) {
            const int error = errno;
            unlink(name.at);
            errno = error;
        } else {
            st = flush_folder(folder);
        }
    }
    close_quietly(folder);
    const int error = errno;
    fen_str_free(&name);
    errno = error;
    return st;
}

/* A device or a pipe is written to, not replaced: renaming over it would take
 * it away from everybody else. */
static fen_status write_through(const char *target, const char *text, size_t len)
{
    const int fd = open(target, O_WRONLY | O_CLOEXEC | O_NOCTTY);
    if (fd < 0)
        return FEN_EIO;
    fen_status st = write_all(fd, text, len);
    if (st)
        close_quietly(fd);
    else if (close(fd))
        st = FEN_EIO;
    return st;
}

static fen_status write_target(const char *target, const char *text, size_t len, unsigned mode)
{
    struct stat old;
    if (stat(target, &old)) {
        if (errno != ENOENT)
            return FEN_EIO;
        return replace(target, text, len, mode, NULL);
    }
    if (S_ISDIR(old.st_mode)) {
        errno = EISDIR;
        return FEN_EIO;
    }
    if (!S_ISREG(old.st_mode))
        return write_through(target, text, len);
    if (access(target, W_OK)) /* a rename would not ask: write-protected means it */
        return FEN_EIO;
    return replace(target, text, len, mode, &old);
}

fen_status fen_file_write(const char *path, const char *text, size_t len, unsigned mode)
{
    fen_str target;
    fen_str_init(&target, PATH_MAX);
    fen_status st = follow(path, &target);
    if (!st)
        st = write_target(target.at, text, len, mode);
    const int error = errno;
    fen_str_free(&target);
    errno = error;
    return st;
}

/* ---- folders ---- */

static bool ends_in(const char *name, const char *suffix)
{
    const size_t len = strlen(name), tail = strlen(suffix);
    return len > tail && strcmp(name + len - tail, suffix) == 0;
}

static bool is_regular(const char *path)
{
    struct stat info;
    return stat(path, &info) == 0 && S_ISREG(info.st_mode);
}

bool fen_file_is_folder(const char *path)
{
    struct stat info;
    return stat(path, &info) == 0 && S_ISDIR(info.st_mode);
}

bool fen_file_same(const char *a, const char *b)
{
    struct stat x, y;
    if (strcmp(a, b) == 0)
        return true;
    return stat(a, &x) == 0 && stat(b, &y) == 0 && x.st_dev == y.st_dev && x.st_ino == y.st_ino;
}

fen_status fen_file_remove(const char *path)
{
    const int folder = open_folder_of(path);
    if (folder < 0)
        return errno == ENOENT ? FEN_OK : machine_status();
    fen_status st = unlink(path) && errno != ENOENT ? FEN_EIO : FEN_OK;
    if (!st)
        st = flush_folder(folder);
    close_quietly(folder);
    return st;
}

static char *join(const char *folder, const char *name)
{
    const size_t f = strlen(folder), n = strlen(name);
    const bool slash = f && folder[f - 1] != '/';
    char *path = fen_alloc(f + slash + n + 1);
    if (path) {
        memcpy(path, folder, f);
        if (slash)
            path[f] = '/';
        memcpy(path + f + slash, name, n + 1);
    }
    return path;
}

static int by_bytes(const void *a, const void *b)
{
    return strcmp(*(char *const *)a, *(char *const *)b);
}

typedef FEN_VEC(char *) names;

/* Names with a leading dot are left out, as a shell's '*' does: editors keep
 * their locks and half-saved copies there. */
static fen_status collect(DIR *dir, const char *folder, const char *suffix, names *list)
{
    for (;;) {
        errno = 0;
        const struct dirent *entry = readdir(dir);
        if (!entry)
            return errno ? FEN_EIO : FEN_OK;
        if (entry->d_name[0] == '.' || !ends_in(entry->d_name, suffix))
            continue;
        char *path = join(folder, entry->d_name);
        if (!path)
            return FEN_ENOMEM;
        if (!is_regular(path))
            fen_free(path);
        else if (!FEN_VEC_PUSH(list, path)) {
            fen_free(path);
            return FEN_ENOMEM;
        }
    }
}

fen_status fen_file_list(const char *folder, const char *suffix, char ***ret_names, size_t *ret_count)
{
    names list = { 0 };
    DIR *dir = opendir(folder);
    if (!dir)
        return machine_status();
    const fen_status st = collect(dir, folder, suffix, &list);
    const int error = errno;
    closedir(dir);
    if (st) {
        fen_file_names_free(list.at, list.count);
        errno = error;
        return st;
    }
    if (list.count)
        qsort(list.at, list.count, sizeof *list.at, by_bytes);
    *ret_names = list.at;
    *ret_count = list.count;
    return FEN_OK;
}

void fen_file_names_free(char **list, size_t count)
{
    for (size_t i = 0; i < count; i++)
        fen_free(list[i]);
    fen_free(list);
}

static fen_status make_one(const char *folder, unsigned mode)
{
    if (mkdir(folder, (mode_t)mode) == 0 || (errno == EEXIST && fen_file_is_folder(folder)))
        return FEN_OK;
    return FEN_EIO;
}

fen_status fen_file_make_folders(const char *folder, unsigned mode)
{
    char *path = fen_strndup(folder, strlen(folder));
    if (!path)
        return FEN_ENOMEM;
    fen_status st = FEN_OK;
    for (char *p = path + 1; path[0] && *p && !st; p++) {
        if (*p != '/' || p[-1] == '/')
            continue;
        *p = '\0';
        if (!fen_file_is_folder(path)) /* a parent we may not write to is no obstacle */
            st = make_one(path, mode);
        *p = '/';
    }
    if (!st)
        st = make_one(path, mode);
    const int error = errno;
    fen_free(path);
    errno = error;
    return st;
}
