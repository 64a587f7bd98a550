/* faults.c - preloaded into the program under test: makes one call of its own choice fail.
 *
 * Counted are calls from main's start on, so that what libraries do before it is left alone.
 *   TORTURE_LIST=FILE        write there how often memory was asked for and, in order, eight bytes
 *                            that tell from where each time
 *   TORTURE_MEMORY=N         the N-th request for memory is refused, counted from 1
 *   TORTURE_MEMORY_ON=1      and every later one
 *   TORTURE_FORK=IN,OUT      every request for memory is refused, each in a child of its own that
 * goes on from there; its output goes to the files child.out and child.err, and to descriptor OUT
 * goes a line "N -2" before, and "N STATUS" (as of waitpid) after each. A byte comes back by IN
 * before the parent goes on, which is refused nothing. "N -1" where the parent began to write: what
 * a child leaves behind can no longer be told from what it does TORTURE_CALL=N           at the
 * N-th call that opens, fills, flushes, names or removes a file TORTURE_DO=NUMBER        that call
 * fails with errno NUMBER; with a negative one signal -NUMBER comes right before it, and it goes on
 *   TORTURE_SHORT=1          write() takes at most 100 bytes at once
 *   TORTURE_CALLS=FILE       write there how many such calls there were */
#define _GNU_SOURCE
#include <dlfcn.h>
#include <errno.h>
#include <execinfo.h>
#include <fcntl.h>
#include <link.h>
#include <signal.h>
#include <stdbool.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/types.h>
#include <sys/wait.h>
#include <unistd.h>

/* ---- what is asked for ----------------------------------------------------------------------- */

static long memory_at, call_at, what_to_do;
static bool memory_on, in_main, short_writes, listing, forking, wrote;
static int judge_in, judge_out; /* the descriptors of TORTURE_FORK */
static long memory_count, call_count;
static __thread bool inside; /* what the shim itself asks for counts for nothing */
enum { FRAMES = 12, LISTED_MOST = 4 << 20 };
static uint64_t *listed;

static long number(const char *name) {
    const char *text = getenv(name);
    return text ? strtol(text, NULL, 10) : 0;
}

/* ---- memory ---------------------------------------------------------------------------------- */

/* Where a request comes from: the callers' addresses, added up. */
static uint64_t place(void) {
    void *frames[FRAMES];
    uint64_t sum = 14695981039346656037u;
    inside = true;
    int n = backtrace(frames, FRAMES);
    inside = false;
    for (int i = 2; i < n; i++) {
        sum = (sum ^ (uintptr_t)frames[i]) * 1099511628211u;
    }
    return sum;
}

/* iniparser does not look whether it was given memory, nor do OpenBLAS's kernels for small
 * matrices. The program asks for more than they need right before it calls them; that request is
 * refused as any other, theirs are not. */
static const char *const careless_names[] = {"libiniparser", "libopenblas"};
enum { CARELESS = sizeof careless_names / sizeof *careless_names };
static struct { uintptr_t from, end; } careless[CARELESS];

static int find_careless(struct dl_phdr_info *info, size_t size, void *context) {
    (void)size;
    (void)context;
    for (int k = 0; k < CARELESS; k++) {
        for (int i = 0; strstr(info->dlpi_name, careless_names[k]) && i < info->dlpi_phnum; i++) {
            uintptr_t from = info->dlpi_addr + info->dlpi_phdr[i].p_vaddr;
            if (info->dlpi_phdr[i].p_type == PT_LOAD && (info->dlpi_phdr[i].p_flags & PF_X)) {
                careless[k].from = from;
                careless[k].end = from + info->dlpi_phdr[i].p_memsz;
            }
        }
    }
    return 0;
}

static bool by_careless(uintptr_t caller) {
    for (int k = 0; k < CARELESS; k++) {
        if (caller >= careless[k].from && caller < careless[k].end) {
            return true;
        }
    }
    return false;
}

static bool forked(long n);

static bool refused(const void *caller) {
    if (!in_main || inside || by_careless((uintptr_t)caller)) {
        return false;
    }
    long n = __atomic_add_fetch(&memory_count, 1, __ATOMIC_RELAXED);
    if (listing && n <= LISTED_MOST) {
        listed[n - 1] = place();
    }
    if (forking) {
        bool refuse = forked(n);
        errno = refuse ? ENOMEM : errno;
        return refuse;
    }
    bool refuse = memory_at > 0 && (memory_on ? n >= memory_at : n == memory_at);
    if (refuse) {
        errno = ENOMEM;
    }
    return refuse;
}

/* dlsym asks for memory itself before it can tell where it comes from. */
static char early[4096];
static size_t early_used;

static bool is_early(const void *block) {
    return (const char *)block >= early && (const char *)block < early + sizeof early;
}

static void *early_block(size_t size) {
    size_t from = (early_used + 15) & ~(size_t)15;
    if (from + size > sizeof early) {
        abort();
    }
    early_used = from + size;
    return early + from;
}

