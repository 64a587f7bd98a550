/* card_page.c - what all cards share: head, verdict, style, foot. */
#include "card_page.h"

#include <string.h>

#include "picture.h"
#include "words.h"

/* Sizes for a phone first, then for wider windows, then for paper. Inks are those of the
 * pictures. */
static const char style[] =
    ":root{color-scheme:light dark}"
    "*{box-sizing:border-box}"
    "body{margin:0 auto;max-width:58rem;padding:.75rem;background:#fff;color:#1b1b1b;"
    "font:1rem/1.45 sans-serif}"
    "h1{font-size:1.5rem;line-height:1.2;margin:.2rem 0 .6rem}"
    "h2{font-size:1.1rem;line-height:1.2;margin:0 0 .4rem;border-bottom:2px solid #1b1b1b;"
    "padding-bottom:.15rem}"
    "p{margin:.3rem 0}"
    "section{margin:1.1rem 0}"
    ".verdict{display:flex;gap:.8rem;align-items:center;border:3px solid #1b1b1b;padding:.6rem}"
    ".verdict svg{flex:none}"
    ".verdict strong{font-size:1.7rem;line-height:1.1;letter-spacing:.02em}"
    ".verdict p{margin:.15rem 0}"
    "dl{margin:0}"
    "dl div{margin:.25rem 0}"
    "dt{font-weight:bold}"
    "dd{margin:0}"
    "ol,ul{margin:0;padding-left:1.5rem}"
    "li{margin:.35rem 0}"
    "figure{margin:0;overflow-x:auto}"
    "figure svg{display:block}"
    "figcaption,small{color:#4a4a4a}"
    "small{font-weight:normal}"
    ".wide{overflow-x:auto}"
    "@media screen and (max-width:64rem){.wide,figure{background:"
    "linear-gradient(to right,var(--ground,#fff) 40%,transparent) 0 0/2.5rem 100% no-repeat local,"
    "linear-gradient(to left,var(--ground,#fff) 40%,transparent) 100% 0/2.5rem 100% no-repeat "
    "local,"
    "linear-gradient(to right,#7778,transparent) 0 0/.8rem 100% no-repeat scroll,"
    "linear-gradient(to left,#7778,transparent) 100% 0/.8rem 100% no-repeat scroll}"
    "#cuts td:last-child{min-width:14rem}}"
    "table{border-collapse:collapse;width:100%;font-variant-numeric:tabular-nums}"
    "th,td{text-align:left;vertical-align:top;padding:.25rem .45rem;border-bottom:1px solid "
    "#767676}"
    "th.number,td.number{text-align:right}"
    "td.number{white-space:nowrap}"
    "thead th{vertical-align:bottom;border-bottom:2px solid #1b1b1b}"
    "tbody th{white-space:nowrap}"
    "footer{border-top:2px solid #1b1b1b;margin-top:1.2rem;padding-top:.5rem}"
    "#taken-for-granted--what-counts{display:none}"
    "#cuts td:nth-child(2){white-space:nowrap}"
    "#worst-lines td{min-width:2.6rem}"
    "#worst-lines td:nth-child(3){min-width:8rem;overflow-wrap:anywhere}"
    "#worst-lines td:last-child{min-width:14rem}"
    "@media screen and (max-width:48rem){"
    "#the-part-from-above svg,#map-of-the-tape svg,#hold-factor-by-line svg{min-width:36rem}"
    "}"
    "@media print,(min-width:48rem){"
    "main{display:grid;grid-template-columns:repeat(10,1fr);column-gap:1.2rem}"
    "section{grid-column:1/-1}"
    "#the-hold{grid-column:span 6}"
    "#the-stack{grid-column:span 4}"
    "#the-part-from-above{grid-column:1/-1}"
    "#cautions{grid-column:1/7;grid-row:span 2}"
    "#taken-for-granted,#not-checked,#what-is-not-checked{grid-column:7/-1}"
    "#depth-and-time{grid-column:span 4}"
    "#how-the-program-was-read{grid-column:7/-1}"
    "#how-far-it-may-be-opened,#temperature{grid-column:span 5}"
    "dl div{display:grid;grid-template-columns:7rem 1fr;gap:.5rem}"
    "#figures-and-their-trust dl div{grid-template-columns:13rem 1fr}"
    "#depth-and-time dl div{grid-template-columns:4.5rem 1fr}"
    "}"
    "@media screen and (prefers-color-scheme:dark){"
    "body{background:#16191c;color:#e8e8e8;--ground:#16191c}"
    "figcaption,small{color:#b8bcc0}"
    ".verdict,h2,thead th,footer{border-color:#b8bcc0}"
    ".verdict svg{background:#fff}"
    "}";
