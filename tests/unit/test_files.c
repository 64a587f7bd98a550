/* test_files.c - what the layer that opens files does beyond single files and lines: the library
 * behind the scan, what a refusal costs, races, and where the tables are found. All rows and jobs
 * below are invented. Runs from the project's root. */
#define _GNU_SOURCE /* memfd_create, nftw, setenv */
#include "tackhold/files.h"

#include "support/near.h"

#include <dirent.h>
#include <errno.h>
#include <fcntl.h>
#include <ftw.h>
#include <limits.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#include <iniparser/iniparser.h>

/* ---- a folder of one's own
 * ----------------------------------------------------------------------- */

static char work[64];

/* Path of a name inside the work folder; valid until the eighth next call. */
static const char *in_work(const char *name) {
    static char paths[8][PATH_MAX];
    static unsigned next;
    char *path = paths[next++ % 8];

    assert_true(snprintf(path, PATH_MAX, "%s/%s", work, name) < PATH_MAX);
    return path;
}

static int remove_one(const char *path, const struct stat *info, int kind, struct FTW *place) {
    (void)info;
    (void)kind;
    (void)place;
    return remove(path);
}

/* Every test starts in an empty folder and with the environment that it sets itself. */
static int begin(void **state) {
    (void)state;
    strcpy(work, "/tmp/test-files-XXXXXX");
    unsetenv("TACKHOLD_TABLES");
    setenv("TACKHOLD_MATERIALS", "materials", 1);
    umask(022);
    return mkdtemp(work) && chmod(work, 0755) == 0 ? 0 : -1;
}

static int end(void **state) {
    (void)state;
    return nftw(work, remove_one, 16, FTW_DEPTH | FTW_PHYS);
}

static const char *put_bytes(const char *name, const void *bytes, size_t size) {
    const char *path = in_work(name);
    FILE *file = fopen(path, "wb");

    assert_non_null(file);
    assert_int_equal(fwrite(bytes, 1, size, file), size);
    assert_int_equal(fclose(file), 0);
    return path;
}

static const char *put(const char *name, const char *text) {
    return put_bytes(name, text, strlen(text));
}

static void make_folder(const char *name) {
    assert_int_equal(mkdir(in_work(name), 0755), 0);
}

static int entries_in(const char *path) {
    DIR *folder = opendir(path);
    int count = 0;

    assert_non_null(folder);
    for (struct dirent *entry = readdir(folder); entry; entry = readdir(folder)) {
        count += strcmp(entry->d_name, ".") != 0 && strcmp(entry->d_name, "..") != 0;
    }
    closedir(folder);
    return count;
}

static void assert_has(const char *text, const char *fragment) {
    if (!strstr(text, fragment)) {
        print_error("\"%s\" does not contain \"%s\"\n", text, fragment);
        fail();
    }
}

static void assert_error(const th_error *err, th_status code, const char *file, int line,
                         const char *fragment) {
    assert_has(err->message, fragment);
    assert_int_equal(err->code, code);
    assert_string_equal(err->file, file);
    assert_int_equal(err->line, line);
}

/* ---- scan
 * ---------------------------------------------------------------------------------------- */

static bool scan(const char *text, size_t size, th_ini *ini, th_error *err) {
    /* A copy of the exact size, so that reading past the end is seen by the sanitizers. */
    char *exact = malloc(size ? size : 1);
    bool fine;

    assert_non_null(exact);
    memcpy(exact, text, size);
    *ini = (th_ini){{NULL}, NULL, 0};
    *err = (th_error){0};
    fine = th_ini_scan(exact, size, "plate.ini", TH_FROM_JOB, ini, err);
    free(exact);
    return fine;
}

static void scan_shows_no_control_characters(void **state) {
    const char text[] = "[a]\nb = 1\nsome\tlines of text that go on for longer than anyone reads\n";
    th_ini ini;
    th_error err;
    (void)state;

    assert_false(scan(text, sizeof text - 1, &ini, &err));
    assert_has(err.message, "some?lines");
    assert_null(strstr(err.message, "anyone reads"));
    th_ini_free(&ini);
    /* The limit of what is shown falls inside a character: it goes as a whole. */
    assert_false(scan("[a]\n0123456789012345678901234567890123456\xE2\x82\xAC\xE2\x82\xAC\n", 48,
                      &ini, &err));
    assert_has(err.message, "3456\xE2\x82\xAC\"");
    th_ini_free(&ini);
    assert_false(scan("[a]\n01234567890123456789012345678901234567\xE2\x82\xAC\xE2\x82\xAC\n", 49,
                      &ini, &err));
    assert_has(err.message, "34567\"");
    th_ini_free(&ini);
}

