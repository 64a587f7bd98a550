/* usual.c - what people say for a word or a row that goes by another name here. */
#include "tackhold/base.h"

#include <string.h>

enum { LONGEST = 40 };

/* Letters and digits alone, small: "Super-glue" is superglue. */
static const struct {
    const char *said, *meant;
} usual[] = {
    {"superglue", "cyanoacrylate"},
    {"supergel", "cyanoacrylate"},
    {"instantglue", "cyanoacrylate"},
    {"instantadhesive", "cyanoacrylate"},
    {"cyano", "cyanoacrylate"},
    {"caglue", "cyanoacrylate"},
    {"ca", "cyanoacrylate"},
    {"noglue", "none"},
    {"no", "none"},
    {"inches", "inch"},
    {"imperial", "inch"},
    {"in", "inch"},
    {"metric", "mm"},
    {"millimeter", "mm"},
    {"millimeters", "mm"},
    {"millimetre", "mm"},
    {"millimetres", "mm"},
    {"contour", "outline"},
    {"profile", "outline"},
    {"perimeter", "outline"},
    {"cutout", "outline"},
    {"facing", "face"},
    {"skim", "face"},
    {"surfacing", "face"},
    {"bore", "hole"},
    {"boring", "hole"},
    {"groove", "slot"},
    {"clean", "wiped"},
    {"cleaned", "wiped"},
    {"degreased", "wiped"},
    {"alcohol", "wiped"},
    {"sanded", "scuffed"},
    {"abraded", "scuffed"},
    {"nothing", "as-is"},
    {"coolant", "flood"},
    {"emulsion", "flood"},
    {"compressedair", "air"},
    {"airblast", "air"},
    {"mql", "mist"},
    {"fog", "mist"},
    {"oil", "neat-oil"},
    {"aluminum", "aluminium"},
    {"alu", "aluminium"},
    {"doublesided", "double"},
    {"doublesidedtape", "double"},
    {"bluetape", "painters-paper"},
    {"endmill", "flat"},
    {"ballnose", "ball"},
    {"vbit", "point"},
};

/* Without blanks and hyphens, in small letters; false when too long. */
static bool bare(const char *word, char text[LONGEST + 1]) {
    size_t n = 0;

    for (; *word != '\0'; word++) {
        char c = *word >= 'A' && *word <= 'Z' ? (char)(*word - 'A' + 'a') : *word;
        bool kept = (c >= 'a' && c <= 'z') || (c >= '0' && c <= '9');
        if (kept && n == LONGEST) {
            return false;
        }
        if (kept) {
            text[n++] = c;
        }
    }
    text[n] = '\0';
    return n > 0;
}

const char *th_usual_word(const char *word) {
    char said[LONGEST + 1];

    for (size_t i = 0; word && bare(word, said) && i < sizeof usual / sizeof usual[0]; i++) {
        if (strcmp(usual[i].said, said) == 0) {
            return usual[i].meant;
        }
    }
    return word;
}
