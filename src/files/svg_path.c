/* th_svg_path.c - the commands of a path's d attribute. */
#include "svg.h"
#include "scan.h"

#include <math.h>
#include <string.h>

typedef struct {
    svg_text text;
    const char *start; /* of the attribute */
    th_path *path;
    char command; /* the last one, in lower case; 0 before the first */
    bool relative;
    th_point start_at; /* of the subpath */
    th_point at;
    th_point control; /* of the curve before, for the smooth ones */
    char curve;       /* what that curve was: 'c' or 'q', else 0 */
} drawer;

static void refuse(drawer *d, const char *what) {
    char shown[40];
    size_t left = (size_t)(d->text.end - d->text.p);

    th_path_fail(d->path, TH_BAD_SYNTAX, "path: %s at character %zu, before \"%s\"", what,
                 (size_t)(d->text.p - d->start) + 1, th_svg_shown(d->text.p, left, shown));
}

static bool number(drawer *d, double *value) {
    if (!th_svg_number(&d->text, value)) {
        refuse(d, "a number is missing");
        return false;
    }
    if (!(fabs(*value) <= 1e12)) {
        refuse(d, "a number is too large");
        return false;
    }
    return true;
}

static bool point(drawer *d, th_point *p) {
    if (!number(d, &p->x) || !number(d, &p->y)) {
        return false;
    }
    if (d->relative) {
        p->x += d->at.x;
        p->y += d->at.y;
    }
    return true;
}

/* A flag is a single digit, and what follows may stand right behind it. */
static bool flag(drawer *d, bool *value) {
    char c = d->text.p < d->text.end ? *d->text.p : '\0';

    if (c != '0' && c != '1') {
        refuse(d, "a flag of an arc must be 0 or 1");
        return false;
    }
    *value = c == '1';
    d->text.p++;
    th_svg_comma(&d->text);
    return true;
}

static void line_to(drawer *d, th_point p) {
    th_path_line(d->path, p);
    d->at = p;
    d->curve = 0;
}

static void move_or_line(drawer *d) {
    th_point p;

    if (!point(d, &p)) {
        return;
    }
    if (d->command == 'l') {
        line_to(d, p);
        return;
    }
    th_path_move(d->path, p);
    d->at = d->start_at = p;
    d->curve = 0;
    d->command = 'l'; /* further pairs are lines */
}

static void level_or_upright(drawer *d) {
    double value;
    th_point p = d->at;

    if (!number(d, &value)) {
        return;
    }
    if (d->command == 'h') {
        p.x = value + (d->relative ? d->at.x : 0);
    } else {
        p.y = value + (d->relative ? d->at.y : 0);
    }
    line_to(d, p);
}

/* The control point of the curve before, mirrored at the current point. */
static th_point mirrored(const drawer *d, char curve) {
    if (d->curve != curve) {
        return d->at;
    }
    return (th_point){2 * d->at.x - d->control.x, 2 * d->at.y - d->control.y};
}

static void cubic(drawer *d) {
    th_point c1 = mirrored(d, 'c'), c2, to;

    if ((d->command == 'c' && !point(d, &c1)) || !point(d, &c2) || !point(d, &to)) {
        return;
    }
    th_path_cubic(d->path, c1, c2, to);
    d->control = c2;
    d->at = to;
    d->curve = 'c';
}

static void quadratic(drawer *d) {
    th_point c = mirrored(d, 'q'), to;

    if ((d->command == 'q' && !point(d, &c)) || !point(d, &to)) {
        return;
    }
    th_path_quadratic(d->path, c, to);
    d->control = c;
    d->at = to;
    d->curve = 'q';
}

static void arc(drawer *d) {
    th_arc_to a = {0};

    if (number(d, &a.rx) && number(d, &a.ry) && number(d, &a.rotation) && flag(d, &a.large) &&
        flag(d, &a.positive) && point(d, &a.to)) {
        th_path_arc_to(d->path, &a);
        d->at = a.to;
        d->curve = 0;
    }
}

static void draw_once(drawer *d) {
    switch (d->command) {
    case 'm':
    case 'l':
        move_or_line(d);
        break;
    case 'h':
    case 'v':
        level_or_upright(d);
        break;
    case 'c':
    case 's':
        cubic(d);
        break;
    case 'q':
    case 't':
        quadratic(d);
        break;
    case 'a':
        arc(d);
        break;
    default:
        refuse(d, "a command is missing");
    }
}

/* Takes a command letter if one stands here; else the last command goes on. */
static bool next_command(drawer *d) {
    char c = *d->text.p, lower = th_scan_lower(c);

    if (lower < 'a' || lower > 'z') {
        if (d->command == 0) {
            refuse(d, d->text.p == d->start ? "a path must begin with M" : "a command is missing");
        }
        return !d->path->failed;
    }
    if (!strchr("mlhvcsqtaz", lower)) {
        refuse(d, "there is no such command");
        return false;
    }
    if (d->text.p == d->start && lower != 'm') {
        refuse(d, "a path must begin with M");
        return false;
    }
    d->command = lower;
    d->relative = c == lower;
    d->text.p++;
    th_svg_blanks(&d->text);
    return true;
}

void th_svg_path(const char *text, th_path *path) {
    drawer d = {.text = th_svg_text_of(text), .path = path};

    th_svg_blanks(&d.text);
    d.start = d.text.p;
    if (th_scan_word(d.start, (size_t)(d.text.end - d.start), "none")) {
        return;
    }
    while (d.text.p < d.text.end && !path->failed) {
        if (!next_command(&d)) {
            return;
        }
        if (d.command == 'z') {
            th_path_close(path);
            d.at = d.start_at;
            d.curve = 0;
            d.command = 0; /* numbers may not follow */
            continue;
        }
        draw_once(&d);
    }
}

void th_svg_points(const char *text, bool close, th_path *path) {
    svg_text t = th_svg_text_of(text);
    bool first = true;

    th_svg_blanks(&t);
    while (t.p < t.end && !path->failed) {
        th_point p;
        if (!th_svg_number(&t, &p.x) || !th_svg_number(&t, &p.y)) {
            char shown[40];
            th_path_fail(path, TH_BAD_SYNTAX, "points must be pairs of numbers; read \"%s\"",
                         th_svg_shown(t.p, (size_t)(t.end - t.p), shown));
            return;
        }
        if (first) {
            th_path_move(path, p);
        } else {
            th_path_line(path, p);
        }
        first = false;
    }
    if (close) {
        th_path_close(path);
    }
}