#if !defined(__SANITIZE_ADDRESS__)
/* What the process holds by now, libraries and their threads included (bytes). */
static rlim_t data_held(void) {
    FILE *file = fopen("/proc/self/status", "r");
    unsigned long kilobytes = 0;
    char line[128];

    while (file && fgets(line, sizeof line, file)) {
        if (sscanf(line, "VmData: %lu kB", &kilobytes) == 1) {
            break;
        }
    }
    if (file) {
        fclose(file);
    }
    return (rlim_t)kilobytes * 1024;
}
#endif

/* Whether a scan is refused for its syntax, and not for memory, with 16 MiB more to its name. The
 * sanitizers need far more than that for themselves. */
static bool refused_in_little_memory(const char *text, size_t size) {
    th_ini ini = {{NULL}, NULL, 0};
    th_error err = {0};
    bool refused;

#if !defined(__SANITIZE_ADDRESS__)
    rlim_t most = data_held() + 16 * 1024 * 1024;
    struct rlimit low = {most, most};
    if (setrlimit(RLIMIT_DATA, &low) != 0) {
        return false;
    }
#endif
    refused = !th_ini_scan(text, size, "plate.ini", TH_FROM_JOB, &ini, &err);
    th_ini_free(&ini);
    return refused && err.code == TH_BAD_SYNTAX && strstr(err.message, "no keys");
}

/* A refused file must not cost many times the memory that it holds: a page in a browser has
 * little. */
static void scan_of_empty_lines_is_cheap(void **state) {
    static char text[TH_FILE_SIZE_MAX];
    pid_t child;
    int status = 0;
    (void)state;

    memset(text, '\n', sizeof text);
    child = fork();
    assert_true(child >= 0);
    if (child == 0) {
        _exit(refused_in_little_memory(text, sizeof text) ? 0 : 1);
    }
    assert_int_equal(waitpid(child, &status, 0), child);
    assert_true(WIFEXITED(status) && WEXITSTATUS(status) == 0);
}

/* ---- scan against the library
 * --------------------------------------------------------------------
 */

static unsigned long long seed = 20240229;

static unsigned below(unsigned bound) {
    seed ^= seed << 13;
    seed ^= seed >> 7;
    seed ^= seed << 17;
    return (unsigned)(seed >> 33) % bound;
}

static const char *const seeds[] = {
    "# c\n[Part]\nLength = 60 mm\nwidth=40\n\n[cut.1]\naxial = 1\n",
    "[job]\ntitle = \"a; b\"\nnote='x # y'\n[hold]\n; c\ntape = crepe\n",
    "[a]\r\nb = 1\r\n[c]\r\nd = 'e'\r\n",
    "[a]\nb = 1/4\"\nc=x=y\n[B]\nb = \xC3\xA9\n#",
    "[a]\nb = \"it's\"\nc = it's\nd = \"1\"\n[e]\nf = \\x y\ng=1",
};

/* One to four changes: a byte replaced, put in or taken out, a piece repeated or moved. */
static size_t mutate(char *text, size_t size, size_t room) {
    static const char odd[] = "\n\n\r\t  []==\"\"''\\\\;#:.-_+aAbB1\x01\x7F\xC3\xA9\xEF\xBB\xBF";
    for (unsigned changes = 1 + below(4); changes > 0 && size > 1; changes--) {
        size_t at = below((unsigned)size), length = 1 + below(12);
        char byte = below(40) ? odd[below(sizeof odd - 1)] : (char)below(256);
        switch (below(4)) {
        case 0:
            text[at] = byte;
            break;
        case 1:
            if (size < room) {
                memmove(text + at + 1, text + at, size - at);
                text[at] = byte;
                size++;
            }
            break;
        case 2:
            memmove(text + at, text + at + 1, size - at - 1);
            size--;
            break;
        default:
            if (at + length <= size && size + length <= room) {
                size_t to = below((unsigned)size);
                char piece[16];
                memcpy(piece, text + at, length);
                memmove(text + to + length, text + to, size - to);
                memcpy(text + to, piece, length);
                size += length;
            }
        }
    }
    return size;
}

