/* test_files_write.c - a file is written whole or not at all. */
#define _GNU_SOURCE /* mkdtemp */
#include "support/near.h"

#include "tackhold/files.h"

#include <dirent.h>
#include <errno.h>
#include <limits.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

static char folder[64];

static const char *in_folder(const char *name) {
    static char path[4][600];
    static int turn;

    turn = (turn + 1) % 4;
    snprintf(path[turn], sizeof path[turn], "%s/%s", folder, name);
    return path[turn];
}

/* Names in a directory but "." and "..". */
static int count_names(const char *directory) {
    DIR *open = opendir(directory);
    int count = -2;

    assert_non_null(open);
    while (readdir(open)) {
        count++;
    }
    closedir(open);
    return count;
}

static void expect_content(const char *path, const char *content) {
    char text[200] = "";
    FILE *file = fopen(path, "rb");

    assert_non_null(file);
    text[fread(text, 1, sizeof text - 1, file)] = '\0';
    fclose(file);
    assert_string_equal(text, content);
}

static bool write_text(const char *path, const char *text, bool replace, th_error *err) {
    *err = (th_error){TH_OK, 0, "", ""};
    return th_file_write(path, text, strlen(text), replace, err);
}

static void expect_unwritten(const char *path, bool replace, const char *fragment) {
    th_error err;

    assert_false(write_text(path, "new", replace, &err));
    /* a folder that is not there is the user's to name */
    assert_int_equal(err.code,
                     strcmp(fragment, "there is no folder") == 0 ? TH_BAD_FILE : TH_NOT_WRITTEN);
    assert_int_equal(err.line, 0);
    assert_true(strncmp(err.file, path, sizeof err.file - 1) == 0);
    if (!strstr(err.message, fragment)) {
        fail_msg("\"%s\" is not in \"%s\"", fragment, err.message);
    }
}

static void new_file(void **state) {
    mode_t mask = umask(027);
    struct stat info;
    th_error err;
    (void)state;

    assert_true(write_text(in_folder("a"), "one\n", false, &err));
    expect_content(in_folder("a"), "one\n");
    assert_int_equal(stat(in_folder("a"), &info), 0);
    assert_int_equal(info.st_mode & 0777, 0640);
    assert_int_equal(info.st_nlink, 1);
    assert_int_equal(count_names(folder), 1);
    assert_true(write_text(in_folder("empty"), "", false, &err));
    expect_content(in_folder("empty"), "");
    umask(mask);
}

static void every_byte(void **state) {
    static char text[300000], back[sizeof text + 1];
    FILE *file;
    (void)state;

    for (size_t i = 0; i < sizeof text; i++) {
        text[i] = (char)(i * 7);
    }
    assert_true(th_file_write(in_folder("large"), text, sizeof text, false, NULL));
    file = fopen(in_folder("large"), "rb");
    assert_non_null(file);
    assert_int_equal(fread(back, 1, sizeof back, file), sizeof text);
    fclose(file);
    assert_memory_equal(back, text, sizeof text);
}

/* Whoever has the old file open still reads the old text: it was not written over. */
static void replaced(void **state) {
    char text[10] = "";
    FILE *old;
    th_error err;
    (void)state;

    assert_true(write_text(in_folder("a"), "old", false, &err));
    old = fopen(in_folder("a"), "rb");
    assert_non_null(old);
    assert_true(write_text(in_folder("a"), "newer", true, &err));
    assert_int_equal(fread(text, 1, sizeof text - 1, old), 3);
    fclose(old);
    assert_string_equal(text, "old");
    expect_content(in_folder("a"), "newer");
    assert_int_equal(count_names(folder), 1);
}

static void not_replaced(void **state) {
    th_error err;
    (void)state;

    assert_true(write_text(in_folder("a"), "old", false, &err));
    expect_unwritten(in_folder("a"), false, "it exists already");
    expect_content(in_folder("a"), "old");
    assert_int_equal(count_names(folder), 1);
    /* A name is taken even where nothing can be opened under it. */
    assert_int_equal(symlink("nowhere", in_folder("link")), 0);
    expect_unwritten(in_folder("link"), false, "it exists already");
    assert_int_equal(count_names(folder), 2);
}

static void in_current_directory(void **state) {
    char before[PATH_MAX];
    th_error err;
    (void)state;

    assert_non_null(getcwd(before, sizeof before));
    assert_int_equal(chdir(folder), 0);
    assert_true(write_text("plain", "x", false, &err));
    assert_int_equal(chdir(before), 0);
    expect_content(in_folder("plain"), "x");
}

static void bad_places(void **state) {
    th_error err;
    char name[400];
    static char path[PATH_MAX + 100];
    (void)state;

    expect_unwritten(in_folder("nowhere/a"), true, "there is no folder");
    expect_unwritten(in_folder("nowhere/a"), false, "there is no folder");
    assert_int_equal(count_names(folder), 0);
    expect_unwritten("", true, "not written");
    expect_unwritten(folder, true, "it is a directory");
    assert_int_equal(count_names(folder), 0);
    memset(name, 'n', sizeof name - 1);
    name[sizeof name - 1] = '\0';
    expect_unwritten(in_folder(name), true, "too long");
    memset(path, 'p', sizeof path - 1);
    path[0] = '/';
    expect_unwritten(path, true, "its name is too long");
    assert_int_equal(count_names(folder), 0);
    assert_true(write_text(in_folder("a"), "x", false, &err));
    expect_unwritten(in_folder("a/b"), true, "Not a directory");
    assert_int_equal(count_names(folder), 1);
}

