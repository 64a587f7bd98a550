/* memory.c - the arena, growing text, and lists of texts. */
#include "tackhold/base.h"

#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { FIRST_BLOCK = 1024, LARGEST_BLOCK = 65536, FIRST_TEXT = 64, FIRST_LINES = 8 };

struct th_block {
    th_block *next;
    size_t size, used;
    _Alignas(max_align_t) unsigned char data[];
};

static th_block *block_new(size_t size) {
    th_block *block = NULL;

    if (size <= SIZE_MAX - sizeof *block) {
        block = malloc(sizeof *block + size);
    }
    if (block) {
        block->next = NULL;
        block->size = size;
        block->used = 0;
    }
    return block;
}

/* A block with room for `bytes`: the first one, or a new one. A large request gets a block of
 * its own behind the first, whose remaining room stays in use. */
static th_block *block_for(th_arena *arena, size_t bytes) {
    th_block *first = arena->first;
    size_t size = FIRST_BLOCK;
    th_block *block;

    if (first && bytes <= first->size - first->used) {
        return first;
    }
    if (first) {
        size = first->size < LARGEST_BLOCK / 2 ? 2 * first->size : LARGEST_BLOCK;
    }
    block = block_new(bytes > size ? bytes : size);
    if (!block) {
        return NULL;
    }
    if (first && bytes > size / 4) {
        block->next = first->next;
        first->next = block;
    } else {
        block->next = first;
        arena->first = block;
    }
    return block;
}

void *th_arena_take(th_arena *arena, size_t bytes) {
    const size_t step = _Alignof(max_align_t);
    th_block *block;
    void *memory;

    if (bytes > SIZE_MAX - step) {
        return NULL;
    }
    /* Nothing asked still gets its own address, so NULL always means failure. */
    bytes = bytes == 0 ? step : (bytes + step - 1) / step * step;
    block = block_for(arena, bytes);
    if (!block) {
        return NULL;
    }
    memory = block->data + block->used;
    block->used += bytes;
    return memset(memory, 0, bytes);
}

char *th_arena_copy(th_arena *arena, const char *text, size_t n) {
    char *copy = n < SIZE_MAX ? th_arena_take(arena, n + 1) : NULL;

    if (copy && n > 0) {
        memcpy(copy, text, n);
    }
    return copy;
}

char *th_arena_print(th_arena *arena, const char *format, ...) {
    va_list arguments;
    char *text = NULL;
    int length;

    va_start(arguments, format);
    length = th_vprint(NULL, 0, format, arguments);
    va_end(arguments);
    if (length >= 0) {
        text = th_arena_take(arena, (size_t)length + 1);
    }
    if (text) {
        va_start(arguments, format);
        th_vprint(text, (size_t)length + 1, format, arguments);
        va_end(arguments);
    }
    return text;
}

void th_arena_free(th_arena *arena) {
    th_block *block;

    if (!arena) {
        return;
    }
    block = arena->first;
    while (block) {
        th_block *next = block->next;
        free(block);
        block = next;
    }
    arena->first = NULL;
}

/* Make room for n more bytes and the terminating zero. */
static bool text_reserve(th_text *text, size_t n) {
    size_t need, capacity;
    char *data;

    if (text->failed || n > SIZE_MAX / 2 - 1 - text->size) {
        text->failed = true;
        return false;
    }
    need = text->size + n + 1;
    if (need <= text->capacity) {
        return true;
    }
    capacity = text->capacity ? 2 * text->capacity : FIRST_TEXT;
    if (capacity < need) {
        capacity = need;
    }
    data = realloc(text->data, capacity);
    if (!data) {
        text->failed = true;
        return false;
    }
    text->data = data;
    text->capacity = capacity;
    text->data[text->size] = '\0';
    return true;
}

void th_text_put(th_text *text, const char *piece) {
    th_text_put_n(text, piece, strlen(piece));
}

void th_text_put_n(th_text *text, const char *piece, size_t n) {
    if (!text_reserve(text, n)) {
        return;
    }
    if (n > 0) {
        memcpy(text->data + text->size, piece, n);
        text->size += n;
        text->data[text->size] = '\0';
    }
}

static void text_add_list(th_text *text, const char *format, va_list arguments) {
    va_list again;
    int length;

    va_copy(again, arguments);
    length = th_vprint(NULL, 0, format, again);
    va_end(again);
    if (length < 0) {
        text->failed = true;
    } else if (text_reserve(text, (size_t)length)) {
        th_vprint(text->data + text->size, (size_t)length + 1, format, arguments);
        text->size += (size_t)length;
    }
}

void th_text_add(th_text *text, const char *format, ...) {
    va_list arguments;

    va_start(arguments, format);
    text_add_list(text, format, arguments);
    va_end(arguments);
}

void th_text_free(th_text *text) {
    if (text) {
        free(text->data);
        *text = (th_text){0};
    }
}

static bool lines_hold(const th_lines *lines, const char *text) {
    for (size_t i = 0; i < lines->count; i++) {
        if (strcmp(lines->items[i], text) == 0) {
            return true;
        }
    }
    return false;
}

/* The outgrown array stays in the arena: doubling bounds that waste by the size of the list. */
static bool lines_push(th_lines *lines, th_arena *arena, const th_text *text) {
    const char *copy = th_arena_copy(arena, text->data, text->size);

    if (!copy) {
        return false;
    }
    if (lines->count == lines->capacity) {
        size_t capacity = lines->capacity ? 2 * lines->capacity : FIRST_LINES;
        const char **items = NULL;
        if (capacity <= SIZE_MAX / sizeof *items) {
            items = th_arena_take(arena, capacity * sizeof *items);
        }
        if (!items) {
            return false;
        }
        if (lines->count > 0) {
            memcpy(items, lines->items, lines->count * sizeof *items);
        }
        lines->items = items;
        lines->capacity = capacity;
    }
    lines->items[lines->count++] = copy;
    return true;
}

/* Formatted outside the arena, which would otherwise keep every repeated text. */
bool th_lines_add(th_lines *lines, th_arena *arena, const char *format, ...) {
    th_text text = {0};
    va_list arguments;
    bool done;

    va_start(arguments, format);
    text_add_list(&text, format, arguments);
    va_end(arguments);
    done = !text.failed && (lines_hold(lines, text.data) || lines_push(lines, arena, &text));
    if (!done) {
        lines->failed = true;
    }
    th_text_free(&text);
    return done;
}
