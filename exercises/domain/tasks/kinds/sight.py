"""Stand on the mark, aim at the target, read the bearing."""

from __future__ import annotations

import datetime
from collections.abc import Iterator

from ...mistakes.causes import IN_THE_FIELD, PERSISTENT
from ...mistakes.predictions import Prediction
from ...mistakes.stages import Fault, Turn, dial_faults, runs
from ..answer import Answer, Ends
from ..site import UNSET, Compass, Site, Task
from . import ground
from .base import Sighted
from .written import DIGIT_FAULTS, WrittenBearing

# the needle-tip number, and east and west exchanged; common practice, no source
MIRRORED_ON_DIAL, MIRRORED_IN_WRITING = 0.6, 0.4


class Sight(WrittenBearing):
    """The reading of a sighted target, in the asked north."""

    code = "sight"
    setting = IN_THE_FIELD

    def answer(self, task: Task, site: Site, on: datetime.date, sighted: Sighted) -> Answer:
        """The answer of a task. `sighted` lists the (station, target) pairs of the whole course."""
        return ground.answer_on_ground(task, site, on, sighted)

    def shifted(
        self, answer: Answer, degrees: float, error_deg: float, *, with_others: bool
    ) -> Answer:
        """The answer where the needle is off by some degrees."""
        return ground.shifted(answer, degrees, error_deg, with_others=with_others)

    def line_asked(self, answer: Answer) -> Ends:
        """The sight line."""
        return answer.station, answer.target

    def lines_sighted(self, answer: Answer) -> tuple[Ends, ...]:
        """The sight line."""
        return ((answer.station, answer.target),)

    def lines_looked_along(self, task: Task) -> tuple[Ends, ...]:
        """The sight line."""
        return ((task.station, task.target),)

    def arithmetic(self, answer: Answer) -> tuple[str, str]:
        """The norths between which a bearing is turned here: from, to."""
        return "magnetic", answer.north

    def predictions(self, answer: Answer, compass: Compass = UNSET) -> Iterator[Prediction]:
        """All that may happen to a reading here: the stages run with no fault, with one, and with a
        habit and a slip.
        """
        true_deg = answer.bearings_deg["true"]
        dial_north = compass.dial_north
        to_dial = Turn(answer.norths.correction("true", dial_north))
        to_answer = Turn(answer.norths.correction(dial_north, answer.north))
        faults = (
            *ground.as_faults(answer.stations, "other_station", "stand", true_deg),
            *ground.as_faults(answer.others, "other_target", "aim", true_deg),
            Fault("reversed", "needle", Turn(180.0)),
            *dial_faults(to_dial(true_deg), MIRRORED_ON_DIAL, compass.unit),
            *ground.declination_faults(answer, dial_north),
            Fault("mirrored", "write", Turn(360.0, -1), MIRRORED_IN_WRITING),
            *DIGIT_FAULTS,
        )
        steps = ("stand", "aim", to_dial, "needle", "dial", to_answer, "arithmetic", "write")
        for run in runs(faults, PERSISTENT):
            turn = run.turn(steps)
            yield Prediction(
                run.habit,
                run.slip,
                turn(true_deg),
                turn.sign,
                run.share,
                run.writing,
                run.detail,
            )