static int be_silent(const char *format, ...) {
    (void)format;
    return 0;
}

/* The library on the very bytes, from memory. */
static dictionary *library_load(const char *text, size_t size) {
    char path[64];
    dictionary *loaded;
    int fd = memfd_create("test", 0);

    assert_true(fd >= 0);
    assert_int_equal(write(fd, text, size), (ssize_t)size);
    snprintf(path, sizeof path, "/proc/self/fd/%d", fd);
    iniparser_set_error_callback(be_silent);
    loaded = iniparser_load(path);
    iniparser_set_error_callback(NULL);
    close(fd);
    return loaded;
}

static size_t sections_of(const th_ini *ini) {
    size_t sections = 0;

    for (size_t i = 0; i < ini->count; i++) {
        sections += i == 0 || strcmp(ini->items[i].section, ini->items[i - 1].section) != 0;
    }
    return sections;
}

static bool same_as_library(const th_ini *ini, const char *text, size_t size) {
    dictionary *loaded = library_load(text, size);
    bool same = loaded && (size_t)loaded->n == ini->count + sections_of(ini);

    for (size_t i = 0; same && i < ini->count; i++) {
        char key[2000];
        const char *value;
        snprintf(key, sizeof key, "%s:%s", ini->items[i].section, ini->items[i].key);
        value = iniparser_getstring(loaded, key, NULL);
        same = value && strcmp(value, ini->items[i].value) == 0;
    }
    iniparser_freedict(loaded);
    return same;
}

/* Whatever the scan lets pass, the library reads the same way. */
static void scan_agrees_with_the_library(void **state) {
    int accepted = 0, refused = 0;
    (void)state;

    for (int i = 0; i < 20000; i++) {
        const char *from = seeds[i % (int)(sizeof seeds / sizeof *seeds)];
        char text[256];
        size_t size = strlen(from);
        th_ini ini;
        th_error err;
        memcpy(text, from, size);
        size = mutate(text, size, sizeof text);
        if (!scan(text, size, &ini, &err)) {
            refused++;
            assert_int_equal(err.code, TH_BAD_SYNTAX);
            assert_string_equal(err.file, "plate.ini");
        } else if (same_as_library(&ini, text, size)) {
            accepted++;
        } else {
            print_error("file %d reads differently:\n%.*s\n", i, (int)size, text);
            fail();
        }
        th_ini_free(&ini);
    }
    /* Neither side may be the only one tried. */
    assert_true(accepted > 2000);
    assert_true(refused > 2000);
}

/* ---- read
 * ----------------------------------------------------------------------------------------
 */

static void assert_unread(const char *path, th_status code, int line, const char *fragment) {
    th_ini ini = {{NULL}, NULL, 0};
    th_error err = {0};

    assert_false(th_ini_read(path, TH_FROM_JOB, &ini, &err));
    assert_error(&err, code, strcmp(path, "-") == 0 ? "standard input" : path, line, fragment);
    th_ini_free(&ini);
}

static void assert_read(const char *path, size_t count) {
    th_ini ini = {{NULL}, NULL, 0};
    th_error err = {0};

    if (!th_ini_read(path, TH_FROM_JOB, &ini, &err)) {
        print_error("%s:%d: %s\n", err.file, err.line, err.message);
        fail();
    }
    assert_int_equal(ini.count, count);
    assert_string_equal(ini.items[0].file, strcmp(path, "-") == 0 ? "standard input" : path);
    th_ini_free(&ini);
}

/* Names as long as a line allows; the library's own look-up ends at 1024 bytes of both together. */
static void read_takes_no_wrong_value_under_a_long_name(void **state) {
    char text[2000] = "[", *p = text + 1;
    th_ini ini = {{NULL}, NULL, 0};
    th_error err = {0};
    (void)state;

    memset(p, 's', 890);
    p += 890;
    p += sprintf(p, "]\n");
    memset(p, 'k', 890);
    p += 890;
    p += sprintf(p, " = 1\n");
    if (th_ini_read(put_bytes("a.ini", text, (size_t)(p - text)), TH_FROM_JOB, &ini, &err)) {
        assert_int_equal(ini.count, 1);
        assert_string_equal(ini.items[0].value, "1");
    } else {
        assert_error(&err, TH_BAD_SYNTAX, in_work("a.ini"), 2, "");
    }
    th_ini_free(&ini);
}

