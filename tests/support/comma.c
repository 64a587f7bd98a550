/* comma.c - a locale with a decimal comma. */
#define _GNU_SOURCE /* mkdtemp, setenv */
#include "support/comma.h"

#include <locale.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "support/near.h"

#define GERMAN "de_DE.UTF-8"

static char folder[] = "/tmp/tackhold-locale-XXXXXX";
static int made;

static void make_german(void) {
    char command[200];

    assert_non_null(mkdtemp(folder));
    made = 1;
    snprintf(command, sizeof command, "localedef -c -i de_DE -f UTF-8 '%s/" GERMAN "' 2>/dev/null",
             folder);
    if (system(command) != 0) {
        print_message("localedef complained\n");
    }
    setenv("LOCPATH", folder, 1);
}

void comma(void) {
    char proof[16];

    if (!setlocale(LC_ALL, GERMAN) && !made) {
        make_german();
    }
    if (!setlocale(LC_ALL, GERMAN)) {
        fail_msg("no locale with a decimal comma: is the package \"locales\" installed?");
    }
    snprintf(proof, sizeof proof, "%.1f", 0.5);
    assert_string_equal(proof, "0,5");
}

void no_comma(void) {
    char command[80];

    setlocale(LC_ALL, "C");
    if (made) {
        snprintf(command, sizeof command, "rm -r '%s'", folder);
        unsetenv("LOCPATH");
        made = system(command) != 0;
        memcpy(strchr(folder, '\0') - 6, "XXXXXX", 6);
    }
}
