/* yaml_write.c -- libyaml's emitter behind our own small face.
 *
 * Traps: the emitter writes an empty text as nothing, which our reader takes for
 * "nothing was written", so it is quoted here; `~` likewise. With a line width
 * set it folds long plain texts, which is legal and ugly in a diff: no width.
 * Block texts keep leading blanks and trailing blanks badly: those are quoted.
 * libyaml's own memory does not come through util/alloc; its failures do.
 */
#include "yaml_write.h"

#include <assert.h>
#include <string.h>

#include <yaml.h>

#include "util/alloc.h"
#include "util/limits.h"
#include "util/utf8.h"

struct fen_yaml_out {
    yaml_emitter_t emitter;
    fen_str *text;
    fen_status status;
    unsigned depth;
    bool is_map[FEN_DEPTH_MAX];
};

static int append(void *data, unsigned char *bytes, size_t len)
{
    fen_yaml_out *out = data;
    fen_str_put(out->text, (const char *)bytes, len);
    return fen_str_status(out->text) == FEN_OK;
}

/* EVENT was initialised if MADE; libyaml frees it whatever happens. */
static void emit(fen_yaml_out *out, yaml_event_t *event, int made)
{
    if (out->status && made)
        yaml_event_delete(event);
    else if (!out->status && (!made || !yaml_emitter_emit(&out->emitter, event)))
        out->status = FEN_ENOMEM;
}

static void begin(fen_yaml_out *out)
{
    yaml_event_t event;
    emit(out, &event, yaml_stream_start_event_initialize(&event, YAML_UTF8_ENCODING));
    emit(out, &event, yaml_document_start_event_initialize(&event, NULL, NULL, NULL, 1));
}

fen_status fen_yaml_out_new(fen_str *text, fen_yaml_out **ret_out)
{
    fen_yaml_out *out = fen_calloc(1, sizeof *out);
    if (!out)
        return FEN_ENOMEM;
    if (!yaml_emitter_initialize(&out->emitter)) {
        fen_free(out);
        return FEN_ENOMEM;
    }
    out->text = text;
    yaml_emitter_set_output(&out->emitter, append, out);
    yaml_emitter_set_unicode(&out->emitter, 1);
    yaml_emitter_set_width(&out->emitter, -1);
    yaml_emitter_set_indent(&out->emitter, 2);
    begin(out);
    *ret_out = out;
    return FEN_OK;
}

void fen_yaml_out_free(fen_yaml_out *out)
{
    if (!out)
        return;
    yaml_emitter_delete(&out->emitter);
    fen_free(out);
}

static void push(fen_yaml_out *out, bool map)
{
    assert(out->depth < FEN_DEPTH_MAX); /* our own callers nest four deep */
    out->is_map[out->depth++] = map;
}

void fen_yaml_out_map(fen_yaml_out *out, bool flow)
{
    yaml_event_t event;
    push(out, true);
    emit(out, &event, yaml_mapping_start_event_initialize(
                          &event, NULL, NULL, 1, flow ? YAML_FLOW_MAPPING_STYLE : YAML_BLOCK_MAPPING_STYLE));
}

void fen_yaml_out_list(fen_yaml_out *out, bool flow)
{
    yaml_event_t event;
    push(out, false);
    emit(out, &event, yaml_sequence_start_event_initialize(
                          &event, NULL, NULL, 1, flow ? YAML_FLOW_SEQUENCE_STYLE : YAML_BLOCK_SEQUENCE_STYLE));
}

void fen_yaml_out_end(fen_yaml_out *out)
{
    yaml_event_t event;
    assert(out->depth > 0);
    if (out->is_map[--out->depth])
        emit(out, &event, yaml_mapping_end_event_initialize(&event));
    else
        emit(out, &event, yaml_sequence_end_event_initialize(&event));
}

static bool blank(char c)
{
    return c == ' ' || c == '\t' || c == '\n' || c == '\r';
}

/* May TEXT stand as a block of lines? Only where every reader agrees on it. */
static bool fits_block(const char *text, size_t len)
{
    if (blank(text[0]) || blank(text[len - 1]))
        return false;
    for (size_t i = 0; i < len; i++) {
        if (((unsigned char)text[i] < 0x20 && text[i] != '\n') || text[i] == 0x7f)
            return false;
        if (text[i] == '\n' && (blank(text[i - 1]) || blank(text[i + 1])))
            return false;
    }
    return true;
}

/* Line ends that only some readers see: NEL, LS, PS, and the byte order mark. */
static bool has_odd_breaks(const char *text)
{
    return strstr(text, "\xc2\x85") || strstr(text, "\xe2\x80\xa8") || strstr(text, "\xe2\x80\xa9") ||
           strstr(text, "\xef\xbb\xbf");
}

static yaml_scalar_style_t style_for(const char *text, size_t len)
{
    if (len == 0 || strcmp(text, "~") == 0 || has_odd_breaks(text))
        return YAML_DOUBLE_QUOTED_SCALAR_STYLE;
    if (!strchr(text, '\n'))
        return YAML_ANY_SCALAR_STYLE;
    return fits_block(text, len) ? YAML_LITERAL_SCALAR_STYLE : YAML_DOUBLE_QUOTED_SCALAR_STYLE;
}

void fen_yaml_out_text(fen_yaml_out *out, const char *text)
{
    const size_t len = strlen(text);
    yaml_event_t event;
    if (out->status)
        return;
    if (fen_utf8_check(text, len) != len) {
        out->status = FEN_EINPUT;
        return;
    }
    emit(out, &event, yaml_scalar_event_initialize(&event, NULL, NULL, (const yaml_char_t *)text, (int)len, 1, 1,
                                                   style_for(text, len)));
}

fen_status fen_yaml_out_finish(fen_yaml_out *out)
{
    yaml_event_t event;
    assert(out->depth == 0);
    emit(out, &event, yaml_document_end_event_initialize(&event, 1));
    emit(out, &event, yaml_stream_end_event_initialize(&event));
    if (!out->status && !yaml_emitter_flush(&out->emitter))
        out->status = FEN_ENOMEM;
    return out->status ? out->status : fen_str_status(out->text);
}
