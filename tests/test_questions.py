"""Nothing outside the rooms of forms and kinds asks which form or kind an answer has: it asks the
answer's form, its kind or its words to do what is wanted.
"""

import ast
import itertools
from pathlib import Path

import pytest

from exercises.domain.tasks import forms
from exercises.domain.tasks.forms.base import Form
from exercises.domain.tasks.kinds import REGISTER
from exercises.domain.tasks.kinds.base import Kind

ROOT = Path(__file__).resolve().parent.parent / "exercises"
ROOMS = ("domain/tasks/forms/", "domain/tasks/kinds/", "presenting/answers/", "migrations/")
# What one asked before forms and kinds had methods, and what only one form or kind holds.
TELLTALE = {
    *("is_place", "needs_target", "needs_more", "has_legs", "gives_bearing"),
    *("has_field_half", "goes_on", "looks_from_known", "is_walked"),
}


def descendants(cls):
    """A class and all that derive from it."""
    return {cls, *(deeper for own in cls.__subclasses__() for deeper in descendants(own))}


CLASSES = {cls.__name__ for cls in descendants(Form) | descendants(Kind)}
CODES = {*REGISTER, *(form.code for form in (forms.Bearing, forms.Target, forms.Place))}


def questions(source):
    """Lines of a module that ask which kind or form something has."""
    return sorted({node.lineno for node in ast.walk(ast.parse(source)) if _asks(node)})


def _asks(node):
    if isinstance(node, ast.Compare):
        sides = itertools.permutations([node.left, *node.comparators], 2)
        return any(_is_kind_or_form(one) and _is_a_code(other) for one, other in sides)
    if isinstance(node, ast.Call) and getattr(node.func, "id", "") in ("isinstance", "issubclass"):
        return any(getattr(name, "id", "") in CLASSES for name in ast.walk(node.args[1]))
    if isinstance(node, ast.Match):
        return _is_kind_or_form(node.subject)
    return isinstance(node, ast.Attribute) and node.attr in TELLTALE


def _is_kind_or_form(node):
    """`answer.kind`, `kind.code`, `answer.form`, `answer.form.code`, `answer.form.space`."""
    return isinstance(node, ast.Attribute) and (
        node.attr in ("kind", "form", "widget")
        or (node.attr in ("code", "space") and _names_one(node.value))
    )


def _names_one(node):
    """`kind`, `form`, `answer.kind`, `answer.form`."""
    return getattr(node, "id", getattr(node, "attr", "")) in ("kind", "form")


def _is_a_code(node):
    """A code of the registers, a class or constant that stands for one, or several of them."""
    if isinstance(node, (ast.Tuple, ast.List, ast.Set)):
        return any(map(_is_a_code, node.elts))
    if isinstance(node, ast.Constant):
        return node.value in CODES
    if isinstance(node, ast.Attribute):
        return node.attr in ("code", "kind", "form", "space") or node.attr.isupper()
    return isinstance(node, ast.Name) and (node.id in CLASSES or node.id.isupper())


def modules():
    for path in sorted(ROOT.rglob("*.py")):
        name = path.relative_to(ROOT).as_posix()
        if not name.startswith(ROOMS):
            yield pytest.param(path, id=name)


@pytest.mark.parametrize("path", list(modules()))
def test_nothing_outside_asks_which_kind_or_form_an_answer_has(path):
    assert questions(path.read_text(encoding="utf-8")) == []


@pytest.mark.parametrize(
    "source",
    [
        'if answer.kind == "follow": pass',
        'if task.kind in ("fix", "walk"): pass',
        "if answer.form.space == PLANE: pass",
        "if one.form.code != other.form.code: pass",
        "if isinstance(answer.form, Place): pass",
        "if kind.code == Face.code: pass",
        'if kind_of(answer.kind).widget == "place": pass',
        "match answer.kind:\n    case _: pass",
    ],
)
def test_a_question_is_noticed(source):
    assert questions(source) == [1]


@pytest.mark.parametrize(
    "source",
    [
        "words_of(answer).prompt(answer, points)",
        "CHECKS[answer.form.space]",
        "if hazard.kind == other: pass",
        "answer.form.grade(answer, seen)",
    ],
)
def test_what_only_hands_on_is_no_question(source):
    assert questions(source) == []