/* ---- read from pipes
 * ------------------------------------------------------------------------------
 */

/* Start a process that writes a text into `fd`; the caller keeps only the reading end. */
static pid_t feed(int reading, int writing, const char *text, size_t size) {
    pid_t child = fork();

    assert_true(child >= 0);
    if (child == 0) {
        if (reading >= 0) {
            close(reading);
        }
        while (size > 0) {
            ssize_t n = write(writing, text, size > 7000 ? 7000 : size);
            if (n <= 0) {
                _exit(1);
            }
            text += n;
            size -= (size_t)n;
        }
        _exit(0);
    }
    close(writing);
    return child;
}

static void with_stdin(const char *text, size_t size, void (*act)(const void *),
                       const void *argument) {
    int ends[2], kept = dup(STDIN_FILENO), status = 0;
    pid_t child;

    assert_int_equal(pipe(ends), 0);
    child = feed(ends[0], ends[1], text, size);
    assert_int_equal(dup2(ends[0], STDIN_FILENO), STDIN_FILENO);
    close(ends[0]);
    act(argument);
    if (kept >= 0) {
        dup2(kept, STDIN_FILENO);
        close(kept);
    } else {
        close(STDIN_FILENO);
    }
    assert_int_equal(waitpid(child, &status, 0), child);
}

/* A hole of a terabyte is told by its size, not by reading it. */
static void read_refuses_a_huge_file_at_once(void **state) {
    const char *path = put("huge.ini", "[a]\nb = 1\n");
    (void)state;

    if (truncate(path, (off_t)1 << 40) != 0) {
        skip(); /* a file system without holes */
    }
    assert_unread(path, TH_BAD_FILE, 0, "1 MiB");
}

static void stdin_is_left_open(const void *argument) {
    (void)argument;
    assert_read("-", 1);
    assert_true(fcntl(STDIN_FILENO, F_GETFD) >= 0);
}

static void read_leaves_nothing_open(void **state) {
    int before = entries_in("/proc/self/fd");
    (void)state;

    assert_read(put("a.ini", "[a]\nb = 1\n"), 1);
    assert_unread(put("b.ini", "[a]\nb\n"), TH_BAD_SYNTAX, 2, "neither");
    assert_unread(put("c.ini", ""), TH_BAD_FILE, 0, "empty");
    assert_unread(in_work("none"), TH_BAD_FILE, 0, "no such file");
    with_stdin("[a]\nb = 1\n", 10, stdin_is_left_open, NULL);
    assert_int_equal(entries_in("/proc/self/fd"), before);
}

/* ---- write
 * ---------------------------------------------------------------------------------------
 */

/* A link to nowhere is something there as well: without `replace` it stays. */
static void write_keeps_a_link_to_nowhere(void **state) {
    const char *path = in_work("link.ini");
    char target[16] = "";
    th_error err = {0};
    (void)state;

    assert_int_equal(symlink("nowhere", path), 0);
    assert_false(th_file_write(path, "new", 3, false, &err));
    assert_error(&err, TH_NOT_WRITTEN, path, 0, "exists");
    assert_int_equal(readlink(path, target, sizeof target - 1), 7);
    assert_int_equal(entries_in(work), 1);
}

static long long size_of(const char *path) {
    struct stat info;
    assert_int_equal(stat(path, &info), 0);
    return (long long)info.st_size;
}

/* Of many who want to make the same file, one does. */
static void write_has_one_winner(void **state) {
    const char *path = in_work("job.ini");
    int winners = 0;
    pid_t children[12];
    (void)state;

    for (int i = 0; i < 12; i++) {
        children[i] = fork();
        assert_true(children[i] >= 0);
        if (children[i] == 0) {
            char mine[32];
            int n = snprintf(mine, sizeof mine, "writer %02d", i);
            _exit(th_file_write(path, mine, (size_t)n, false, NULL) ? 0 : 1);
        }
    }
    for (int i = 0; i < 12; i++) {
        int status = 0;
        assert_int_equal(waitpid(children[i], &status, 0), children[i]);
        winners += WIFEXITED(status) && WEXITSTATUS(status) == 0;
    }
    assert_int_equal(winners, 1);
    assert_int_equal(size_of(path), strlen("writer 10"));
    assert_int_equal(entries_in(work), 1);
}

