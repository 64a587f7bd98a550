/* test_base.c - status codes, the error record, arena, growing text, lists, nearest names. */
#include "tackhold/base.h"

#include "support/near.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static void status_texts_and_exit_codes(void **state) {
    (void)state;
    assert_string_equal(th_status_text(TH_OK), "done");
    assert_string_equal(th_status_text(TH_NOT_SOLVED), "computation failed");
    assert_string_equal(th_status_text((th_status)999), "unknown status");
    assert_string_equal(th_status_text((th_status)-1), "unknown status");
    for (int code = TH_OK; code <= TH_NOT_SOLVED; code++) {
        int exit_code = th_status_exit((th_status)code);
        int expected = code == TH_OK ? 0 : code >= TH_NOT_WRITTEN ? 3 : 2;
        assert_true(strlen(th_status_text((th_status)code)) > 0);
        assert_int_equal(exit_code, expected);
    }
    assert_int_equal(th_status_exit((th_status)999), 3);
}

static void errors_are_filled(void **state) {
    th_error err = {.line = 7, .file = "old.ini"};

    (void)state;
    assert_false(th_fail(&err, TH_BAD_VALUE, "%d is %s", 12, "odd"));
    assert_int_equal(err.code, TH_BAD_VALUE);
    assert_string_equal(err.message, "12 is odd");
    assert_string_equal(err.file, "");
    assert_int_equal(err.line, 0);

    assert_false(th_fail_at(&err, TH_BAD_KEY, "job.ini", 42, "no key %s", "radal"));
    assert_int_equal(err.code, TH_BAD_KEY);
    assert_string_equal(err.file, "job.ini");
    assert_int_equal(err.line, 42);
    assert_string_equal(err.message, "no key radal");

    assert_false(th_fail_at(&err, TH_MISSING, NULL, 0, "gone"));
    assert_string_equal(err.file, "");

    assert_false(th_fail_memory(&err));
    assert_int_equal(err.code, TH_NO_MEMORY);
    assert_string_equal(err.message, "out of memory");

    assert_false(th_fail(NULL, TH_BAD_VALUE, "%d", 1));
    assert_false(th_fail_at(NULL, TH_BAD_VALUE, "x", 1, "%d", 1));
    assert_false(th_fail_place(NULL, "x", 1));
    assert_false(th_fail_memory(NULL));
}

static void place_is_set_once(void **state) {
    th_error err;

    (void)state;
    th_fail(&err, TH_BAD_VALUE, "bad");
    assert_false(th_fail_place(&err, "job.ini", 3));
    assert_string_equal(err.file, "job.ini");
    assert_int_equal(err.line, 3);
    assert_string_equal(err.message, "bad");
    assert_int_equal(err.code, TH_BAD_VALUE);
    th_fail_place(&err, "other.ini", 9);
    assert_string_equal(err.file, "job.ini");
    assert_int_equal(err.line, 3);

    th_fail_at(&err, TH_BAD_VALUE, NULL, 5, "bad");
    th_fail_place(&err, "late.ini", 9);
    assert_string_equal(err.file, "late.ini");
    assert_int_equal(err.line, 5);

    th_fail_at(&err, TH_MISSING, "job.ini", 0, "no section");
    th_fail_place(&err, "job.ini", 9);
    assert_int_equal(err.line, 0);
}

/* Wrapping an earlier message reads and writes the same record. */
static void message_may_quote_itself(void **state) {
    th_error err;

    (void)state;
    th_fail_at(&err, TH_BAD_VALUE, "a.ini", 3, "inner");
    th_fail_at(&err, TH_BAD_RANGE, err.file, 4, "outer: %s", err.message);
    assert_string_equal(err.message, "outer: inner");
    assert_string_equal(err.file, "a.ini");
    assert_int_equal(err.line, 4);
}

/* Whether the text ends between two characters, counted by hand from its last bytes. */
static bool ends_whole(const char *text, const char *character) {
    size_t size = strlen(text), width = strlen(character);

    return size >= width && memcmp(text + size - width, character, width) == 0;
}

/* A text of `lead` x and then one character over and over, longer than any field. */
static char *long_text(size_t lead, const char *character) {
    size_t width = strlen(character), size = 0;
    char *text = malloc(lead + 1000 * width + 1);

    assert_non_null(text);
    for (; size < lead; size++) {
        text[size] = 'x';
    }
    for (int i = 0; i < 1000; i++) {
        memcpy(text + size, character, width + 1);
        size += width;
    }
    return text;
}

