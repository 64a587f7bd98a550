#include "utf8.h"

/* Least and greatest second byte after a lead byte: shuts out overlong forms and surrogates. */
static size_t lead_length(unsigned char lead, unsigned char *least, unsigned char *greatest) {
    *least = 0x80;
    *greatest = 0xbf;
    if (lead < 0x80) {
        return 1;
    }
    if (lead >= 0xc2 && lead <= 0xdf) {
        return 2;
    }
    if (lead >= 0xe0 && lead <= 0xef) {
        *least = lead == 0xe0 ? 0xa0 : 0x80;
        *greatest = lead == 0xed ? 0x9f : 0xbf;
        return 3;
    }
    if (lead >= 0xf0 && lead <= 0xf4) {
        *least = lead == 0xf0 ? 0x90 : 0x80;
        *greatest = lead == 0xf4 ? 0x8f : 0xbf;
        return 4;
    }
    return 0;
}

size_t th_utf8_length(const char *text) {
    const unsigned char *bytes = (const unsigned char *)text;
    unsigned char least, greatest;
    size_t length = lead_length(bytes[0], &least, &greatest);
    for (size_t i = 1; i < length; i++) {
        if (bytes[i] < least || bytes[i] > greatest) {
            return 0;
        }
        least = 0x80;
        greatest = 0xbf;
    }
    return length;
}

size_t th_utf8_width(const char *text, size_t bytes) {
    size_t width = 0;
    for (size_t i = 0; i < bytes; width++) {
        size_t length = th_utf8_length(text + i);
        i += length == 0 ? 1 : length;
    }
    return width;
}
