"""What is printed of a class or a course, in words: models and the key in, plain texts for
`printing` out.
"""

from ..domain.diagnosis.questions import asks_for_arithmetic
from ..domain.tasks import wants
from ..domain.tasks.kinds import kind_of
from ..languages import tell
from ..printing.cards import Card
from ..printing.person_sheets import OneReading, PersonSheet
from ..printing.sheets import Heads, KeyHeads, KeyLine, Line
from .answers import words_of
from .north_sentences import angle_sentence, norths_of_tasks
from .person_sheet import sheet as person_page
from .units import IN_DEGREES, Units


def foot():
    """The words that stand on every print."""
    return tell(
        "A teaching aid, not a navigation aid. Local rules and the people responsible for the "
        "ground come first."
    )


def cards(answers, points, site, address_of, angles=IN_DEGREES):
    """A card for each station of a course, in the order of its tasks. `points` are the key's or the
    site's by code; `address_of` gives a point's link and short code; `angles` are the words of what
    the class's compasses are marked in.
    """
    marks = {answer.task: kind_of(answer.kind).marks(answer) for answer in answers}
    return [
        _card(
            code,
            [answer for answer in answers if code in marks[answer.task]],
            points,
            site,
            *address_of(code),
            Units(angles),
        )
        for code in dict.fromkeys(code for codes in marks.values() for code in codes)
    ]


def _card(code, answers, points, site, link, short_code, units):
    needle = any(kind_of(answer.kind).uses_compass for answer in answers)
    return Card(
        code=code,
        name=points[code]["name"],
        stand=tell("Stand here: {mark}", mark=points[code]["mark"] or points[code]["name"]),
        tasks=tuple(
            tell(
                "Task {task}: {asked}",
                task=answer.task,
                asked=_asked(answer, points, units),
            )
            for answer in answers
        ),
        link=link,
        short_code=short_code,
        or_type=tell("Scan it with your phone, or type this on the first page:"),
        away=tell(
            "Phone, keys and knife away, two paces from other compasses. Sight and read first, "
            "then take the phone out."
        )
        if needle
        else "",
        cautions=site.cautions,
        foot=foot(),
    )


def _asked(answer, points, units):
    """What a task asks, with what it says of the angle between the norths."""
    prompt = words_of(answer).prompt(answer, points, units)
    return f"{prompt} {angle_sentence(answer, units.angles)}".rstrip()


# to ring beside a number: added, subtracted, neither
SIGNS = ("\u00a0" * 4).join("+−=")  # wide apart: they stand on a line of their own


def participant_lines(answers, points, asks, angles=IN_DEGREES):
    """The tasks of a sheet to fill in; `asks` whether the class may be asked what was added to a
    number; `angles` as for `cards`.
    """
    return [
        Line(
            answer.task,
            answer.station,
            _asked(answer, points, Units(angles)),
            tuple(_fields(answer, asks, angles)),
        )
        for answer in answers
    ]


def _fields(answer, asks, angles):
    """The places for an answer: what stands beside the boxes, with the signs to ring, and how many
    boxes there are.
    """
    signs = f" {SIGNS}" if asks and asks_for_arithmetic(answer) else ""
    for beside, boxes in words_of(answer).fields(answer, angles):
        yield f"{beside}{signs}", boxes


def participant_heads(course_class, when, answers, angles=IN_DEGREES):
    """The words round them."""
    away = tell("Phone, keys and knife away before you sight.")
    reminder = f"{away} {angles.write_all()}"
    if course_class.asks and any(map(asks_for_arithmetic, answers)):
        ring = tell("Then ring what you did to the number: + added, − subtracted, = neither.")
        reminder = f"{reminder} {ring}"
    return Heads(
        title=course_class.name,
        when=f"{when} · {course_class.course.site.name}",
        fields=(
            tell("Name"),
            tell("Compass number"),
            tell("With whom"),
            *(
                [tell("Double paces in ____ m")]
                if any(wants.LEGS in kind_of(answer.kind).wants for answer in answers)
                else []
            ),
        ),
        columns=(
            tell("Task"),
            tell("At"),
            angles.answer_head()
            if all(answer.form.in_figures for answer in answers)
            else tell("Your answer"),
        ),
        reminder=reminder,
        cautions=course_class.course.site.cautions,
        foot=foot(),
        page=lambda number: tell("Page {number}", number=number),
    )


def key_lines(answers, angles=IN_DEGREES):
    """The key, with what the likely mistakes would give, so that it can be marked by eye."""
    return [_key_line(answer, angles) for answer in answers]


def _key_line(answer, angles):
    words = words_of(answer)
    text = words.answer_text(answer, angles)
    return KeyLine(
        answer.task,
        words.line_text(answer),
        text,
        "\n".join(words.side_texts(answer, angles)),
        words.band_text(answer, angles),
        words.known_text(answer),
        tuple(f"{wrong} {name}" for name, wrong in words.likely_wrong(answer, angles)),
    )


def key_heads(course_class, when, version, answers):
    """The words round it, with the norths by which its bearings lie apart."""
    return KeyHeads(
        title=tell("Key: {name}", name=course_class.name),
        when="\n".join([f"{when} · {version}", *norths_of_tasks(answers)]),
        columns=(
            tell("Task"),
            tell("From, to"),
            tell("Answer"),
            tell("Band"),
            tell("What a mistake would give"),
        ),
        foot=tell("For the instructor alone. {foot}", foot=foot()),
        watermark=tell("KEY"),
    )


def person_sheets(whole, people, course_class, when):
    """A sheet for each person, without a rank."""
    return [_person_sheet(person_page(whole, person), course_class, when) for person in people]


def _person_sheet(page, course_class, when):
    return PersonSheet(
        page["person"].name,
        f"{course_class.name} · {when} · {course_class.course.site.name}",
        " ".join(filter(None, (page["credit"], page["scatter"], *page["passing"])))
        if page["readings"]
        else tell("No reading that counts."),
        *_to_practise(page),
        tuple(map(_one_reading, page["readings"])),
        _legend(page["readings"]),
        foot(),
        lambda number: tell("Page {number}", number=number),
    )


def _to_practise(page):
    """What to practise, under its title."""
    if page["practise"]:
        return tell("To practise"), tuple(
            f"{name.capitalize()}. {advice} {exercise}"
            for name, advice, exercise in page["practise"]
        )
    if page["readings"]:
        return "", (
            tell("No mistake stands out. Practise reading to half a tick, and longer lines."),
        )
    return "", ()


def _one_reading(reading):
    return OneReading(
        tell("Task {task} at {station}", task=reading["task"], station=reading["station"]),
        reading["mark"],
        tell(
            "{credit}. {own} {reading}, right is {answer}. {error} {note}",
            **{
                name: reading[name]
                for name in ("credit", "own", "reading", "answer", "error", "note")
            },
        ).strip(),
        " ".join(filter(None, (reading[name] for name in ("well", "cause", "advice")))),
        reading["figure"](),
    )


def _legend(readings):
    """How to read the figures, where there are any."""
    if not readings:
        return ""
    return tell(
        "Solid line: the answer; grey beside it earns credit, the darker grey all of it. Broken "
        "line with a ring: what you gave."
    )


def too_large():
    """Why no map is printed of a site that no paper holds."""
    return tell(
        "The site is too wide for this paper at 1:15,000. Choose larger paper, or a site for each "
        "part."
    )
