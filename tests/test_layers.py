"""Imports point one way. Walks the syntax trees, so that an import inside a function counts as
well.
"""

import ast
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent / "exercises"
MAY_IMPORT = {
    "domain": set(),
    "tables": {"domain"},
    "batch": {"domain", "tables"},
    "server": {"tls"},
    "languages": {"domain"},
    "shell": set(),
    "certificates": set(),
    "tls": set(),
    "handover": {"domain"},
    "locale": set(),
    "drawing": {"domain", "languages"},
    "models": {"domain"},
    "exchange": {"domain", "tables"},
    "mapping": {"domain", "languages", "drawing"},
    "survey_wording": {"domain", "languages", "drawing"},
    "ground_wording": {"domain", "languages", "drawing", "survey_wording"},
    "course_checking": {"domain", "languages", "drawing", "usecases", "wording"},
    "usecases": {"domain", "exchange", "models", "tables", "queries"},
    "printing": {"domain", "drawing"},
    "printables": {"debriefing", "domain", "drawing", "languages", "printing", "wording"},
    "permissions": {"domain", "models"},
    "queries": {"domain", "exchange", "models"},
    "wording": {"domain", "languages", "drawing"},
    "remedies": {"domain", "languages", "drawing", "wording"},
    "practising": {"domain", "languages", "wording"},
    "debriefing": {"domain", "languages", "drawing", "wording", "remedies"},
    "forms": {"domain", "exchange", "languages", "models", "printing"},
    "checks": set(),
    "apps": {"checks"},
    "views": {
        "domain",
        "languages",
        "models",
        "usecases",
        "permissions",
        "queries",
        "wording",
        "drawing",
        "forms",
        "tables",
        "server",
        "debriefing",
        "shell",
        "handover",
        "practising",
        "certificates",
        "exchange",
        "mapping",
        "survey_wording",
        "ground_wording",
        "course_checking",
        "printables",
        "printing",
    },
    "templatetags": {"languages", "shell"},
    "urls": {"exchange", "views"},
    "management": {"certificates", "languages", "tables", "batch", "usecases", "server"},
    "migrations": {"models"},
}


def modules():
    for path in sorted(ROOT.rglob("*.py")):
        parts = path.relative_to(ROOT).with_suffix("").parts
        if parts != ("__init__",):
            yield path, parts


def imports(path, parts):
    """Absolute dotted names that a module imports."""
    package = ["exercises", *parts[:-1]]
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            base = package[: len(package) - node.level + 1] if node.level else []
            stem = ".".join([*base, *([node.module] if node.module else [])])
            yield from (f"{stem}.{alias.name}" for alias in node.names)


@pytest.mark.parametrize(
    ("path", "parts"),
    list(modules()),
    ids=lambda value: "/".join(value) if isinstance(value, tuple) else "",
)
def test_a_module_imports_only_what_lies_below_it(path, parts):
    layer = parts[0]
    own = {
        name.split(".")[1]
        for name in imports(path, parts)
        if name.startswith("exercises.") and len(name.split(".")) > 1
    }

    assert own - {layer} <= MAY_IMPORT[layer]


def test_the_domain_knows_nothing_of_django():
    outside = {
        name
        for path, parts in modules()
        if parts[0] == "domain"
        for name in imports(path, parts)
        if name.startswith("django")
    }

    assert outside == set()


@pytest.mark.parametrize(
    ("library", "importer"),
    [
        ("pyproj", "domain/geodesy"),
        ("pygeomag", "domain/magnetics"),
        ("mgrs", "domain/coordinates"),
        ("ephem", "domain/sun"),
        ("shapely", "domain/hazards"),
        ("defusedxml", "exchange/reading"),
        ("openpyxl", "exchange/reading"),
        ("reportlab", "printing/paper"),
    ],
)
def test_one_module_alone_imports_the_library(library, importer):
    found = {
        "/".join(parts)
        for path, parts in modules()
        for name in imports(path, parts)
        if name.split(".")[0] == library
    }

    assert found == {importer}


def test_batch_grading_needs_no_rows():
    assert not any(
        name.startswith(("exercises.models", "django"))
        for path, parts in modules()
        if parts[0] in ("batch", "tables")
        for name in imports(path, parts)
    )
