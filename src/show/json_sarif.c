/* json_sarif.c -- problems as a SARIF log (OASIS, Static Analysis Results Interchange
 * Format 2.1.0 plus errata 01), for editors and build servers.
 *
 * Our columns count characters, which SARIF calls Unicode code points. All codes stand in
 * the log as rules, so that `ruleIndex` is the code itself.
 */
#include <string.h>

#include "fenmend/vet.h"
#include "text/json_write.h"

static const char *level_of(fen_severity s)
{
    return s == FEN_ERROR ? "error" : s == FEN_WARNING ? "warning" : "note";
}

static void put_text(fen_json_out *j, const char *key, const char *text)
{
    fen_json_key(j, key);
    fen_json_open(j, '{');
    fen_json_key_text(j, "text", text);
    fen_json_close(j, '}');
}

static void put_count(fen_json_out *j, const char *key, uint32_t n)
{
    fen_json_key(j, key);
    fen_json_count(j, n);
}

static void put_rules(fen_json_out *j)
{
    fen_json_key(j, "rules");
    fen_json_open(j, '[');
    for (fen_code c = 0; c < FEN_CODE_COUNT; c++) {
        fen_json_open(j, '{');
        fen_json_key_text(j, "id", fen_code_name(c));
        put_text(j, "fullDescription", fen_code_help(c));
        fen_json_key(j, "defaultConfiguration");
        fen_json_open(j, '{');
        fen_json_key_text(j, "level", level_of(fen_code_severity(c)));
        fen_json_close(j, '}');
        fen_json_close(j, '}');
    }
    fen_json_close(j, ']');
}

static void put_tool(fen_json_out *j, const char *version)
{
    fen_json_key(j, "tool");
    fen_json_open(j, '{');
    fen_json_key(j, "driver");
    fen_json_open(j, '{');
    fen_json_key_text(j, "name", "fenmend");
    fen_json_key_text(j, "version", version);
    put_rules(j);
    fen_json_close(j, '}');
    fen_json_close(j, '}');
}

/* A path as a URI reference (RFC 3986): what is not unreserved is a percent sign and two
 * digits; a first segment with a colon would be a scheme. */
static void put_uri(fen_json_out *j, const char *path)
{
    fen_str uri;
    fen_str_init(&uri, (size_t)-2);
    if (path[0] == '/')
        fen_str_puts(&uri, "file://");
    for (const char *c = path; *c; c++) {
        const unsigned char u = (unsigned char)*c;
        const bool plain = (u >= 'a' && u <= 'z') || (u >= 'A' && u <= 'Z') || (u >= '0' && u <= '9') || (u && strchr("-._~/", u));
        if (plain)
            fen_str_putc(&uri, *c);
        else
            fen_str_printf(&uri, "%%%02X", u);
    }
    fen_json_key(j, "artifactLocation");
    fen_json_open(j, '{');
    fen_json_key_text(j, "uri", fen_str_status(&uri) ? "" : uri.at);
    fen_json_close(j, '}');
    j->text->failed |= uri.failed;
    fen_str_free(&uri);
}

static void put_region(fen_json_out *j, const char *key, fen_place place)
{
    fen_json_key(j, key);
    fen_json_open(j, '{');
    put_count(j, "startLine", place.line);
    put_count(j, "startColumn", place.column);
    put_count(j, "endColumn", place.column + place.width);
    fen_json_close(j, '}');
}

static void put_location(fen_json_out *j, const fen_problems *list, const fen_problem *p)
{
    fen_json_key(j, "locations");
    fen_json_open(j, '[');
    fen_json_open(j, '{');
    fen_json_key(j, "physicalLocation");
    fen_json_open(j, '{');
    put_uri(j, fen_problems_path(list, p->place.file));
    if (p->place.line)
        put_region(j, "region", p->place);
    fen_json_close(j, '}');
    fen_json_close(j, '}');
    fen_json_close(j, ']');
}

static void put_fix(fen_json_out *j, const fen_problems *list, const fen_problem *p)
{
    fen_json_key(j, "fixes");
    fen_json_open(j, '[');
    fen_json_open(j, '{');
    fen_json_key(j, "artifactChanges");
    fen_json_open(j, '[');
    fen_json_open(j, '{');
    put_uri(j, fen_problems_path(list, p->instead_at.file));
    fen_json_key(j, "replacements");
    fen_json_open(j, '[');
    fen_json_open(j, '{');
    put_region(j, "deletedRegion", p->instead_at);
    put_text(j, "insertedContent", p->instead);
    fen_json_close(j, '}');
    fen_json_close(j, ']');
    fen_json_close(j, '}');
    fen_json_close(j, ']');
    fen_json_close(j, '}');
    fen_json_close(j, ']');
}

static void put_message(fen_json_out *j, const fen_problem *p)
{
    fen_str text;
    fen_str_init(&text, (size_t)-2);
    fen_str_puts(&text, p->text);
    if (p->right) {
        fen_str_puts(&text, "; ");
        fen_str_puts(&text, p->right);
    }
    put_text(j, "message", fen_str_status(&text) ? p->text : text.at);
    j->text->failed |= text.failed;
    fen_str_free(&text);
}

static void put_result(fen_json_out *j, const fen_problems *list, const fen_problem *p)
{
    fen_json_open(j, '{');
    fen_json_key_text(j, "ruleId", fen_code_name(p->code));
    put_count(j, "ruleIndex", p->code);
    fen_json_key_text(j, "level", level_of(p->severity));
    put_message(j, p);
    put_location(j, list, p);
    if (p->instead)
        put_fix(j, list, p);
    fen_json_close(j, '}');
}

void fen_vet_sarif(fen_str *out, const fen_problems *problems, const char *version)
{
    fen_json_out j = fen_json_begin(out);
    fen_json_open(&j, '{');
    fen_json_key_text(&j, "$schema", "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json");
    fen_json_key_text(&j, "version", "2.1.0");
    fen_json_key(&j, "runs");
    fen_json_open(&j, '[');
    fen_json_open(&j, '{');
    put_tool(&j, version);
    fen_json_key_text(&j, "columnKind", "unicodeCodePoints");
    fen_json_key(&j, "results");
    fen_json_open(&j, '[');
    for (size_t i = 0; i < fen_problems_count(problems); i++)
        put_result(&j, problems, fen_problems_at(problems, i));
    fen_json_close(&j, ']');
    fen_json_close(&j, '}');
    fen_json_close(&j, ']');
    fen_json_close(&j, '}');
    fen_str_putc(out, '\n');
}
