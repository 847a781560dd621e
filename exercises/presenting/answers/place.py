"""Places in words: what is said and drawn of a spot, a grid reference or a marker."""

import math
from abc import abstractmethod

from ...domain.mistakes import causes
from ...domain.tasks.kinds import kind_of
from ...domain.words import say
from ...drawing.dial import CARDINALS
from ...drawing.place import ground_drawing, laid_out
from ...languages import tell, told
from ...printing.figures import Ground
from ..causes import name_of as cause_name
from ..headings import plain_name
from ..lengths import IN_METRES, desk_length
from ..units import IN_DEGREES
from .base import AnswerWords, two_lead_there

MOST_OF_WAY = 0.75  # from beginning to end: a miss of more has no along and across worth saying
# a miss of more times what sound technique leaves is said in metres alone
MOST_TIMES = 10.0
ON_THE_SPOT_M = 0.5  # of rounding to the metre


class PlaceWords(AnswerWords):
    """A place on the ground."""

    def band_text(self, answer, angles=IN_DEGREES):
        """In metres."""
        full_m, part_m, _ = answer.form.limits(answer.band)
        return tell("full ± {full:g} m, part ± {part:g} m", full=float(full_m), part=float(part_m))

    def uncertainty_text(self, answer):
        """The ellipse that sound technique leaves."""
        ellipse = answer.form.ellipse
        return told(
            say(
                "one sigma ± {major:.0f} m along {azimuth:.0f}°, ± {minor:.0f} m across",
                major=ellipse.major_m,
                azimuth=ellipse.azimuth_deg,
                minor=ellipse.minor_m,
            )
        )

    def known_text(self, answer):
        """The same."""
        return self.uncertainty_text(answer)

    def ways_texts(self, answer):
        """What leads there."""
        return self.side_texts(answer)

    def length_m(self, answer):
        """The way that is walked, metres; nothing where none is."""
        return answer.form.length_m

    def own_text(self, seen):
        """It was chosen by its code, or written."""
        return tell("You chose") if seen.spot else tell("You wrote")

    def reading_text(self, judged):
        """The spot, or what was written."""
        return judged.reading.seen.spot or judged.reading.text

    def repeated(self, judged):
        """What was given."""
        spot = judged.reading.seen.spot
        if spot:
            return tell("You chose {target}.", target=spot)
        return tell("You read {reading}.", reading=self.reading_text(judged))

    def off_text(self, judged, lengths=IN_METRES):
        """How far away; of a walk along and across as well."""
        miss = judged.grade.miss
        limit_m = MOST_OF_WAY * judged.answer.form.length_m
        if ON_THE_SPOT_M <= miss.error_m <= limit_m:
            return f"{miss_text(miss, lengths)} {closure_text(miss, lengths)}"
        return miss_text(miss, lengths)  # what is far off is no matter of along and across

    def off_cell(self, judged):
        """In metres."""
        return _metres(judged.grade.miss)

    def picture(self, judged, lengths=IN_METRES):
        """On the ground."""
        miss = judged.grade.miss
        return ground_drawing(judged.answer, [miss], miss_text(miss, lengths))

    def figure(self, judged):
        """On the ground."""
        return Ground(laid_out(judged.answer, [judged.grade.miss]), told(CARDINALS[0]))

    def sound_sentence(self, judged):
        """Of the right one."""
        return tell("You found it.")

    def nothing_wrong(self, judged):
        """Of less than full credit without a mistake."""
        return tell("Nothing in particular went wrong.")

    def sure_sentence(self, judged, points):
        """What put a place where it is: a mistake in every line or leg, or in one of them."""
        if judged.cause in ("ok", "unexplained"):
            return super().sure_sentence(judged, points)
        cause, detail = plain_name(judged.cause), judged.verdict.detail
        if detail:
            return self.one_of_them(cause, detail, points)
        if judged.cause == "digits_swapped":
            return tell(
                "Your lines may be right: two figures of your grid reference look exchanged."
            )
        return self.all_of_them(cause, judged.cause in causes.PERSISTENT)

    @abstractmethod
    def one_of_them(self, cause, detail, points):
        """A mistake in one line or leg; `detail` says in which."""

    def all_of_them(self, cause, is_habit):
        """A mistake in all of them."""
        return tell("It lies where “{cause}” in all the bearings leads.", cause=cause)

    def either(self, one, other):
        """Two causes about as likely."""
        return two_lead_there(one, other)

    def advice(self, judged):
        """What to do about a cause, or from the beginning."""
        if judged.cause in ("ok", "unexplained"):
            return self.afresh()
        return super().advice(judged)

    @abstractmethod
    def afresh(self):
        """What to do where nothing is known to have gone wrong."""

    def likely_wrong(self, answer, angles=IN_DEGREES):
        """The spots to which mistakes lead, where that is another than the right one."""
        nearest = {}
        for landing in kind_of(answer.kind).landings(answer):
            if self.is_marked(landing):
                cause = landing.habit if landing.slip == "ok" else landing.slip
                spot = _nearest(answer.form, landing.east_m, landing.north_m)
                nearest.setdefault((cause, landing.detail), spot)
        return [
            (self.marked(cause_name(cause), detail), spot)
            for (cause, detail), spot in nearest.items()
            if spot != answer.form.right
        ]

    def is_marked(self, landing):
        """Whether a landing is worth marking by eye: habits are."""
        return landing.habit != "ok"

    def marked(self, cause, detail):
        """What stands beside its spot."""
        return tell("{cause} {leg}", cause=cause, leg=detail) if detail else told(cause)

    def summary_errors(self, judged):
        """Metres, nearest first."""
        return [_metres(miss) for miss in _by_distance(judged)]

    def class_drawing(self, answer, judged, positions, hazards, label):
        """Where people came out, on the ground of the answer."""
        return ground_drawing(answer, _by_distance(judged), label)

    def summary_drawing(self, answer, judged, words):
        """Where people came out."""
        return ground_drawing(answer, _by_distance(judged), words)