#define NEXT(result, name, ...)                                                                    \
    static result (*next_##name)(__VA_ARGS__);                                                     \
    static bool find_##name(void) {                                                                \
        static __thread bool looking;                                                              \
        if (!next_##name && !looking) {                                                            \
            looking = true;                                                                        \
            *(void **)&next_##name = dlsym(RTLD_NEXT, #name);                                      \
            looking = false;                                                                       \
        }                                                                                          \
        return next_##name != NULL;                                                                \
    }

NEXT(void *, malloc, size_t)
NEXT(void *, calloc, size_t, size_t)
NEXT(void *, realloc, void *, size_t)
NEXT(void, free, void *)
NEXT(int, posix_memalign, void **, size_t, size_t)
NEXT(void *, aligned_alloc, size_t, size_t)
NEXT(int, mkstemp, char *)
NEXT(ssize_t, write, int, const void *, size_t)
NEXT(int, fsync, int)
NEXT(int, fchmod, int, mode_t)
NEXT(int, close, int)
NEXT(int, rename, const char *, const char *)
NEXT(int, renameat2, int, const char *, int, const char *, unsigned)
NEXT(int, link, const char *, const char *)
NEXT(int, unlink, const char *)
NEXT(int, mkdir, const char *, mode_t)

void *malloc(size_t size) {
    return !find_malloc()                         ? early_block(size)
           : refused(__builtin_return_address(0)) ? NULL
                                                  : next_malloc(size);
}

void *calloc(size_t count, size_t size) {
    return !find_calloc()                         ? early_block(count * size)
           : refused(__builtin_return_address(0)) ? NULL
                                                  : next_calloc(count, size);
}

void *realloc(void *block, size_t size) {
    if (!find_realloc() || is_early(block)) {
        abort();
    }
    return refused(__builtin_return_address(0)) ? NULL : next_realloc(block, size);
}

void free(void *block) {
    if (!is_early(block) && find_free()) {
        next_free(block);
    }
}

int posix_memalign(void **block, size_t alignment, size_t size) {
    return !find_posix_memalign() || refused(__builtin_return_address(0))
               ? ENOMEM
               : next_posix_memalign(block, alignment, size);
}

void *aligned_alloc(size_t alignment, size_t size) {
    return !find_aligned_alloc() || refused(__builtin_return_address(0))
               ? NULL
               : next_aligned_alloc(alignment, size);
}

/* ---- files ----------------------------------------------------------------------------------- */

/* Whether this call is to fail; errno says how. */
static bool strike(void) {
    wrote = wrote || in_main;
    if (!in_main || __atomic_add_fetch(&call_count, 1, __ATOMIC_RELAXED) != call_at) {
        return false;
    }
    if (what_to_do < 0) {
        kill(getpid(), (int)-what_to_do);
        return false;
    }
    errno = (int)what_to_do;
    return what_to_do > 0;
}

int mkstemp(char *template) {
    return !find_mkstemp() || strike() ? -1 : next_mkstemp(template);
}

ssize_t write(int fd, const void *bytes, size_t size) {
    struct stat info;
    bool before = wrote, fails = !find_write() || strike();
    bool nameless = fstat(fd, &info) == 0 && S_ISREG(info.st_mode) && info.st_nlink == 0;
    wrote = before || (in_main && !nameless); /* a file in memory goes with the run */
    if (fails) {
        return -1;
    }
    return next_write(fd, bytes, short_writes && size > 100 ? 100 : size);
}

int fsync(int fd) {
    return !find_fsync() || strike() ? -1 : next_fsync(fd);
}

int fchmod(int fd, mode_t mode) {
    return !find_fchmod() || strike() ? -1 : next_fchmod(fd, mode);
}

/* As the kernel does, it closes even where it fails. */
int close(int fd) {
    bool before = wrote, fails = !find_close() || strike();
    wrote = before; /* what was read is closed too */
    int reason = errno, result = next_close(fd);
    errno = fails ? reason : errno;
    return fails ? -1 : result;
}

int rename(const char *from, const char *to) {
    return !find_rename() || strike() ? -1 : next_rename(from, to);
}

int renameat2(int at, const char *from, int to_at, const char *to, unsigned flags) {
    return !find_renameat2() || strike() ? -1 : next_renameat2(at, from, to_at, to, flags);
}

int link(const char *from, const char *to) {
    return !find_link() || strike() ? -1 : next_link(from, to);
}

int unlink(const char *path) {
    return !find_unlink() || strike() ? -1 : next_unlink(path);
}

int mkdir(const char *path, mode_t mode) {
    return !find_mkdir() || strike() ? -1 : next_mkdir(path, mode);
}

/* ---- children -------------------------------------------------------------------------------- */

enum { END = -1, BEGIN = -2 };

