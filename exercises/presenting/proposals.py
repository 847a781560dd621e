"""A proposed course, pick by pick, with the addresses that keep a line, let it go or refuse it."""

from urllib.parse import urlencode

from ..domain.planning.findings import Severity
from ..languages import tell_many
from .answers import words_of
from .course_checks import measures_text
from .findings import sentences


def line_text(line):
    """A line as it stands in an address: `A>T1>true`."""
    return f"{line.station}>{line.target}>{line.north}"


def address(form, part="picks", **changed):
    """The page's own address with other lines kept or refused, at a part of it; with `standing`
    the others stay in their places.
    """
    lists = {name: changed.get(name, form.lines(name)) for name in ("keep", "refuse")}
    lists["standing"] = changed.get("standing", ())
    asked = [(name, form.cleaned_data[name]) for name in ("number", "kind", "north", "preset")]
    lines = [(name, line_text(line)) for name, listed in lists.items() for line in listed]
    return f"?{urlencode(asked + lines)}#{part}"


def proposal_text(form, proposal, ground):
    """A proposal ready to print: its picks, the course that they would make, and the addresses that
    take back what was kept or refused. `proposal` is None where there is none.
    """
    if proposal is None:
        return {"picks": [], "anew": "", "measures": None, "refused": [], "unsafe": ""}
    refuse = form.lines("refuse")
    return {
        "picks": [
            _pick(form, pick, f"pick{number}", proposal, ground)
            for number, pick in enumerate(proposal.picks, start=1)
        ],
        "anew": address(form, keep=[], refuse=[]),
        "measures": measures_text(proposal.measures),
        "unsafe": _unsafe_text(proposal, form.cleaned_data["number"]),
        "refused": [
            (line, address(form, refuse=[other for other in refuse if other != line]))
            for line in refuse
        ],
    }


def _unsafe_text(proposal, number):
    """How many lines were left out because of a danger, and whether too few are left."""
    if not proposal.unsafe:
        return ""
    left_out = tell_many(
        "{number} line was left out: who walks along it, back to front or with the declination "
        "wrong, comes too near to a danger.",
        "{number} lines were left out: who walks along them, back to front or with the declination "
        "wrong, comes too near to a danger.",
        proposal.unsafe,
    )
    if len(proposal.picks) >= number:
        return left_out
    few = tell_many(
        "No more than {number} line is left that is safe.",
        "No more than {number} lines are left that are safe.",
        len(proposal.picks),
    )
    return f"{few} {left_out}"


def _pick(form, pick, part, proposal, ground):
    line, keep, refuse = pick.line, form.lines("keep"), form.lines("refuse")
    standing = [other.line for other in proposal.picks]
    others = [kept for kept in keep if (kept.station, kept.target) != (line.station, line.target)]
    return {
        "part": part,
        "line": line_text(line),
        "station": line.station,
        "target": line.target,
        "names": f"{ground.point(line.station).name} → {ground.point(line.target).name}",
        "answer": words_of(pick.answer).answer_text(pick.answer),
        "kept": pick.kept,
        "reasons": sentences(pick.reasons),
        "against": sentences(pick.against),
        "is_danger": any(found.severity == Severity.DANGER for found in pick.against),
        "keep": address(
            form, part, keep=others if pick.kept else [*others, line], standing=standing
        ),
        "refuse": address(form, part, keep=others, refuse=[*refuse, line], standing=standing),
    }


def taken_text(added, there):
    """How many tasks were added, and how many picks the course had already."""
    sentences = [tell_many("{number} task added.", "{number} tasks added.", added)]
    if there:
        sentences.append(
            tell_many(
                "{number} is in the course already.",
                "{number} are in the course already.",
                there,
            )
        )
    return " ".join(sentences)
