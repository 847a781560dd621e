"""Functions and files stay small enough to be read at once."""

import ast
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
FUNCTION_LINES, FILE_LINES, GUIDE_COLUMNS = 50, 400, 119
OURS = [
    path
    for folder in ("exercises", "navclass", "tests")
    for path in sorted((ROOT / folder).rglob("*"))
    if not {"migrations", "vendor"} & set(path.parts)
]


def long_functions(path):
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.FunctionDef):
            lines = node.end_lineno - node.lineno + 1
            if lines > FUNCTION_LINES:
                yield f"{path.relative_to(ROOT)}:{node.lineno} {node.name}: {lines} lines"


def test_no_function_is_longer_than_fifty_lines():
    programs = [path for path in OURS if path.suffix == ".py" and "tests" not in path.parts]

    assert [found for path in programs for found in long_functions(path)] == []


@pytest.mark.parametrize("suffix", [".py", ".js", ".html", ".css"])
def test_no_file_is_longer_than_four_hundred_lines(suffix):
    long = {
        str(path.relative_to(ROOT)): lines
        for path in OURS
        if path.suffix == suffix
        and "tests" not in path.parts
        and (lines := len(path.read_text(encoding="utf-8").splitlines())) > FILE_LINES
    }

    assert long == {}


def prose(guide):
    """Its lines with their numbers, without blocks of code and tables."""
    fenced = False
    for number, line in enumerate(guide.read_text(encoding="utf-8").splitlines(), 1):
        fenced ^= line.startswith("```")
        if not fenced and not line.startswith(("|", "    ")):
            yield number, line


def test_no_line_of_a_guide_is_too_long_to_compare():
    guides = [
        *ROOT.glob("*.md"),
        *(ROOT / "exercises").rglob("README.md"),
        *(ROOT / "fixtures").rglob("README.md"),
    ]

    assert [
        f"{guide.relative_to(ROOT)}:{number}"
        for guide in guides
        for number, line in prose(guide)
        if len(line) > GUIDE_COLUMNS
    ] == []