static void reopen(int fd, const char *name, int flags, off_t at) {
    int fresh = open(name, flags, 0600);
    if (fresh < 0 || lseek(fresh, at, SEEK_SET) != at || dup2(fresh, fd) != fd) {
        abort();
    }
    (void)close(fresh);
}

/* Files of its own, read from where the parent stands, so that the parent is not moved on. */
static void own_files(void) {
    for (int fd = 0; fd < 64; fd++) {
        struct stat info;
        char name[32];
        if (fd != 1 && fd != 2 && fstat(fd, &info) == 0 && S_ISREG(info.st_mode)) {
            (void)snprintf(name, sizeof name, "/proc/self/fd/%d", fd);
            reopen(fd, name, fcntl(fd, F_GETFL) & (O_ACCMODE | O_APPEND), lseek(fd, 0, SEEK_CUR));
        }
    }
}

/* A child that hangs is killed. */
static void be_child(void) {
    forking = false;
    own_files();
    reopen(1, "child.out", O_WRONLY | O_CREAT | O_TRUNC, 0);
    reopen(2, "child.err", O_WRONLY | O_CREAT | O_TRUNC, 0);
    alarm(60);
}

static bool has_written(void) {
    return wrote || lseek(1, 0, SEEK_CUR) > 0 || lseek(2, 0, SEEK_CUR) > 0;
}

static void tell_judge(long n, int status) {
    char line[64], answer;
    int size = snprintf(line, sizeof line, "%ld %d\n", n, status);
    if (write(judge_out, line, (size_t)size) != size || read(judge_in, &answer, 1) != 1) {
        abort();
    }
}

/* True in the child, which is refused its memory. */
static bool forked(long n) {
    int status = -1;
    inside = true;
    in_main = false;
    if (has_written()) {
        forking = false;
        tell_judge(n, END);
    } else {
        tell_judge(n, BEGIN);
        pid_t child = fork();
        if (child == 0) {
            be_child();
            memory_at = n;
            in_main = true;
            inside = false;
            return true;
        }
        if (child < 0 || waitpid(child, &status, 0) != child) {
            abort();
        }
        tell_judge(n, status);
    }
    in_main = true;
    inside = false;
    return false;
}

/* ---- start and end --------------------------------------------------------------------------- */

static void put_file(const char *name, const void *bytes, size_t size) {
    int fd = open(name, O_WRONLY | O_CREAT | O_TRUNC | O_CLOEXEC, 0600);
    if (fd < 0 || next_write(fd, bytes, size) != (ssize_t)size) {
        abort();
    }
    next_close(fd);
}

__attribute__((destructor)) static void tell(void) {
    const char *list = getenv("TORTURE_LIST"), *calls = getenv("TORTURE_CALLS");
    in_main = false;
    if (list && find_write() && find_close()) {
        long n = memory_count < LISTED_MOST ? memory_count : LISTED_MOST;
        put_file(list, listed, (size_t)n * sizeof *listed);
    }
    if (calls && find_write() && find_close()) {
        char text[32];
        put_file(calls, text, (size_t)snprintf(text, sizeof text, "%ld\n", call_count));
    }
}

static int (*program_main)(int, char **, char **);

static int start(int argc, char **argv, char **environment) {
    if (strcmp(program_invocation_short_name, "tackhold") != 0) { /* a shell that starts it */
        return program_main(argc, argv, environment);
    }
    memory_at = number("TORTURE_MEMORY");
    memory_on = number("TORTURE_MEMORY_ON") != 0;
    call_at = number("TORTURE_CALL");
    what_to_do = number("TORTURE_DO");
    short_writes = number("TORTURE_SHORT") != 0;
    listing = getenv("TORTURE_LIST") != NULL;
    const char *judge = getenv("TORTURE_FORK");
    forking = judge && sscanf(judge, "%d,%d", &judge_in, &judge_out) == 2;
    if (listing) {
        void *frames[2];
        listed = calloc(LISTED_MOST, sizeof *listed);
        if (!listed || backtrace(frames, 2) < 0) { /* the first call loads a library */
            abort();
        }
    }
    dl_iterate_phdr(find_careless, NULL);
    in_main = true;
    return program_main(argc, argv, environment);
}

/* The program's start, called by the code that the compiler links into it. */
int __libc_start_main(int (*main)(int, char **, char **), int argc, char **argv, void (*init)(void),
                      void (*fini)(void), void (*end)(void), void *stack);
int __libc_start_main(int (*main)(int, char **, char **), int argc, char **argv, void (*init)(void),
                      void (*fini)(void), void (*end)(void), void *stack) {
    int (*next)(int (*)(int, char **, char **), int, char **, void (*)(void), void (*)(void),
                void (*)(void), void *);
    *(void **)&next = dlsym(RTLD_NEXT, "__libc_start_main");
    program_main = main;
    return next(start, argc, argv, init, fini, end, stack);
}
