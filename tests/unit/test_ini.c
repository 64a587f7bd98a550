/* test_ini.c - INI text and files: what is refused, with its place, and what must be taken. All
 * values here are invented. Runs from the project's root. */
#define _GNU_SOURCE /* memmem, mkdtemp */
#include "support/near.h"

#include "tackhold/files.h"

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#include <iniparser/iniparser.h>

static char folder[64]; /* of this run; removed at its end */

static const char *in_folder(const char *name) {
    static char path[4][256];
    static int turn;

    turn = (turn + 1) % 4;
    snprintf(path[turn], sizeof path[turn], "%s/%s", folder, name);
    return path[turn];
}

static const char *put_file(const char *name, const char *text, size_t size) {
    const char *path = in_folder(name);
    FILE *file = fopen(path, "wb");

    assert_non_null(file);
    assert_int_equal(fwrite(text, 1, size, file), size);
    assert_int_equal(fclose(file), 0);
    return path;
}

static const char *put_text(const char *name, const char *text) {
    return put_file(name, text, strlen(text));
}

/* ---- refusals of the scan ---------------------------------------------------------------------
 */

typedef struct {
    const char *name;
    const char *text;
    size_t size;
    int line;
    const char *fragment;
} refusal;

#define LITERAL(text) text, sizeof(text) - 1
#define REFUSAL(name, text, line, fragment)                                                        \
    { "refused: " name, LITERAL(text), line, fragment }

static refusal refusals[] = {
    REFUSAL("byte order mark inside", "\xEF\xBB\xBF\xEF\xBB\xBF[a]\nb = 1\n", 1, "is neither"),
    REFUSAL("NUL", "[a]\nb = 1\0x\n", 2, "control character (byte 0)"),
    REFUSAL("NUL in a comment", "[a]\nb = 1\n# \0\n", 3, "control character (byte 0)"),
    REFUSAL("NUL behind the last line", "[a]\nb = 1\n\0", 3, "control character (byte 0)"),
    REFUSAL("escape", "[a]\nb = \x1B[31m\n", 2, "control character (byte 27)"),
    REFUSAL("form feed", "[a]\n\fb = 1\n", 2, "control character (byte 12)"),
    REFUSAL("delete", "[a]\nb = 1\x7F\n", 2, "control character (byte 127)"),
    REFUSAL("control character of two bytes", "[a]\nb = \xC2\x9B\n", 2, "control character"),
    REFUSAL("carriage returns only", "[a]\rb = 1\r", 1, "carriage return"),
    REFUSAL("carriage return inside a line", "[a]\nb = 1\rc = 2\n", 2, "carriage return"),
    REFUSAL("two carriage returns", "[a]\r\nb = 1\r\r\n", 2, "carriage return"),
    REFUSAL("trailing backslash", "[a]\nb = 1\\\nc = 2\n", 2, "backslash at the end"),
    REFUSAL("trailing backslash, CR LF", "[a]\r\nb = 1\\\r\nc = 2\r\n", 2, "backslash at the end"),
    REFUSAL("backslash and blanks at the end", "[a]\nb = 1\\ \t\nc = 2\n", 2, "backslash at the"),
    REFUSAL("comment with a trailing backslash", "[a]\n# no \\\nb = 1\n", 2, "backslash at the"),
    REFUSAL("comment, backslash, blank", "[a]\n; no \\ \nb = 1\n", 2, "backslash at the end"),
    REFUSAL("backslash at the end of the file", "[a]\nb = 1\nc = 2\\", 3, "backslash at the end"),
    REFUSAL("duplicate key", "[a]\nb = 1\nc = 2\nb = 1\n", 4, "the first is on line 2"),
    REFUSAL("duplicate key, other letters", "[a]\nbeta = 1\nBeTa = 2\n", 3,
            "[a] beta stands twice"),
    REFUSAL("duplicate section", "[a]\nb = 1\n[c]\nd = 1\n[a]\ne = 2\n", 5, "first is on line 1"),
    REFUSAL("duplicate section, other letters", "[ab]\nb = 1\n\n[AB]\nc = 2\n", 4, "[ab] stands"),
    REFUSAL("colon in a section", "[cut:1]\nb = 1\n", 1, "[cut:1]: a section name is made of"),
    REFUSAL("blank in a section", "[cut 1]\nb = 1\n", 1, "[cut 1]"),
    REFUSAL("no name of a section", "[a]\nb = 1\n[]\nc = 1\n", 3, "a section name is made of"),
    REFUSAL("umlaut in a section", "[\xC3\xA4]\nb = 1\n", 1, "a section name is made of"),
    REFUSAL("bracket in a section", "[a[b]\nb = 1\n", 1, "a section name is made of"),
    REFUSAL("two closing brackets", "[a]]\nb = 1\n", 1, "stands alone on its line"),
    REFUSAL("comment behind a header", "[a] ; x\nb = 1\n", 1, "stands alone on its line"),
    REFUSAL("key behind a header", "[a] b = 1\n", 1, "stands alone on its line"),
    REFUSAL("header not closed", "[a]\nb = 1\n[c\nd = 1\n", 3, "without ']'"),
    REFUSAL("section without keys", "[a]\nb = 1\n[c]\n# d = 1\n[e]\nf = 1\n", 3,
            "[c] holds no keys"),
    REFUSAL("last section without keys", "[a]\nb = 1\n[cut.2]\n", 3, "[cut.2] holds no keys"),
    REFUSAL("colon in a key", "[a]\nb:c = 1\n", 2, "\"b:c\" is no name of a key"),
    REFUSAL("blank in a key", "[a]\nchip load = 1\n", 2, "\"chip load\" is no name of a key"),
    REFUSAL("no name of a key", "[a]\n= 5\n", 2, "is no name of a key"),
    REFUSAL("key before any section", "# x\nb = 1\n[a]\nc = 1\n", 2, "before the first section"),
    REFUSAL("no equals sign", "[a]\nb 1\n", 2, "\"b 1\" is neither"),
    REFUSAL("one letter", "[a]\nb = 1\nx", 3, "\"x\" is neither"),
    REFUSAL("empty value", "[a]\nb =\n", 2, "[a] b = : the value is missing"),
    REFUSAL("blank value", "[a]\nb = \t \n", 2, "the value is missing"),
    REFUSAL("nothing in quotes", "[a]\nb = \"\"\n", 2, "nothing between the quotes"),
    REFUSAL("nothing in single quotes", "[a]\nb = ''\n", 2, "nothing between the quotes"),
    REFUSAL("semicolon in a value", "[a]\nb = 3 ; mm\n", 2, "[a] b = 3 ; mm: ';' or '#'"),
    REFUSAL("hash in a value", "[a]\nb = plate #3\n", 2, "[a] b = plate #3: ';' or '#'"),
    REFUSAL("hash as a value", "[a]\nb = #1 end mill\n", 2, "';' or '#' in a value"),
    REFUSAL("quote not closed", "[a]\nb = \"open\nc = 1\n", 2, "opened and not closed"),
    REFUSAL("single quote not closed", "[a]\nb = 'open\"\n", 2, "opened and not closed"),
    REFUSAL("lone quote", "[a]\nb = \"\n", 2, "opened and not closed"),
    REFUSAL("text after the quotes", "[a]\nb = \"x\" y\n", 2, "after the closing quote"),
    REFUSAL("comment after the quotes", "[a]\nb = \"x\" ; y\n", 2, "after the closing quote"),
    REFUSAL("quote in quotes", "[a]\nb = 'x\"y'\n", 2, "quotes within quotes"),
    REFUSAL("backslash in quotes", "[a]\nb = \"say \\\"x\\\"\"\n", 2, "backslash in quotes"),
    REFUSAL("Latin-1",
            "[a]\nb = 20 \xB0"
            "C\n",
            2, "not UTF-8"),
    REFUSAL("UTF-16", "\xFF\xFE[\0a\0]\0\n\0", 1, "not UTF-8"),
    REFUSAL("overlong UTF-8", "[a]\nb = \xC0\xAF\n", 2, "not UTF-8"),
    REFUSAL("half a UTF-16 pair", "[a]\nb = \xED\xA0\x80\n", 2, "not UTF-8"),
    REFUSAL("beyond Unicode", "[a]\nb = \xF4\x90\x80\x80\n", 2, "not UTF-8"),
    REFUSAL("UTF-8 cut off by the line", "[a]\nb = \xE2\x82\nc = 1\n", 2, "not UTF-8"),
    REFUSAL("UTF-8 cut off by the end", "[a]\nb = \xE2\x82", 2, "not UTF-8"),
    REFUSAL("no keys", "# only a comment\n", 0, "holds no keys"),
    REFUSAL("nothing", "", 0, "holds no keys"),
};