static void long_messages_end_at_a_character(void **state) {
    static const char *const characters[] = {"y", "\xC2\xB5", "\xE2\x82\xAC", "\xF0\x9F\x94\xA7"};
    th_error err;

    (void)state;
    for (size_t c = 0; c < sizeof characters / sizeof characters[0]; c++) {
        size_t width = strlen(characters[c]);
        for (size_t lead = 0; lead < 5; lead++) {
            char *text = long_text(lead, characters[c]);
            size_t room = sizeof err.message - 1, place = sizeof err.file - 1;

            th_fail_at(&err, TH_BAD_VALUE, text, 1, "%s", text);
            assert_true(ends_whole(err.message, characters[c]));
            assert_true(ends_whole(err.file, characters[c]));
            /* As much as fits, no more. */
            assert_int_equal(strlen(err.message), lead + (room - lead) / width * width);
            assert_int_equal(strlen(err.file), lead + (place - lead) / width * width);
            assert_memory_equal(err.message, text, strlen(err.message));

            th_fail(&err, TH_BAD_VALUE, "x");
            th_fail_place(&err, text, 1);
            assert_true(ends_whole(err.file, characters[c]));
            free(text);
        }
    }
}

/* Bytes that are no UTF-8 at all must neither loop nor lose more than a character. */
static void broken_bytes_are_cut_safely(void **state) {
    char junk[2000];
    th_error err;

    (void)state;
    memset(junk, 0x80, sizeof junk - 1);
    junk[sizeof junk - 1] = '\0';
    th_fail(&err, TH_BAD_VALUE, "%s", junk);
    assert_int_equal(strlen(err.message), sizeof err.message - 1);
    memset(junk, 0xFF, sizeof junk - 1);
    th_fail(&err, TH_BAD_VALUE, "%s", junk);
    assert_int_equal(strlen(err.message), sizeof err.message - 1);
    /* A text that just fits is not touched, even if it ends in half a character. */
    memset(junk, 'x', sizeof junk);
    junk[sizeof err.message - 2] = (char)0xC2;
    junk[sizeof err.message - 1] = '\0';
    th_fail(&err, TH_BAD_VALUE, "%s", junk);
    assert_string_equal(err.message, junk);
}

static void arena_memory_is_zeroed_aligned_and_apart(void **state) {
    enum { COUNT = 3000 };
    static unsigned char *taken[COUNT];
    static size_t sizes[COUNT];
    th_arena arena = {0};
    unsigned seed = 12345;

    (void)state;
    for (int i = 0; i < COUNT; i++) {
        seed = seed * 1103515245U + 12345U;
        sizes[i] = i % 97 == 0 ? 100000 : (seed >> 16) % 200;
        taken[i] = th_arena_take(&arena, sizes[i]);
        assert_non_null(taken[i]);
        assert_int_equal((uintptr_t)taken[i] % _Alignof(max_align_t), 0);
        for (size_t b = 0; b < sizes[i]; b++) {
            assert_int_equal(taken[i][b], 0);
        }
        memset(taken[i], i % 251 + 1, sizes[i]);
    }
    for (int i = 0; i < COUNT; i++) {
        for (size_t b = 0; b < sizes[i]; b++) {
            if (taken[i][b] != i % 251 + 1) {
                fail_msg("allocation %d was overwritten", i);
            }
        }
    }
    assert_ptr_not_equal(th_arena_take(&arena, 0), th_arena_take(&arena, 0));
    th_arena_free(&arena);
    assert_null(arena.first);
    th_arena_free(&arena);
    th_arena_free(NULL);
    assert_non_null(th_arena_take(&arena, 8));
    th_arena_free(&arena);
}

static void arena_refuses_impossible_sizes(void **state) {
    th_arena arena = {0};
    volatile size_t huge = SIZE_MAX;

    (void)state;
    assert_null(th_arena_take(&arena, huge));
    assert_null(th_arena_take(&arena, huge - 20));
    assert_null(th_arena_copy(&arena, "x", huge));
    assert_non_null(th_arena_take(&arena, 10));
    assert_null(th_arena_take(&arena, huge));
    th_arena_free(&arena);
}

static void arena_texts(void **state) {
    th_arena arena = {0};
    char big[5001];
    const char *text;

    (void)state;
    assert_string_equal(th_arena_copy(&arena, "stepover", 4), "step");
    assert_string_equal(th_arena_copy(&arena, NULL, 0), "");
    assert_string_equal(th_arena_print(&arena, "%s.%d", "cut", 12), "cut.12");
    memset(big, 'a', sizeof big - 1);
    big[sizeof big - 1] = '\0';
    text = th_arena_print(&arena, "%s", big);
    assert_string_equal(text, big);
    th_arena_free(&arena);
}