/* ---- tables
 * --------------------------------------------------------------------------------------
 */

static const char one_row[] = "[dry]\nname = still air\nkind = dry\nfilm_coefficient = 7 W/m2K\n"
                              "source = invented\ntrust = estimate\n"
                              "[fog]\nname = invented fog\nkind = mist\n"
                              "film_coefficient = 321 W/m2K\nsource = invented\n"
                              "trust = estimate\n";

static void assert_not_loaded(const char *directory, th_status code, const char *file, int line,
                              const char *fragment) {
    th_tables *tables = NULL;
    th_error err = {0};

    assert_false(th_tables_load(&directory, directory ? 1 : 0, &tables, &err));
    assert_error(&err, code, file, line, fragment);
}

/* What stands in the place of a table and cannot be read is said, not passed over. */
static void tables_refuse_a_directory_for_a_file(void **state) {
    (void)state;
    make_folder("bad");
    put("bad/plate.ini", "[oak]\nname = x\n");
    assert_not_loaded(in_work("bad"), TH_MISSING, in_work("bad/plate.ini"), 2, "oak");
    make_folder("bad/coolant.ini");
    assert_not_loaded(in_work("bad"), TH_BAD_FILE, in_work("bad/coolant.ini"), 0, "is a directory");
    make_folder("other");
    make_folder("other/coolant.ini");
    assert_not_loaded(in_work("other"), TH_BAD_FILE, in_work("other/coolant.ini"), 0,
                      "is a directory");
}

static void copy_file(const char *from, const char *to, mode_t mode) {
    FILE *in = fopen(from, "rb"), *out = fopen(to, "wb");
    char buffer[65536];
    size_t n;

    assert_non_null(in);
    assert_non_null(out);
    while ((n = fread(buffer, 1, sizeof buffer, in)) > 0) {
        assert_int_equal(fwrite(buffer, 1, n, out), n);
    }
    fclose(in);
    assert_int_equal(fclose(out), 0);
    assert_int_equal(chmod(to, mode), 0);
}

/* This program, started from a copy of itself elsewhere, loads the tables and gives the film
 * coefficient of `dry` as its exit code, 255 when there are none. */
static int exit_code_of(const char *program, const char *folder) {
    pid_t child = fork();
    int status = 0;

    assert_true(child >= 0);
    if (child == 0) {
        unsetenv("TACKHOLD_MATERIALS");
        if (chdir(folder) == 0) {
            execl(program, program, "load-tables", (char *)NULL);
        }
        _exit(254);
    }
    assert_int_equal(waitpid(child, &status, 0), child);
    assert_true(WIFEXITED(status));
    return WEXITSTATUS(status);
}

/* The shipped tables with one row that tells them from any others. */
static void ship(const char *directory) {
    for (int table = 0; table < TH_TABLE_COUNT; table++) {
        char from[64], to[PATH_MAX];
        snprintf(from, sizeof from, "materials/%s.ini", th_table_name((th_table)table));
        assert_true(snprintf(to, sizeof to, "%s/%s.ini", directory,
                             th_table_name((th_table)table)) < PATH_MAX);
        copy_file(table == TH_COOLANTS ? put("row", one_row) : from, to, 0644);
    }
}

static void tables_are_found_beside_the_program(void **state) {
    static const char *const trees[][3] = {
        {"tree/build", "tree/build", "tree/materials"},
        {"tree/build", "tree/build/tests", "tree/materials"},
        {"tree/share/tackhold", "tree/bin", "tree/share/tackhold/materials"},
    };
    (void)state;

    for (size_t i = 0; i < sizeof trees / sizeof *trees; i++) {
        char program[PATH_MAX], name[64];
        make_folder("tree");
        if (i == 2) {
            make_folder("tree/share");
        }
        make_folder(trees[i][0]);
        if (strcmp(trees[i][0], trees[i][1]) != 0) {
            make_folder(trees[i][1]);
        }
        snprintf(name, sizeof name, "%s/program", trees[i][1]);
        snprintf(program, sizeof program, "%s", in_work(name));
        copy_file("/proc/self/exe", program, 0755);
        make_folder(trees[i][2]);
        ship(in_work(trees[i][2]));
        assert_int_equal(exit_code_of(program, "/"), 7);
        assert_int_equal(exit_code_of(program, work), 7);
        assert_int_equal(nftw(in_work("tree"), remove_one, 16, FTW_DEPTH | FTW_PHYS), 0);
    }
}

