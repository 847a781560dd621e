"""Results in words for people: ready to print, each number with its north."""

import math
from dataclasses import replace

from django.utils.translation import gettext_lazy as _

from ..domain.earth.angles import three_digits
from ..domain.earth.norths import NORTH_WORDS
from ..domain.mistakes import causes
from ..domain.tasks import places
from ..domain.tasks.kinds import is_place, kind_of
from ..domain.tasks.site import UNSET
from ..drawing.dial import dial
from ..drawing.place import ground_drawing
from ..drawing.plan import bearing_text
from ..languages import tell, told

CREDIT_WORDS = {1.0: _("Full credit"), 0.5: _("Part credit"), 0.0: _("No credit")}
AGAIN_WORDS = {1.0: _("Now it is right"), 0.5: _("Nearly there"), 0.0: _("Not yet")}
MOST_OF_WAY = 0.75  # from beginning to end: a miss of more has no along and across worth saying
MOST_TIMES = 10.0  # a miss of more times what sound technique leaves is said in metres alone
CREDIT_MARKS = {1.0: "full", 0.5: "part", 0.0: "none"}


def prompt(answer, points):
    """What a task asks, in one sentence. `points` holds the key's points by code."""
    kind = kind_of(answer.kind)
    name = (
        _named if kind.setting == causes.ON_A_MAP or kind.needs_more else _name
    )  # a map has codes on it, the ground has things
    stations, targets = (
        listed([name(code, points) for code in codes]) for codes in kind.parties(answer)
    )
    return told(kind.prompt(stations, targets, answer.north, _given(answer, kind)))


def listed(names):
    """Names one after another: `one, another and a third`."""
    return (
        names[0]
        if len(names) == 1
        else tell("{first} and {last}", first=", ".join(names[:-1]), last=names[-1])
        if names
        else ""
    )


def _given(answer, kind):
    """The bearing or the legs that are given, in words."""
    if kind.has_legs:
        return ", ".join(leg_text(leg, answer.north) for leg in kind.given_legs(answer))
    return (
        bearing_text(answer.given_deg, answer.given_north) if answer.given_deg is not None else ""
    )


def leg_text(leg, north):
    """A leg as it is given: `040° magnetic for 60 m`."""
    return tell(
        "{bearing} for {metres:.0f} m",
        bearing=bearing_text(leg.bearing_deg, north),
        metres=leg.distance_m,
    )


def answer_text(answer):
    """The right answer as it is said: a bearing with its north, with the target's code where that
    is the answer; a spot, with its grid reference where it is one of a map.
    """
    if is_place(answer):
        return (
            tell(
                "{spot} (grid {figures})",
                spot=answer.where.right,
                figures=places.figures(answer.where),
            )
            if answer.where.lines
            else answer.where.right
        )
    return _with_target(
        answer,
        answer.target if kind_of(answer.kind).widget == "target" else "",
        answer.expected_deg,
    )


def _with_target(answer, target, bearing_deg):
    """A bearing, or a target with its bearing; without it where the bearing is another task's
    answer.
    """
    bearing = bearing_text(bearing_deg, answer.north)
    return (
        (f"{target} ({bearing})" if kind_of(answer.kind).gives_bearing else target)
        if target
        else bearing
    )


def line_text(answer):
    """From where to where, in codes: `A → T1`; known points of a fix as they are sighted."""
    known = ", ".join(line.point for line in answer.where.lines) if answer.where else ""
    begin, end = (
        (known, answer.target)
        if known and answer.station in known.split(", ")
        else (answer.station, known or answer.target)
    )
    return f"{begin} → {end}" if end else begin


