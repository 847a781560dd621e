"""What was done in a class, as sentences."""

import ast
from pathlib import Path

from exercises.presenting.trail import VERBS
from exercises.usecases.run_class import DONE

USECASES = Path(__file__).resolve().parents[2] / "exercises" / "usecases"


def noted():
    """The verbs that use cases note, as they stand in the source."""
    for path in USECASES.glob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            is_verb = isinstance(node, ast.keyword) and node.arg == "verb"
            if is_verb and isinstance(node.value, ast.Constant):
                yield node.value.value


def test_every_act_that_is_noted_has_a_sentence_and_no_sentence_is_idle():
    assert {*noted(), *DONE.values()} == set(VERBS)
