/* xml_events.c - what the browser's own parser found in a drawing, handed on as expat would.
 *
 * Records end in RS (0x1E), their fields in US (0x1F): the first field is the kind, S (start: line,
 * name, then attribute names and values), E (end: name), T (text), D (document type: 1 if it
 * declares anything itself), X (line and text of a fault). XML forbids both characters in a
 * document, so nothing in a drawing can look like one.
 */
#include "page.h"

#include <expat.h>
#include <stdlib.h>
#include <string.h>

enum { MOST_ATTRIBUTES = 256, FIELD = 0x1F, RECORD = 0x1E };

struct th_xml_events {
    void *user;
    XML_StartElementHandler start;
    XML_EndElementHandler end;
    XML_CharacterDataHandler text;
    XML_StartDoctypeDeclHandler doctype;
    enum XML_Error error;
    unsigned long line;
    bool stopped;
    char *records; /* a copy, its fields cut apart */
};

XML_Parser XML_ParserCreateNS(const XML_Char *encoding, XML_Char separator) {
    (void)encoding;
    (void)separator; /* names come with '|' already */
    return calloc(1, sizeof(struct th_xml_events));
}

void XML_ParserFree(XML_Parser parser) {
    if (parser != NULL) {
        free(parser->records);
        free(parser);
    }
}

void XML_SetUserData(XML_Parser parser, void *user) {
    parser->user = user;
}

void XML_SetElementHandler(XML_Parser parser, XML_StartElementHandler start,
                           XML_EndElementHandler end) {
    parser->start = start;
    parser->end = end;
}

void XML_SetCharacterDataHandler(XML_Parser parser, XML_CharacterDataHandler handler) {
    parser->text = handler;
}

void XML_SetStartDoctypeDeclHandler(XML_Parser parser, XML_StartDoctypeDeclHandler handler) {
    parser->doctype = handler;
}

enum XML_Status XML_StopParser(XML_Parser parser, XML_Bool resumable) {
    (void)resumable;
    parser->stopped = true;
    return XML_STATUS_OK;
}

enum XML_Error XML_GetErrorCode(XML_Parser parser) {
    return parser->error;
}

/* One code has the browser's own words, and the parser is no argument here. */
const char *XML_ErrorString(enum XML_Error code) {
    return code == XML_ERROR_NO_MEMORY ? "out of memory" : "it is not well-formed XML";
}

unsigned long XML_GetCurrentLineNumber(XML_Parser parser) {
    return parser->line;
}

/* The next field of a record, NULL behind the last. */
static char *next_field(char **rest) {
    char *field = *rest, *end = field == NULL ? NULL : strchr(field, FIELD);

    *rest = end == NULL ? NULL : end + 1;
    if (end != NULL) {
        *end = '\0';
    }
    return field;
}

static void start_element(XML_Parser parser, char *fields) {
    const XML_Char *attributes[2 * MOST_ATTRIBUTES + 1] = {NULL};
    size_t count = 0;
    char *line = next_field(&fields), *name = next_field(&fields);

    parser->line = line == NULL ? 0 : strtoul(line, NULL, 10);
    while (fields != NULL && count / 2 < MOST_ATTRIBUTES) {
        attributes[count] = next_field(&fields);
        attributes[count + 1] = fields == NULL ? "" : next_field(&fields);
        count += 2;
    }
    attributes[count] = NULL;
    if (name != NULL) {
        parser->start(parser->user, name, attributes);
    }
}

static void hand_on(XML_Parser parser, char *record) {
    char *fields = record, *kind = next_field(&fields);

    switch (kind[0]) {
    case 'S':
        start_element(parser, fields);
        break;
    case 'E':
        parser->end(parser->user, fields == NULL ? "" : fields);
        break;
    case 'T':
        if (fields != NULL) {
            parser->text(parser->user, fields, (int)strlen(fields));
        }
        break;
    case 'D':
        parser->doctype(parser->user, "svg", NULL, NULL, fields != NULL && fields[0] == '1');
        break;
    default:
        parser->line = fields == NULL ? 0 : strtoul(fields, NULL, 10);
        parser->error = XML_ERROR_SYNTAX;
        break;
    }
}

/* `text` is a drawing that th_page_file was given: its events are looked up by it. */
enum XML_Status XML_Parse(XML_Parser parser, const char *text, int size, int last) {
    const char *events = th_page_events(text);
    size_t length = events == NULL ? 0 : strlen(events);

    (void)size;
    (void)last;
    parser->records = events == NULL ? NULL : malloc(length + 1);
    if (parser->records == NULL) {
        parser->error = events == NULL ? XML_ERROR_SYNTAX : XML_ERROR_NO_MEMORY;
        return XML_STATUS_ERROR;
    }
    memcpy(parser->records, events, length + 1);
    for (char *record = parser->records, *end; !parser->stopped && parser->error == XML_ERROR_NONE;
         record = end + 1) {
        end = strchr(record, RECORD);
        if (end == NULL) {
            break;
        }
        *end = '\0';
        hand_on(parser, record);
    }
    return parser->error == XML_ERROR_NONE && !parser->stopped ? XML_STATUS_OK : XML_STATUS_ERROR;
}