def side_texts(answer):
    """What stands beside an answer in the key: the bearing in each north; the bearings of a fix as
    they are observed, in the map's north; the legs of a walk.
    """
    if not is_place(answer):
        return [
            bearing_text(answer.bearings_deg[north], north)
            for north in ("true", "grid", "magnetic")
        ]
    if answer.where.legs:
        return [leg_text(leg, answer.north) for leg in kind_of(answer.kind).given_legs(answer)]
    return [
        tell(
            "{point}: {bearing}",
            point=line.point,
            bearing=bearing_text(
                kind_of(answer.kind).observed_deg(line)
                + answer.norths.correction("true", answer.north),
                answer.north,
            ),
        )
        for line in answer.where.lines
    ]


def length_m(answer):
    """The length of what is sighted or walked, metres; nothing of a position from several lines."""
    if is_place(answer):
        return math.fsum(leg.distance_m for leg in answer.where.legs)
    return answer.distance_m


def band_text(answer):
    """The tolerances of an answer."""
    if is_place(answer):
        return tell(
            "full ± {full:g} m, part ± {part:g} m",
            full=float(answer.where.full_m),
            part=float(answer.where.part_m),
        )
    return tell(
        "full ± {full:g}°, part ± {part:g}°",
        full=float(answer.band.full_credit_deg),
        part=float(answer.band.part_credit_deg),
    )


def reading_text(counted):
    """What was read, as it is said."""
    if is_place(counted.answer):
        return counted.reading.target or counted.reading.text
    said = _with_target(counted.answer, counted.reading.target, counted.result.reading_deg)
    return (
        tell("{mils:.0f} mil ({bearing})", mils=counted.reading.value_mils, bearing=said)
        if counted.reading.value_mils is not None
        else said
    )


def cause_sentence(result, answer, points):
    """What happened, in one sentence; where two mistakes are about as likely, both are named.
    `points` holds the key's points by code.
    """
    if result.credit == 1.0 and not causes.mistakes(result.cause):
        if kind_of(answer.kind).widget != "bearing":
            return tell("You found it.")
        return (
            tell("Your reading is sound.")
            if result.cause == "ok"
            else tell("Your reading is sound: it lies within the tolerance.")
        )
    if result.cause == "ok" and result.probability >= causes.SURE:
        if result.miss:
            return tell("Nothing in particular went wrong.")
        return tell(
            "Nothing in particular went wrong: the reading is {degrees:.0f} degrees off.",
            degrees=abs(result.error_deg),
        )
    mistakes = [
        code
        for code in (result.cause, *(code for code, _ in result.alternatives))
        if code not in ("ok", "unexplained")
    ]
    if result.probability >= causes.SURE or not mistakes:
        if is_place(answer) and result.cause in mistakes:
            return _place_sentence(result, answer, points)
        if result.detail and result.cause == "other_target":
            return tell(
                "Your bearing fits another target: {point}.", point=_named(result.detail, points)
            )
        if result.detail and result.cause == "other_station":
            return tell(
                "Your bearing fits another standing mark: {point}.",
                point=_named(result.detail, points),
            )
        return told(causes.sentence(result.cause, kind_of(answer.kind).setting))
    if result.cause in ("ok", "unexplained") or len(mistakes) == 1:
        return tell(
            "We cannot tell for certain. It may be this: {cause}.", cause=causes.name(mistakes[0])
        )
    if is_place(answer):
        return tell(
            "Two things lead there: either {one}, or {other}.",
            one=causes.name(mistakes[0]),
            other=causes.name(mistakes[1]),
        )
    return tell(
        "Two things fit your number: either {one}, or {other}.",
        one=causes.name(mistakes[0]),
        other=causes.name(mistakes[1]),
    )


def _place_sentence(result, answer, points):
    """What put a place where it is: a mistake in every line or leg, or in one of them."""
    cause = causes.name(result.cause)
    if result.cause == "digits_swapped" and not result.detail:
        return tell("Your lines may be right: two figures of your grid reference look exchanged.")
    if not result.detail:
        return (
            tell("It lies where “{cause}” in all the bearings leads.", cause=cause)
            if answer.where.lines or result.cause in causes.PERSISTENT
            else tell("It lies where “{cause}” on the whole way leads.", cause=cause)
        )
    if answer.where.legs:
        return tell(
            "One leg explains it: “{cause}” on leg {number}.", cause=cause, number=result.detail
        )
    lines = [_named(code, points) for code in result.detail.split()]
    if len(lines) > 1:
        return tell("It lies where the lines of {points} exchanged lead.", points=listed(lines))
    return tell(
        "One bearing explains it: “{cause}”, at the line of {point}.", cause=cause, point=lines[0]
    )


