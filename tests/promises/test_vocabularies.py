"""What the database lets in is what the program knows by name."""

import pytest
from django.apps import apps

from exercises.domain.diagnosis.questions import QUESTIONS
from exercises.domain.earth.angle_units import UNITS
from exercises.domain.earth.length_units import LENGTHS
from exercises.domain.tasks.forms import UNREADABLE

OF_REGISTERS = {
    ("reading", "unit"): [*UNITS],
    ("paperentry", "unit"): [*UNITS],
    ("person", "lengths"): [*LENGTHS],
    ("reading", "problem"): [error.__name__ for error in UNREADABLE],
    ("reply", "question"): [*QUESTIONS],
}


def known():
    """(model, field, codes) of each constraint that lets codes in."""
    for model in apps.get_app_config("exercises").get_models():
        for constraint in model._meta.constraints:
            if constraint.name.endswith("_is_known") and hasattr(constraint, "condition"):
                ((lookup, codes),) = constraint.condition.children
                yield model, lookup.removesuffix("__in"), codes


def _codes(model, name):
    """The codes of a field by its choices, or by the register that it is filled from; none is one
    of them where the field may be blank.
    """
    field = model._meta.get_field(name)
    codes = OF_REGISTERS.get((model._meta.model_name, name)) or dict(field.choices)
    return {*codes, *([""] if field.blank else [])}


@pytest.mark.parametrize(
    ("model", "name", "codes"),
    [pytest.param(*one, id=f"{one[0]._meta.model_name} {one[1]}") for one in known()],
)
def test_the_database_lets_in_the_codes_of_the_vocabulary(model, name, codes):
    assert sorted(codes) == sorted(_codes(model, name))


def test_each_field_with_choices_is_held():
    held = {(model._meta.model_name, name) for model, name, _ in known()}
    by_another_name = {
        ("label", "said_by"),
        ("rotationmark", "what"),
        ("invitation", "role"),
        ("staff", "role"),
    }
    chosen = {
        (model._meta.model_name, one.name)
        for model in apps.get_app_config("exercises").get_models()
        for one in model._meta.concrete_fields
        if one.choices
    }

    assert chosen - held == by_another_name
