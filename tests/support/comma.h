/* comma.h - a locale with a decimal comma, as a host program may have set one. */
#ifndef TACKHOLD_TESTS_COMMA_H
#define TACKHOLD_TESTS_COMMA_H

/* Sets it, made by localedef in a folder of its own where none is installed; fails the running test
 * where that cannot be done. Undone by no_comma(). */
void comma(void);
void no_comma(void);

#endif
