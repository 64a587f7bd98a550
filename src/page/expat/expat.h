/* expat.h - what the reader of drawings needs of an XML parser, in a browser: the page has its own
 * parser, and hands what that found over as events (xml_events.c). Names and meaning are those of
 * the library of this name. */
#ifndef PAGE_EXPAT_H
#define PAGE_EXPAT_H

typedef char XML_Char;
typedef struct th_xml_events *XML_Parser;
typedef unsigned char XML_Bool;
#define XML_TRUE ((XML_Bool)1)
#define XML_FALSE ((XML_Bool)0)
#define XMLCALL

enum XML_Status { XML_STATUS_ERROR, XML_STATUS_OK };
enum XML_Error { XML_ERROR_NONE, XML_ERROR_NO_MEMORY, XML_ERROR_SYNTAX };

typedef void (*XML_StartElementHandler)(void *user, const XML_Char *name,
                                        const XML_Char **attributes);
typedef void (*XML_EndElementHandler)(void *user, const XML_Char *name);
typedef void (*XML_CharacterDataHandler)(void *user, const XML_Char *text, int size);
typedef void (*XML_StartDoctypeDeclHandler)(void *user, const XML_Char *name,
                                            const XML_Char *system, const XML_Char *public_id,
                                            int internal);

XML_Parser XML_ParserCreateNS(const XML_Char *encoding, XML_Char separator);
void XML_ParserFree(XML_Parser parser);
void XML_SetUserData(XML_Parser parser, void *user);
void XML_SetElementHandler(XML_Parser parser, XML_StartElementHandler start,
                           XML_EndElementHandler end);
void XML_SetCharacterDataHandler(XML_Parser parser, XML_CharacterDataHandler handler);
void XML_SetStartDoctypeDeclHandler(XML_Parser parser, XML_StartDoctypeDeclHandler handler);
enum XML_Status XML_Parse(XML_Parser parser, const char *text, int size, int last);
enum XML_Status XML_StopParser(XML_Parser parser, XML_Bool resumable);
enum XML_Error XML_GetErrorCode(XML_Parser parser);
const char *XML_ErrorString(enum XML_Error code);
unsigned long XML_GetCurrentLineNumber(XML_Parser parser);

#endif
