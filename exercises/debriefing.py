"""What a debrief shows, ready to print: numbers with their uncertainty, in words; drawings beside them."""
from urllib.parse import urlencode

from .domain import biases, budget, causes, cohort
from .domain.angles import difference, signed
from .domain.class_model import LEAST_PEOPLE
from .domain.kinds import kind_of
from .drawing.dial import dial
from .drawing.dots import errors
from .remedies import exercise
from .wording import CREDIT_MARKS, CREDIT_WORDS, advice, answer_text, cause_sentence, error_text, prompt, reading_text

SMALL_CLASS = 40  # readings below which patterns are hints
PROBABLE, POSSIBLE = 0.5, 0.2
SHOWN_CAUSES = 5  # with a drawing each; nobody reteaches more in one debrief
ENOUGH_FOR_SCATTER = 5  # bearings read off a dial
HABIT_SURE = 0.7  # from here a habit is said of a person


def overview(whole):
    """Everything on the debrief's page. `whole` is a `Debriefed`."""
    results, names = whole.results, {str(one.person.pk): one.person for one in whole.counted}
    reteach = [_reteach(count, whole) for count in cohort.causes_by_credit_lost(results)]
    return {
        "key": whole.key, "readings": len(results), "persons": len(names), "is_small": len(results) < SMALL_CLASS, "shares": _shares(results),
        "skill": _skill(whole), "is_ground_judged": _is_ground_judged(whole), "reteach": reteach[:SHOWN_CAUSES], "rarer": reteach[SHOWN_CAUSES:],
        "stations": list(_ground(whole)), "compasses": list(_compasses(whole, names)), "people": _people(whole),
        "tasks": [answer.task for answer in whole.answers], "grid": _grid(whole), "dropped": whole.key.dropped if whole.key else [],
        "summaries": [_summary(answer, results, whole.key.points) for answer in whole.answers]}


def _shares(results):
    """How many readings earned each credit, in words."""
    return [(CREDIT_MARKS[credit], CREDIT_WORDS[credit], number, f"{number / max(len(results), 1):.0%}")
            for credit in (1.0, 0.5, 0.0) for number in [sum(result.credit == credit for result in results)]]


def _skill(whole):
    """The spread of sound readings with its interval, and what a good compass and a careful person would reach; empty without enough."""
    needles = {answer.task: answer for answer in whole.answers if kind_of(answer.kind).reads_needle and kind_of(answer.kind).widget == "bearing"}
    spread = cohort.spread_of_sound([result for result in whole.results if result.task in needles])
    if spread is None:
        return ""
    good_deg = budget.combine(answer.budget.total_deg for answer in needles.values()) / len(needles) ** 0.5
    return (f"The {spread.number} sound bearings spread {spread.degrees:.1f}° (one standard deviation, 95% interval {spread.low_deg:.1f} to {spread.high_deg:.1f}°). "
            f"A good compass in careful hands would reach about {good_deg:.1f}° here.")


def _reteach(count, whole):
    """One mistake: what it costs, how sure it is, what it looks like, and two minutes against it."""
    example, by_task = count.example, {answer.task: answer for answer in whole.answers}
    answer, cause = by_task[example.task], causes.REGISTER[count.code]
    return {
        "name": cause.name, "count": count, "sure": percent(count.probability), "say": causes.advice(count.code, kind_of(answer.kind).reads_needle), "note": cause.note,
        "evidence": f"Task {example.task}: {_said(whole, example)} where {answer_text(answer)} is right.",
        "drawing": dial(answer.expected_deg, answer.band, answer.north, example.reading_deg), "exercise": exercise(count.code, _sound_ground(whole), whole.key.points)}


def percent(probability):
    """A probability as it is said: never as certainty.

    >>> percent(0.9999), percent(0.874), percent(0.002)
    ('>99%', '87%', '<1%')
    """
    return ">99%" if probability > 0.99 else "<1%" if probability < 0.01 else f"{probability:.0%}"


def _faulty(whole):
    """Codes of stations and labels of tasks whose ground is probably at fault."""
    return ({code for code, bias in whole.found.stations.items() if bias.fault_probability >= PROBABLE},
            {task for task, bias in whole.found.lines.items() if bias.fault_probability >= PROBABLE})


def _sound_ground(whole):
    """The answers that one may practise on; all of them where none is left."""
    stations, tasks = _faulty(whole)
    return [answer for answer in whole.answers if answer.station not in stations and answer.task not in tasks] or whole.answers


def _is_ground_judged(whole):
    """Whether enough people read a needle somewhere for a fault of the ground to show."""
    people = {}
    for one in whole.counted:
        if kind_of(one.answer.kind).reads_needle:
            people.setdefault(one.answer.station, set()).add(one.person.pk)
    return any(len(who) >= LEAST_PEOPLE for who in people.values())


def _said(whole, result):
    return next(reading_text(one) for one in whole.counted if one.result is result)


