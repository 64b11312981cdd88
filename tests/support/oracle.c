/* oracle.c -- see oracle.h. Programs for the reasoner go to files in TMPDIR (or
 * /tmp), which are removed unless it could make nothing of them.
 */
#include "support/oracle.h"

#include <dirent.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <cmocka.h>

enum { BATCH = 250 };

bool oracle_present(const oracle *o)
{
    if (system(o->probe) == 0)
        return true;
    const char *leave = getenv("FEN_ALLOW_NO_ORACLES");
    if (leave && strcmp(leave, "1") == 0) {
        print_message("%s is not installed (Debian package %s): nothing was compared\n", o->name, o->package);
        return false;
    }
    fail_msg("%s is not installed; install Debian's %s, or set FEN_ALLOW_NO_ORACLES=1 to do without", o->name, o->package);
    return false;
}

/* ---- what the reasoner said ---- */

typedef struct told {
    uint64_t fired, holds, fails;
    uint64_t has[RB_FINDINGS];
    unsigned raised, out;
} told;

static bool note_fact(told *all, int n_bases, const char *name, const unsigned v[3], int n_values)
{
    if (n_values < 2 || v[0] >= (unsigned)n_bases)
        return false;
    told *t = &all[v[0]];
    const uint64_t bit = UINT64_C(1) << (v[1] & 63);
    if (strcmp(name, "fired") == 0)
        t->fired |= bit;
    else if (strcmp(name, "holds") == 0)
        t->holds |= bit;
    else if (strcmp(name, "fails") == 0)
        t->fails |= bit;
    else if (strcmp(name, "raised") == 0)
        t->raised |= 1u << v[1];
    else if (strcmp(name, "out") == 0)
        t->out |= 1u << v[1];
    else if (strcmp(name, "has") == 0 && n_values == 3 && v[1] < RB_FINDINGS)
        t->has[v[1]] |= UINT64_C(1) << v[2];
    else
        return false;
    return true;
}

/* "name(1,2,3)": the values, or 0 if WORD is something else. */
static int split_fact(char *word, unsigned v[3])
{
    char *at = strchr(word, '(');
    int n = 0;
    if (!at || word[strlen(word) - 1] != ')')
        return 0;
    *at++ = '\0';
    while (n < 3) {
        char *end;
        v[n++] = (unsigned)strtoul(at, &end, 10);
        if (*end == ')')
            return n;
        at = end + 1;
    }
    return 0;
}

static int read_facts(FILE *in, told *all, int n_bases)
{
    char word[128];
    int len = 0, facts = 0;
    for (int c = fgetc(in);; c = fgetc(in)) {
        const bool blank = c == EOF || c == ' ' || c == '\n' || c == '.';
        if (!blank && len < (int)sizeof word - 1) {
            word[len++] = (char)c;
            continue;
        }
        word[len] = '\0';
        unsigned v[3];
        const int n = len > 0 ? split_fact(word, v) : 0;
        facts += n > 0 && note_fact(all, n_bases, word, v, n);
        len = 0;
        if (c == EOF)
            return facts;
    }
}

static void conclude(const rb_base *b, const told *t, rb_facts *ret)
{
    memset(ret, 0, sizeof *ret);
    for (int i = 0; i < b->n_rules; i++) {
        const bool fired = t->fired >> i & 1, holds = t->holds >> i & 1, fails = t->fails >> i & 1;
        ret->rule[i] = fired ? FEN_FIRED : holds ? FEN_BEATEN : fails ? FEN_REFUTED : FEN_PENDING;
    }
    for (int i = 0; i < b->n_findings; i++)
        ret->derived[i] = b->finding[i].derived ? t->has[i] : 0;
    for (int i = 0; i < b->n_hazards; i++)
        ret->raised[i] = t->raised >> i & 1u;
    for (int i = 0; i < b->n_causes; i++)
        ret->out[i] = t->out >> i & 1u;
}

static bool write_program(const oracle *o, const rb_base *bases, int n, char *path)
{
    const int fd = mkstemp(path);
    FILE *out = fd < 0 ? NULL : fdopen(fd, "w");
    if (!out)
        return false;
    o->prelude(out);
    for (int i = 0; i < n; i++)
        o->write(&bases[i], i, out);
    o->closing(n, out);
    const bool fine = !ferror(out);
    return fclose(out) == 0 && fine;
}

bool oracle_ask(const oracle *o, const rb_base *bases, int n, rb_facts *ret_facts)
{
    char path[256], command[1024];
    const char *folder = getenv("TMPDIR");
    snprintf(path, sizeof path, "%s/fen-oracle-XXXXXX", folder ? folder : "/tmp");
    told *all = calloc((size_t)n, sizeof *all);
    if (!all || !write_program(o, bases, n, path)) {
        print_error("%s: no room for its program\n", o->name);
        free(all);
        return false;
    }
    snprintf(command, sizeof command, "%s %s", o->command, path);
    FILE *in = popen(command, "r");
    const int facts = in ? read_facts(in, all, n) : 0;
    const int status = in ? pclose(in) : -1;
    for (int i = 0; i < n; i++)
        conclude(&bases[i], &all[i], &ret_facts[i]);
    free(all);
    if (facts == 0 && n > 20)
        print_error("%s said nothing (status %d); its program is %s\n", o->name, status, path);
    else
        unlink(path);
    return facts > 0 || n <= 20;
}