/* Scan a copy whose bounds a checker of memory sees. */
static bool scan(const char *text, size_t size, th_ini *ini, th_error *err) {
    char *copy = malloc(size ? size : 1);
    bool fine;

    assert_non_null(copy);
    memcpy(copy, text, size);
    fine = th_ini_scan(copy, size, "job.ini", TH_FROM_JOB, ini, err);
    free(copy);
    return fine;
}

static void expect_refused(const char *text, size_t size, int line, const char *fragment) {
    th_ini ini = {{NULL}, NULL, 0};
    th_error err = {TH_OK, 0, "", ""};

    assert_false(scan(text, size, &ini, &err));
    assert_int_equal(err.code, TH_BAD_SYNTAX);
    assert_string_equal(err.file, "job.ini");
    assert_int_equal(err.line, line);
    if (!strstr(err.message, fragment)) {
        fail_msg("\"%s\" is not in \"%s\"", fragment, err.message);
    }
    th_ini_free(&ini);
    assert_int_equal(ini.count, 0);
}

static void refusal_test(void **state) {
    const refusal *row = *state;
    expect_refused(row->text, row->size, row->line, row->fragment);
}

/* "[a]\nb = xxxx" whose second line has `bytes` bytes, then `end`. */
static size_t long_line(char *text, size_t bytes, const char *end) {
    size_t head = (size_t)sprintf(text, "[a]\nb = ");

    memset(text + head, 'x', bytes - 4);
    strcpy(text + head + bytes - 4, end);
    return head + bytes - 4 + strlen(end);
}

static void scan_and_read(const char *text, size_t size, th_ini *ini) {
    th_error err = {TH_OK, 0, "", ""};
    th_ini read = {{NULL}, NULL, 0};

    if (!scan(text, size, ini, &err)) {
        fail_msg("line %d: %s", err.line, err.message);
    }
    if (!th_ini_read(put_file("same.ini", text, size), TH_FROM_JOB, &read, &err)) {
        fail_msg("line %d: %s", err.line, err.message);
    }
    assert_int_equal(read.count, ini->count);
    for (size_t i = 0; i < ini->count; i++) {
        assert_string_equal(read.items[i].section, ini->items[i].section);
        assert_string_equal(read.items[i].key, ini->items[i].key);
        assert_string_equal(read.items[i].value, ini->items[i].value);
        assert_int_equal(read.items[i].line, ini->items[i].line);
    }
    th_ini_free(&read);
}

