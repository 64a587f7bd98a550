/* What the program asks of the C library's heap. */
#define _DEFAULT_SOURCE

#include <malloc.h>
#include <stdint.h>
#include <stdlib.h>
#include <sys/mman.h>
#include <unistd.h>

#include "cli.h"

/* The plate takes and gives back the same few megabytes again and again: they stay with us, and in
 * large pages where there are any, as much of the time would go into fetching small ones. */
void th_cli_keep_heap(void) {
    enum { MEGABYTE = 1 << 20, AHEAD = 48 * MEGABYTE, LARGE_PAGE = 2 * MEGABYTE };
    char *volatile block; /* or the compiler sees that nothing comes of it */
    char *first;
    uintptr_t end;

    mallopt(M_MMAP_THRESHOLD, 32 * MEGABYTE);
    mallopt(M_TRIM_THRESHOLD, 1024 * MEGABYTE);
    mallopt(M_TOP_PAD, AHEAD);
    block = malloc(LARGE_PAGE); /* the heap now reaches ahead */
    if (block == NULL) {
        return;
    }
    first = block + (LARGE_PAGE - (uintptr_t)block % LARGE_PAGE);
    end = (uintptr_t)sbrk(0) / LARGE_PAGE * LARGE_PAGE;
    if ((uintptr_t)first < end && (end - (uintptr_t)first) / 2 <= AHEAD) {
        (void)madvise(first, end - (uintptr_t)first, MADV_HUGEPAGE);
    } /* else it lies elsewhere */
    free(block);
}

bool th_cli_has_room(th_error *err) {
    void *volatile block = malloc((size_t)256 * 1024);
    bool there = block != NULL;
    free(block);
    return there || th_fail_memory(err);
}

/* The sparse solver's BLAS takes a buffer of 128 MB of addresses at its first call, and tries again
 * for ever where there are none. */
bool th_cli_has_plate_room(th_error *err) {
    enum { ROOM = 136 };
    void *volatile block = malloc((size_t)ROOM << 20);
    bool there = block != NULL;
    free(block);
    return there || th_fail(err, TH_NO_MEMORY,
                            "out of memory: %d MB of addresses are wanted for a job, and are not "
                            "there (ulimit -v)",
                            (int)ROOM);
}
