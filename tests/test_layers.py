"""Imports point one way. Walks the syntax trees, so that an import inside a function counts as
well.
"""

import ast
import functools
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent / "exercises"
MAY_IMPORT = {
    "domain": set(),
    "languages": {"domain"},
    "locale": set(),
    "vocabulary": {"domain"},
    "drawing": {"domain", "languages", "vocabulary"},
    "exchange": {"domain"},
    "models": {"domain", "vocabulary"},
    "world": {"domain"},
    "permissions": {"domain", "models"},
    "queries": {"domain", "exchange", "models"},
    "kit_queries": {"models"},
    "record_queries": {"domain", "models"},
    "usecases": {"domain", "exchange", "kit_queries", "models", "queries", "vocabulary"},
    "printing": {"domain", "drawing"},
    "presenting": {
        "domain",
        "drawing",
        "exchange",
        "languages",
        "printing",
        "usecases",
        "vocabulary",
        "world",
    },
    "serving": set(),
    "keeping": {"serving"},
    "forms": {"domain", "exchange", "languages", "models", "printing", "vocabulary", "world"},
    "views": {
        "domain",
        "exchange",
        "forms",
        "keeping",
        "kit_queries",
        "languages",
        "models",
        "permissions",
        "presenting",
        "printing",
        "queries",
        "record_queries",
        "serving",
        "usecases",
        "vocabulary",
        "world",
    },
    "templatetags": {"keeping", "languages", "presenting", "serving"},
    "management": {"exchange", "keeping", "languages", "promises", "serving", "usecases"},
    "urls": {"exchange", "views"},
    "checks": {"domain"},
    "apps": {"checks", "promises", "serving", "views"},
    "promises": set(),
    "migrations": {"models", "promises"},
}
# Inside the domain: each room may use those before it.
ROOMS = (
    "words",
    "earth",
    "surveying",
    "mistakes",
    "tasks",
    "diagnosis",
    "planning",
    "results",
    "running",
)


def modules():
    for path in sorted(ROOT.rglob("*.py")):
        parts = path.relative_to(ROOT).with_suffix("").parts
        if parts != ("__init__",):
            yield path, parts


@functools.cache
def imports(path, parts):
    """Absolute dotted names that a module imports."""
    return tuple(names_in(ast.parse(path.read_text(encoding="utf-8")), ["exercises", *parts[:-1]]))


def names_in(tree, package):
    for node in ast.walk(tree):
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


@pytest.mark.parametrize(
    ("path", "parts"),
    [(path, parts) for path, parts in modules() if parts[0] == "domain" and parts[1] in ROOMS],
    ids=lambda value: "/".join(value) if isinstance(value, tuple) else "",
)
def test_a_room_of_the_domain_uses_only_those_before_it(path, parts):
    used = {
        name.split(".")[2]
        for name in imports(path, parts)
        if name.startswith("exercises.domain.") and len(name.split(".")) > 2
    }

    assert used <= set(ROOMS[: ROOMS.index(parts[1]) + 1])


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
        ("pyproj", "domain/earth/geodesy"),
        ("pygeomag", "domain/earth/magnetics"),
        ("mgrs", "domain/earth/grid_notation"),
        ("ephem", "domain/earth/sun"),
        ("tzfpy", "domain/earth/zones"),
        ("shapely", "domain/planning/hazards"),
        ("defusedxml", "exchange/markup"),
        ("openpyxl", "exchange/workbook"),
        ("reportlab", "printing/paper"),
        ("webauthn", "usecases/passkey_ceremony"),
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
        if parts[:2] in (("exchange", "batch"), ("exchange", "tables"))
        for name in imports(path, parts)
    )