static void line_length(void **state) {
    static const char *const ends[] = {"", "\n", "\r\n"};
    char text[1000];
    (void)state;

    for (int i = 0; i < 3; i++) {
        th_ini ini = {{NULL}, NULL, 0};
        scan_and_read(text, long_line(text, 900, ends[i]), &ini);
        assert_int_equal(strlen(ini.items[0].value), 896);
        th_ini_free(&ini);
        expect_refused(text, long_line(text, 901, ends[i]), 2, "a line of 901 bytes");
    }
}

/* `count` keys in one section, or as many sections of one key each. */
static char *many(size_t count, bool sections) {
    char *text = malloc(32 * count + 16);
    size_t used = 0;

    assert_non_null(text);
    used += (size_t)sprintf(text, sections ? "" : "[a]\n");
    for (size_t i = 0; i < count; i++) {
        used += sections ? (size_t)sprintf(text + used, "[s%zu]\n", i)
                         : (size_t)sprintf(text + used, "k%zu = 1\n", i);
    }
    return text;
}

static void many_keys(void **state) {
    th_ini ini = {{NULL}, NULL, 0};
    char *most = many(2000, false), *more = many(2001, false), *sections = many(2001, true);
    (void)state;

    scan_and_read(most, strlen(most), &ini);
    assert_int_equal(ini.count, 2000);
    th_ini_free(&ini);
    expect_refused(more, strlen(more), 2002, "more than 2,000 keys");
    expect_refused(sections, strlen(sections), 2001, "more than 2,000 sections");
    free(most);
    free(more);
    free(sections);
}

static void empty_shop_section(void **state) {
    const char text[] = "[hold]\n# tape = none today\n[machine]\nid = x\n";
    th_ini ini = {{NULL}, NULL, 0};
    (void)state;

    assert_true(th_ini_scan(text, strlen(text), "shop.ini", TH_FROM_SHOP, &ini, NULL));
    assert_int_equal(ini.count, 1);
    th_ini_free(&ini);
}

/* ---- what must be taken ------------------------------------------------------------------------
 */

typedef struct {
    const char *name;
    const char *text;
    const char *section, *key, *value; /* of the last entry */
    int line;
} acceptance;

static acceptance acceptances[] = {
    {"taken: plain", "[part]\nlength = 100 mm\n", "part", "length", "100 mm", 2},
    {"taken: CR LF", "[part]\r\n\r\nlength = 100 mm\r\n", "part", "length", "100 mm", 3},
    {"taken: last line without an end", "[p]\nl = 100", "p", "l", "100", 2},
    {"taken: last line of one blank", "[p]\nl = 100\n ", "p", "l", "100", 2},
    {"taken: last comment of one character", "[p]\nl = 100\n#", "p", "l", "100", 2},
    {"taken: shortest key", "[p]\nl=1", "p", "l", "1", 2},
    {"taken: comments", "; a \\ b = \"\n# [c\n[p]\n  # x\nl = 1\n\t; y", "p", "l", "1", 5},
    {"taken: blanks", "\t[ p ] \n\t l\t=\t 1 2  \t\n", "p", "l", "1 2", 2},
    {"taken: letters fold in names only", "[Part]\nLENGTH = 5 MPa\n", "part", "length", "5 MPa", 2},
    {"taken: all letters of names", "[aZ0_.+-]\n-+._9Za = x\n", "az0_.+-", "-+._9za", "x", 2},
    {"taken: hash in quotes", "[p]\nt = \"plate #3; a\"\n", "p", "t", "plate #3; a", 2},
    {"taken: single quotes", "[p]\nt = 'plate #3'\n", "p", "t", "plate #3", 2},
    {"taken: apostrophe in quotes", "[p]\nt = \"the shop's\"\n", "p", "t", "the shop's", 2},
    {"taken: apostrophe", "[p]\nt = the shop's\n", "p", "t", "the shop's", 2},
    {"taken: blanks in quotes", "[p]\nt = \" x \"\n", "p", "t", " x ", 2},
    {"taken: inches", "[p]\nthickness = 1/16\"\n", "p", "thickness", "1/16\"", 2},
    {"taken: inches and a blank", "[p]\nl = 2-1/4 \" \n", "p", "l", "2-1/4 \"", 2},
    {"taken: inches, CR LF", "[p]\r\nl = 4\"\r\n", "p", "l", "4\"", 2},
    {"taken: inches, no line end", "[p]\nl = 4\"", "p", "l", "4\"", 2},
    {"taken: inches twice", "[p]\nsize = 1\" x 2\"\n", "p", "size", "1\" x 2\"", 2},
    {"taken: equals sign in a value", "[p]\nt = a = b\n", "p", "t", "a = b", 2},
    {"taken: bracket in a value", "[p]\nt = [x]\n", "p", "t", "[x]", 2},
    {"taken: backslash inside", "[p]\nt = a\\b\n", "p", "t", "a\\b", 2},
    {"taken: percent", "[p]\nt = 90 %s\n", "p", "t", "90 %s", 2},
    {"taken: UTF-8", "[p]\nt = 20 \xC2\xB0 \xE2\x82\xAC \xF0\x9F\x94\xA7\n", "p", "t",
     "20 \xC2\xB0 \xE2\x82\xAC \xF0\x9F\x94\xA7", 2},
    {"taken: same key in two sections", "[p]\nl = 1\n[q]\nl = 2\n", "q", "l", "2", 4},
};

