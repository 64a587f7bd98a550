/* svg_text.c - numbers, lengths and transforms in SVG attributes. */
#include "svg.h"
#include "scan.h"

#include <math.h>
#include <string.h>

svg_text th_svg_text_of(const char *zero_terminated) {
    return (svg_text){zero_terminated, zero_terminated + strlen(zero_terminated)};
}

void th_svg_blanks(svg_text *text) {
    while (text->p < text->end && th_scan_blank(*text->p)) {
        text->p++;
    }
}

void th_svg_comma(svg_text *text) {
    th_svg_blanks(text);
    if (text->p < text->end && *text->p == ',') {
        text->p++;
        th_svg_blanks(text);
    }
}

bool th_svg_number(svg_text *text, double *value) {
    if (!th_scan_number(&text->p, text->end, value)) {
        return false;
    }
    th_svg_comma(text);
    return true;
}

const char *th_svg_shown(const char *text, size_t size, char room[40]) {
    size_t n = size < 30 ? size : 30;

    for (size_t i = 0; i < n; i++) {
        room[i] = text[i] >= ' ' && text[i] <= '~' ? text[i] : '?';
    }
    th_print(room + n, 40 - n, "%s", size > n ? "..." : "");
    return room;
}

bool th_svg_length(const char *text, double whole, double *px) {
    static const struct {
        const char *name;
        double px;
    } units[] = {
        {"", 1},    {"px", 1},         {"mm", 96 / 25.4}, {"cm", 96 / 2.54},
        {"in", 96}, {"pt", 96.0 / 72}, {"pc", 16},        {"q", 96 / 101.6},
    };
    svg_text t = th_svg_text_of(text);
    size_t n;

    th_svg_blanks(&t);
    if (!th_scan_number(&t.p, t.end, px)) {
        return false;
    }
    for (n = (size_t)(t.end - t.p); n > 0 && th_scan_blank(t.p[n - 1]); n--) {
    }
    if (th_scan_word(t.p, n, "%")) {
        *px *= whole / 100;
        return isfinite(*px);
    }
    for (size_t i = 0; i < sizeof units / sizeof *units; i++) {
        if (th_scan_word(t.p, n, units[i].name)) {
            *px *= units[i].px;
            return isfinite(*px);
        }
    }
    return false;
}

/* ---- transform ------------------------------------------------------------------------------- */

static th_affine rotation(double degrees, double x, double y) {
    double c = cos(degrees * (TH_PI / 180)), s = sin(degrees * (TH_PI / 180));

    /* Quarter turns are exact, so that upright lines stay upright. */
    if (fmod(degrees, 90) == 0) {
        c = round(c);
        s = round(s);
    }
    return (th_affine){c, s, -s, c, x - c * x + s * y, y - s * x - c * y};
}

/* One function of a transform list by its name and numbers. */
static bool one_transform(const char *name, size_t n, const double *v, int count, th_affine *m) {
    *m = th_affine_same();
    if (th_scan_word(name, n, "matrix") && count == 6) {
        *m = (th_affine){v[0], v[1], v[2], v[3], v[4], v[5]};
    } else if (th_scan_word(name, n, "translate") && (count == 1 || count == 2)) {
        m->e = v[0];
        m->f = count == 2 ? v[1] : 0;
    } else if (th_scan_word(name, n, "scale") && (count == 1 || count == 2)) {
        m->a = v[0];
        m->d = count == 2 ? v[1] : v[0];
    } else if (th_scan_word(name, n, "rotate") && (count == 1 || count == 3)) {
        *m = rotation(v[0], count == 3 ? v[1] : 0, count == 3 ? v[2] : 0);
    } else if (th_scan_word(name, n, "skewx") && count == 1) {
        m->c = tan(v[0] * (TH_PI / 180));
    } else if (th_scan_word(name, n, "skewy") && count == 1) {
        m->b = tan(v[0] * (TH_PI / 180));
    } else {
        return false;
    }
    return true;
}

static bool finite_affine(th_affine m) {
    return isfinite(m.a) && isfinite(m.b) && isfinite(m.c) && isfinite(m.d) && isfinite(m.e) &&
           isfinite(m.f);
}

bool th_svg_transform(const char *text, th_affine *affine) {
    svg_text t = th_svg_text_of(text);

    *affine = th_affine_same();
    th_svg_blanks(&t);
    if (th_scan_word(t.p, (size_t)(t.end - t.p), "none")) {
        return true;
    }
    while (t.p < t.end) {
        const char *name = t.p;
        double v[6];
        int count = 0;
        size_t n;
        th_affine m;
        while (t.p < t.end && th_scan_lower(*t.p) >= 'a' && th_scan_lower(*t.p) <= 'z') {
            t.p++;
        }
        n = (size_t)(t.p - name);
        th_svg_blanks(&t);
        if (t.p >= t.end || *t.p++ != '(') {
            return false;
        }
        th_svg_blanks(&t);
        while (count < 6 && th_svg_number(&t, &v[count])) {
            count++;
        }
        if (t.p >= t.end || *t.p++ != ')' || !one_transform(name, n, v, count, &m)) {
            return false;
        }
        *affine = th_affine_of(*affine, m);
        th_svg_comma(&t);
    }
    return finite_affine(*affine);
}