def _name(code, points):
    """A point by its name; nothing where there is none."""
    return points[code]["name"] if code in points else ""


def _named(code, points):
    """A point by its name and code: a sighting task never shows codes."""
    return f"{points[code]['name']} ({code})" if code in points else code


def advice(result, answer):
    """What to do about it, with this place's sentence where the declination is in it."""
    if result.credit == 1.0 and not causes.mistakes(result.cause):
        return (
            told(causes.advice("ok", kind_of(answer.kind).setting))
            if kind_of(answer.kind).widget == "bearing"
            else tell("Nothing to mend.")
        )
    if is_place(answer) and result.cause in ("ok", "unexplained"):
        return (
            tell("Walk it once more, and say each leg and its count aloud.")
            if answer.where.legs
            else tell(
                "Read your reference once more: east first, then north. Then draw each line again."
            )
        )
    code = "unexplained" if result.cause == "ok" else result.cause
    said = told(causes.advice(code, kind_of(answer.kind).setting))
    begin, end = kind_of(answer.kind).arithmetic(answer)
    return (
        f"{said} {place_sentence(answer)}"
        if "declination" in code and (begin != end or end == "magnetic")
        else said
    )


def place_sentence(answer):
    """How the declination is applied at this place for what a task asks: `From magnetic to true
    here, add 24°.`
    """
    return sentence_between(answer.norths, *kind_of(answer.kind).arithmetic(answer))


def sentence_between(norths, begin, end):
    """How a bearing is turned from one north into another at this place."""
    if begin == end:
        return tell("Where magnetic is asked, leave the number as the compass gives it.")
    angle_deg = norths.correction(begin, end)
    if angle_deg >= 0:
        return tell(
            "From {begin} to {end} here, add {degrees:.0f}°.",
            begin=NORTH_WORDS[begin],
            end=NORTH_WORDS[end],
            degrees=angle_deg,
        )
    return tell(
        "From {begin} to {end} here, take away {degrees:.0f}°.",
        begin=NORTH_WORDS[begin],
        end=NORTH_WORDS[end],
        degrees=-angle_deg,
    )


def miss_text(miss):
    """How far a place is from the right one, and in units of what sound technique leaves.

    >>> from exercises.domain.places import Miss
    >>> miss_text(Miss(23.4, 2.0, 12.0, -20.0, 0.0, 0.0)), miss_text(Miss(0.2, 0.0, 0.2, 0.0, 0.0, 0.0))
    ('23 m from it, 2.0 times what sound technique leaves.', 'On the spot, to the metre.')
    """
    if miss.error_m < 0.5:
        return tell("On the spot, to the metre.")
    if miss.units > MOST_TIMES:
        return tell("{metres:.0f} m from it.", metres=miss.error_m)
    return tell(
        "{metres:.0f} m from it, {units:.1f} times what sound technique leaves.",
        metres=miss.error_m,
        units=miss.units,
    )


def closure_text(miss):
    """The same of a walk, split along the way from beginning to end and across it.

    >>> from exercises.domain.places import Miss
    >>> closure_text(Miss(23.4, 2.0, 12.0, -20.0, 0.0, 0.0))
    'Along the way 12 m too far, across it 20 m to the left.'
    """
    along = (
        tell("{metres:.0f} m too far", metres=miss.along_m)
        if miss.along_m >= 0
        else tell("{metres:.0f} m too short", metres=-miss.along_m)
    )
    across = (
        tell("{metres:.0f} m to the right", metres=miss.across_m)
        if miss.across_m >= 0
        else tell("{metres:.0f} m to the left", metres=-miss.across_m)
    )
    return tell("Along the way {along}, across it {across}.", along=along, across=across)


