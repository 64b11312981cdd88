/* Names to small numbers. */
#include "unit.h"
#include "util/intern.h"

static void the_same_name_keeps_its_number(void **state)
{
    (void)state;
    fen_intern *t = fen_intern_new();
    uint32_t a, b, c, d;
    assert_int_equal(fen_intern_add(t, "crown-rot", 9, &a), FEN_OK);
    assert_int_equal(fen_intern_add(t, "crown", 5, &b), FEN_OK);
    assert_int_equal(fen_intern_add(t, "crown-rot of the plant", 9, &c), FEN_OK); /* its first nine bytes */
    assert_int_equal(fen_intern_add(t, "", 0, &d), FEN_OK);
    assert_int_equal(a, 0);
    assert_int_equal(b, 1);
    assert_int_equal(c, a);
    assert_int_equal(d, 2);
    assert_string_equal(fen_intern_name(t, b), "crown");
    assert_string_equal(fen_intern_name(t, d), "");
    assert_int_equal(fen_intern_count(t), 3);
    fen_intern_free(t);
}

static void an_unknown_name_has_no_number(void **state)
{
    (void)state;
    fen_intern *t = fen_intern_new();
    uint32_t id;
    assert_int_equal(fen_intern_find(t, "leaf", 4), FEN_INTERN_NONE);
    assert_int_equal(fen_intern_add(t, "leaf", 4, &id), FEN_OK);
    assert_int_equal(fen_intern_find(t, "leaf", 4), 0);
    assert_int_equal(fen_intern_find(t, "lea", 3), FEN_INTERN_NONE);
    assert_int_equal(fen_intern_find(t, "leaflet", 7), FEN_INTERN_NONE);
    fen_intern_free(t);
}

static void two_hundred_thousand_names_are_found_again(void **state)
{
    (void)state;
    enum { N = 200000 };
    char name[32];
    fen_intern *t = fen_intern_new();
    for (uint32_t i = 0; i < N; i++) {
        uint32_t id;
        const int n = snprintf(name, sizeof name, "rule-%u", i);
        assert_int_equal(fen_intern_add(t, name, (size_t)n, &id), FEN_OK);
        assert_int_equal(id, i);
    }
    for (uint32_t i = 0; i < N; i++) {
        const int n = snprintf(name, sizeof name, "rule-%u", i);
        assert_int_equal(fen_intern_find(t, name, (size_t)n), i);
        assert_string_equal(fen_intern_name(t, i), name);
    }
    fen_intern_free(t);
}

static void every_byte_of_a_name_counts_in_its_hash(void **state)
{
    (void)state;
    char name[33];
    memset(name, 'a', sizeof name);
    for (size_t len = 0; len < sizeof name; len++) {
        const uint32_t hash = fen_intern_hash(name, len);
        if (len)
            assert_int_not_equal(hash, fen_intern_hash(name, len - 1));
        name[len] = 'z'; /* what stands behind it does not */
        assert_int_equal(hash, fen_intern_hash(name, len));
        name[len] = 'a';
        for (size_t i = 0; i < len; i++) {
            name[i] = 'b';
            assert_int_not_equal(hash, fen_intern_hash(name, len));
            name[i] = 'a';
        }
    }
}

static fen_status add_some(void *arg)
{
    (void)arg;
    char name[32];
    fen_intern *t = fen_intern_new();
    fen_status st = t ? FEN_OK : FEN_ENOMEM;
    for (int i = 0; i < 300 && !st; i++) {
        uint32_t id;
        const int n = snprintf(name, sizeof name, "n%d", i);
        st = fen_intern_add(t, name, (size_t)n, &id);
        if (st) /* the table is as before: the name is not in it, the one before is */
            assert_int_equal(fen_intern_find(t, name, (size_t)n), FEN_INTERN_NONE);
    }
    fen_intern_free(t);
    return st;
}

static void adding_survives_every_failed_allocation(void **state)
{
    (void)state;
    unit_refuse_each(add_some, NULL);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_same_name_keeps_its_number),
        cmocka_unit_test(an_unknown_name_has_no_number),
        cmocka_unit_test(two_hundred_thousand_names_are_found_again),
        cmocka_unit_test(every_byte_of_a_name_counts_in_its_hash),
        cmocka_unit_test(adding_survives_every_failed_allocation),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