static int load_tables_and_tell(void) {
    th_tables *tables = NULL;
    const th_coolant *row;
    int code = 255;

    if (th_tables_load(NULL, 0, &tables, NULL)) {
        row = th_tables_find(tables, TH_COOLANTS, "dry");
        code = row ? (int)row->film_coefficient : 255;
        th_tables_free(tables);
    }
    return code;
}

/* ---- shop and job
 * ---------------------------------------------------------------------------------
 */

static const char job_text[] = "[job]\ntitle = Invented plate\nunits = mm\n"
                               "[part]\nstock = al-6061-t6\nlength = 60\nwidth = 40\n"
                               "thickness = 3\n"
                               "[hold]\ntape = crepe-masking\nglue = ca-thin\ncooling = dry\n"
                               "coverage = 0.95\n"
                               "[machine]\nid = bench-mill\n"
                               "[cut.1]\noperation = push\nforce_x = 20 N\nforce_y = 0 N\n"
                               "force_z = 5 N\nat_x = 30\nat_y = 20\npatch = 5\n";

typedef struct {
    const th_tables *tables;
    const char *setting;
    th_status code;
    const char *file;
    int line;
    const char *fragment;
} bad_job;

static void job_refused(const void *argument) {
    const bad_job *bad = argument;
    th_job *job = NULL;
    th_error err = {0};

    assert_false(
        th_job_read("-", NULL, &bad->setting, bad->setting ? 1 : 0, bad->tables, &job, &err));
    assert_error(&err, bad->code, bad->file, bad->line, bad->fragment);
}

static void job_names_file_and_line(void **state) {
    th_tables *tables = NULL;
    bad_job bad;
    char text[sizeof job_text + 32];
    th_job *job = NULL;
    th_error err = {0};
    (void)state;

    assert_true(th_tables_load(NULL, 0, &tables, &err));
    bad = (bad_job){tables, "part.thickness=thin", TH_BAD_VALUE, "--set", 0, "thickness"};
    with_stdin(job_text, sizeof job_text - 1, job_refused, &bad);
    bad = (bad_job){tables, "thickness", TH_BAD_USAGE, "", 0, "thickness"};
    with_stdin(job_text, sizeof job_text - 1, job_refused, &bad);
    snprintf(text, sizeof text, "%scolour = blue\n", job_text);
    bad = (bad_job){tables, NULL, TH_BAD_KEY, "standard input", 24, "colour"};
    with_stdin(text, strlen(text), job_refused, &bad);
    assert_false(th_job_read(in_work("none.ini"), NULL, NULL, 0, tables, &job, &err));
    assert_error(&err, TH_BAD_FILE, in_work("none.ini"), 0, "no such file");
    th_tables_free(tables);
}

#define IN_FOLDER(test) cmocka_unit_test_setup_teardown(test, begin, end)

int main(int argc, char **argv) {
    const struct CMUnitTest tests[] = {
        IN_FOLDER(scan_shows_no_control_characters),
        IN_FOLDER(scan_of_empty_lines_is_cheap),
        IN_FOLDER(scan_agrees_with_the_library),
        IN_FOLDER(read_takes_no_wrong_value_under_a_long_name),
        IN_FOLDER(read_refuses_a_huge_file_at_once),
        IN_FOLDER(read_leaves_nothing_open),
        IN_FOLDER(write_keeps_a_link_to_nowhere),
        IN_FOLDER(write_has_one_winner),
        IN_FOLDER(tables_refuse_a_directory_for_a_file),
        IN_FOLDER(tables_are_found_beside_the_program),
        IN_FOLDER(job_names_file_and_line),
    };

    if (argc == 2 && strcmp(argv[1], "load-tables") == 0) {
        return load_tables_and_tell();
    }
    return cmocka_run_group_tests(tests, NULL, NULL);
}
