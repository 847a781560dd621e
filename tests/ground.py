"""Invented answers for tests: a worked example of the trade, and a small course."""

from exercises.domain.earth.norths import NORTHS, Norths
from exercises.domain.surveying.ground.estimate import Estimate
from exercises.domain.tasks.answer import Answer, Other
from exercises.domain.tasks.bands import Band
from exercises.domain.tasks.budget import Budget, Term, of_arithmetic
from exercises.domain.tasks.kinds import kind_of
from exercises.domain.tasks.site import UNSET

WORKED = Norths(declination_deg=8.0, convergence_deg=1.0)  # T 074, G 073, M 066


def answer(
    task="1",
    kind="sight",
    true_deg=74.0,
    north="true",
    norths=WORKED,
    others=(),
    stations=(),
    given_deg=None,
    given_north="",
    band=None,
    survey_deg=0.2,
):
    """An answer along a true bearing."""
    return Answer(
        task=task,
        kind=kind,
        station="A",
        target="T1" if kind != "convert" else "",
        north=north,
        band=band or Band(5, 10),
        norths=norths,
        bearings_deg={name: norths.turn(true_deg, "true", name) for name in NORTHS},
        distance_m=200.0,
        budget=of_arithmetic()
        if kind == "convert"
        else Budget(
            (
                Term("survey", survey_deg),
                Term("standing", 0.1),
                Term("declination", 0.4),
                Term("compass", 1.15),
                Term("scale", 0.58),
            )
        ),
        others=tuple(Other(code, bearing) for code, bearing in others),
        stations=tuple(stations),
        given_deg=given_deg,
        given_north=given_north,
        form=kind_of(kind).form(),
    )


def centres(one, compass=UNSET):
    """Every prediction's direction to a tenth, by (habit, slip, way of writing)."""
    found = {}
    for prediction in kind_of(one.kind).predictions(one, compass):
        found.setdefault((prediction.habit, prediction.slip, prediction.writing), set()).add(
            round(prediction.centre_deg, 1) % 360
        )
    return found


def bent_by(degrees, error_deg):
    """What the check of the ground says of a station that is surely bent by some degrees."""
    reach = 1.96 * error_deg
    return Estimate(degrees, error_deg, degrees - reach, degrees + reach, 1.0)