def _interval(bias):
    return f"{signed(bias.degrees, 1)}° (95% interval {signed(bias.degrees - 1.96 * bias.error_deg, 1)} to {signed(bias.degrees + 1.96 * bias.error_deg, 1)}°)"


def _ground(whole):
    """Stations, and lines of stations that are sound, with a probable fault, each with what to check and what may be done."""
    faulty, _ = _faulty(whole)
    read_at = [answer.station for answer in whole.answers if kind_of(answer.kind).reads_needle]
    for code in sorted(faulty):
        bias = whole.found.stations[code]
        alone = read_at.count(code) == 1
        yield {"name": f"Station {code}{', or its only sight line' if alone else ''}", "what": f"{_who(whole, bias)} there lie {_interval(bias)} off", "probability": percent(bias.fault_probability), "since": _since(whole, bias),
               "reasons": "Iron, wires or a vehicle near the mark; a mark that has moved; a wrong coordinate" + ("; a target that has moved." if alone else "."),
               "check": "Shoot a line fore and back: they differ by the pull of one end. Step three metres aside and read again with a second compass. Compare the coordinate with the map.",
               "actions": [*_move(f"the answers at {code}", "station", code, bias),
                           *((f"Drop task {answer.task}", _address("drop", answer.task)) for answer in whole.answers if answer.station == code and kind_of(answer.kind).reads_needle)]}
    for answer in whole.answers:
        bias = whole.found.lines.get(answer.task, biases.NO_BIAS)
        if bias.fault_probability >= PROBABLE and not (answer.station in faulty and read_at.count(answer.station) == 1):
            line = f"{answer.station} to {answer.target}"
            yield {"name": f"Task {answer.task}, {line}", "what": f"on this line alone {_who(whole, bias)} lie {_interval(bias)} off", "probability": percent(bias.fault_probability),
                   "since": _since(whole, bias), "reasons": "The target has moved, its label is on another thing, or its coordinate is wrong.",
                   "check": "Stand on the mark and ask somebody new to point at it. Shoot it back from the target. Compare its coordinate with the map.",
                   "actions": [*_move(f"the answer of task {answer.task}", "line", answer.task, bias),
                               (f"Drop task {answer.task}", _address("drop", answer.task))]}


def _who(whole, bias):
    """Whose readings a bias concerns."""
    if bias.since is None and bias.until is None:
        return "most readings"
    return "most readings from then on" if bias.since is not None else "most readings until then"


def _move(what, kind, of, bias):
    """The action that moves answers by a bias; none for a fault that began or ended, for it would spoil the readings of the other part."""
    if bias.since is None and bias.until is None:
        yield f"Move {what} by {signed(bias.degrees, 1)}°", _address(kind, of, bias)


def _address(what, of, bias=None):
    """The query of the page that previews a correction."""
    return urlencode({"what": what, "of": of, **({"degrees": f"{bias.degrees:.1f}", "error": f"{bias.error_deg:.1f}"} if bias else {})})


def _since(whole, bias):
    """The moment from which a fault was there, or until which; None where it always was."""
    place = bias.since if bias.since is not None else bias.until
    return None if place is None else ("from" if bias.since is not None else "until", whole.counted[place].reading.moment)


def _compasses(whole, names):
    """Compasses to withdraw or to look at: (number, verdict, why)."""
    users = {}
    for one in whole.counted:
        users.setdefault(one.reading.compass_number, set()).add(one.person.name)
    for number, compass in sorted(whole.found.compasses.items(), key=lambda pair: (len(pair[0]), pair[0])):
        who = ", ".join(sorted(users.get(number, ()), key=str.casefold))
        if compass.reversed_probability >= POSSIBLE:
            verdict = "Withdraw" if compass.reversed_probability >= PROBABLE else "Look at"
            yield number, verdict, f"its needle points the wrong way for everybody who held it ({who}; probability {percent(compass.reversed_probability)})"
        elif compass.offset.fault_probability >= POSSIBLE:
            verdict = "Withdraw" if compass.offset.fault_probability >= PROBABLE else "Look at"
            yield number, verdict, f"it reads {_interval(compass.offset)} off for {who} (more than {biases.FAULT_DEG:.0f}° with probability {percent(compass.offset.fault_probability)})"
    held = {}
    for one in whole.counted:
        held.setdefault(str(one.person.pk), set()).add(one.reading.compass_number)
    for pk, person in whole.found.people.items():
        if person.offset_probability >= PROBABLE and not held[pk] & set(whole.found.compasses):
            yield ", ".join(sorted(held[pk] - {""})) or "a compass without a number", "Look at", (
                f"{names[pk].name} read {signed(person.offset_deg, 1)} ± {1.96 * person.offset_error_deg:.1f}° off with it everywhere "
                f"(more than {biases.FAULT_DEG:.0f}° with probability {percent(person.offset_probability)}); nobody else held it, so it may be the person. Change compasses and read again")


