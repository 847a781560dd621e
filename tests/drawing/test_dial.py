"""The dial, as a phone draws it from numbers."""

import json

import pytest
from django.conf import settings

from exercises.domain.earth.angle_units import unit_of
from exercises.domain.tasks.bands import Band
from exercises.drawing import dial as drawing

CASES = json.loads((settings.BASE_DIR / "fixtures/shared/dials.json").read_text(encoding="utf-8"))


@pytest.mark.parametrize("case", CASES, ids=lambda case: case["numbers"]["label"])
def test_the_server_draws_a_dial_as_phones_do(case, monkeypatch):
    numbers = case["numbers"]
    monkeypatch.setattr(drawing, "dial_label", lambda says: numbers["label"])
    monkeypatch.setattr(drawing, "letters", lambda: tuple(numbers["letters"]))

    drawn = drawing.dial(
        numbers["answer"],
        Band(numbers["full"], numbers["part"]),
        numbers["reading"],
        (),
        unit_of(numbers["unit"]),
    )

    assert drawn == case["drawn"]