/* What an editor puts in front is passed over, and counts for no line. */
static void byte_order_mark(void **state) {
    static const char *const texts[] = {"\xEF\xBB\xBF[part]\r\nl = 1\r\n",
                                        "\xEF\xBB\xBF[part]\nl = 1",
                                        "\xEF\xBB\xBF# x\n[part]\nl=1\n"};
    (void)state;

    for (size_t i = 0; i < sizeof texts / sizeof texts[0]; i++) {
        th_ini ini = {{NULL}, NULL, 0};
        scan_and_read(texts[i], strlen(texts[i]), &ini);
        assert_int_equal(ini.count, 1);
        assert_string_equal(ini.items[0].section, "part");
        assert_string_equal(ini.items[0].value, "1");
        assert_int_equal(ini.items[0].line, i < 2 ? 2 : 3);
        th_ini_free(&ini);
    }
    expect_refused("\xEF\xBB\xBF", 3, 0, "holds no keys");
}

static void acceptance_test(void **state) {
    const acceptance *row = *state;
    th_ini ini = {{NULL}, NULL, 0};
    const th_entry *last;
    dictionary *plain;
    char name[64];

    scan_and_read(row->text, strlen(row->text), &ini);
    last = &ini.items[ini.count - 1];
    assert_string_equal(last->section, row->section);
    assert_string_equal(last->key, row->key);
    assert_string_equal(last->value, row->value);
    assert_string_equal(last->file, "job.ini");
    assert_int_equal(last->line, row->line);
    assert_int_equal(last->origin, TH_FROM_JOB);
    th_ini_free(&ini);
    /* The library alone, on the file itself, gives the same value. */
    plain = iniparser_load(in_folder("same.ini"));
    assert_non_null(plain);
    snprintf(name, sizeof name, "%s:%s", row->section, row->key);
    assert_string_equal(iniparser_getstring(plain, name, "absent"), row->value);
    iniparser_freedict(plain);
}

/* ---- files -------------------------------------------------------------------------------------
 */

static void expect_unread(const char *path, th_status code, const char *shown, int line,
                          const char *fragment) {
    th_ini ini = {{NULL}, NULL, 0};
    th_error err = {TH_OK, 0, "", ""};

    assert_false(th_ini_read(path, TH_FROM_JOB, &ini, &err));
    assert_int_equal(err.code, code);
    assert_string_equal(err.file, shown);
    assert_int_equal(err.line, line);
    if (!strstr(err.message, fragment)) {
        fail_msg("\"%s\" is not in \"%s\"", fragment, err.message);
    }
    th_ini_free(&ini);
}

static void unreadable_paths(void **state) {
    const char *missing = in_folder("missing.ini"), *empty = put_text("empty.ini", "");
    (void)state;

    expect_unread(missing, TH_BAD_FILE, missing, 0, "no such file");
    expect_unread(empty, TH_BAD_FILE, empty, 0, "is empty");
    expect_unread(folder, TH_BAD_FILE, folder, 0, "is a directory");
    expect_unread("/dev/null", TH_BAD_FILE, "/dev/null", 0, "neither a plain file nor a pipe");
    expect_unread(in_folder("empty.ini/x"), TH_BAD_FILE, in_folder("empty.ini/x"), 0, "directory");
    expect_unread("", TH_BAD_FILE, "", 0, "no such file");
}

static void binary_file(void **state) {
    static const char picture[] = "\x89PNG\r\n\x1A\n\0\0\0\rIHDR";
    const char *path = put_file("picture.ini", picture, sizeof picture);
    (void)state;

    expect_unread(path, TH_BAD_SYNTAX, path, 1, "not UTF-8");
    path = put_file("program.ini",
                    "\x7F"
                    "ELF\2\1\1\0\0",
                    9);
    expect_unread(path, TH_BAD_SYNTAX, path, 1, "control character (byte 127)");
}

static void place_of_fault(void **state) {
    const char *path = put_text("fault.ini", "[a]\nb = 1\n\n# x\nc = 2 ; y\n");
    (void)state;
    expect_unread(path, TH_BAD_SYNTAX, path, 5, "';' or '#'");
}

/* A good file of exactly `size` bytes. */
static char *large(size_t size) {
    const char head[] = "[a]\nb = 1\n";
    char *text = malloc(size);

    assert_non_null(text);
    for (size_t i = 0; i < size; i++) {
        text[i] = i % 64 == 0 ? '#' : i % 64 == 63 ? '\n' : '.';
    }
    memcpy(text, head, strlen(head));
    text[strlen(head)] = '#';
    return text;
}

static void file_size(void **state) {
    char *text = large(TH_FILE_SIZE_MAX + 1);
    th_ini ini = {{NULL}, NULL, 0};
    const char *path;
    (void)state;

    scan_and_read(text, TH_FILE_SIZE_MAX, &ini);
    assert_int_equal(ini.count, 1);
    th_ini_free(&ini);
    path = put_file("large.ini", text, TH_FILE_SIZE_MAX + 1);
    expect_unread(path, TH_BAD_FILE, path, 0, "larger than 1 MiB");
    expect_refused(text, TH_FILE_SIZE_MAX + 1, 0, "larger than 1 MiB");
    free(text);
}

