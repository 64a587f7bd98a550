/* Outlines as large as they come, made up here, are read within 2 s of processor time for every
 * 100 kB (or part of them) and within bounded memory, whether they are accepted or refused. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <time.h>

#include <cmocka.h>

#include "tackhold/files.h"

enum {
#ifdef __SANITIZE_ADDRESS__
    SLOWER = 5,       /* times: what the sanitizers cost */
    MEMORY_MAX = 1024 /* MB, with what is freed and kept from use for a while */
#else
    SLOWER = 1,
    MEMORY_MAX = 192 /* MB */
#endif
};

/* ---- what is drawn --------------------------------------------------------------------------- */

typedef void piece(th_text *text, int i, int count);

static void star_point(th_text *text, int i, int count) {
    double angle = 2 * TH_PI * i / count, radius = i % 2 ? 90 : 89;

    th_text_add(text, "%.3f,%.3f ", 100 + radius * cos(angle), 100 + radius * sin(angle));
}

static void zigzag(th_text *text, int i, int count) {
    (void)count;
    th_text_add(text, "%d,%d ", (int)(i * 7919LL % 199), (int)(i * 104729LL % 197));
}

static void big_arc(th_text *text, int i, int count) {
    (void)count;
    th_text_put(text, i == 0 ? "M0,0" : "a900,900 0 1 0 .1 0");
}

static void wild_curve(th_text *text, int i, int count) {
    (void)count;
    th_text_put(text, i == 0 ? "M0,0" : "c9e3 9e3-9e3 9e3.1 0");
}

static void open_line(th_text *text, int i, int count) {
    (void)count;
    th_text_add(text, "M%d %dh1", i % 999, i / 999);
}

static void crossing_bars(th_text *text, int i, int count) {
    double at = 190.0 * (i / 2) / count;

    th_text_add(text, i % 2 ? "M0 %.4fH200v.001H0z" : "M%.4f 0V200h.001V0z", at);
}

static void svg_disc(th_text *text, int i, int count) {
    double step = 190 / ceil(sqrt(count));
    int columns = (int)(190 / step);

    th_text_add(text, "<circle cx='%.3f' cy='%.3f' r='%.4f'/>", 5 + step * (i % columns),
                5 + step * (i / columns), 0.3 * step);
}

static void ring_in_ring(th_text *text, int i, int count) {
    th_text_add(text, "<circle cx='100' cy='100' r='%.4f'/>", 95.0 * (i + 1) / count);
}

static void same_square(th_text *text, int i, int count) {
    (void)i;
    (void)count;
    th_text_put(text, "<rect width='10' height='10'/>");
}

static void group(th_text *text, int i, int count) {
    (void)i;
    (void)count;
    th_text_put(text, "<g transform='rotate(1)'>");
}

static void attribute(th_text *text, int i, int count) {
    (void)count;
    th_text_add(text, "a%d='' ", i);
}

static void turn(th_text *text, int i, int count) {
    (void)i;
    (void)count;
    th_text_put(text, "rotate(1)");
}

static void rule(th_text *text, int i, int count) {
    (void)i;
    (void)count;
    th_text_put(text, ".a{fill:red}");
}

static void vertex(th_text *text, int i, int count) {
    double angle = 2 * TH_PI * i / count;

    th_text_add(text, "10\n%.3f\n20\n%.3f\n", 100 + 90 * cos(angle), 100 + 90 * sin(angle));
}

/* Sides of a polygon in an order far from the one they are joined in; the count is even, and so
 * the odd step meets every side once. */
static void side(th_text *text, int i, int count) {
    int n = (int)((long long)i * 7919 % count);
    double a = 2 * TH_PI * n / count, b = 2 * TH_PI * (n + 1) / count;

    th_text_add(text, "0\nLINE\n10\n%.3f\n20\n%.3f\n11\n%.3f\n21\n%.3f\n", 100 + 90 * cos(a),
                100 + 90 * sin(a), 100 + 90 * cos(b), 100 + 90 * sin(b));
}

static void loose_end(th_text *text, int i, int count) {
    (void)count;
    th_text_add(text, "0\nLINE\n10\n0.00%d\n20\n0.00%d\n11\n%d\n21\n%d\n", i % 10, i / 10 % 10,
                (int)(i * 7919LL % 99), (int)(i * 104729LL % 97));
}

static void dxf_disc(th_text *text, int i, int count) {
    (void)count;
    th_text_add(text, "0\nCIRCLE\n8\nlayer\n10\n%d\n20\n%d\n40\n.4\n", i % 200, i / 200);
}

static void layer(th_text *text, int i, int count) {
    (void)count;
    th_text_add(text, "0\nLAYER\n2\nl%d\n70\n0\n", i);
}

static void block(th_text *text, int i, int count) {
    (void)count;
    th_text_add(text, "0\nBLOCK\n2\nb%d\n", i);
    for (int times = 0; times < 10; times++) {
        th_text_add(text, "0\nINSERT\n2\nb%d\n", i + 1);
    }
    th_text_put(text, "0\nENDBLK\n");
}

static void nothing(th_text *text, int i, int count) {
    (void)i;
    (void)count;
    th_text_put(text, "0\nPOINT\n");
}

/* ---- the files ------------------------------------------------------------------------------- */

#define SVG "<svg xmlns='http://www.w3.org/2000/svg' width='200mm' viewBox='0 0 200 200'>"
#define SQUARE "<rect width='10' height='10'/>"
#define ENTITIES "0\nSECTION\n2\nENTITIES\n"
#define TABLE "0\nSECTION\n2\nTABLES\n0\nTABLE\n2\nLAYER\n"
#define BLOCKS "0\nSECTION\n2\nBLOCKS\n"
#define END "0\nENDSEC\n"
#define EOF_ END "0\nEOF\n"