static void text_grows(void **state) {
    th_text text = {0};
    size_t size = 0;

    (void)state;
    th_text_put(&text, "");
    assert_string_equal(text.data, "");
    for (int i = 0; i < 1000; i++) {
        th_text_put(&text, "ab");
        th_text_put_n(&text, "cdX", 2);
        th_text_add(&text, "%03d", i);
        size += 7;
        assert_int_equal(text.size, size);
        assert_int_equal(strlen(text.data), size);
    }
    assert_memory_equal(text.data, "abcd000abcd001abcd002", 21);
    assert_string_equal(text.data + size - 14, "abcd998abcd999");
    assert_false(text.failed);
    th_text_free(&text);
    assert_null(text.data);
    assert_int_equal(text.size, 0);
    th_text_free(&text);
    th_text_free(NULL);
}

static void text_stays_failed(void **state) {
    th_text text = {0};
    volatile size_t huge = SIZE_MAX;

    (void)state;
    th_text_put(&text, "kept");
    th_text_put_n(&text, "x", huge);
    assert_true(text.failed);
    th_text_put(&text, "more");
    th_text_add(&text, "%d", 5);
    assert_true(text.failed);
    assert_string_equal(text.data, "kept");
    assert_int_equal(text.size, 4);
    th_text_free(&text);
    assert_false(text.failed);
}

static void lines_keep_order_and_drop_repeats(void **state) {
    th_arena arena = {0};
    th_lines lines = {0};
    char expected[32];

    (void)state;
    for (int round = 0; round < 2; round++) {
        for (int i = 0; i < 100; i++) {
            assert_true(th_lines_add(&lines, &arena, "hold.key%d = %d h", i, i));
        }
    }
    assert_true(th_lines_add(&lines, &arena, "%s", ""));
    assert_int_equal(lines.count, 101);
    for (int i = 0; i < 100; i++) {
        snprintf(expected, sizeof expected, "hold.key%d = %d h", i, i);
        assert_string_equal(lines.items[i], expected);
    }
    assert_string_equal(lines.items[100], "");
    assert_false(lines.failed);
    th_arena_free(&arena);
}

static const char *const keys[] = {"radial", "axial",     "depth", "speed",      "chip_load",
                                   "feed",   "direction", "skin",  "last_axial", "id"};

static const char *near(const char *word) {
    return th_nearest(word, keys, sizeof keys / sizeof keys[0]);
}

static void nearest_finds_slips(void **state) {
    (void)state;
    assert_string_equal(near("radal"), "radial");
    assert_string_equal(near("raddial"), "radial");
    assert_string_equal(near("rodial"), "radial");
    assert_string_equal(near("axial"), "axial");
    assert_string_equal(near("sped"), "speed"); /* one edit; feed would take two */
    assert_string_equal(near("chipload"), "chip_load");
    assert_string_equal(near("lastaxail"), "last_axial"); /* three edits of nine letters */
    assert_null(near("zzzzzz"));
    assert_null(near("wavelength"));
    assert_null(near(""));
    assert_null(near(NULL));
    assert_null(near("xy")); /* nothing in common with id */
    assert_null(th_nearest("radial", NULL, 0));
}

static void nearest_takes_the_first_of_equals(void **state) {
    static const char *const names[] = {"cat", "bat", "hat"};

    (void)state;
    assert_string_equal(th_nearest("rat", names, 3), "cat");
    assert_string_equal(th_nearest("hat", names, 3), "hat");
}

/* At most two edits, or a third of the letters where that is more. */
static void nearest_keeps_its_reach(void **state) {
    static const char *const names[] = {"abcdefghijkl"};

    (void)state;
    assert_string_equal(th_nearest("abcdefgh....", names, 1), names[0]);
    assert_null(th_nearest("abcdefg.....", names, 1));
    assert_string_equal(th_nearest("ab", (const char *const[]){"abcd"}, 1), "abcd");
    assert_null(th_nearest("ab", (const char *const[]){"abcde"}, 1));
}