/* Without the right to read. Root may read everything, so a child gives root up first. */
static void no_permission(void **state) {
    const char *path = put_text("closed.ini", "[a]\nb = 1\n");
    int status = 0;
    pid_t child;
    (void)state;

    assert_int_equal(chmod(path, 0), 0);
    child = fork();
    assert_true(child >= 0);
    if (child == 0) {
        th_ini ini = {{NULL}, NULL, 0};
        th_error err = {TH_OK, 0, "", ""};
        if (geteuid() == 0 && (setgid(65534) != 0 || setuid(65534) != 0)) {
            _exit(77);
        }
        _exit(th_ini_read(path, TH_FROM_JOB, &ini, &err)  ? 1
              : err.code != TH_BAD_FILE                   ? 2
              : strcmp(err.file, path) != 0 || err.line   ? 3
              : !strstr(err.message, "Permission denied") ? 4
                                                          : 0);
    }
    assert_int_equal(waitpid(child, &status, 0), child);
    assert_true(WIFEXITED(status));
    if (WEXITSTATUS(status) == 77) {
        skip();
    }
    assert_int_equal(WEXITSTATUS(status), 0);
}

/* Let a child write into `out` and go. */
static pid_t feed(int out, const char *text, size_t size) {
    pid_t child = fork();

    assert_true(child >= 0);
    if (child == 0) {
        while (size > 0) {
            ssize_t n = write(out, text, size);
            if (n <= 0) {
                break;
            }
            text += n;
            size -= (size_t)n;
        }
        _exit(0);
    }
    return child;
}

/* th_ini_read of "-" with a pipe for standard input. */
static bool read_pipe(const char *text, size_t size, th_ini *ini, th_error *err) {
    int ends[2], saved = dup(STDIN_FILENO);
    pid_t child;
    bool fine;

    assert_int_equal(pipe(ends), 0);
    child = feed(ends[1], text, size);
    close(ends[1]);
    assert_true(dup2(ends[0], STDIN_FILENO) == STDIN_FILENO);
    close(ends[0]);
    fine = th_ini_read("-", TH_FROM_JOB, ini, err);
    if (saved >= 0) {
        dup2(saved, STDIN_FILENO);
        close(saved);
    } else {
        close(STDIN_FILENO);
    }
    assert_int_equal(waitpid(child, NULL, 0), child);
    return fine;
}

static void pipe_as_input(void **state) {
    char *text = large(TH_FILE_SIZE_MAX + 1);
    th_ini ini = {{NULL}, NULL, 0};
    th_error err = {TH_OK, 0, "", ""};
    (void)state;

    assert_true(read_pipe(text, TH_FILE_SIZE_MAX, &ini, &err));
    assert_int_equal(ini.count, 1);
    assert_string_equal(ini.items[0].value, "1");
    assert_string_equal(ini.items[0].file, "standard input");
    th_ini_free(&ini);
    assert_false(read_pipe(text, TH_FILE_SIZE_MAX + 1, &ini, &err));
    assert_int_equal(err.code, TH_BAD_FILE);
    assert_string_equal(err.file, "standard input");
    th_ini_free(&ini);
    assert_false(read_pipe("", 0, &ini, &err));
    assert_non_null(strstr(err.message, "is empty"));
    assert_false(read_pipe("[a]\nb\n", 6, &ini, &err));
    assert_string_equal(err.file, "standard input");
    assert_int_equal(err.line, 2);
    th_ini_free(&ini);
    free(text);
}

static void named_pipe(void **state) {
    const char *path = in_folder("pipe.ini");
    th_ini ini = {{NULL}, NULL, 0};
    pid_t child;
    (void)state;

    assert_int_equal(mkfifo(path, 0600), 0);
    child = fork();
    assert_true(child >= 0);
    if (child == 0) {
        int fd = open(path, O_WRONLY);
        _exit(fd < 0 || write(fd, "[a]\nb = 1\n", 10) != 10);
    }
    assert_true(th_ini_read(path, TH_FROM_JOB, &ini, NULL));
    assert_int_equal(waitpid(child, NULL, 0), child);
    assert_string_equal(ini.items[0].value, "1");
    th_ini_free(&ini);
}

/* ---- the tables --------------------------------------------------------------------------------
 */

static const char oak_plate[] = "# invented\n\n[oak]\nname = invented oak board\nadhesion = 0.5\n"
                                "wet = 0\nconductivity = 0.2 W/mK\ndensity = 700 kg/m3\n"
                                "heat_capacity = 1500 J/kgK\nsource = invented\ntrust = estimate\n";

/* A directory below the folder of this run. */
static const char *make_directory(const char *name) {
    const char *path = in_folder(name);
    assert_int_equal(mkdir(path, 0755), 0);
    return path;
}

static th_tables *load_tables(const char *first, const char *second) {
    const char *const directories[] = {first, second};
    th_tables *tables = NULL;
    th_error err = {TH_OK, 0, "", ""};

    if (!th_tables_load(directories, first && second ? 2 : first ? 1 : 0, &tables, &err)) {
        fail_msg("%s:%d: %s", err.file, err.line, err.message);
    }
    return tables;
}

static void expect_no_tables(const char *directory, th_status code, const char *file, int line,
                             const char *fragment) {
    const char *const directories[] = {directory};
    th_tables *tables = NULL;
    th_error err = {TH_OK, 0, "", ""};

    assert_false(th_tables_load(directories, 1, &tables, &err));
    assert_null(tables);
    assert_int_equal(err.code, code);
    assert_string_equal(err.file, file);
    assert_int_equal(err.line, line);
    if (!strstr(err.message, fragment)) {
        fail_msg("\"%s\" is not in \"%s\"", fragment, err.message);
    }
}

