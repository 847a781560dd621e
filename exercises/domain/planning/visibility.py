"""Which mistakes a task can show: those whose number stands apart from the answer, those that hide
in the band, those that look like one another.
"""

from __future__ import annotations

import itertools
import math
from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from ..earth.angles import difference
from ..mistakes.causes import PERSISTENT
from ..mistakes.predictions import Prediction
from ..tasks.answer import Answer
from ..tasks.forms import Place
from ..tasks.forms.base import CIRCLE, PLANE
from ..tasks.forms.direction import Direction
from ..tasks.kinds import kind_of, reads_needle

SCATTER_DEG = 3.0  # a person's scatter after instruction: 2-4 degrees; common practice, no source
# Two numbers nearer than this look alike: twice the window; common practice, no source.
APART_DEG = 2.0 * SCATTER_DEG
# shift times root of readings over scatter: a habit can be told; no source, checked on simulated
# classes by tests/benchmark.py
PROVABLE = 5.0
LARGEST_SHIFT_SIGMAS = 5.0  # one reading proves no more than this, however far off
Off = tuple[float, float]  # degrees off the answer, and the share of that number


@dataclass(frozen=True)
class Seen:
    """A cause at a task: the numbers that it gives, as degrees off the answer with their shares,
    and the share of them that earns full credit.
    """

    cause: str
    off_deg: tuple[Off, ...]
    hidden: float

    @property
    def hides(self) -> bool:
        """Whether it earns full credit more often than not, and so cannot be seen."""
        return self.hidden > 0.5


@dataclass(frozen=True)
class View:
    """What a task shows: causes in the order of their register; `shows` and `hides` are codes,
    `alike` pairs of codes that both show and look like one another.
    """

    seen: tuple[Seen, ...]
    alike: tuple[tuple[str, str], ...]

    @property
    def shows(self) -> tuple[str, ...]:
        """Codes of the causes that can be seen here."""
        return tuple(seen.cause for seen in self.seen if not seen.hides)

    @property
    def hides(self) -> tuple[str, ...]:
        """Codes of the causes that earn full credit here."""
        return tuple(seen.cause for seen in self.seen if seen.hides)


def single(answer: Answer) -> Iterator[Prediction]:
    """The predictions of no fault or one: they come before all pairs (`stages.chains`)."""
    return itertools.takewhile(
        lambda prediction: "ok" in (prediction.habit, prediction.slip),
        kind_of(answer.kind).predictions(answer),
    )


def view(answer: Answer) -> View:
    """What a task can show, as `View`: every single fault of its kind, one cause at a time."""
    return VIEWS[answer.form.space](answer)


def hidden_share(answer: Answer, cause: str) -> float:
    """The share of the numbers which a cause by itself gives here, on the circle, that earns full
    credit; 0 where it gives none.
    """
    form = Direction.of(answer)
    offs = [
        (difference(outcome, answer.expected_deg), prediction.share * share)
        for prediction in single(answer)
        if cause in (prediction.habit, prediction.slip)
        for outcome, share in form.outcomes(answer, prediction)
    ]
    return _seen(answer, cause, offs).hidden if offs else 0.0


def _view_of_direction(answer: Answer) -> View:
    """The same of an answer on the circle."""
    form = Direction.of(answer)
    ways: dict[str, list[Off]] = defaultdict(list)
    for prediction in single(answer):
        cause = prediction.habit if prediction.slip == "ok" else prediction.slip
        if cause != "ok":
            ways[cause] += [
                (difference(outcome, answer.expected_deg), prediction.share * share)
                for outcome, share in form.outcomes(answer, prediction)
            ]
    seen = tuple(_seen(answer, cause, offs) for cause, offs in ways.items() if offs)
    pairs = itertools.combinations(seen, 2)
    return View(seen, tuple((one.cause, other.cause) for one, other in pairs if _alike(one, other)))


