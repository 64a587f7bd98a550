"""look.py FILE...: cards (HTML) and pictures (SVG) as a reader's programs see them.

HTML is parsed strictly by html5lib; headings, scopes, ids and text alternatives are looked at;
contrast is worked out after WCAG 2.1 (relative luminance; 4.5 for text, 3 for marks) for the
colours of the page's style and for every text and mark of every picture over what lies under it.
The size of all lettering on A4 and Letter is worked out from the style, the view boxes and the
widths that the sections get there.
"""

import re
import sys
import xml.etree.ElementTree as xml

TEXT, MARK = 4.5, 3.0
SVG = "{http://www.w3.org/2000/svg}"
faults = []


def fault(name, message):
    faults.append("%s: %s" % (name, message))


# ---- contrast ------------------------------------------------------------------------------------
def channels(colour):
    digits = colour.lstrip("#")
    if len(digits) == 3:
        digits = "".join(2 * d for d in digits)
    return [int(digits[i : i + 2], 16) / 255 for i in (0, 2, 4)]


def luminance(colour):
    linear = [c / 12.92 if c <= 0.03928 else ((c + 0.055) / 1.055) ** 2.4 for c in channels(colour)]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(a, b):
    low, high = sorted((luminance(a), luminance(b)))
    return (high + 0.05) / (low + 0.05)


# ---- the style of a page -------------------------------------------------------------------------
DARK = r"@media screen and \(prefers-color-scheme:dark\)\{((?:[^{}]*\{[^{}]*\})*)\}"


def check_inks(name, style, wanted):
    """Inks and edges that a style names, against the ground that it names for <body>."""
    body = re.search(r"body\{([^}]*)\}", style)
    ground = body and re.search(r"background:(#[0-9a-f]+)", body.group(1))
    inks = re.findall(r"[;{]color:(#[0-9a-f]+)", style)
    if not ground or len(inks) < wanted:
        fault(name, "the style names no ground, or hardly an ink")
        return
    ground = ground.group(1)
    for ink in inks:
        if contrast(ink, ground) < TEXT:
            fault(name, "text %s on %s: contrast %.2f" % (ink, ground, contrast(ink, ground)))
    for edge in re.findall(r"border[a-z-]*:[^;}]*(#[0-9a-f]+)", style):
        if contrast(edge, ground) < MARK:
            fault(name, "border %s: contrast %.2f" % (edge, contrast(edge, ground)))


def check_style(name, style):
    dark = re.search(DARK, style)
    if not dark or "color-scheme:light dark" not in style:
        fault(name, "no inks for a dark screen")
        return
    light = style[: dark.start()] + style[dark.end() :]
    check_inks(name, light, 2)
    check_inks(name, dark.group(1), 2)
    # What the dark rules leave as it is must do on a dark ground as well.
    ground = re.search(r"body\{background:(#[0-9a-f]+)", dark.group(1)).group(1)
    for names, edge in re.findall(r"([^{}]+)\{[^{}]*border[a-z-]*:[^;}]*(#[0-9a-f]+)", light):
        told = all(n.strip() in dark.group(1) for n in names.split(","))
        if not told and contrast(edge, ground) < MARK:
            fault(name, "%s on a dark screen: border %s" % (names, edge))


# ---- pictures ------------------------------------------------------------------------------------
def inside(point, rings):
    x, y = point
    odd = False
    for ring in rings:
        for (ax, ay), (bx, by) in zip(ring, ring[1:] + ring[:1]):
            if (ay > y) != (by > y) and x < ax + (y - ay) / (by - ay) * (bx - ax):
                odd = not odd
    return odd


def rings_of(path):
    """Corners of a path; of a quadratic curve its middle and its end."""
    rings, ring = [], []
    for command, numbers in re.findall(r"([MLQZ])([^MLQZ]*)", path):
        n = [float(value) for value in numbers.split()]
        if command == "M" and ring:
            rings.append(ring)
            ring = []
        if command == "Q":
            (x, y), (cx, cy, ex, ey) = ring[-1], n
            ring.append(((x + 2 * cx + ex) / 4, (y + 2 * cy + ey) / 4))
        if command != "Z":
            ring.append((n[-2], n[-1]))
    return rings + [ring] if ring else rings


def number(element, key):
    return float(element.get(key, 0))