def off_text(result, answer):
    """By how much a result is off, in words; of a walk along and across as well."""
    if result.miss is None:
        return error_text(result.error_deg)
    walked_m = math.fsum(leg.distance_m for leg in answer.where.legs)
    return (
        f"{miss_text(result.miss)} {closure_text(result.miss)}"
        if 0.5 <= result.miss.error_m <= MOST_OF_WAY * walked_m
        else miss_text(result.miss)
    )  # what is far off is no matter of along and across


def error_text(error_deg):
    """An error in degrees and its side in words.

    >>> error_text(-4.2), error_text(179.6), error_text(0.1)
    ('4° anticlockwise of the answer.', 'Half a circle from the answer.', 'On the answer, to the degree.')
    """
    size = round(abs(error_deg))
    if size in (0, 180):
        return (
            tell("Half a circle from the answer.")
            if size
            else tell("On the answer, to the degree.")
        )
    return (
        tell("{degrees}° clockwise of the answer.", degrees=size)
        if error_deg > 0
        else tell("{degrees}° anticlockwise of the answer.", degrees=size)
    )


def hint(counted):
    """What a participant sees before a second try: their own reading, and a question about it."""
    result = counted.result
    own = (
        tell("You chose {target}.", target=counted.reading.target)
        if counted.reading.target
        else tell("You read {reading}.", reading=reading_text(counted))
    )
    return {
        "task": result.task,
        "person": counted.person.pk,
        "own": own,
        "hint": told(
            causes.hint(result.cause, result.probability, kind_of(counted.answer.kind).setting)
        ),
    }


def feedback(counted, points, is_again=False):
    """What a participant sees of one reading; `is_again` of a second try, which is for learning and
    not for the records.
    """
    result, answer = counted.result, counted.answer
    return {
        "task": result.task,
        "person": counted.person.pk,
        "credit": str((AGAIN_WORDS if is_again else CREDIT_WORDS)[result.credit]),
        "mark": CREDIT_MARKS[result.credit],
        "note": tell("Your first reading stands in the records; this one was for learning.")
        if is_again
        else judged_along(counted),
        "own": own_text(counted),
        "reading": reading_text(counted),
        "answer": answer_text(answer),
        "error": off_text(result, answer),
        "cause": cause_sentence(result, answer, points),
        "advice": advice(result, answer),
        "dial": picture(answer, result),
    }


def own_text(counted):
    """How an answer was given: chosen, or read."""
    return (
        tell("You chose")
        if counted.reading.target
        else tell("You wrote")
        if is_place(counted.answer)
        else tell("You read")
    )


def judged_along(counted):
    """That the field half of a bearing off the map goes by the person's own number; nothing of any
    other answer.
    """
    return (
        tell(
            "Judged along your own bearing, {bearing}.",
            bearing=bearing_text(counted.heard_deg, counted.answer.north),
        )
        if counted.heard_deg is not None
        else ""
    )


def picture(answer, result):
    """What was given beside what is right: on a dial, or on the ground."""
    if is_place(answer):
        return ground_drawing(answer, [result.miss], miss_text(result.miss))
    return dial(answer.expected_deg, answer.band, answer.north, result.reading_deg)


