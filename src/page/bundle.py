"""bundle.py - the page as one file: markup, style, scripts, tables, examples and the core."""
import base64
import gzip
import hashlib
import json
import pathlib
import re
import sys

web = pathlib.Path("src/page/web")
TABLES = ["stock", "tape", "glue", "cutter", "machine", "coolant", "plate"]


def read(path):
    return pathlib.Path(path).read_text(encoding="utf-8")


def example(path):
    text = read(path)
    title = re.search(r"^title\s*=\s*(.*)$", text, re.M).group(1)
    named = re.findall(r"^(?:outline|taped)\s*=\s*(\S+)", text, re.M)
    return {"name": path.name, "title": title, "text": text,
            "drawings": [{"name": n, "text": read(path.parent / n)} for n in named]}


def inert(text):
    """JSON that cannot end the script element it stands in."""
    return text.replace("<", "\\u003c")


def sum_of(script):
    digest = hashlib.sha256(script.encode("utf-8")).digest()
    return "'sha256-" + base64.b64encode(digest).decode("ascii") + "'"


def main(wasm, version, target):
    examples = sorted(pathlib.Path("examples").glob("*.ini"), key=lambda p: (p.name != "front-panel.ini", p.name))
    stuff = {"tables": [{"name": t, "text": read(f"materials/{t}.ini")} for t in TABLES],
             "examples": [example(p) for p in examples]}
    core = base64.b64encode(gzip.compress(pathlib.Path(wasm).read_bytes(), 9, mtime=0)).decode("ascii")
    script = "".join(read(web / f"{part}.js") for part in ["core", "jobtext", "form", "answer", "page"])
    policy = ("default-src 'none'; script-src " + sum_of(script) + " 'wasm-unsafe-eval' blob:; worker-src blob:; "
              "style-src 'unsafe-inline'; img-src data: blob:; frame-src 'self' about:; base-uri 'none'; form-action 'none'")
    page = read(web / "page.html")
    for name, value in [("CSP", policy), ("STYLE", read(web / "page.css")), ("VERSION", version),
                        ("STUFF", inert(json.dumps(stuff, ensure_ascii=False))), ("CORE", core),
                        ("WORKER", read(web / "worker.js")), ("SCRIPT", script)]:
        page = page.replace(f"@{name}@", value)
    pathlib.Path(target).write_text(page, encoding="utf-8")


main(*sys.argv[1:])