def covers(element, point):
    tag = element.tag.replace(SVG, "")
    x, y = point
    if tag == "rect":
        left, top = number(element, "x"), number(element, "y")
        return left <= x <= left + number(element, "width") and top <= y <= top + number(
            element, "height"
        )
    if tag == "circle":
        return (x - number(element, "cx")) ** 2 + (y - number(element, "cy")) ** 2 <= number(
            element, "r"
        ) ** 2
    return tag == "path" and inside(point, rings_of(element.get("d", "")))


def grounds_of(svg, fill):
    """What a fill shows: its colour, or the colours of its pattern."""
    if not fill.startswith("url("):
        return [fill]
    wanted = fill[5:-1]
    colours = []
    for pattern in svg.iter(SVG + "pattern"):
        if pattern.get("id") == wanted:
            for part in pattern:
                colours += [c for c in (part.get("fill"), part.get("stroke")) if c and c != "none"]
    return colours


def places_of(text):
    """Along a text, at half the height of its letters; turned ones at their place alone."""
    x, y, size = number(text, "x"), number(text, "y"), number(text, "font-size")
    if text.get("transform"):
        return [(x, y)]
    width = 0.5 * size * len("".join(text.itertext()))
    start = {"middle": x - width / 2, "end": x - width}.get(text.get("text-anchor"), x)
    return [(start + share * width, y - 0.35 * size) for share in (0.05, 0.5, 0.95)]


def check_text(name, svg, text, drawn):
    ink = text.get("fill")
    if text.get("stroke") == "#fff":  # a rim of white round the letters
        grounds = ["#fff"]
    else:
        grounds = []
        for place in places_of(text):
            under = [s for s in drawn if s.get("fill", "none") != "none" and covers(s, place)]
            grounds += grounds_of(svg, under[-1].get("fill")) if under else ["#fff"]
    for ground in grounds:
        if contrast(ink, ground) < TEXT:
            fault(
                name,
                'text "%s" %s on %s: contrast %.2f'
                % ("".join(text.itertext())[:30], ink, ground, contrast(ink, ground)),
            )


def check_picture(name, svg):
    ids = {e.get("id") for e in svg.iter() if e.get("id")}
    if svg.get("aria-hidden") == "true":
        return 0
    if svg.get("role") != "img":
        fault(name, "a picture without role=img")
    labels = svg.get("aria-labelledby", "").split()
    if len(labels) != 2 or not set(labels) <= ids:
        fault(name, "a picture without title and description")
    for kind in ("title", "desc"):
        found = svg.find(SVG + kind)
        if found is None or not (found.text or "").strip():
            fault(name, "a picture whose %s is empty" % kind)
    drawn, texts = [], 0
    patterns = {part for p in svg.iter(SVG + "pattern") for part in p}
    clips = {part for p in svg.iter(SVG + "clipPath") for part in p}
    for element in svg.iter():
        if element in patterns or element in clips:
            continue
        if element.tag == SVG + "text":
            texts += 1
            check_text(name, svg, element, drawn)
            if number(element, "font-size") < 11:
                fault(name, "text below 11 px")
        elif element.tag in (SVG + "rect", SVG + "circle", SVG + "path"):
            drawn.append(element)
            stroke = element.get("stroke", "none")
            alone = element.get("fill", "none") == "none"
            if alone and stroke not in ("none", "#fff") and contrast(stroke, "#fff") < MARK:
                fault(name, "a line %s: contrast %.2f" % (stroke, contrast(stroke, "#fff")))
    for attribute in (v for e in svg.iter() for v in e.attrib.values()):
        if re.search(r"\b(nan|inf)\b", attribute, re.I):
            fault(name, "no number: %s" % attribute[:60])
    return texts


# ---- lettering on paper --------------------------------------------------------------------------
LEAST_PT, LEAST_SOURCES_PT = 8.0, 7.5
PAPERS = {"A4": 210.0, "Letter": 215.9}  # width (mm)
PX, PT = 25.4 / 96, 72 / 25.4  # a CSS px in mm, a mm in points


def rule_of(style, element_id, key):
    """The last value of a key in the rules that name an id: what paper gets."""
    value = None
    for names, body in re.findall(r"([^{}]+)\{([^{}]*)\}", style):
        if "#" + element_id in names.split(","):
            found = re.findall(r"(?:^|;)%s:([^;]+)" % re.escape(key), body)
            value = found[-1] if found else value
    return value


