/* fuzz_dxf.c - no DXF may crash the reader, hang it or make it use memory without bound; an outline
 * that it accepts must be sound. */
#include "sound.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
    th_outline outline;
    th_error err = {0};

    check_sound(th_outline_dxf((const char *)data, size, "fuzz.dxf", &outline, &err), &outline,
                &err);
    th_outline_free(&outline);
    return 0;
}