static void tables_shipped(void **state) {
    th_tables *tables = NULL;
    (void)state;

    assert_true(th_tables_load(NULL, 0, &tables, NULL));
    for (int table = 0; table < TH_TABLE_COUNT; table++) {
        assert_true(th_tables_count(tables, (th_table)table) > 0);
    }
    assert_non_null(th_tables_find(tables, TH_PLATES, "skimmed-aluminium"));
    assert_null(th_tables_find(tables, TH_PLATES, "oak"));
    th_tables_free(tables);
}

static void tables_added(void **state) {
    th_tables *plain = load_tables(NULL, NULL), *tables;
    char first[256], second[256], *softer = strdup(oak_plate);
    const th_plate *oak;
    (void)state;

    snprintf(first, sizeof first, "%s", make_directory("first"));
    snprintf(second, sizeof second, "%s", make_directory("second"));
    put_text("first/plate.ini", oak_plate);
    tables = load_tables(first, NULL);
    oak = th_tables_find(tables, TH_PLATES, "oak");
    assert_non_null(oak);
    assert_near(oak->adhesion, 0.5, 1e-15, 0);
    assert_int_equal(th_tables_count(tables, TH_PLATES), th_tables_count(plain, TH_PLATES) + 1);
    assert_int_equal(th_tables_count(tables, TH_TAPES), th_tables_count(plain, TH_TAPES));
    th_tables_free(tables);

    memcpy(strstr(softer, "adhesion = 0.5"), "adhesion = 0.3", 14);
    put_text("second/plate.ini", softer);
    tables = load_tables(first, second); /* the later directory counts */
    oak = th_tables_find(tables, TH_PLATES, "oak");
    assert_near(oak->adhesion, 0.3, 1e-15, 0);
    assert_int_equal(th_tables_count(tables, TH_PLATES), th_tables_count(plain, TH_PLATES) + 1);
    th_tables_free(tables);
    tables = load_tables(second, first);
    oak = th_tables_find(tables, TH_PLATES, "oak");
    assert_near(oak->adhesion, 0.5, 1e-15, 0);
    th_tables_free(tables);
    th_tables_free(plain);
    free(softer);
}

static void tables_replaced(void **state) {
    th_tables *plain = load_tables(NULL, NULL), *tables;
    const th_plate *before = th_tables_find(plain, TH_PLATES, "ground-steel"), *after;
    char text[sizeof oak_plate + 16], directory[256];
    (void)state;

    snprintf(directory, sizeof directory, "%s", make_directory("replaced"));
    snprintf(text, sizeof text, "[ground-steel]%s", strstr(oak_plate, "\nname"));
    put_text("replaced/plate.ini", text);
    tables = load_tables(directory, NULL);
    after = th_tables_find(tables, TH_PLATES, "ground-steel");
    assert_true(before->adhesion > 0.9);
    assert_near(after->adhesion, 0.5, 1e-15, 0);
    assert_near(after->density, 700, 1e-15, 0);
    assert_int_equal(th_tables_count(tables, TH_PLATES), th_tables_count(plain, TH_PLATES));
    th_tables_free(tables);
    th_tables_free(plain);
}

static void tables_refused(void **state) {
    char directory[256], file[300], *half = strdup(oak_plate);
    (void)state;

    snprintf(directory, sizeof directory, "%s", in_folder("nowhere"));
    expect_no_tables(directory, TH_BAD_FILE, directory, 0, "no such directory of tables");
    snprintf(directory, sizeof directory, "%s", make_directory("bare"));
    put_text("bare/notes.txt", "invented\n");
    expect_no_tables(directory, TH_BAD_FILE, directory, 0, "holds none of stock.ini");
    expect_no_tables(put_text("file", "x"), TH_BAD_FILE, in_folder("file"), 0, "no such directory");

    snprintf(directory, sizeof directory, "%s", make_directory("half"));
    snprintf(file, sizeof file, "%s/plate.ini", directory);
    *strstr(half, "density") = '#'; /* half a row */
    put_text("half/plate.ini", half);
    expect_no_tables(directory, TH_MISSING, file, 4, "[oak] has no density");
    put_text("half/plate.ini", "[oak]\nname = a\nadhesion = 2\n");
    expect_no_tables(directory, TH_BAD_RANGE, file, 3, "must be at least 0 and at most 1");
    put_text("half/plate.ini", "[oak]\nname = a\n\nadhesiom = 1\n");
    expect_no_tables(directory, TH_BAD_KEY, file, 4, "did you mean \"adhesion\"?");
    put_text("half/plate.ini", "[oak]\nname = a ; b\n");
    expect_no_tables(directory, TH_BAD_SYNTAX, file, 2, "';' or '#'");
    put_text("half/plate.ini", "");
    expect_no_tables(directory, TH_BAD_FILE, file, 0, "is empty");
    free(half);
}

static void tables_of_environment(void **state) {
    th_tables *tables = NULL;
    th_error err = {TH_OK, 0, "", ""};
    (void)state;

    setenv("TACKHOLD_MATERIALS", in_folder("nowhere"), 1);
    assert_false(th_tables_load(NULL, 0, &tables, &err));
    assert_int_equal(err.code, TH_BAD_FILE);
    assert_string_equal(err.file, in_folder("nowhere"));
    assert_non_null(strstr(err.message, "TACKHOLD_MATERIALS"));
    setenv("TACKHOLD_MATERIALS", "materials", 1);
}

/* ---- the shop's defaults and the job
 * -------------------------------------------------------------- */