def public_task(answer, points):
    """What a phone may know of a task: never its answer. Choices come in alphabetical order."""
    kind = kind_of(answer.kind)
    task = {
        "label": answer.task,
        "kind": told(kind.name),
        "station": answer.station,
        "widget": kind.widget,
        "prompt": prompt(answer, points),
        "north": told(NORTH_WORDS[answer.north]),
        "needle": kind.uses_compass,
    }
    if kind.widget != "bearing":
        task["choices"] = [
            {"code": code, "name": _name(code, points) if not kind.needs_more else ""}
            for code in kind.choices(answer)
        ]
    if kind.needs_more:
        task["sheet_km"] = places.sheet_km(answer.where)
    if kind.has_legs:
        task["prompt"] = tell("Walk these legs. Which marker do you reach?")
        task["legs"] = [
            {"text": leg_text(leg, answer.north), "metres": leg.distance_m}
            for leg in kind.given_legs(answer)
        ]
    marks = kind.marks(answer)
    if len(marks) > 1:
        task["marks"] = [f"{code}: {points[code]['mark']}" for code in marks]
    return {**task, "typed": kind.needs_more, "after": answer.after, "at": list(marks)}


def likely_wrong(answer):
    """The numbers, or the spots, that the commonest habits would give here, as (short name, text),
    for marking by eye.
    """
    if is_place(answer):
        return _likely_spots(answer)
    seen = {}
    for prediction in kind_of(answer.kind).predictions(answer, UNSET):
        cause = {prediction.habit, prediction.slip} - {"ok"}
        if len(cause) == 1 and cause <= set(causes.PERSISTENT):
            seen.setdefault(*cause, f"{three_digits(prediction.centre_deg)}°")
    return (
        [(told(causes.name(code)), text) for code, text in seen.items()]
        if kind_of(answer.kind).widget == "bearing"
        else []
    )


def _likely_spots(answer):
    """The spots to which the habits lead, where that is another than the right one."""
    where, seen = answer.where, {}
    for landing in kind_of(answer.kind).landings(answer):
        if (
            landing.habit != "ok"
            or (where.legs and not landing.detail)
            or landing.slip == "leg_left_out"
        ):
            seen.setdefault(
                (landing.habit if landing.slip == "ok" else landing.slip, landing.detail),
                min(
                    where.spots,
                    key=lambda spot: math.hypot(
                        spot.east_m - landing.east_m, spot.north_m - landing.north_m
                    ),
                ).code,
            )
    return [
        (
            tell("{cause} {leg}", cause=causes.name(code), leg=leg)
            if leg
            else told(causes.name(code)),
            spot,
        )
        for (code, leg), spot in seen.items()
        if spot != where.right
    ]


def pair_text(pair, points):
    """A pair of tasks with the same bearing, in sentences: where it leads from each mark, how far
    apart that is, and why the mark matters. `points` as in `_named`.
    """
    given = bearing_text(pair.given_deg, pair.north)
    return {
        "given": given,
        "leads": tell(
            "{given} leads from {one} to {target}, and from {other} to {other_target}.",
            given=given,
            one=_named(pair.stations[0], points),
            target=_named(pair.targets[0], points),
            other=_named(pair.stations[1], points),
            other_target=_named(pair.targets[1], points),
        ),
        "ends": tell(
            "The marks are {apart:.0f} m apart, the lines {aside:.0f} m, and the ends {ends:.0f} "
            "m: who starts at the wrong mark ends at the wrong thing, however well the bearing "
            "is followed.",
            apart=pair.apart_m,
            aside=pair.aside_m,
            ends=pair.ends_m,
        ),
        "turns": tell(
            "Seen the other way: with the wrong mark the bearing to a target turns by "
            "{near:.0f}° where it is {near_m:.0f} m away, by {middle:.0f}° at {middle_m:.0f} m "
            "and by {far:.0f}° at {far_m:.0f} m.",
            **dict(
                zip(
                    ("near_m", "near", "middle_m", "middle", "far_m", "far"),
                    (value for turn in pair.turns_deg for value in turn),
                    strict=True,
                )
            ),
        ),
    }


def findings(found):
    """What the course check found, in the reader's language."""
    return [
        replace(
            finding,
            what=told(finding.what),
            cure=told(finding.cure),
            changes=tuple(replace(change, words=told(change.words)) for change in finding.changes),
        )
        for finding in found
    ]