def _people(whole):
    """A row for each person, by name: never by credit."""
    credit, needles, rows = {}, {}, []
    for one in whole.counted:
        credit.setdefault(one.person, []).append(one.result.credit)
        needles[one.person] = needles.get(one.person, 0) + _reads_dial(one)
    for person, own in sorted(credit.items(), key=lambda pair: pair[0].name.casefold()):
        found = whole.found.people[str(person.pk)]
        habit = "—" if found.habit == "none" or found.habit_probability < HABIT_SURE else f"{causes.REGISTER[found.habit].name} ({percent(found.habit_probability)})"
        rows.append({"person": person, "credit": f"{sum(own):g} of {len(own)}", "habit": habit,
                     "scatter": f"{found.scatter_deg:.1f} ± {found.scatter_error_deg:.1f}°" if needles[person] >= ENOUGH_FOR_SCATTER else "—",
                     "offset": f"{signed(found.offset_deg, 1)} ± {found.offset_error_deg:.1f}°" if found.offset_probability >= PROBABLE else "—"})
    return rows


def _reads_dial(one):
    """Whether a reading tells of its person's scatter."""
    kind = kind_of(one.answer.kind)
    return kind.reads_needle and kind.widget == "bearing"


def _grid(whole):
    """One row a person, one cell a task, None where nothing was sent."""
    cells = {}
    for one in whole.counted:
        cells.setdefault(one.person.name, {})[one.result.task] = {
            "mark": CREDIT_MARKS[one.result.credit], "credit": CREDIT_WORDS[one.result.credit], "error": f"{signed(one.result.error_deg)}°",
            "cause": "" if one.result.cause == "ok" else causes.name(one.result.cause), "late": one.reading.is_late, "sure": percent(one.result.probability)}
    return [(name, [row.get(answer.task) for answer in whole.answers]) for name, row in sorted(cells.items(), key=lambda pair: pair[0].casefold())]


def _summary(answer, results, points):
    """One task: what was asked, its errors drawn with the other targets, its causes, and the same numbers in words."""
    summary = cohort.task_summary(answer.task, results)
    words = f"{summary.readings} reading{'' if summary.readings == 1 else 's'}: {summary.full} full credit, {summary.partial} part, {summary.readings - summary.full - summary.partial} none."
    if summary.mean_deg is not None and summary.spread_deg is not None:
        words += f" The {summary.sound} sound ones lie {signed(summary.mean_deg, 1)}° from the answer on average, spread {summary.spread_deg:.1f}°."
    others = [(other.code, difference(other.bearing_deg, answer.bearings_deg["true"])) for other in answer.others]
    counts = {}
    for result in results:
        if result.task == answer.task and result.cause != "ok":
            counts[result.cause] = counts.get(result.cause, 0) + 1
    return {"label": answer.task, "prompt": prompt(answer, points), "station": answer.station, "answer": answer_text(answer), "words": words,
            "causes": ", ".join(f"{number} {causes.name(code)}" for code, number in sorted(counts.items(), key=lambda pair: (-pair[1], pair[0]))),
            "others": ", ".join(f"{code} at {signed(turn)}°" for code, turn in sorted(others, key=lambda pair: pair[1])),
            "errors": ", ".join(f"{signed(error)}°" for error in summary.errors_deg), "drawing": errors(summary.errors_deg, answer.band, others)}


def sheet(whole, person):
    """One person's page: readings on dials, how sure and how steady they were, what to practise."""
    own = whole.by_person.get(person.pk, [])
    found = whole.found.people.get(str(person.pk))
    practise = cohort.causes_by_credit_lost([one.result for one in own])
    return {
        "person": person, "readings": [_on_sheet(one) for one in own], "credit": f"{sum(one.result.credit for one in own):g} of {len(own)}",
        "scatter": f"Your sound readings scatter by about {found.scatter_deg:.0f}° either way." if found and sum(map(_reads_dial, own)) >= ENOUGH_FOR_SCATTER else "",
        "practise": [(causes.REGISTER[count.code].name, causes.REGISTER[count.code].advice, exercise(count.code, _sound_ground(whole), whole.key.points)) for count in practise[:2]]}


def _on_sheet(one):
    result, answer = one.result, one.answer
    return {"task": result.task, "station": answer.station, "mark": CREDIT_MARKS[result.credit], "credit": CREDIT_WORDS[result.credit], "reading": reading_text(one),
            "answer": answer_text(answer), "error": error_text(result.error_deg), "cause": cause_sentence(result), "advice": "" if result.cause == "ok" else advice(result, answer),
            "dial": dial(answer.expected_deg, answer.band, answer.north, result.reading_deg)}


def alone(whole):
    """Identical unusual answers close in time: (task, answer, names). A fact without a verdict."""
    given = [(one.person.name, one.result.task, one.result.text, one.result.credit, one.reading.moment.timestamp()) for one in whole.counted]
    return [(task, text, ", ".join(people)) for task, text, people in cohort.same_answers(given)]

