"""Which stations are called bent."""

from types import SimpleNamespace

import pytest

from exercises.domain.diagnosis.biases import Bias
from exercises.presenting.ground_faults import faulty

BENT = Bias(degrees=13.0, error_deg=0.5, fault_probability=0.88)


def whole(*, in_figures, full, missed):
    """A class that stood at G: so many readings with full credit, and so many without any."""
    kind = "sight" if in_figures else "follow"
    answer = SimpleNamespace(
        station="G", task="10", kind=kind, form=SimpleNamespace(in_figures=in_figures)
    )
    credits = [1.0] * full + [0.0] * missed
    return SimpleNamespace(
        diagnosis=SimpleNamespace(stations={"G": BENT}, lines={}),
        judged=[SimpleNamespace(answer=answer, credit=credit) for credit in credits],
    )


@pytest.mark.parametrize(
    ("in_figures", "full", "missed", "stations"),
    [
        # 2026-11-27: 10 of 14 had named the right target, and G was said to lie 13 degrees off
        pytest.param(False, 10, 4, set(), id="most named the right target"),
        pytest.param(False, 7, 7, {"G"}, id="half named another"),
        pytest.param(False, 0, 0, {"G"}, id="known from elsewhere"),
        pytest.param(True, 10, 4, {"G"}, id="bearings tell degrees, whatever their credit"),
    ],
)
def test_a_station_where_most_named_the_right_target_is_not_called_bent(
    in_figures, full, missed, stations
):
    found, _ = faulty(whole(in_figures=in_figures, full=full, missed=missed))

    assert found == stations