def _nearest(place, east_m, north_m):
    """The code of the spot nearest to a place."""
    return min(
        place.spots, key=lambda spot: math.hypot(spot.east_m - east_m, spot.north_m - north_m)
    ).code


def _by_distance(judged):
    return tuple(
        sorted((judgement.grade.miss for judgement in judged), key=lambda miss: miss.error_m)
    )


def _metres(miss):
    return desk_length(miss.error_m)


def miss_text(miss, lengths=IN_METRES):
    """How far a place is from the right one, in a unit of lengths, and in units of what sound
    technique leaves.

    >>> from exercises.domain.tasks.forms.place import Miss
    >>> miss_text(Miss(23.4, 2.0, 12.0, -20.0, 0.0, 0.0))
    '23 m from it, 2.0 times what sound technique leaves.'
    >>> miss_text(Miss(0.2, 0.0, 0.2, 0.0, 0.0, 0.0))
    'On the spot, to the metre.'
    """
    if miss.error_m < ON_THE_SPOT_M:
        return tell("On the spot, to the metre.")
    length = lengths.text(miss.error_m)
    if miss.units > MOST_TIMES:
        return tell("{length} from it.", length=length)
    return tell(
        "{length} from it, {units:.1f} times what sound technique leaves.",
        length=length,
        units=miss.units,
    )


def closure_text(miss, lengths=IN_METRES):
    """The same of a walk, split along the way from beginning to end and across it.

    >>> from exercises.domain.tasks.forms.place import Miss
    >>> closure_text(Miss(23.4, 2.0, 12.0, -20.0, 0.0, 0.0))
    'Along the way 12 m too far, across it 20 m to the left.'
    """
    along_length, across_length = (lengths.text(abs(m)) for m in (miss.along_m, miss.across_m))
    along = (
        tell("{length} too far", length=along_length)
        if miss.along_m >= 0
        else tell("{length} too short", length=along_length)
    )
    across = (
        tell("{length} to the right", length=across_length)
        if miss.across_m >= 0
        else tell("{length} to the left", length=across_length)
    )
    return tell("Along the way {along}, across it {across}.", along=along, across=across)