static void shop_defaults(void **state) {
    char config[256];
    th_ini ini = {{NULL}, NULL, 0};
    th_error err = {TH_OK, 0, "", ""};
    (void)state;

    snprintf(config, sizeof config, "%s", make_directory("config"));
    setenv("XDG_CONFIG_HOME", config, 1);
    assert_true(th_shop_read(&ini, &err)); /* no file, no defaults */
    assert_int_equal(ini.count, 0);
    make_directory("config/tackhold");
    put_text("config/tackhold/shop.ini", "[hold]\nglue = ca-thin\n[machine]\nid = bench-mill\n");
    assert_true(th_shop_read(&ini, &err));
    assert_int_equal(ini.count, 2);
    assert_string_equal(ini.items[1].section, "machine");
    assert_int_equal(ini.items[1].origin, TH_FROM_SHOP);
    th_ini_free(&ini);
    put_text("config/tackhold/shop.ini", "[hold]\nglue\n");
    assert_false(th_shop_read(&ini, &err));
    assert_string_equal(err.file, in_folder("config/tackhold/shop.ini"));
    assert_int_equal(err.line, 2);
    th_ini_free(&ini);
    assert_int_equal(unlink(in_folder("config/tackhold/shop.ini")), 0);
    make_directory(
        "config/tackhold/shop.ini"); /* there, but not to be read: said, not passed over */
    assert_false(th_shop_read(&ini, &err));
    assert_int_equal(err.code, TH_BAD_FILE);
    assert_int_equal(rmdir(in_folder("config/tackhold/shop.ini")), 0);
    assert_int_equal(symlink("shop.ini", in_folder("config/tackhold/shop.ini")), 0); /* a loop */
    assert_false(th_shop_read(&ini, &err));
    assert_int_equal(err.code, TH_BAD_FILE);
}

static void shop_in_home(void **state) {
    char home[256];
    th_ini ini = {{NULL}, NULL, 0};
    (void)state;

    snprintf(home, sizeof home, "%s", make_directory("user"));
    make_directory("user/.config");
    make_directory("user/.config/tackhold");
    put_text("user/.config/tackhold/shop.ini", "[hold]\nglue = ca-thin\n");
    setenv("HOME", home, 1);
    unsetenv("XDG_CONFIG_HOME");
    assert_true(th_shop_read(&ini, NULL));
    assert_int_equal(ini.count, 1);
    th_ini_free(&ini);
    setenv("XDG_CONFIG_HOME", "not/absolute", 1); /* to be ignored, as the base directories say */
    assert_true(th_shop_read(&ini, NULL));
    assert_int_equal(ini.count, 1);
    th_ini_free(&ini);
    unsetenv("HOME");
    unsetenv("XDG_CONFIG_HOME");
    assert_true(th_shop_read(&ini, NULL));
    assert_int_equal(ini.count, 0);
    setenv("HOME", home, 1);
}

static const char job_text[] =
    "[job]\ntitle = invented plate\nunits = mm\n[part]\nstock = al-6061-t6\nlength = 60\n"
    "width = 40\nthickness = 1/8\"\n[hold]\ntape = crepe-masking\nglue = ca-thin\ncooling = dry\n"
    "coverage = 0.95\n[machine]\nid = bench-mill\n[cutter.six]\nid = flat-6mm-3\n[cut.1]\n"
    "operation = slot\ncutter = six\naxial = 0.5\n";

static void job_of_three_origins(void **state) {
    const char *const settings[] = {"cut.1.axial = 0.4 mm", "hold.wait=2 h"};
    const char shop_text[] = "[hold]\ncoverage = 0.5\nwait = 3 h\npressed = hand\n";
    const char *path = put_text("job.ini", job_text);
    th_tables *tables = load_tables(NULL, NULL);
    th_ini shop = {{NULL}, NULL, 0};
    th_job *job = NULL;
    (void)state;

    assert_true(th_ini_scan(shop_text, strlen(shop_text), "shop.ini", TH_FROM_SHOP, &shop, NULL));
    assert_true(th_job_read(path, &shop, settings, 2, tables, &job, NULL));
    assert_near(job->part.thickness, 3.175, 1e-12, 0);
    assert_near(job->hold.coverage, 0.95, 1e-12, 0); /* the job over the shop */
    assert_int_equal(job->hold.pressed, 2);          /* the shop over the default */
    assert_near(job->hold.wait, 7200, 1e-12, 0);     /* a setting over all */
    assert_near(job->cuts[0].axial, 0.4, 1e-12, 0);
    th_job_free(job);
    assert_true(th_job_read(path, NULL, NULL, 0, tables, &job, NULL));
    assert_near(job->hold.wait, 3600, 1e-12, 0);
    th_job_free(job);
    th_ini_free(&shop);
    th_tables_free(tables);
}

static void job_refused(void **state) {
    const char *const settings[] = {"axial"};
    const char *path = put_text("job.ini", job_text);
    th_tables *tables = load_tables(NULL, NULL);
    th_error err = {TH_OK, 0, "", ""};
    th_job *job = NULL;
    char *text = strdup(job_text);
    (void)state;

    assert_false(th_job_read(path, NULL, settings, 1, tables, &job, &err));
    assert_int_equal(err.code, TH_BAD_USAGE);
    memcpy(strstr(text, "crepe"), "crape", 5);
    path = put_text("job.ini", text);
    assert_false(th_job_read(path, NULL, NULL, 0, tables, &job, &err));
    assert_int_equal(err.code, TH_UNKNOWN_ROW);
    assert_string_equal(err.file, path);
    assert_int_equal(err.line, 10);
    assert_non_null(strstr(err.message, "did you mean \"crepe-masking\""));
    free(text);
    th_tables_free(tables);
}

