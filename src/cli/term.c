#include "term.h"

#include <iconv.h>
#include <langinfo.h>
#include <locale.h>
#include <stdlib.h>
#include <string.h>
#include <sys/ioctl.h>
#include <termios.h>
#include <unistd.h>

#include "util/utf8.h"

enum {
    WIDTH_LEAST = 32,  /* what the views promise to cope with */
    WIDTH_USUAL = 80,  /* when nothing says otherwise */
    WIDTH_READ = 100,  /* of a window: longer lines are hard to follow */
    WIDTH_MOST = 1000  /* of COLUMNS: whoever sets it means it */
};

void fen_term_start(void)
{
    setlocale(LC_CTYPE, "");
}

static uint32_t within(unsigned long n, uint32_t most)
{
    return n < WIDTH_LEAST ? WIDTH_LEAST : n > most ? most : (uint32_t)n;
}

/* What COLUMNS says; 0: nothing. */
static uint32_t told_width(void)
{
    const char *columns = getenv("COLUMNS");
    if (!columns || *columns < '1' || *columns > '9')
        return 0;
    char *end;
    const unsigned long n = strtoul(columns, &end, 10);
    return *end ? 0 : within(n, WIDTH_MOST);
}

bool fen_term_unbounded(int fd)
{
    return !told_width() && !isatty(fd);
}

uint32_t fen_term_width(int fd)
{
    const uint32_t told = told_width();
    if (told)
        return told;
    struct winsize window;
    if (ioctl(fd, TIOCGWINSZ, &window) == 0 && window.ws_col > 0)
        return within(window.ws_col, WIDTH_READ);
    return WIDTH_USUAL;
}

bool fen_term_colour(fen_colour wish, int fd)
{
    if (wish != FEN_COLOUR_AUTO)
        return wish == FEN_COLOUR_ALWAYS;
    const char *no = getenv("NO_COLOR");
    const char *term = getenv("TERM");
    return !(no && *no) && term && *term && strcmp(term, "dumb") != 0 && isatty(fd);
}

bool fen_term_utf8(void)
{
    return strcmp(nl_langinfo(CODESET), "UTF-8") == 0;
}

/* TEXT from the locale's character set; the output is never more than four
 * bytes for each one read. */
static bool convert(fen_str *out, const char *text, size_t len)
{
    iconv_t cd = iconv_open("UTF-8", nl_langinfo(CODESET));
    if (cd == (iconv_t)-1)
        return false;
    bool ok = true;
    while (ok && len) {
        char in[64], to[4 * sizeof in], *from = in, *end = to;
        size_t left = len < sizeof in ? len : sizeof in, room = sizeof to;
        const size_t offered = left;
        memcpy(in, text, left);
        iconv(cd, &from, &left, &end, &room);
        ok = left < offered; /* a character cut at the end of IN waits for the next turn */
        fen_str_put(out, to, sizeof to - room);
        text += offered - left;
        len -= offered - left;
    }
    iconv_close(cd);
    return ok && !fen_str_status(out);
}

bool fen_term_read(fen_str *out, const char *text, size_t len)
{
    if (fen_utf8_check(text, len) != len)
        return !fen_term_utf8() && convert(out, text, len);
    fen_str_put(out, text, len);
    return !fen_str_status(out);
}

const char *fen_term_line(fen_str *text, const fen_str *bytes)
{
    if (memchr(bytes->at, '\0', bytes->len) || !fen_term_read(text, bytes->at, bytes->len))
        return NULL;
    size_t len = text->len;
    const size_t start = strspn(text->at, " \t");
    while (len > start && (text->at[len - 1] == ' ' || text->at[len - 1] == '\t'))
        text->at[--len] = '\0';
    return text->at + start;
}
