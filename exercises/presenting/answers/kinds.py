"""The words of each kind of task: what it asks, and what its form leaves open."""

from ... import vocabulary
from ...domain.tasks.kinds import kind_of
from ...domain.tasks.map_references import figures, sheet_km
from ...languages import tell
from ..units import IN_DEGREES, USUAL, Units
from ..went_right import of_crossing, of_walk
from .base import AnswerWords, listed, named
from .direction import BearingWords, TargetWords
from .place import PlaceWords


class SightWords(BearingWords):
    """A sighted bearing."""

    code = "sight"
    needs = ("bearing", "boxed")

    def prompt(self, answer, points, units=USUAL):
        """What is asked."""
        return tell(
            "Read the bearing to {target}, in {unit} {north}.",
            target=self.said_point(answer.target, points),
            unit=units.angles.name,
            north=vocabulary.NORTHS[answer.north],
        )


class ConvertWords(BearingWords):
    """A bearing in another north."""

    code = "convert"
    needs = ("declination",)

    def prompt(self, answer, points, units=USUAL):
        """What is asked."""
        return tell(
            "Turn {given} into {unit} {north}.",
            given=given_text(answer, units.angles),
            unit=units.angles.name,
            north=vocabulary.NORTHS[answer.north],
        )


class BackWords(BearingWords):
    """A bearing turned round."""

    code = "back"
    needs = ("back_bearing",)

    def ends(self, answer):
        """Back from the target to the mark."""
        return answer.target, answer.station

    def prompt(self, answer, points, units=USUAL):
        """What is asked."""
        return tell(
            "From here to {target} it is {given}. Which bearing leads back from there, in "
            "{unit} {north}?",
            target=self.said_point(answer.target, points),
            given=given_text(answer, units.angles),
            unit=units.angles.name,
            north=vocabulary.NORTHS[answer.north],
        )

    def advice(self, judged):
        """Without a second north there are no two norths to draw."""
        if judged.cause == "unexplained" and _is_in_one_north(judged.answer):
            return tell(
                "The way back is half a circle from the way there. Draw both, then do the sum "
                "again."
            )
        return super().advice(judged)

    def hint(self, judged):
        """Likewise."""
        is_unclear = judged.cause == "unexplained" or not judged.verdict.is_sure
        if is_unclear and _is_in_one_north(judged.answer):
            return tell(
                "Something does not fit. Draw the way there and the way back: what lies between "
                "them?"
            )
        return super().hint(judged)


def _is_in_one_north(answer):
    return answer.given_north == answer.north


class MapWords(BearingWords):
    """A bearing measured on the map."""

    code = "map"
    needs = ("bearing", "orienting_lines")
    shows_codes = True

    def line_text(self, answer):
        """From where to where, with the letter that stands on the map: `A → T1 = K`."""
        line = super().line_text(answer)
        return f"{line} = {answer.spot}" if answer.spot else line

    def prompt(self, answer, points, units=USUAL):
        """What is asked; a target that is to be found in the field has a letter alone."""
        if answer.spot:
            return tell(
                "On the map: measure the bearing from {station} to spot {spot}, in {unit} {north}.",
                station=self.said_point(answer.station, points),
                spot=answer.spot,
                unit=units.angles.name,
                north=vocabulary.NORTHS[answer.north],
            )
        return tell(
            "On the map: measure the bearing from {station} to {target}, in {unit} {north}.",
            station=self.said_point(answer.station, points),
            target=self.said_point(answer.target, points),
            unit=units.angles.name,
            north=vocabulary.NORTHS[answer.north],
        )


class FollowWords(TargetWords):
    """A bearing that is followed."""

    code = "follow"
    needs = ("bearing", "boxed")

    def prompt(self, answer, points, units=USUAL):
        """What is asked; the target is what is asked for, so it is not named."""
        return tell(
            "Face along {given}. Which target lies there?", given=given_text(answer, units.angles)
        )


class FaceWords(TargetWords):
    """The bearing that was measured, faced. The bearing of its target is another task's answer."""

    code = "face"
    needs = ("declination", "boxed")

    def prompt(self, answer, points, units=USUAL):
        """What is asked."""
        return tell(
            "Turn the bearing that you measured from {north} to what your compass needs, and "
            "face along it. Which target lies there?",
            north=vocabulary.NORTHS[answer.north],
        )

    def _said(self, answer, target, bearing_deg, angles):
        return target