def _seen(answer: Answer, cause: str, offs: Sequence[Off]) -> Seen:
    """A cause with the numbers that it gives, their shares adding up to one."""
    total = math.fsum(share for _, share in offs)
    hidden = math.fsum(
        share for off_deg, share in offs if abs(off_deg) <= answer.band.full_credit_deg
    )
    return Seen(cause, tuple((off_deg, share / total) for off_deg, share in offs), hidden / total)


def _view_of_place(answer: Answer) -> View:
    """The same of an answer that is a place: what hides ends within full credit. Which causes look
    alike is left to the diagnosis, for places lie all round.
    """
    place = Place.of(answer)
    full_m = max(place.full_m, 2.0 * place.ellipse.major_m)
    ways: dict[str, list[tuple[float, bool]]] = defaultdict(list)
    for landing in kind_of(answer.kind).landings(answer):
        cause = landing.habit if landing.slip == "ok" else landing.slip
        if cause != "ok":
            off_m = math.hypot(landing.east_m - place.east_m, landing.north_m - place.north_m)
            ways[cause].append((landing.share, off_m <= full_m))
    return View(tuple(Seen(cause, (), _hidden(shares)) for cause, shares in ways.items()), ())


def _hidden(shares: Sequence[tuple[float, bool]]) -> float:
    """Of the shares of some places, each with whether it earns full credit, the part that does."""
    earning = math.fsum(share for share, is_full in shares if is_full)
    return earning / math.fsum(share for share, _ in shares)


def _alike(one: Seen, other: Seen) -> bool:
    """Whether two causes that show give the same number at least half of the time."""
    if one.hides or other.hides:
        return False
    return _covered(one, other) > 0.5 and _covered(other, one) > 0.5


def _covered(these: Seen, those: Seen) -> float:
    """The share of the numbers of one cause that lie near some number of another."""
    return math.fsum(
        share
        for off_deg, share in these.off_deg
        if any(abs(difference(off_deg, far)) < APART_DEG for far, _ in those.off_deg)
    )


def habit_strengths(answers: Iterable[Answer]) -> dict[str, float]:
    """How well each habit could be told from one person's readings of a whole course: code to shift
    over scatter, tasks added as squares.

    From PROVABLE up it can be told, below 2 it cannot. A habit that moves no answer is 0.
    """
    squares = dict.fromkeys(PERSISTENT, 0.0)
    for answer in answers:
        for habit, shift_deg in SHIFTS[answer.form.space](answer):
            squares[habit] += min(shift_deg / SCATTER_DEG, LARGEST_SHIFT_SIGMAS) ** 2
    return {cause: math.sqrt(square) for cause, square in squares.items()}


def acting(answer: Answer) -> Iterator[Prediction]:
    """The predictions of each habit by itself that acts on an answer on the circle. Where the
    needle shows the magnetic bearing that is asked, nobody reckons, and only the needle's end is
    left: as `diagnosis.residuals` has it.
    """
    is_idle = reads_needle(answer) and answer.north == "magnetic"
    for prediction in single(answer):
        if prediction.habit in PERSISTENT and not (is_idle and prediction.habit != "reversed"):
            yield prediction


def _shifts_of_direction(answer: Answer) -> Iterator[tuple[str, float]]:
    """By how much each habit moves an answer, as (habit, degrees)."""
    for prediction in acting(answer):
        outcomes = Direction.of(answer).outcomes(answer, prediction)
        offs_deg = [abs(difference(deg, answer.expected_deg)) for deg, _ in outcomes]
        yield prediction.habit, max(offs_deg, default=0.0)


def _shifts_of_place(answer: Answer) -> Iterator[tuple[str, float]]:
    """None: of habits a place says too little."""
    return iter(())


VIEWS = {CIRCLE: _view_of_direction, PLANE: _view_of_place}
SHIFTS = {CIRCLE: _shifts_of_direction, PLANE: _shifts_of_place}
