"""A proposed course, pick by pick, with the addresses that keep a line, let it go or refuse it."""

from urllib.parse import urlencode

from .answers import words_of
from .findings import reasons


def line_text(line):
    """A line as it stands in an address: `A>T1>true`."""
    return f"{line.station}>{line.target}>{line.north}"


def address(form, **changed):
    """The page's own address with other lines kept or refused."""
    lists = {name: changed.get(name, form.lines(name)) for name in ("keep", "refuse")}
    asked = [(name, form.cleaned_data[name]) for name in ("number", "kind", "north", "preset")]
    lines = [(name, line_text(line)) for name, own in lists.items() for line in own]
    return f"?{urlencode(asked + lines)}#picks"


def picks(form, proposal, ground):
    """Picks ready to print."""
    keep, refuse = form.lines("keep"), form.lines("refuse")
    return [_pick(form, pick, keep, refuse, ground) for pick in proposal.picks]


def _pick(form, pick, keep, refuse, ground):
    line = pick.line
    others = [kept for kept in keep if (kept.station, kept.target) != (line.station, line.target)]
    return {
        "line": line_text(line),
        "station": line.station,
        "target": line.target,
        "names": f"{ground.point(line.station).name} → {ground.point(line.target).name}",
        "answer": words_of(pick.answer).answer_text(pick.answer),
        "kept": pick.kept,
        "reasons": reasons(pick),
        "keep": address(form, keep=others if pick.kept else [*others, line]),
        "refuse": address(form, keep=others, refuse=[*refuse, line]),
    }
