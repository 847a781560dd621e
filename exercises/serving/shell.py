"""The phone's pages as few files as a weak signal likes: one style sheet, and one script for each
page, with a version in their address.

The modules stay as they are written; here they are strung together, each in a function of its own.
Rejected: a bundler, which is a build step and a program of another language for what these lines
do; a file for each module, which is a dozen round trips.
"""

import hashlib
import re
from functools import lru_cache
from pathlib import Path

APP = Path(__file__).resolve().parent.parent
STATIC = APP / "static" / "exercises"
STYLES = (
    "tokens",
    "base",
    "lists",
    "drawings",
    "debrief",
    "media",
    "phone-top",
    "station",
    "compass",
    "practice",
    "lessons",
    "help",
)
SCRIPTS = {
    "class": "class-page",
    "practice": "practice-page",
    "glossary": "glossary-page",
    "door": "door",
}  # what is asked for, and the module that it begins with
# pages that are seldom opened, and with a network: a phone does not keep their scripts
APART = {"forget": "forget-page"}
QR = "exercises/vendor/uqr.js"
IMPORT = re.compile(
    r'^import \{\s+([^}]*?),?\s+\} from "\./([\w-]+)\.js";\n', re.M
)  # on one line, or a name a line
COMMENT = re.compile(
    r"^ *(?:/\*\*.*?\*/|// .*?)\n", re.M | re.S
)  # whole lines: what is for colleagues need not travel
EXPORT = re.compile(r"^export (const|function|async function) (\w+)", re.M)


def _source(module):
    return (STATIC / "js" / f"{module}.js").read_text(encoding="utf-8")


def _name(module):
    return f"from_{module.replace('-', '_')}"


def modules(first):
    """A module and all that it imports, what is imported before what imports it."""
    order = []

    def visit(module):
        for match in IMPORT.finditer(_source(module)):
            visit(match[2])
        if module not in order:
            order.append(module)

    visit(first)
    return order


def _as_function(module):
    source = IMPORT.sub(
        lambda match: f"const {{ {match[1].replace(' as ', ': ')} }} = {_name(match[2])};\n",
        COMMENT.sub("", _source(module)),
    )
    names = ", ".join(match[2] for match in EXPORT.finditer(source))
    body = EXPORT.sub(r"\1 \2", source)
    return f"const {_name(module)} = await (async () => {{\n{body}\nreturn {{ {names} }};\n}})();\n"


@lru_cache
def script(name):
    """The script of a page, one of SCRIPTS or APART. Raises KeyError."""
    return "".join(map(_as_function, modules((SCRIPTS | APART)[name])))


@lru_cache
def stylesheet():
    """The style of all the phone's pages."""
    return "".join((STATIC / "css" / f"{name}.css").read_text(encoding="utf-8") for name in STYLES)


@lru_cache
def version():
    """Twelve characters that change whenever anything does that a page of the phone is made of: the
    program itself is counted in, because the trainer's page holds what the domain predicts."""
    made = hashlib.sha256()
    for path in sorted(
        path
        for path in APP.rglob("*")
        if path.suffix in (".js", ".css", ".html", ".svg", ".mo", ".py")
    ):
        made.update(path.read_bytes())
    return made.hexdigest()[:12]