class CrossingWords(PlaceWords):
    """A place where bearings meet on a map."""

    shows_codes = True

    def known_said(self, answer, points):
        """The known points, as they are named."""
        return listed([self.said_point(code, points) for code in answer.form.known_points()])

    def for_phone(self, answer, points):
        """The letters, and the part of the map on which a reference may lie."""
        return {
            "choices": [{"code": code, "name": ""} for code in answer.form.choices(answer)],
            "sheet_km": sheet_km(answer.form),
        }

    def unit(self, answer):
        """The letters, or a reference."""
        letters = answer.form.choices(answer)
        return tell("{first} to {last}, or 8 figures", first=letters[0], last=letters[-1])

    def answer_text(self, answer, angles=IN_DEGREES):
        """The spot with its grid reference."""
        return tell("{spot} (grid {figures})", spot=answer.form.right, figures=figures(answer.form))

    def side_texts(self, answer, angles=IN_DEGREES):
        """The bearings as they are observed, in the map's north."""
        turn_deg = answer.norths.correction("true", answer.north)
        return [
            tell(
                "{point}: {bearing}",
                point=line.point,
                bearing=angles.bearing(
                    kind_of(answer.kind).observed_deg(line) + turn_deg, answer.north
                ),
            )
            for line in answer.form.lines
        ]

    def one_of_them(self, cause, detail, points):
        """One bearing, or two points exchanged."""
        lines = [named(code, points) for code in detail.split()]
        if len(lines) > 1:
            return tell("It lies where the lines of {points} exchanged lead.", points=listed(lines))
        return tell(
            "One bearing explains it: “{cause}”, at the line of {point}.",
            cause=cause,
            point=lines[0],
        )

    def went_right(self, judged):
        """The lines that are right."""
        return of_crossing(judged)

    def afresh(self):
        """From the reference on."""
        return tell(
            "Read your reference once more: east first, then north. Then draw each line again."
        )


class FixWords(CrossingWords):
    """A resection."""

    code = "fix"
    needs = ("resection", "back_bearing")

    def line_text(self, answer):
        """From the mark to the known points."""
        return f"{answer.station} → {', '.join(answer.form.known_points())}"

    def prompt(self, answer, points, units=USUAL):
        """What is asked."""
        return tell(
            "Where do you stand? Take bearings to {known}, turn them to {north} north, and draw "
            "them back on the map. Which letter is where they meet?",
            known=self.known_said(answer, points),
            north=vocabulary.NORTHS[answer.north],
        )


class IntersectWords(CrossingWords):
    """An intersection."""

    code = "intersect"
    needs = ("intersection",)

    def line_text(self, answer):
        """From the known points to the thing."""
        return f"{', '.join(answer.form.known_points())} → {answer.target}"

    def prompt(self, answer, points, units=USUAL):
        """What is asked."""
        return tell(
            "Where is {target}? Take its bearing from {known}, turn each to {north} north, and "
            "draw them on the map. Which letter is where they meet?",
            target=self.said_point(answer.target, points),
            known=self.known_said(answer, points),
            north=vocabulary.NORTHS[answer.north],
        )


class WalkWords(PlaceWords):
    """Bearings and paces."""

    code = "walk"
    needs = ("leg", "pace")

    def prompt(self, answer, points, units=USUAL):
        """What is asked; the legs say it all."""
        legs = ", ".join(self._legs(answer, units))
        return tell("Walk {legs}. Which marker do you reach?", legs=legs)

    def for_phone(self, answer, points):
        """The markers by name, and the legs one by one."""
        return {
            "choices": [
                {"code": code, "name": self.said_point(code, points)}
                for code in answer.form.choices(answer)
            ],
            **self.in_units(answer, points, USUAL),
        }

    def in_units(self, answer, points, units):
        """The legs one by one; `counted` says that they are in the person's paces already."""
        metres = [leg.distance_m for leg in kind_of(answer.kind).given_legs(answer)]
        return {
            "prompt": tell("Walk these legs. Which marker do you reach?"),
            "legs": [
                {"text": text, "metres": length_m, "counted": units.lengths.is_counted}
                for text, length_m in zip(self._legs(answer, units), metres, strict=True)
            ],
        }

    def unit(self, answer):
        """A marker."""
        return tell("marker")

    def answer_text(self, answer, angles=IN_DEGREES):
        """The marker."""
        return answer.form.right

    def side_texts(self, answer, angles=IN_DEGREES):
        """The legs as they are given."""
        return self._legs(answer, Units(angles))

    def _legs(self, answer, units):
        legs = kind_of(answer.kind).given_legs(answer)
        return [leg_text(leg, answer.north, units) for leg in legs]

    def one_of_them(self, cause, detail, points):
        """One leg, by its number."""
        return tell("One leg explains it: “{cause}” on leg {number}.", cause=cause, number=detail)

    def all_of_them(self, cause, is_habit):
        """The whole way."""
        if is_habit:
            return super().all_of_them(cause, is_habit)
        return tell("It lies where “{cause}” on the whole way leads.", cause=cause)

    def went_right(self, judged):
        """The legs that are right, or how far one came."""
        return of_walk(judged)

    def afresh(self):
        """From the first leg on."""
        return tell("Walk it once more, and say each leg and its count aloud.")

    def is_marked(self, landing):
        """Habits, what concerns the whole way, and a leg left out."""
        return super().is_marked(landing) or not landing.detail or landing.slip == "leg_left_out"


def given_text(answer, angles):
    """The bearing that is given."""
    return angles.bearing(answer.given_deg, answer.given_north)


def leg_text(leg, north, units=USUAL):
    """A leg as it is given: `040° magnetic for 60 m`."""
    return tell(
        "{bearing} for {length}",
        bearing=units.angles.bearing(leg.bearing_deg, north),
        length=units.lengths.text(leg.distance_m),
    )


WORDS: dict[str, AnswerWords] = {
    words.code: words
    for words in (
        SightWords(),
        FollowWords(),
        ConvertWords(),
        BackWords(),
        MapWords(),
        FaceWords(),
        FixWords(),
        IntersectWords(),
        WalkWords(),
    )
}
