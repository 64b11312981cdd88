/* lesson_folder.h -- a folder of one's own for tests of lessons, in which a pack, the grower's
 * own pack, the settled cases and a case may stand; after each test none of them does.
 */
#ifndef LESSON_FOLDER_H
#define LESSON_FOLDER_H

#include <errno.h>
#include <unistd.h>

#include "unit/unit.h"
#include "util/file.h"

static char folder[] = "/tmp/fenmend-lesson-XXXXXX";
static char pack_path[64], own_path[64], store_path[64], case_path[64];

static inline void put_file(const char *path, const char *text)
{
    assert_int_equal(fen_file_write(path, text, strlen(text), 0666), FEN_OK);
}

static inline void file_is(const char *path, const char *want)
{
    char *got;
    size_t len;
    assert_int_equal(fen_file_read(path, 1 << 20, &got, &len), FEN_OK);
    assert_string_equal(got, want);
    fen_free(got);
}

static inline int make_folder(void **state)
{
    (void)state;
    if (!mkdtemp(folder))
        return -1;
    snprintf(pack_path, sizeof pack_path, "%s/pack.yaml", folder);
    snprintf(own_path, sizeof own_path, "%s/own.yaml", folder);
    snprintf(store_path, sizeof store_path, "%s/settled.yaml", folder);
    snprintf(case_path, sizeof case_path, "%s/porch.yaml", folder);
    return 0;
}

static inline int clean(void **state)
{
    (void)state;
    const char *const paths[] = { pack_path, own_path, store_path, case_path };
    for (size_t i = 0; i < COUNT(paths); i++)
        if (unlink(paths[i]) && errno != ENOENT)
            return -1;
    return 0;
}

static inline int remove_folder(void **state)
{
    return clean(state) || rmdir(folder); /* fails if anything was left beside the files */
}

#define TEST(f) cmocka_unit_test_setup_teardown(f, clean, clean)

#endif
