/* Streaming JSON writer (RFC 8259). */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "json_parts.h"
#include "utf8.h"

/* What stands between the last value and the next. */
static void separate(th_json *json) {
    if (json->after_key) {
        json->after_key = false;
        return;
    }
    if (json->depth == 0) {
        return;
    }
    bool *filled = &json->filled[json->depth - 1];
    if (*filled) {
        th_text_put(json->text, ", ");
    }
    *filled = true;
}

static void open_level(th_json *json, const char *opener, char closer) {
    if (json->depth == TH_JSON_DEPTH) {
        json->failed = true;
    }
    if (json->failed) {
        return;
    }
    separate(json);
    th_text_put(json->text, opener);
    json->closers[json->depth] = closer;
    json->filled[json->depth] = false;
    json->depth++;
}

void th_json_object(th_json *json) {
    open_level(json, "{", '}');
}

void th_json_array(th_json *json) {
    open_level(json, "[", ']');
}

void th_json_end(th_json *json) {
    if (json->depth == 0 || json->after_key) {
        json->failed = true;
    }
    if (json->failed) {
        return;
    }
    json->depth--;
    th_text_put_n(json->text, &json->closers[json->depth], 1);
}

/* One byte below 0x80. */
static void put_ascii(th_text *text, unsigned char byte) {
    static const char *const shorts[][2] = {{"\"", "\\\""}, {"\\", "\\\\"}, {"\n", "\\n"},
                                            {"\r", "\\r"},  {"\t", "\\t"},  {"\b", "\\b"},
                                            {"\f", "\\f"}};
    for (size_t i = 0; i < sizeof shorts / sizeof *shorts; i++) {
        if ((unsigned char)shorts[i][0][0] == byte) {
            th_text_put(text, shorts[i][1]);
            return;
        }
    }
    if (byte < 0x20 || byte == 0x7f) {
        th_text_add(text, "\\u%04x", (unsigned)byte);
        return;
    }
    char one = (char)byte;
    th_text_put_n(text, &one, 1);
}

static void put_string(th_text *text, const char *value) {
    th_text_put(text, "\"");
    while (*value != '\0') {
        size_t length = th_utf8_length(value);
        if (length == 0) {
            th_text_put(text, "\xEF\xBF\xBD"); /* U+FFFD */
            value++;
        } else if (length == 1) {
            put_ascii(text, (unsigned char)*value++);
        } else {
            th_text_put_n(text, value, length);
            value += length;
        }
    }
    th_text_put(text, "\"");
}

void th_json_key(th_json *json, const char *key) {
    if (json->failed || json->after_key) {
        json->failed = true;
        return;
    }
    separate(json);
    put_string(json->text, key);
    th_text_put(json->text, ": ");
    json->after_key = true;
}

void th_json_string(th_json *json, const char *value) {
    if (json->failed) {
        return;
    }
    if (value == NULL) {
        th_json_null(json);
        return;
    }
    separate(json);
    put_string(json->text, value);
}

/* The decimal mark that printf wrote, whatever the locale's, becomes a point. */
static void put_digits(th_text *text, const char *digits) {
    bool marked = false;
    for (; *digits != '\0'; digits++) {
        bool known = strchr("0123456789+-eE", *digits) != NULL;
        if (known) {
            th_text_put_n(text, digits, 1);
        } else if (!marked) {
            th_text_put(text, ".");
            marked = true;
        }
    }
}

void th_json_number(th_json *json, double value) {
    if (!isfinite(value)) {
        th_json_null(json);
        return;
    }
    if (json->failed) {
        return;
    }
    separate(json);
    char digits[64];
    for (int precision = 12; precision <= 17; precision++) {
        snprintf(digits, sizeof digits, "%.*g", precision, value);
        double back = strtod(digits, NULL);
        if (!(back < value) && !(back > value)) {
            break;
        }
    }
    put_digits(json->text, digits);
}

void th_json_bool(th_json *json, bool value) {
    if (!json->failed) {
        separate(json);
        th_text_put(json->text, value ? "true" : "false");
    }
}

void th_json_null(th_json *json) {
    if (!json->failed) {
        separate(json);
        th_text_put(json->text, "null");
    }
}

void th_json_text(th_json *json, const char *key, const char *value) {
    th_json_key(json, key);
    th_json_string(json, value);
}

void th_json_value(th_json *json, const char *key, double value) {
    th_json_key(json, key);
    th_json_number(json, value);
}

void th_json_flag(th_json *json, const char *key, bool value) {
    th_json_key(json, key);
    th_json_bool(json, value);
}

void th_json_lines(th_json *json, const char *key, const th_lines *lines) {
    th_texts_json(json, key, lines->items, lines->count);
}