/* A pipe or a device must not be replaced by a file. */
static void no_plain_file(void **state) {
    struct stat info;
    (void)state;

    assert_int_equal(mkfifo(in_folder("pipe"), 0600), 0);
    expect_unwritten(in_folder("pipe"), true, "no plain file");
    expect_unwritten(in_folder("pipe"), false, "it exists already");
    assert_int_equal(stat(in_folder("pipe"), &info), 0);
    assert_true(S_ISFIFO(info.st_mode));
    assert_int_equal(count_names(folder), 1);
    assert_int_equal(symlink("/dev/full", in_folder("full")), 0); /* the device is never touched */
    expect_unwritten(in_folder("full"), true, "no plain file");
    assert_int_equal(count_names(folder), 2);
}

/* The verdict of a child that tries to write under a hindrance: 0 refused as it should be, 77 the
 * hindrance could not be put up. */
static int try_in_child(bool (*hinder)(void), const char *path, size_t size) {
    int status = 0;
    pid_t child = fork();

    assert_true(child >= 0);
    if (child == 0) {
        char *text = calloc(1, size);
        th_error err = {TH_OK, 0, "", ""};
        if (!text || !hinder()) {
            _exit(77);
        }
        _exit(th_file_write(path, text, size, true, &err) ? 1
              : err.code != TH_NOT_WRITTEN                ? 2
              : strcmp(err.file, path) != 0               ? 3
                                                          : 0);
    }
    assert_int_equal(waitpid(child, &status, 0), child);
    assert_true(WIFEXITED(status));
    return WEXITSTATUS(status);
}

/* Writes fail from the 4096th byte on, as on a full disk. */
static bool limit_size(void) {
    struct rlimit limit = {4096, 4096};
    return signal(SIGXFSZ, SIG_IGN) != SIG_ERR && setrlimit(RLIMIT_FSIZE, &limit) == 0;
}

static void disk_full(void **state) {
    th_error err;
    (void)state;

    assert_true(write_text(in_folder("a"), "old", false, &err));
    assert_int_equal(try_in_child(limit_size, in_folder("a"), 100000), 0);
    expect_content(in_folder("a"), "old");
    assert_int_equal(try_in_child(limit_size, in_folder("b"), 100000), 0);
    assert_int_equal(count_names(folder), 1);
}

/* The same for a program that does not ignore the signal: it ends, but not before it has tidied up.
 */
static void disk_full_with_signal(void **state) {
    int status;
    pid_t child = fork();
    (void)state;

    assert_true(child >= 0);
    if (child == 0) {
        struct rlimit limit = {4096, 4096}, no_core = {0, 0};
        static char text[100000];
        th_error err = {TH_OK, 0, "", ""};
        signal(SIGXFSZ, SIG_DFL);
        if (setrlimit(RLIMIT_CORE, &no_core) == 0 && setrlimit(RLIMIT_FSIZE, &limit) == 0) {
            th_file_write(in_folder("a"), text, sizeof text, true, &err);
        }
        _exit(1);
    }
    assert_int_equal(waitpid(child, &status, 0), child);
    assert_true(WIFSIGNALED(status));
    assert_int_equal(WTERMSIG(status), SIGXFSZ);
    assert_int_equal(count_names(folder), 0);
}

static bool give_up_root(void) {
    return geteuid() != 0 || (setgid(65534) == 0 && setuid(65534) == 0);
}

static void unwritable_directory(void **state) {
    th_error err;
    int verdict;
    (void)state;

    assert_true(write_text(in_folder("a"), "old", false, &err));
    assert_int_equal(chmod(folder, 0555), 0);
    verdict = try_in_child(give_up_root, in_folder("a"), 10);
    assert_int_equal(chmod(folder, 0755), 0);
    if (verdict == 77) {
        skip();
    }
    assert_int_equal(verdict, 0);
    expect_content(in_folder("a"), "old");
    assert_int_equal(count_names(folder), 1);
}

static int set_up(void **state) {
    (void)state;
    snprintf(folder, sizeof folder, "/tmp/tackhold-write-XXXXXX");
    return mkdtemp(folder) && chmod(folder, 0755) == 0 ? 0 : -1;
}

static int tear_down(void **state) {
    char command[128];
    (void)state;
    snprintf(command, sizeof command, "rm -rf '%s'", folder);
    return system(command);
}

#define TEST(name) cmocka_unit_test_setup_teardown(name, set_up, tear_down)

int main(void) {
    const struct CMUnitTest tests[] = {
        TEST(new_file),
        TEST(every_byte),
        TEST(replaced),
        TEST(not_replaced),
        TEST(in_current_directory),
        TEST(bad_places),
        TEST(no_plain_file),
        TEST(disk_full),
        TEST(disk_full_with_signal),
        TEST(unwritable_directory),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
