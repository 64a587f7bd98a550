/* fuzz_svg.c - no SVG may crash the reader, hang it or make it use memory without bound; an outline
 * that it accepts must be sound. Input that does not begin like XML is taken as the d attribute of
 * a path, which gets much further than XML would. */
#include "sound.h"

#include <string.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static void put_path(th_text *text, const uint8_t *data, size_t size) {
    th_text_put(text, "<svg width='200mm' viewBox='0 0 200 200'><path fill-rule='evenodd' d='");
    for (size_t i = 0; i < size; i++) {
        char c = data[i] >= ' ' && data[i] <= '~' ? (char)data[i] : ' ';
        th_text_put_n(text, strchr("<&'", c) ? " " : &c, 1);
    }
    th_text_put(text, "'/></svg>");
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
    th_outline outline;
    th_error err = {0};
    th_text text = {0};
    bool done;

    if (size > 0 && data[0] != '<' && data[0] < 0x80) {
        put_path(&text, data, size);
    } else {
        th_text_put_n(&text, (const char *)data, size);
    }
    if (!text.failed && text.data) {
        done = th_outline_svg(text.data, text.size, "fuzz.svg", &outline, &err);
        check_sound(done, &outline, &err);
        th_outline_free(&outline);
    }
    th_text_free(&text);
    return 0;
}