def columns_of(span):
    """How many of the ten columns a section takes."""
    if span is None:
        return 10
    if span.startswith("span"):
        return int(span.split()[1])
    first, last = (int(part) for part in span.split("/"))
    return (last if last > 0 else 12 + last) - first


def width_on(paper, style, section):
    """Width of a section's content (mm)."""
    margin = float(re.search(r"@page\{[^}]*margin:\S+ ([0-9.]+)mm", style).group(1))
    gap = float(re.search(r"main\{column-gap:([0-9.]+)mm", style).group(1))
    count = columns_of(rule_of(style, section, "grid-column"))
    each = (PAPERS[paper] - 2 * margin - 9 * gap) / 10
    return count * each + (count - 1) * gap


def check_lettering(name, style, tree):
    """Every text of every picture, and every size that the style sets, as printed."""
    paper = style[style.index("@media print{") :]
    if re.search(r"svg\{[^}]*(height|width)", paper):
        fault(name, "the style resizes pictures on paper")
    sizes = re.findall(r"([^{}]+)\{[^{}]*font-size:([0-9.]+)(\w+)", paper)
    named = {selector for selector, _, _ in sizes}
    if not {"body", "small", "h1", "h2"} <= named:
        fault(name, "body, small or headings have no size on paper")
    for selector, size, unit in sizes:
        least = LEAST_SOURCES_PT if selector == "#figures-and-their-trust" else LEAST_PT
        if unit != "pt" or float(size) < least:
            fault(name, "%s on paper: %s%s" % (selector, size, unit))
    least = {}
    for section in tree.iter("section"):
        for svg in section.iter(SVG + "svg"):
            box = float(svg.get("viewBox").split()[2])
            for sheet in PAPERS:
                wide = min(number(svg, "width") * PX, width_on(sheet, style, section.get("id")))
                for text in svg.iter(SVG + "text"):
                    size = number(text, "font-size") * wide / box * PT
                    key = (section.get("id"), sheet)
                    least[key] = min(size, least.get(key, size))
    for (section, sheet), size in least.items():
        if size < LEAST_PT:
            fault(name, "lettering of %.1f pt in %s on %s" % (size, section, sheet))
    return least


# ---- pages ---------------------------------------------------------------------------------------
def check_outline(name, tree):
    levels = [int(e.tag[-1]) for e in tree.iter() if re.fullmatch(r"h[1-6]", str(e.tag))]
    if levels.count(1) != 1 or levels[:1] != [1]:
        fault(name, "not one <h1> before all other headings")
    if any(b > a + 1 for a, b in zip(levels, levels[1:])):
        fault(name, "a level of headings is left out")
    ids = [e.get("id") for e in tree.iter() if e.get("id")]
    for double in {i for i in ids if ids.count(i) > 1}:
        fault(name, "id %s stands twice" % double)
    for cell in tree.iter("th"):
        if cell.get("scope") not in ("row", "col"):
            fault(name, "a <th> without scope")
    if not tree.get("lang"):
        fault(name, "no language")
    if not (tree.findtext(".//title") or "").strip():
        fault(name, "no title")


def check_closed(name, source, tree):
    if list(tree.iter("script")) or re.search(r"\son[a-z]+=", source):
        fault(name, "a script")
    for element in tree.iter():
        if element.get("href") or element.get("src"):
            fault(name, "<%s> loads or leads elsewhere" % element.tag)
    if "default-src 'none'" not in source:
        fault(name, "no content security policy")


def check_page(name, source):
    import html5lib

    try:
        html5lib.HTMLParser(strict=True).parse(source)
    except html5lib.html5parser.ParseError as error:
        fault(name, "HTML: %s" % error)
        return
    tree = html5lib.parse(source, treebuilder="etree", namespaceHTMLElements=False)
    check_outline(name, tree)
    check_closed(name, source, tree)
    check_style(name, tree.findtext(".//style"))
    check_lettering(name, tree.findtext(".//style"), tree)
    pictures = list(tree.iter(SVG + "svg"))
    if sum(check_picture(name, svg) for svg in pictures) < 10:
        fault(name, "hardly a word in its pictures")
    if len(source.encode()) > 400000:
        fault(name, "over 400 kB")


for path in sys.argv[1:]:
    content = open(path, encoding="utf-8").read()
    if content.startswith("<!DOCTYPE"):
        check_page(path, content)
    else:
        check_picture(path, xml.fromstring(content))
for line in faults:
    print(line)
sys.exit(1 if faults or len(sys.argv) < 2 else 0)