/* ---- one base ---- */

static bool disagrees(const rb_base *b, void *context)
{
    const oracle *o = context;
    rb_facts want, got;
    rb_needs needs;
    rb_find_needs(b, false, &needs);
    if (!rb_stratified(b, &needs) || rb_engine_facts(b, &got) != FEN_OK)
        return false; /* another failure than the one being shrunk */
    return oracle_ask(o, b, 1, &want) && !rb_same_facts(b, &want, &got, NULL);
}

static void report(const oracle *o, const rb_base *found)
{
    static rb_base small;
    rb_facts want, got;
    char name[64];
    small = *found;
    rb_shrink(&small, disagrees, (void *)(uintptr_t)o);
    snprintf(name, sizeof name, "%s-%llu", o->name, (unsigned long long)found->seed);
    if (oracle_ask(o, &small, 1, &want) && rb_engine_facts(&small, &got) == FEN_OK)
        (void)rb_same_facts(&small, &want, &got, stderr);
    rb_keep(&small, name);
}

/* How many of N bases differ; the first is shrunk and kept. */
static int compare(const oracle *o, const rb_base *bases, int n, rb_facts *facts)
{
    int bad = 0;
    if (!oracle_ask(o, bases, n, facts))
        return n;
    for (int i = 0; i < n; i++) {
        rb_facts got;
        const fen_status st = rb_engine_facts(&bases[i], &got);
        if (st == FEN_OK && rb_same_facts(&bases[i], &facts[i], &got, bad ? NULL : stderr))
            continue;
        if (st != FEN_OK)
            print_error("seed %llu: the engine refuses a stratified base\n", (unsigned long long)bases[i].seed);
        else if (bad == 0)
            report(o, &bases[i]);
        bad++;
    }
    return bad;
}

/* The next stratified base from SEED on; half of them are the one before with
 * other answers, since a base should agree with more than one plant. */
static void next_base(rb_base *b, uint64_t *seed, int i)
{
    rb_needs needs;
    if (i % 2 == 1) {
        rb_rng r = {.state = *seed ^ UINT64_C(0x5bd1e995)};
        rb_random_answers(b, &r);
        return;
    }
    do {
        rb_generate(b, *seed, *seed % 4 == 0);
        (*seed)++;
        rb_find_needs(b, false, &needs);
    } while (!rb_stratified(b, &needs));
}

void oracle_campaign(const oracle *o, uint64_t first_seed, int count)
{
    rb_base *bases = calloc(BATCH, sizeof *bases);
    rb_facts *facts = calloc(BATCH, sizeof *facts);
    assert_non_null(bases);
    assert_non_null(facts);
    int bad = 0, fired = 0, beaten = 0;
    uint64_t seed = first_seed;
    for (int done = 0; done < count; done += BATCH) {
        for (int i = 0; i < BATCH; i++) {
            if (i > 0)
                bases[i] = bases[i - 1];
            next_base(&bases[i], &seed, i);
        }
        bad += compare(o, bases, BATCH, facts);
        for (int i = 0; i < BATCH; i++)
            for (int k = 0; k < bases[i].n_rules; k++) {
                fired += facts[i].rule[k] == FEN_FIRED;
                beaten += facts[i].rule[k] == FEN_BEATEN;
            }
    }
    free(bases);
    free(facts);
    print_message("%s: %d bases, %d rules fired, %d beaten\n", o->name, count, fired, beaten);
    assert_true(fired > count && beaten > count / 20); /* the dice still throw something worth comparing */
    assert_int_equal(bad, 0);
}

void for_each_kept(void (*f)(void *context, const rb_base *b, const char *path), void *context)
{
    static rb_base b;
    DIR *folder = opendir(FEN_TESTS_DIR "/prop/kept");
    for (const struct dirent *e; folder && (e = readdir(folder)) != NULL;) {
        char path[512];
        if (e->d_name[0] == '.' || strcmp(e->d_name, "README") == 0)
            continue;
        snprintf(path, sizeof path, FEN_TESTS_DIR "/prop/kept/%s", e->d_name);
        FILE *in = fopen(path, "r");
        if (!in || !rb_read(&b, in))
            fail_msg("%s is not a kept base", path);
        fclose(in);
        f(context, &b, path);
    }
    if (folder)
        closedir(folder);
}

typedef struct replay {
    const oracle *o;
    int bad, n;
} replay;

static void replay_one(void *context, const rb_base *b, const char *path)
{
    replay *r = context;
    rb_facts want, got;
    rb_needs needs;
    rb_find_needs(b, false, &needs);
    if (!rb_stratified(b, &needs))
        return; /* for refusal_replay */
    r->n++;
    if (oracle_ask(r->o, b, 1, &want) && rb_engine_facts(b, &got) == FEN_OK && rb_same_facts(b, &want, &got, stderr))
        return;
    print_error("%s fails again\n", path);
    r->bad++;
}

void oracle_replay(const oracle *o)
{
    replay r = {.o = o};
    for_each_kept(replay_one, &r);
    print_message("%s: %d kept bases\n", o->name, r.n);
    assert_int_equal(r.bad, 0);
}