/* ---- mutations ---------------------------------------------------------------------------------
 */

static unsigned random_state = 20240611;

static unsigned pick(unsigned below) {
    random_state ^= random_state << 13;
    random_state ^= random_state >> 17;
    random_state ^= random_state << 5;
    return random_state % below;
}

/* Change, take away or put in a piece that is apt to hurt. */
static size_t mutate(char *text, size_t size) {
    static const char *const pieces[] = {"\\",       "\n",    "\r",      "\"",   "'",   ";",
                                         "#",        "[",     "]",       "=",    ":",   " ",
                                         "\t",       "\\\n",  "\\ \n",   "\"\"", "a",   "\x80",
                                         "\xC3\xA4", "[a]\n", "b = 1\n", "\f",   "= \""};
    size_t at = pick((unsigned)size + 1), n;
    const char *piece = pieces[pick(sizeof pieces / sizeof pieces[0])];

    switch (pick(4)) {
    case 0: /* take away */
        n = size - at < 8 ? size - at : pick(8);
        memmove(text + at, text + at + n, size - at - n);
        return size - n;
    case 1: /* any byte */
        if (at < size) {
            text[at] = (char)pick(256);
        }
        return size;
    default:
        n = strlen(piece);
        memmove(text + at + n, text + at, size - at);
        memcpy(text + at, piece, n);
        return size + n;
    }
}

static size_t mutant(char *text) {
    static const char *const seeds[] = {
        "[a]\nb = 1\n# c\n[d]\ne = \"x #1\"\nf = 2\n",
        "; c\n[part]\r\nlength = 4\"\r\nwidth = 'x y'\r\n",
        "[cut.1]\nat = 5,5 15,5\nt = a\\b\n\n[cut.2]\nt=1\nu = \" \"\n",
        "[A]\nB = it's\nc=d=e\n#\\x\n  [ f ] \n g = [h]",
    };
    const char *seed = seeds[pick(4)];
    size_t size = strlen(seed);

    memcpy(text, seed, size);
    for (unsigned i = 1 + pick(4); i > 0; i--) {
        size = mutate(text, size);
    }
    return size;
}

/* Whatever comes in, the scan ends with entries or with a reason; and what it takes, the library
 * behind it reads alike. */
static void mutations(void **state) {
    char text[256];
    int taken = 0, refused = 0;
    (void)state;

    for (int i = 0; i < 20000; i++) {
        size_t size = mutant(text);
        th_ini ini = {{NULL}, NULL, 0};
        th_error err = {TH_OK, 0, "", ""};
        if (!scan(text, size, &ini, &err)) {
            assert_int_equal(err.code, TH_BAD_SYNTAX);
            assert_string_equal(err.file, "job.ini");
            assert_true(err.message[0] != '\0');
            refused++;
        } else if (taken++ < 2000) {
            th_ini_free(&ini);
            scan_and_read(text, size, &ini);
        }
        th_ini_free(&ini);
    }
    assert_true(taken >= 2000);
    assert_true(refused >= 2000);
}

/* ---- all ---------------------------------------------------------------------------------------
 */

static int set_up(void **state) {
    (void)state;
    snprintf(folder, sizeof folder, "/tmp/tackhold-ini-XXXXXX");
    setenv("TACKHOLD_MATERIALS", "materials", 1);
    return mkdtemp(folder) && chmod(folder, 0755) == 0 ? 0 : -1;
}

static int tear_down(void **state) {
    char command[128];
    (void)state;
    snprintf(command, sizeof command, "rm -rf '%s'", folder);
    return system(command);
}

enum { REFUSALS = sizeof refusals / sizeof refusals[0] };
enum { ACCEPTANCES = sizeof acceptances / sizeof acceptances[0] };

int main(void) {
    const struct CMUnitTest plain[] = {
        cmocka_unit_test(byte_order_mark),
        cmocka_unit_test(line_length),
        cmocka_unit_test(many_keys),
        cmocka_unit_test(empty_shop_section),
        cmocka_unit_test(unreadable_paths),
        cmocka_unit_test(binary_file),
        cmocka_unit_test(place_of_fault),
        cmocka_unit_test(file_size),
        cmocka_unit_test(no_permission),
        cmocka_unit_test(pipe_as_input),
        cmocka_unit_test(named_pipe),
        cmocka_unit_test(tables_shipped),
        cmocka_unit_test(tables_added),
        cmocka_unit_test(tables_replaced),
        cmocka_unit_test(tables_refused),
        cmocka_unit_test(tables_of_environment),
        cmocka_unit_test(shop_defaults),
        cmocka_unit_test(shop_in_home),
        cmocka_unit_test(job_of_three_origins),
        cmocka_unit_test(job_refused),
        cmocka_unit_test(mutations),
    };
    enum { PLAIN = sizeof plain / sizeof plain[0] };
    struct CMUnitTest tests[PLAIN + REFUSALS + ACCEPTANCES];

    memcpy(tests, plain, sizeof plain);
    for (size_t i = 0; i < REFUSALS; i++) {
        tests[PLAIN + i] =
            (struct CMUnitTest){refusals[i].name, refusal_test, NULL, NULL, &refusals[i]};
    }
    for (size_t i = 0; i < ACCEPTANCES; i++) {
        tests[PLAIN + REFUSALS + i] =
            (struct CMUnitTest){acceptances[i].name, acceptance_test, NULL, NULL, &acceptances[i]};
    }
    return _cmocka_run_group_tests("ini", tests, sizeof tests / sizeof tests[0], set_up, tear_down);
}
