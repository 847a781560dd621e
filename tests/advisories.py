"""Known advisories on the packages that are shipped: `python -m tests.advisories`, which .ci/run
calls. A known one fails. What cannot be asked is said, and does not fail: a school's or a builder's
machine may reach a mirror of packages and nothing else.

pip-audit asks PyPI. Where a mirror does not answer it, it calls each package skipped and says that
nothing is known, which this does not take for an answer. Beside it stands what .ci/advisories.json
notes with its day.
"""

import json
import subprocess
import sys
from dataclasses import dataclass
from importlib import metadata

from packaging.specifiers import SpecifierSet
from packaging.utils import canonicalize_name

from tests.licences import ROOT, is_installed, required

NOTED = ROOT / ".ci/advisories.json"
COMMAND = ("--local", "--format", "json", "--progress-spinner", "off", "--timeout", "15")
LONGEST_S = 600


@dataclass(frozen=True)
class Audit:
    """What was found, a line each, and the packages of which PyPI said nothing."""

    found: tuple[str, ...]
    unasked: tuple[str, ...]


def audit(shipped: dict[str, str], answered: list[dict], noted: list[dict]) -> Audit:
    """What is known of some packages (names and versions), from the answers of pip-audit and from
    what is noted.
    """
    said = {
        canonicalize_name(one["name"]): one["vulns"] for one in answered if "skip_reason" not in one
    }
    asked = [
        _line(name, version, one["id"], " or ".join(one["fix_versions"]))
        for name, version in shipped.items()
        for one in said.get(name, [])
    ]
    known = [
        _line(one["package"], shipped[one["package"]], one["id"], one["fixed"])
        for one in noted
        if one["package"] in shipped and shipped[one["package"]] in SpecifierSet(one["affected"])
    ]
    unasked = tuple(name for name in shipped if name not in said)
    return Audit(tuple(dict.fromkeys([*asked, *known])), unasked)


def _line(name: str, version: str, advisory: str, fixed: str) -> str:
    return f"{name} {version}: {advisory}, " + (f"mended in {fixed}" if fixed else "not mended yet")


def told(found: Audit, number: int, as_of: str) -> str:
    """What is said at the end, for `number` packages and what was noted on a day."""
    lines = [*found.found]
    if found.unasked:
        which = f"any of {number} packages"
        if len(found.unasked) < number:
            which = ", ".join(found.unasked)
        lines.append(
            f"PyPI's advisories could not be asked about {which}. "
            f"Of these nothing is known but what .ci/advisories.json noted on {as_of}."
        )
    asked = number - len(found.unasked)
    if asked and not found.found:
        lines.append(f"No advisory is known on the {asked} that were asked.")
    return "\n".join(lines)


def noted() -> tuple[str, list[dict]]:
    """The day of what is noted, and the notes."""
    kept = json.loads(NOTED.read_text(encoding="utf-8"))
    return kept["as_of"], kept["advisories"]


def shipped() -> dict[str, str]:
    """What requirements.txt brings onto this machine: names and versions."""
    return {name: metadata.version(name) for name in required() if is_installed(name)}


def ask() -> list[dict]:
    """What pip-audit says of each package that is installed; nothing where it gives no answer."""
    ended = subprocess.run(
        [sys.executable, "-m", "pip_audit", *COMMAND],
        capture_output=True,
        text=True,
        check=False,
        timeout=LONGEST_S,
    )
    return answer_of(ended.stdout)


def answer_of(text: str) -> list[dict]:
    """The packages of pip-audit's JSON; none of what is no JSON, as where it had no connection."""
    try:
        return list(json.loads(text)["dependencies"])
    except json.JSONDecodeError:
        return []


def main() -> int:
    """Ask, say, and end with 1 where an advisory is known."""
    here, (as_of, notes) = shipped(), noted()
    found = audit(here, ask(), notes)
    print(told(found, len(here), as_of))
    return 1 if found.found else 0


if __name__ == "__main__":
    sys.exit(main())
