"""After the class: what its readings say."""
from django.contrib.auth.decorators import login_required
from django.shortcuts import render
from django.views.decorators.http import require_safe

from .. import queries
from ..domain import causes, cohort
from ..domain.angles import signed
from ..drawing.dots import errors
from ..permissions import class_of
from ..wording import CREDIT_MARKS, CREDIT_WORDS, answer_text, prompt, reading_text

WITHDRAW_DEG = 3.0  # FM 3-25.26, ch. 9: a compass with more than 3 degrees of variation is not used


@require_safe
@login_required
def debrief(request, pk):
    """People by tasks, causes by frequency, the errors of each task about its answer."""
    row = class_of(request.user, pk)
    key = queries.current_key(row)
    answers = key.as_domain() if key else ()
    counted, found = queries.diagnosed(row, answers)
    results = [one.result for one in counted]
    return render(request, "exercises/debrief/debrief.html", {
        "class": row, "tasks": [answer.task for answer in answers], "people": _table(counted, answers), "readings": len(results),
        "persons": len({result.person for result in results}), "shares": _shares(results),
        "causes": [(causes.name(count.code), causes.note(count.code), causes.advice(count.code), count) for count in cohort.causes_by_frequency(results)],
        "stations": _stations(found), "habits": _habits(found, {str(one.person.pk): one.person.name for one in counted}),
        "summaries": [_summary(answer, results, key.points) for answer in answers]})


def _shares(results):
    """How many readings earned each credit, in words."""
    return [(CREDIT_MARKS[credit], CREDIT_WORDS[credit], sum(result.credit == credit for result in results)) for credit in (1.0, 0.5, 0.0)]


def _stations(found):
    """Stations that are probably at fault themselves: (code, bias in words, probability)."""
    return [(code, f"{signed(bias.degrees, 1)}° ± {bias.error_deg:.1f}°", f"{bias.fault_probability:.0%}")
            for code, bias in found.stations.items() if bias.fault_probability >= causes.SURE]


def _habits(found, names):
    """People with a probable habit or a compass that is off, by name: (name, what, probability or empty)."""
    said = []
    for pk, person in found.people.items():
        if person.habit != "none" and person.habit_probability >= causes.SURE:
            said.append((names[pk], causes.name(person.habit), f"{person.habit_probability:.0%}"))
        if abs(person.offset_deg) > WITHDRAW_DEG:
            said.append((names[pk], f"compass reads {signed(person.offset_deg, 1)}° off everywhere", ""))
    return sorted(said, key=lambda row: row[0].casefold())


def _table(counted, answers):
    """One row a person, one cell a task, None where nothing was sent."""
    cells = {}
    for one in counted:
        cells.setdefault(one.person.name, {})[one.result.task] = {
            "mark": CREDIT_MARKS[one.result.credit], "credit": CREDIT_WORDS[one.result.credit], "error": f"{signed(one.result.error_deg)}°",
            "cause": "" if one.result.cause == "ok" else causes.name(one.result.cause), "late": one.reading.is_late,
            "reading": reading_text(one), "sure": f"{one.result.probability:.0%}"}
    return [(name, [row.get(answer.task) for answer in answers]) for name, row in sorted(cells.items(), key=lambda pair: pair[0].casefold())]


def _summary(answer, results, points):
    """One task: what was asked, its errors drawn, and the same numbers in words."""
    summary = cohort.task_summary(answer.task, results)
    words = f"{summary.readings} readings: {summary.full} full credit, {summary.partial} part, {summary.readings - summary.full - summary.partial} none."
    if summary.mean_deg is not None and summary.spread_deg is not None:
        words += f" The {summary.sound} sound ones lie {signed(summary.mean_deg, 1)}° from the answer on average, spread {summary.spread_deg:.1f}°."
    return {"label": answer.task, "prompt": prompt(answer, points), "station": answer.station, "answer": answer_text(answer), "words": words,
            "errors": ", ".join(f"{signed(error)}°" for error in summary.errors_deg), "drawing": errors(summary.errors_deg, answer.band)}