static const char style_of_paper[] =
    "@page{size:auto;margin:8mm 9mm}"
    "@media print{"
    "body{max-width:none;padding:0;font-size:8.2pt;line-height:1.22}"
    "main{column-gap:5mm}"
    "section{margin:.5mm 0}"
    "h1{font-size:15pt;margin:0 0 .6mm}"
    "h2{font-size:10.5pt;margin:0 0 .6mm;padding:0;border-bottom-width:1px;break-after:avoid}"
    "p{margin:.5mm 0}"
    "small{font-size:8pt}"
    ".verdict{padding:.8mm 3mm;gap:4mm;border-width:2px;font-size:10pt}"
    ".verdict strong{font-size:22pt}"
    ".verdict p{margin:.2mm 0}"
    ".verdict p:nth-child(-n+2){display:inline-block;margin-right:5mm}"
    "section svg,figure,li,tr,dl div,footer{break-inside:avoid}"
    ".wide,figure{overflow:visible}"
    "li{margin:.3mm 0}"
    "ul{padding-left:4mm}"
    "ol{padding-left:7mm}"
    "dl div{grid-template-columns:20mm 1fr;gap:1mm;margin:.3mm 0}"
    "#depth-and-time dl div{grid-template-columns:15mm 1fr}"
    "main{grid-template-rows:auto auto 1fr}"
    "#the-hold,#taken-for-granted--what-counts,#not-checked{grid-column:1/6}"
    "#the-stack{grid-column:6/-1;grid-row:1/4}"
    "#the-hold,#depth-and-time{grid-row:1}"
    "#depth-and-time{grid-column:6/-1}"
    "#what-is-not-checked{grid-column:1/6}"
    "#how-the-program-was-read{grid-column:6/-1}"
    "#not-checked{grid-row:2}"
    "#taken-for-granted--what-counts{grid-row:3}"
    "#the-part-from-above,#cautions{grid-column:1/-1;grid-row:auto}"
    "#cautions ul{columns:2;column-gap:5mm}"
    "#taken-for-granted{display:none}"
    "#taken-for-granted--what-counts{display:block}"
    "#steps,#steps--once-it-holds{font-size:9.5pt}"
    "#figures-and-their-trust dl{columns:3;column-gap:4mm}"
    "#figures-and-their-trust dl div{display:block}"
    "#figures-and-their-trust dt,#figures-and-their-trust dd{display:inline}"
    "#figures-and-their-trust dt{margin-right:.6em}"
    "#figures-and-their-trust{font-size:7.5pt;line-height:1.2}"
    "th,td{padding:.3mm 1.2mm}"
    "footer{margin-top:1mm;padding-top:1mm;border-width:1px}"
    "body.long{font-size:8pt;line-height:1.14}"
    ".long .verdict{font-size:9pt}"
    ".long ol{font-size:9pt}"
    ".long li,.long dl div,.long p{margin:0}"
    ".long dl{line-height:1.1}"
    "}";

/* A plate on its tape: flat on it, half on it, or tilted off. */
static const char *const shapes[] = {
    [TH_HOLDS] = "<path d=\"M6 22h52v14H6z\"/><path d=\"M6 38h52v6H6z\" fill=\"none\" "
                 "stroke=\"#1b1b1b\" stroke-width=\"2\"/>",
    [TH_UNPROVEN] = "<path d=\"M6 22h52v14H6z\" fill=\"none\" stroke=\"#1b1b1b\" "
                    "stroke-width=\"3\" stroke-dasharray=\"7 4\"/><path d=\"M6 40h22v6H6zM36 "
                    "40h22v6H36z\" fill=\"none\" stroke=\"#1b1b1b\" stroke-width=\"2\"/>",
    [TH_LETS_GO] = "<path d=\"M10 22 56 2l5 12-46 20z\"/><path d=\"M6 42h52v6H6z\" fill=\"none\" "
                   "stroke=\"#1b1b1b\" stroke-width=\"2\"/>",
};

static void put_paragraph(th_text *text, const char *words) {
    if (words != NULL && words[0] != '\0') {
        th_text_put(text, "<p>");
        th_svg_escape(text, words);
        th_text_put(text, "</p>\n");
    }
}

static void put_verdict(const th_card_head *head, th_doc *doc, th_text *text) {
    const char *gap = strstr(head->answer, "  ");
    size_t word = gap == NULL ? strlen(head->answer) : (size_t)(gap - head->answer);
    th_text_put(text,
                "<div class=\"verdict\"><svg viewBox=\"0 0 64 52\" width=\"64\" height=\"52\" "
                "fill=\"#1b1b1b\" aria-hidden=\"true\">");
    th_text_add(text, "%s</svg>\n<div><p><strong>", shapes[head->verdict]);
    th_svg_escape(text, th_words_print(doc, "%.*s", (int)word, head->answer));
    th_text_put(text, "</strong></p>\n");
    put_paragraph(text, head->answer + word + strspn(head->answer + word, " "));
    for (size_t i = 0; i < TH_CARD_LINES; i++) {
        put_paragraph(text, head->lines[i]);
    }
    put_paragraph(text, TH_WORDS_SAFETY);
    th_text_put(text, "</div></div>\n");
}

void th_card_top(const th_card_head *head, th_doc *doc, th_text *text) {
    th_text_put(text, "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n"
                      "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; "
                      "style-src 'unsafe-inline'; base-uri 'none'; form-action 'none'\">\n"
                      "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n"
                      "<title>");
    th_svg_escape(text, head->title);
    th_text_put(text, " - tackhold</title>\n<style>");
    th_text_put(text, style);
    th_text_put(text, style_of_paper);
    th_text_put(text, "</style>\n</head>\n<body");
    th_text_put(text, head->is_long ? " class=\"long\">" : ">");
    th_text_put(text, "\n<header>\n<h1>");
    th_svg_escape(text, head->title);
    th_text_put(text, "</h1>\n");
    put_verdict(head, doc, text);
    th_text_put(text, "</header>\n<main>\n");
}

void th_card_foot(const char *where, th_text *text) {
    th_text_add(text,
                "</main>\n<footer>\n<p>What came of it: &#9744; held &#9744; moved &#9744; let go, "
                "%s ______ on ____________ by ____________</p>\n<p><small>tackhold " TH_VERSION
                ". A statement about the figures named here, most of them estimates until you have "
                "pulled your own tape off.</small></p>\n</footer>\n</body>\n</html>\n",
                where);
}
