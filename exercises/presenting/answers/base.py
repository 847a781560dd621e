"""What can be said of every answer, whatever it is."""

from abc import ABC, abstractmethod

from ... import vocabulary
from ...domain.mistakes import causes
from ...domain.results import cohort
from ...domain.tasks.kinds import kind_of
from ...languages import tell, tell_many, told
from ..causes import advice_on, hint_on, sentence_on
from ..lengths import IN_METRES
from ..units import IN_DEGREES, USUAL, angles_of
from ..went_right import NOTHING


def named(code, points):
    """A point by its name and code: a sighting task never shows codes."""
    return f"{points[code]['name']} ({code})" if code in points else code


def name_of(code, points):
    """A point by its name; nothing where there is none."""
    return points[code]["name"] if code in points else ""


def listed(names):
    """Names one after another: `one, another and a third`."""
    if len(names) > 1:
        return tell("{first} and {last}", first=", ".join(names[:-1]), last=names[-1])
    return names[0] if names else ""


def two_lead_there(one, other):
    """Two causes about as likely, of an answer that is no number."""
    return tell("Two things lead there: either “{one}” or “{other}”.", one=one, other=other)


class AnswerWords(ABC):
    """An answer in words and drawings, ready to print.

    Points are those of a key, by code. `needs` are the words of the glossary that a phone explains
    beside the task, with its north.
    """

    code: str
    needs: tuple[str, ...]
    shows_codes = False  # a map has codes on it, the ground has things

    def name(self):
        """What the kind is called."""
        return told(vocabulary.KINDS[self.code])

    # --- what is asked

    @abstractmethod
    def prompt(self, answer, points, units=USUAL):
        """What a task asks, in one sentence, in somebody's units."""

    def said_point(self, code, points):
        """A point as a prompt names it."""
        return (named if self.shows_codes else name_of)(code, points)

    def for_phone(self, answer, points):
        """What a phone may know of this form and kind besides what every task has."""
        return {}

    def in_units(self, answer, points, units):
        """What a phone says of a task to somebody with these units."""
        return {
            "prompt": self.prompt(answer, points, units),
            "beside": units.angles.beside(answer.north),
        }

    @abstractmethod
    def unit(self, answer):
        """What an answer is, in a word or two."""

    def fields(self, answer, angles):
        """The places for an answer on a sheet, one under the other: what stands beside each, and of
        how many boxes it is made.
        """
        return [(self.unit(answer), 1)]

    # --- what is right

    @abstractmethod
    def answer_text(self, answer, angles=IN_DEGREES):
        """The right answer as it is said, with angles in somebody's unit."""

    def line_text(self, answer):
        """From where to where, in codes: `A → T1`."""
        return f"{answer.station} → {answer.target}" if answer.target else answer.station

    @abstractmethod
    def side_texts(self, answer, angles=IN_DEGREES):
        """What stands beside an answer in the key."""

    def ways_texts(self, answer):
        """What stands under an answer in the table of a course."""
        return ()

    def length_m(self, answer):
        """The length of what is sighted or walked, metres."""
        return answer.distance_m

    @abstractmethod
    def band_text(self, answer, angles=IN_DEGREES):
        """The tolerances of an answer."""

    @abstractmethod
    def uncertainty_text(self, answer):
        """How uncertain an answer is, term by term."""

    @abstractmethod
    def known_text(self, answer):
        """The same in short, for a printed key."""

    def likely_wrong(self, answer, angles=IN_DEGREES):
        """What the commonest habits would give here, as (short name, text), for marking by eye."""
        return []

    # --- what was given

    @abstractmethod
    def own_text(self, seen):
        """How an answer was given: chosen, or read."""

    @abstractmethod
    def reading_text(self, judged):
        """What was given, as it is said."""

    @abstractmethod
    def repeated(self, judged):
        """What was given, said back before a second try."""

    @abstractmethod
    def off_text(self, judged, lengths=IN_METRES):
        """By how much a reading is off, in words: angles in the unit of its compass."""

    @abstractmethod
    def off_cell(self, judged):
        """The same for a cell of a table."""

    @abstractmethod
    def picture(self, judged, lengths=IN_METRES):
        """What was given beside what is right, drawn."""

    def sent_to_phone(self, judged, lengths=IN_METRES):
        """The same for a phone: the drawing itself, or the numbers from which the phone draws."""
        return self.picture(judged, lengths)

    @abstractmethod
    def figure(self, judged):
        """The same on paper."""

    def note(self, judged):
        """What has to be known to read a result; nothing as a rule."""
        if judged.reading.heard_deg is None:
            return ""
        return tell(
            "Judged along your own bearing, {bearing}.",
            bearing=angles_of(judged).explained(judged.reading.heard_deg, judged.answer.north),
        )

    # --- what happened

    def went_right(self, judged):
        """What was right in an answer that was not, as `Well`; nothing where none can tell."""
        return NOTHING

    @abstractmethod
    def sound_sentence(self, judged):
        """Of full credit without a mistake."""

    @abstractmethod
    def nothing_wrong(self, judged):
        """Of less than full credit without a mistake."""

    def sure_sentence(self, judged, points):
        """What surely happened."""
        return told(sentence_on(judged.cause, self.setting, angles_of(judged).otherwise))

    @abstractmethod
    def either(self, one, other):
        """Two causes about as likely, by their names."""

    def sound_advice(self):
        """What to do after full credit without a mistake."""
        return tell("Nothing to mend.")

    def advice(self, judged):
        """What to do about a cause."""
        if judged.cause == "ok" and self.setting == causes.IN_A_SUM:
            return tell("Do the sum once more, one column at a time.")
        code = "unexplained" if judged.cause == "ok" else judged.cause
        return told(advice_on(code, self.setting, angles_of(judged).otherwise))

    def hint(self, judged):
        """A question that helps to a second try and gives nothing away."""
        verdict, otherwise = judged.verdict, angles_of(judged).otherwise
        return told(hint_on(verdict.cause, verdict.probability, self.setting, otherwise))

    @property
    def setting(self):
        """How the answer is come by, which decides what helps."""
        return kind_of(self.code).setting

    # --- what a class gave

    def summary_words(self, judged):
        """What can be said of the readings of one task together, beyond their credit."""
        return ""

    @abstractmethod
    def summary_errors(self, judged):
        """How far off each was, in order."""

    @abstractmethod
    def class_drawing(self, answer, judged, positions, hazards, label):
        """Where a class came out and where the answer lay, to be seen from afar. `positions` are
        those of a key by code, `hazards` what lies on the site; `label` says what is shown.
        """

    @abstractmethod
    def summary_drawing(self, answer, judged, words):
        """The same, drawn; `words` say what the drawing shows."""


def counted_words(task, judged):
    """How many readings of a task earned what."""
    summary = cohort.task_summary(task, judged)
    return tell_many(
        "{number} reading: {full} full credit, {part} part, {none} none.",
        "{number} readings: {full} full credit, {part} part, {none} none.",
        summary.readings,
        full=summary.full,
        part=summary.partial,
        none=summary.readings - summary.full - summary.partial,
    )


def is_sound(judged):
    """Whether a reading earned full credit, and nothing that its person did is to blame."""
    return judged.credit == 1.0 and not causes.mistakes(judged.cause)
