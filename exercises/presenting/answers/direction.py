"""Bearings and targets in words: what is said and drawn of a direction."""

from ... import vocabulary
from ...domain.earth.angles import difference
from ...domain.earth.uncertainty import combine
from ...domain.mistakes import causes
from ...domain.results import cohort
from ...domain.tasks.kinds import kind_of
from ...domain.tasks.site import UNSET
from ...domain.words import say, together
from ...drawing.dial import dial, dial_label, letters
from ...drawing.dots import errors
from ...drawing.fan import fan
from ...languages import tell, tell_signed, told
from ...printing.figures import Dial
from ..causes import advice_on, name_of as cause_name
from ..lengths import IN_METRES
from ..units import IN_DEGREES, angles_of
from ..went_right import of_bearing, of_target
from .base import AnswerWords, name_of, named, two_lead_there


class DirectionWords(AnswerWords):
    """A direction from where one stands."""

    def side_texts(self, answer, angles=IN_DEGREES):
        """The bearing in each north."""
        return angles.in_each_north(answer.norths, answer.expected_deg, answer.north)

    def band_text(self, answer, angles=IN_DEGREES):
        """In the unit of the compass."""
        return angles.band(answer.band)

    def uncertainty_text(self, answer):
        """The answer's budget, largest term first."""
        terms = sorted(answer.budget.terms, key=lambda term: -term.degrees)
        return told(
            say(
                "{terms}; together {degrees:.1f}°",
                degrees=combine(term.degrees for term in terms),
                terms=together(
                    [
                        say(
                            "{term} {degrees:.1f}°",
                            term=vocabulary.TERMS[term.name],
                            degrees=term.degrees,
                        )
                        for term in terms
                    ],
                    ", ",
                ),
            )
        )

    def known_text(self, answer):
        """Its standard uncertainty."""
        return tell("known to ± {degrees:.1f}°", degrees=answer.budget.total_deg)

    def off_text(self, judged, lengths=IN_METRES):
        """In the unit of the compass, and to which side."""
        return angles_of(judged).error(judged.grade.error_deg)

    def off_cell(self, judged):
        """In degrees with their sign."""
        return f"{tell_signed(judged.grade.error_deg)}°"

    def picture(self, judged, lengths=IN_METRES):
        """On a dial, as that of the compass is marked."""
        answer, unit = judged.answer, angles_of(judged).unit
        says = _says(judged)
        return dial(answer.expected_deg, answer.band, judged.grade.reading_deg, says, unit)

    def sent_to_phone(self, judged, lengths=IN_METRES):
        """The numbers of that dial."""
        answer = judged.answer
        return {
            "answer": round(answer.expected_deg, 2),
            "full": answer.band.full_credit_deg,
            "part": answer.band.part_credit_deg,
            "reading": round(judged.grade.reading_deg, 2),
            "unit": angles_of(judged).unit.code,
            "letters": letters(),
            "label": dial_label(_says(judged)),
        }

    def figure(self, judged):
        """On a dial."""
        answer = judged.answer
        return Dial(
            answer.expected_deg,
            answer.band.full_credit_deg,
            answer.band.part_credit_deg,
            judged.grade.reading_deg,
            letters(),
        )

    def nothing_wrong(self, judged):
        """Of less than full credit without a mistake."""
        return angles_of(judged).nothing_wrong(judged.grade.error_deg)

    def sure_sentence(self, judged, points):
        """What surely happened, with the other point where there is one."""
        point = judged.verdict.detail
        if point and judged.cause == "other_target":
            return tell("Your bearing fits another target: {point}.", point=named(point, points))
        if point and judged.cause == "other_station":
            return tell(
                "Your bearing fits another standing mark: {point}.", point=named(point, points)
            )
        return super().sure_sentence(judged, points)

    def either(self, one, other):
        """Two causes about as likely."""
        return tell(
            "Two things fit your number: either “{one}” or “{other}”.", one=one, other=other
        )

    def summary_words(self, judged):
        """How the sound ones lie about the answer."""
        sound = cohort.sound_errors(judged)
        if sound.mean_deg is None or sound.spread_deg is None:
            return ""
        return tell(
            "The {number} sound ones lie {degrees}° from the answer on average, spread "
            "{spread:.1f}°.",
            number=sound.number,
            degrees=tell_signed(sound.mean_deg, 1),
            spread=sound.spread_deg,
        )

    def summary_errors(self, judged):
        """Degrees with their signs."""
        return [f"{tell_signed(error_deg)}°" for error_deg in _sorted_errors(judged)]

    def class_drawing(self, answer, judged, positions, hazards, label):
        """A fan of rays on the map."""
        return fan(answer, _sorted_errors(judged), self.ends(answer), positions, hazards, label)

    def ends(self, answer):
        """The codes of the points from which the answer leads, and to which."""
        return answer.station, answer.target

    def summary_drawing(self, answer, judged, words):
        """Dots on a straight scale about the answer."""
        return errors(_sorted_errors(judged), answer.band, other_turns(answer))


