/* status.c - the one list of status codes as texts and exit codes. */
#include "tackhold/base.h"

typedef struct {
    const char *text;
    int exit_code;
} status_row;

static const status_row rows[] = {
#define STATUS_ROW(name, text, code) {text, code},
    TH_STATUS_LIST(STATUS_ROW)
#undef STATUS_ROW
};

/* The enumeration may be signed or not; one unsigned comparison covers values outside it. */
static const status_row *row_of(th_status status) {
    static const status_row unknown = {"unknown status", 3};
    size_t index = (size_t)status;

    return index < sizeof rows / sizeof rows[0] ? &rows[index] : &unknown;
}

const char *th_status_text(th_status status) {
    return row_of(status)->text;
}

int th_status_exit(th_status status) {
    return row_of(status)->exit_code;
}
