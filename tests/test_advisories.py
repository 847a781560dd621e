"""A known advisory fails; what could not be asked is said, and taken for no answer.

The form of the answers: pip-audit's documentation, "JSON"; ranges: PEP 440.
"""

import datetime

import pytest
from packaging.specifiers import SpecifierSet

from tests import advisories
from tests.advisories import Audit, answer_of, audit, told
from tests.licences import ROOT, required

SHIPPED = {"django": "5.2.0", "waitress": "3.0.0"}
SOUND = {"name": "waitress", "version": "3.0.0", "vulns": []}
STRUCK = {
    "name": "Django",
    "version": "5.2.0",
    "vulns": [{"id": "PYSEC-2025-13", "fix_versions": ["4.2.21", "5.2.1"], "aliases": []}],
}
SKIPPED = {"name": "django", "skip_reason": "Dependency not found on PyPI"}
NOTE = {"package": "waitress", "id": "CVE-2024-49768", "affected": "<3.0.1", "fixed": "3.0.1"}


def test_an_advisory_is_told_with_what_mends_it():
    found = audit(SHIPPED, [STRUCK, SOUND], [])

    assert found == Audit(("django 5.2.0: PYSEC-2025-13, mended in 4.2.21 or 5.2.1",), ())


def test_one_that_nothing_mends_is_told_too():
    struck = {**STRUCK, "vulns": [{"id": "PYSEC-2025-13", "fix_versions": []}]}

    assert audit(SHIPPED, [struck, SOUND], []).found == (
        "django 5.2.0: PYSEC-2025-13, not mended yet",
    )


def test_what_was_skipped_or_left_out_was_not_asked():
    assert audit(SHIPPED, [SKIPPED], []) == Audit((), ("django", "waitress"))


def test_a_note_holds_where_nothing_could_be_asked():
    assert audit(SHIPPED, [], [NOTE]).found == ("waitress 3.0.0: CVE-2024-49768, mended in 3.0.1",)
    assert audit({**SHIPPED, "waitress": "3.0.1"}, [], [NOTE]).found == ()


def test_a_package_that_is_not_shipped_is_none_of_its_business():
    other = {"name": "otter", "version": "1", "vulns": [{"id": "X-1", "fix_versions": []}]}

    assert audit(SHIPPED, [STRUCK, SOUND, other], [{**NOTE, "package": "otter"}]).found == (
        "django 5.2.0: PYSEC-2025-13, mended in 4.2.21 or 5.2.1",
    )


@pytest.mark.parametrize("text", ["", "ERROR: no connection", "<html>"])
def test_what_is_no_answer_is_none(text):
    assert answer_of(text) == []


def test_that_nothing_could_be_asked_is_said_plainly():
    assert told(Audit((), ("django", "waitress")), 2, "2026-11-27") == (
        "PyPI's advisories could not be asked about any of 2 packages. Of these nothing is known "
        "but what .ci/advisories.json noted on 2026-11-27."
    )


def test_what_could_not_be_asked_is_named():
    assert "asked about waitress. Of these" in told(Audit(("a",), ("waitress",)), 2, "2026-11-27")


@pytest.mark.parametrize(
    ("answers", "status"),
    [([STRUCK], 1), ([SKIPPED], 0), ([SOUND], 0), ([], 0)],
)
def test_only_a_known_advisory_fails(monkeypatch, capsys, answers, status):
    monkeypatch.setattr(advisories, "shipped", lambda: SHIPPED)
    monkeypatch.setattr(advisories, "ask", lambda: answers)
    monkeypatch.setattr(advisories, "noted", lambda: ("2026-11-27", []))

    assert advisories.main() == status
    assert ("PYSEC-2025-13" in capsys.readouterr().out) is bool(status)


def test_each_note_is_of_a_package_that_is_shipped_with_its_range_and_source():
    as_of, notes = advisories.noted()

    assert datetime.date.fromisoformat(as_of)
    assert [one for one in notes if one["package"] not in required()] == []
    assert [one for one in notes if one["fixed"] in SpecifierSet(one["affected"])] == []
    assert [one for one in notes if not one["source"].startswith(("read", "from memory"))] == []


def test_nothing_that_is_noted_strikes_what_is_here():
    assert audit(advisories.shipped(), [], advisories.noted()[1]).found == ()


def test_it_is_part_of_what_is_run_before_a_release():
    assert "\npython -m tests.advisories\n" in (ROOT / ".ci/run").read_text(encoding="utf-8")
