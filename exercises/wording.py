"""Results in words for people: ready to print, each number with its north."""
from .domain import causes
from .domain.angles import three_digits
from .domain.kinds import kind_of
from .domain.site import UNSET
from .drawing.dial import dial
from .drawing.plan import bearing_text

CREDIT_WORDS = {1.0: "Full credit", 0.5: "Part credit", 0.0: "No credit"}
CREDIT_MARKS = {1.0: "full", 0.5: "part", 0.0: "none"}


def prompt(answer, points):
    """What a task asks, in one sentence. `points` holds the key's points by code."""
    kind = kind_of(answer.kind)
    given = bearing_text(answer.given_deg, answer.given_north) if answer.given_deg is not None else ""
    return kind.prompt(points[answer.target]["name"] if answer.target else "", answer.north, given)


def answer_text(answer):
    """The right answer as it is said: a bearing with its north, with the target's code where that is the answer."""
    bearing = bearing_text(answer.expected_deg, answer.north)
    return f"{answer.target} ({bearing})" if kind_of(answer.kind).widget == "target" else bearing


def reading_text(counted):
    """What was read, as it is said."""
    bearing = bearing_text(counted.result.reading_deg, counted.answer.north)
    if counted.reading.target:
        return f"{counted.reading.target} ({bearing})"
    return f"{counted.reading.value_mils:.0f} mil ({bearing})" if counted.reading.value_mils is not None else bearing


def cause_sentence(result):
    """What happened, in one sentence; where two mistakes are about as likely, both are named."""
    if result.credit == 1.0 and not causes.mistakes(result.cause):
        return "Your reading is sound." if result.cause == "ok" else "Your reading is sound: it lies within the tolerance."
    if result.cause == "ok" and result.probability >= causes.SURE:
        return f"Nothing in particular went wrong: the reading is {abs(result.error_deg):.0f} degrees off."
    mistakes = [code for code in (result.cause, *(code for code, _ in result.alternatives)) if code not in ("ok", "unexplained")]
    if result.probability >= causes.SURE or not mistakes:
        if result.detail and result.cause in ("other_target", "other_station"):
            return causes.sentence(result.cause)[:-1] + f": {result.detail}."
        return causes.sentence(result.cause)
    if result.cause in ("ok", "unexplained") or len(mistakes) == 1:
        return f"We cannot tell for certain. It may be this: {causes.name(mistakes[0])}."
    return f"Two things fit your number: either {causes.name(mistakes[0])}, or {causes.name(mistakes[1])}."


def advice(result, answer):
    """What to do about it, with this place's sentence where the declination is in it."""
    if result.credit == 1.0 and not causes.mistakes(result.cause):
        return causes.advice("ok", kind_of(answer.kind).reads_needle)
    code = "unexplained" if result.cause == "ok" else result.cause
    said = causes.advice(code, kind_of(answer.kind).reads_needle)
    return f"{said} {place_sentence(answer)}" if "declination" in code else said


def place_sentence(answer):
    """How the declination is applied at this place for what a task asks: `From magnetic to true here, add 24°.`"""
    return sentence_between(answer.norths, *kind_of(answer.kind).arithmetic(answer))


def sentence_between(norths, begin, end):
    """How a bearing is turned from one north into another at this place."""
    if begin == end:
        return "Where magnetic is asked, leave the number as the compass gives it."
    angle_deg = norths.correction(begin, end)
    return f"From {begin} to {end} here, {'add' if angle_deg >= 0 else 'take away'} {abs(angle_deg):.0f}°."


def error_text(error_deg):
    """An error and its side in words.

    >>> error_text(-4.2), error_text(179.6), error_text(0.1)
    ('4° anticlockwise of the answer.', 'Half a circle from the answer.', 'On the answer, to the degree.')
    """
    size = round(abs(error_deg))
    if size in (0, 180):
        return "Half a circle from the answer." if size else "On the answer, to the degree."
    return f"{size}° {'clockwise' if error_deg > 0 else 'anticlockwise'} of the answer."


def feedback(counted):
    """What a participant sees of one reading."""
    result, answer = counted.result, counted.answer
    return {
        "task": result.task, "person": counted.person.pk, "attempt": counted.reading.attempt,
        "credit": CREDIT_WORDS[result.credit], "mark": CREDIT_MARKS[result.credit],
        "reading": reading_text(counted), "answer": answer_text(answer),
        "error": error_text(result.error_deg),
        "cause": cause_sentence(result), "advice": advice(result, answer),
        "dial": dial(answer.expected_deg, answer.band, answer.north, result.reading_deg),
    }


def public_task(answer, points):
    """What a phone may know of a task: never its answer. Choices come in alphabetical order."""
    kind = kind_of(answer.kind)
    task = {"label": answer.task, "kind": kind.name, "station": answer.station, "widget": kind.widget, "prompt": prompt(answer, points),
            "north": answer.north, "needle": kind.reads_needle}
    if kind.widget == "target":
        task["choices"] = [{"code": code, "name": points[code]["name"]} for code in kind.choices(answer)]
    return task


def likely_wrong(answer):
    """The numbers that the commonest habits would give here, as (short name, bearing text), for marking by eye."""
    seen = {}
    for prediction in kind_of(answer.kind).predictions(answer, UNSET):
        if prediction.slip == "ok" and prediction.habit != "ok" and prediction.habit not in seen:
            seen[prediction.habit] = f"{three_digits(prediction.centre_deg)}°"
    return [(causes.name(code), text) for code, text in seen.items()] if kind_of(answer.kind).widget == "bearing" else []