typedef struct {
    const char *before;
    piece *middle;
    const char *after;
    const char *problem; /* piece of the message, NULL: accepted */
} drawing;

static const drawing drawings[] = {
    {SVG "<polygon points='", star_point, "'/></svg>", NULL},
    {SVG "<polygon points='", zigzag, "'/></svg>", "crosses, touches or runs over itself"},
    {SVG "<path d='", big_arc, "z'/></svg>", "takes more than 1000000 points"},
    {SVG "<path d='", wild_curve, "z'/></svg>", "takes more than 1000000 points"},
    {SVG "<path d='", open_line, "z'/></svg>", ""},
    {SVG "<path d='", crossing_bars, "'/></svg>", "two outlines (of the part or of an opening) cross, touch or overlap"},
    {SVG "<rect width='200' height='200'/>", svg_disc, "</svg>", NULL},
    {SVG, ring_in_ring, "</svg>", ""},
    {SVG, same_square, "</svg>", "two outlines (of the part or of an opening) cross, touch or overlap"},
    {SVG, group, SQUARE, "deep in one another"},
    {SVG "<rect width='10' height='10' ", attribute, "/></svg>", NULL},
    {SVG "<rect width='10' height='10' transform='", turn, "'/></svg>", NULL},
    {SVG "<style>", rule, "</style>" SQUARE "</svg>", NULL},
    {ENTITIES "0\nLWPOLYLINE\n70\n1\n", vertex, EOF_, NULL},
    {ENTITIES, side, EOF_, NULL},
    {ENTITIES, loose_end, EOF_, "the outline is open"},
    {ENTITIES, dxf_disc, EOF_, NULL},
    {TABLE, layer, "0\nENDTAB\n" END ENTITIES "0\nCIRCLE\n8\nl9\n40\n9\n" EOF_, NULL},
    {BLOCKS, block, END ENTITIES "0\nINSERT\n2\nb0\n" EOF_, "inserted in one another too deeply"},
    {BLOCKS "0\nBLOCK\n2\na\n", nothing,
     "0\nENDBLK\n" END ENTITIES "0\nINSERT\n2\na\n70\n30000\n71\n30000\n" EOF_,
     "inserted too often"},
};

enum { DRAWINGS = sizeof drawings / sizeof drawings[0] };

/* As many pieces as come to `size` bytes, to the even number of them. */
static void draw(const drawing *what, size_t size, th_text *text) {
    th_text trial = {0};
    int count = 0;

    for (int i = 0; i < 200; i++) {
        what->middle(&trial, i, 1000);
    }
    count = (int)(size * 200 / trial.size) & ~1;
    count -= count % 7919 == 0 ? 2 : 0;
    th_text_free(&trial);
    th_text_put(text, what->before);
    for (int i = 0; i < count; i++) {
        what->middle(text, i, count);
    }
    th_text_put(text, what->after);
    assert_false(text->failed);
}

static long memory_now(void) {
    struct rusage usage;

    assert_int_equal(getrusage(RUSAGE_SELF, &usage), 0);
    return usage.ru_maxrss / 1024;
}

/* `which`: for messages. */
static void read_in_time(const th_text *text, bool dxf, const char *problem, int which) {
    th_outline outline;
    th_error err = {0};
    clock_t start = clock();
    bool done = dxf ? th_outline_dxf(text->data, text->size, "large", &outline, &err)
                    : th_outline_svg(text->data, text->size, "large", &outline, &err);
    double seconds = (double)(clock() - start) / CLOCKS_PER_SEC;

    if (seconds > 2.0 * SLOWER * fmax((double)text->size / 1e5, 1) || memory_now() > MEMORY_MAX) {
        fail_msg("drawing %d of %zu bytes: %.2f s, %ld MB", which, text->size, seconds,
                 memory_now());
    }
    if (done != !problem || (!done && !strstr(err.message, problem))) {
        fail_msg("drawing %d of %zu bytes: %s", which, text->size, done ? "accepted" : err.message);
    }
    th_outline_free(&outline);
}

static void read_large(int which, size_t size) {
    const drawing *what = &drawings[which];
    th_text text = {0};

    draw(what, size, &text);
    assert_true(text.size > size * 7 / 10 && text.size < size * 2);
    read_in_time(&text, what->before[0] == '0', what->problem, which);
    th_text_free(&text);
}

static void test_100_kb(void **state) {
    (void)state;
    for (int i = 0; i < DRAWINGS; i++) {
        read_large(i, 100000);
    }
}

static void test_1_mb(void **state) {
    (void)state;
    for (int i = 0; i < DRAWINGS; i++) {
        read_large(i, 1000000);
    }
}

/* A few lines may ask for as many points as an outline may have. */
static void test_copies(void **state) {
    static const char drawn[] = BLOCKS "0\nBLOCK\n2\na\n0\nCIRCLE\n40\n1\n0\nENDBLK\n" END ENTITIES
                                       "0\nINSERT\n2\na\n70\n%d\n71\n%d\n44\n2.1\n45\n2.1\n" EOF_;
    th_text few = {0}, many = {0};

    (void)state;
    th_text_add(&few, drawn, 150, 150);
    th_text_add(&many, drawn, 900, 900);
    assert_false(few.failed || many.failed);
    read_in_time(&few, true, NULL, 150);
    read_in_time(&many, true, "takes more than 1000000 points", 900);
    th_text_free(&few);
    th_text_free(&many);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_100_kb),
        cmocka_unit_test(test_1_mb),
        cmocka_unit_test(test_copies),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