static void nearest_refuses_long_words(void **state) {
    char word[65], name[65];
    const char *names[] = {name, "radial"};

    (void)state;
    memset(word, 'a', 64);
    memset(name, 'a', 64);
    word[63] = name[63] = '\0';
    name[0] = 'b';
    assert_ptr_equal(th_nearest(word, names, 2), name);
    word[63] = 'a';
    word[64] = '\0';
    assert_null(th_nearest(word, names, 2));
    word[63] = '\0';
    name[63] = 'a';
    name[64] = '\0';
    assert_null(th_nearest(word, names, 2));
    assert_string_equal(th_nearest("radil", names, 2), "radial");
}

/* Rows of a table: what is typed is often a part of an id, or a word of the name. */
static void words_lead_to_rows(void **state) {
    static const char *const ids[] = {"al-6061-t6", "al-cast", "film-clear", "masking-fine"};
    static const char *const names[] = {"aluminium 6061 T6", "cast Aluminium, alloys",
                                        "clear film tape", "fine masking tape"};
    const char *meant[TH_MEANT_MOST];
    char text[40];

    (void)state;
    assert_int_equal(th_meant("6061", ids, names, 4, meant), 1);
    assert_string_equal(meant[0], "al-6061-t6");
    assert_int_equal(th_meant("ALUMINUM", ids, names, 4, meant), 2); /* but for a slip */
    assert_string_equal(meant[1], "al-cast");
    assert_int_equal(th_meant("Masking tape", ids, names, 4, meant), 1); /* both words */
    assert_string_equal(meant[0], "masking-fine");
    assert_int_equal(th_meant("tape", ids, names, 4, meant), 2);
    assert_int_equal(th_meant("tape", ids, NULL, 4, meant), 0);
    assert_int_equal(th_meant("film-claer", ids, names, 4, meant), 1); /* the nearest, alone */
    assert_string_equal(meant[0], "film-clear");
    assert_int_equal(th_meant("a t6", ids, names, 4, meant), 0); /* too short to say anything */
    assert_int_equal(th_meant("Aluminum", ids, names, 4, meant), 2);
    assert_int_equal(th_meant("", ids, names, 4, meant), 0);
    assert_int_equal(th_meant("...", ids, names, 4, meant), 0);
    assert_int_equal(th_meant(NULL, ids, names, 4, meant), 0);
    /* what people say, however it is written; a word that needs no other stays itself */
    assert_string_equal(th_usual_word("Super-Glue"), "cyanoacrylate");
    assert_string_equal(th_usual_word("Inches"), "inch");
    assert_string_equal(th_usual_word("film"), "film");
    assert_null(th_usual_word(NULL));
    assert_string_equal(th_usual_word(""), "");
    th_meant_text(ids, 3, "\"", text, sizeof text);
    assert_string_equal(text, "\"al-6061-t6\", \"al-cast\" or \"film-clear\"");
    th_meant_text(ids, 2, "", text, sizeof text);
    assert_string_equal(text, "al-6061-t6 or al-cast");
    th_meant_text(ids, 4, "", text, 12); /* cut, never overrun */
    assert_string_equal(text, "al-6061-t6,");
    th_meant_text(ids, 0, "", text, sizeof text);
    assert_string_equal(text, "");
}

/* Words as long as a name may be, and longer. */
static void long_words_are_cut(void **state) {
    char word[200];
    const char *ids[] = {"row"}, *names[] = {word};
    const char *meant[TH_MEANT_MOST];

    (void)state;
    memset(word, 'a', sizeof word - 1);
    word[sizeof word - 1] = '\0';
    assert_int_equal(th_meant(word, ids, names, 1, meant), 1);
    assert_int_equal(th_meant("row bbbbbbbbb", ids, names, 1, meant), 1);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(words_lead_to_rows),
        cmocka_unit_test(long_words_are_cut),
        cmocka_unit_test(status_texts_and_exit_codes),
        cmocka_unit_test(errors_are_filled),
        cmocka_unit_test(place_is_set_once),
        cmocka_unit_test(message_may_quote_itself),
        cmocka_unit_test(long_messages_end_at_a_character),
        cmocka_unit_test(broken_bytes_are_cut_safely),
        cmocka_unit_test(arena_memory_is_zeroed_aligned_and_apart),
        cmocka_unit_test(arena_refuses_impossible_sizes),
        cmocka_unit_test(arena_texts),
        cmocka_unit_test(text_grows),
        cmocka_unit_test(text_stays_failed),
        cmocka_unit_test(lines_keep_order_and_drop_repeats),
        cmocka_unit_test(nearest_finds_slips),
        cmocka_unit_test(nearest_takes_the_first_of_equals),
        cmocka_unit_test(nearest_keeps_its_reach),
        cmocka_unit_test(nearest_refuses_long_words),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