def _sorted_errors(judged):
    return tuple(sorted(judgement.grade.error_deg for judgement in judged))


def other_turns(answer):
    """The other targets of a station as (code, degrees from the answer)."""
    here_deg = answer.bearings_deg["true"]
    return [(other.code, difference(other.bearing_deg, here_deg)) for other in answer.others]


class BearingWords(DirectionWords):
    """A bearing in figures."""

    def unit(self, answer):
        """The north in which it is asked."""
        return told(vocabulary.NORTHS[answer.north])

    def fields(self, answer, angles):
        """A box for each figure, in each unit of the class."""
        return angles.fields(answer.north)

    def answer_text(self, answer, angles=IN_DEGREES):
        """The bearing with its north."""
        return angles.explained(answer.expected_deg, answer.north)

    def likely_wrong(self, answer, angles=IN_DEGREES):
        """The numbers to which the habits lead."""
        wrong = {}
        for prediction in kind_of(answer.kind).predictions(answer, UNSET):
            cause = {prediction.habit, prediction.slip} - {"ok"}
            if len(cause) == 1 and cause <= set(causes.PERSISTENT):
                wrong.setdefault(*cause, angles.number(prediction.centre_deg))
        return [(told(cause_name(code)), text) for code, text in wrong.items()]

    def went_right(self, judged):
        """What was right before the stage that went wrong."""
        return of_bearing(judged, self.setting)

    def own_text(self, seen):
        """It was read, or reckoned and written."""
        return tell("You wrote") if self.setting == causes.IN_A_SUM else tell("You read")

    def reading_text(self, judged):
        """The bearing, with the mils that were written."""
        angles, mils = angles_of(judged), judged.reading.seen.mils
        bearing = angles.explained(judged.grade.reading_deg, judged.answer.north)
        if mils is None:
            return bearing
        return tell("{mils:.0f} mil ({bearing})", mils=mils, bearing=bearing)

    def repeated(self, judged):
        """What was read, or written."""
        reading = self.reading_text(judged)
        if self.setting == causes.IN_A_SUM:
            return tell("You wrote {reading}.", reading=reading)
        return tell("You read {reading}.", reading=reading)

    def sound_sentence(self, judged):
        """Of full credit without a mistake."""
        if judged.cause == "ok":
            return tell("Your reading is sound.")
        return tell("Your reading is sound: it lies within the tolerance.")

    def sound_advice(self):
        """How to read still better."""
        return told(advice_on("ok", self.setting))


class TargetWords(DirectionWords):
    """A target that lies along a direction."""

    def for_phone(self, answer, points):
        """The targets to choose from, by name."""
        return {
            "choices": [
                {"code": code, "name": name_of(code, points)}
                for code in answer.form.choices(answer)
            ]
        }

    def unit(self, answer):
        """A target."""
        return tell("target")

    def answer_text(self, answer, angles=IN_DEGREES):
        """The target with its bearing."""
        return self._said(answer, answer.target, answer.expected_deg, angles)

    def went_right(self, judged):
        """What was right before the stage that went wrong, or that one looked the right way."""
        return of_target(judged)

    def either(self, one, other):
        """Two causes that lead to a target."""
        return two_lead_there(one, other)

    def own_text(self, seen):
        """It was chosen."""
        return tell("You chose")

    def reading_text(self, judged):
        """The target with its bearing."""
        target, reading_deg = judged.reading.seen.target, judged.grade.reading_deg
        return self._said(judged.answer, target, reading_deg, angles_of(judged))

    def repeated(self, judged):
        """What was chosen."""
        return tell("You chose {target}.", target=judged.reading.seen.target)

    def sound_sentence(self, judged):
        """Of the right one."""
        return tell("You found it.")

    def _said(self, answer, target, bearing_deg, angles):
        return f"{target} ({angles.bearing(bearing_deg, answer.north)})"


def _says(judged):
    """Answer and reading as they are said in the unit of the compass."""
    angles, answer = angles_of(judged), judged.answer
    return [
        angles.bearing(bearing_deg, answer.north)
        for bearing_deg in (answer.expected_deg, judged.grade.reading_deg)
    ]
