/* read_codes.c - which G and M words are read, and which of them exclude each other. */
#include "read.h"

#include <math.h>

typedef struct {
    int code; /* of a G word ten times its number */
    int group;
} code_group;

/* Sorted. Groups are the report's. */
static const code_group g_words[] = {
    {0, G_MOTION},     {10, G_MOTION},      {20, G_MOTION},    {30, G_MOTION},
    {40, G_ACTION},    {90, G_NOTHING},     {100, G_ACTION},   {150, G_NOTHING},
    {170, G_PLANE},    {180, G_PLANE},      {190, G_PLANE},    {200, G_UNITS},
    {210, G_UNITS},    {280, G_ACTION},     {300, G_ACTION},   {400, G_RADIUS},
    {410, G_RADIUS},   {411, G_RADIUS},     {420, G_RADIUS},   {421, G_RADIUS},
    {430, G_LENGTH},   {490, G_LENGTH},     {500, G_NOTHING},  {530, G_ACTION},
    {540, G_SYSTEM},   {550, G_SYSTEM},     {560, G_SYSTEM},   {570, G_SYSTEM},
    {580, G_SYSTEM},   {590, G_SYSTEM},     {591, G_SYSTEM},   {592, G_SYSTEM},
    {593, G_SYSTEM},   {610, G_CONTROL},    {611, G_CONTROL},  {640, G_CONTROL},
    {690, G_NOTHING},  {730, G_MOTION},     {800, G_CANCEL},   {810, G_MOTION},
    {820, G_MOTION},   {830, G_MOTION},     {840, G_MOTION},   {850, G_MOTION},
    {860, G_MOTION},   {870, G_MOTION},     {880, G_MOTION},   {890, G_MOTION},
    {900, G_DISTANCE}, {901, G_ARC_CENTRE}, {910, G_DISTANCE}, {911, G_ARC_CENTRE},
    {920, G_ACTION},   {921, G_ACTION},     {922, G_ACTION},   {923, G_ACTION},
    {930, G_FEED},     {940, G_FEED},       {950, G_FEED},     {970, G_NOTHING},
    {980, G_RETRACT},  {990, G_RETRACT},
};

static const code_group m_words[] = {
    {0, M_STOP},    {1, M_STOP},      {2, M_STOP},      {3, M_SPINDLE}, {4, M_SPINDLE},
    {5, M_SPINDLE}, {6, M_TOOL},      {7, M_MIST},      {8, M_FLOOD},   {9, M_FLOOD},
    {30, M_STOP},   {48, M_OVERRIDE}, {49, M_OVERRIDE}, {60, M_STOP},   {62, M_OUTPUT},
    {63, M_OUTPUT}, {64, M_OUTPUT},   {65, M_OUTPUT},   {66, M_OUTPUT}, {67, M_OUTPUT},
    {68, M_OUTPUT}, {98, M_CALL},     {99, M_CALL},
};

bool rs_whole(double value, double least, double greatest, long long *whole) {
    double nearest = round(value);

    if (fabs(value - nearest) > 0.0001 || nearest < least || nearest > greatest) {
        return false;
    }
    *whole = (long long)nearest;
    return true;
}

static const code_group *find(const code_group *words, size_t count, long long code) {
    size_t low = 0, high = count;

    while (low < high) {
        size_t middle = (low + high) / 2;
        if (words[middle].code < code) {
            low = middle + 1;
        } else {
            high = middle;
        }
    }
    return low < count && words[low].code == code ? &words[low] : NULL;
}

static bool refuse_twice(reader *r, const char *kind, const char *from, const char *to) {
    char read[RS_ECHO_ROOM];

    return rs_fail(r, TH_CONTRADICTION,
                   "%s stands on one line with another %s word of its group: they exclude each "
                   "other, write them on two lines",
                   rs_echo(from, to, read), kind);
}

bool rs_take_g(reader *r, double value, const char *from, const char *to) {
    char read[RS_ECHO_ROOM];
    long long code;
    const code_group *word = NULL;

    if (rs_whole(value * 10, 0, 9999, &code)) {
        word = find(g_words, sizeof g_words / sizeof *g_words, code);
    }
    if (!word) {
        return rs_fail(r, TH_BAD_SYNTAX,
                       "%s is not read. Taken are G0 to G4, G9, G10, G17 to G21, G28, G30, G40 to "
                       "G43, G49, G53 to G59.3, G61, G64, G73, G80 to G95, G97 to G99, and G15, "
                       "G50, G69, which only switch off what is not read%s",
                       rs_echo(from, to, read),
                       rs_whole(value * 10, 520, 520, &code)
                           ? "; what G52 shifts, G92 or G10 L2 shifts too"
                           : "");
    }
    if (word->group != G_NOTHING && r->b.g[word->group] != NO_WORD) {
        return refuse_twice(r, "G", from, to);
    }
    r->b.g[word->group] = word->code;
    return true;
}

bool rs_take_m(reader *r, double value, const char *from, const char *to) {
    char read[RS_ECHO_ROOM];
    long long code;
    const code_group *word = NULL;

    if (rs_whole(value, 0, 999, &code)) {
        word = find(m_words, sizeof m_words / sizeof *m_words, code);
    }
    if (!word) {
        return rs_fail(r, TH_BAD_SYNTAX,
                       "%s is not read: what it does is the machine maker's. Taken are M0 to M9, "
                       "M30, M48, M49, M60, M62 to M68, M98, M99",
                       rs_echo(from, to, read));
    }
    if (r->b.m[word->group] != NO_WORD || (word->code == 9 && r->b.m[M_MIST] != NO_WORD) ||
        (word->code == 7 && r->b.m[M_FLOOD] == 9)) {
        return refuse_twice(r, "M", from, to);
    }
    r->b.m[word->group] = word->code;
    r->report->m_used[word->code] = true;
    return true;
}
