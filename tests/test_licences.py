"""What is shipped is listed, and under licences that let a school pass the whole on.

Identifiers and how expressions bind: SPDX specification 2.3, annexes A and D.
"""

import subprocess
from importlib import metadata

import pytest

from tests import licences
from tests.licences import CARRIED, FILE, ROOT, WITHIN, is_allowed, recognised

MIT = "Permission is hereby granted, free\n of charge, to any person obtaining a copy"
# What of the repository is not text that we wrote.
NOT_WRITTEN = {".ttf", ".gz", ".tsv", ".woff2", ".png", ".pbf", ".cof"}


def listed():
    """The packages in the file: (name, version, licence)."""
    part = FILE.read_text(encoding="utf-8").partition("## What packages bring")[0]
    rows = [line.strip("| ").split(" | ") for line in part.splitlines() if line.startswith("| ")]
    return [tuple(row) for row in rows[2:]]


def test_the_list_holds_every_package_that_is_asked_for():
    needed = licences.required()

    assert [name for name, _, _ in listed()] == list(needed)
    here = {name: version for name, version in needed.items() if licences.is_installed(name)}
    lines = FILE.read_text(encoding="utf-8").splitlines()
    assert [name for name in here if licences.package_row(name, here[name]) not in lines] == []


def test_the_rest_of_the_file_is_what_the_command_writes():
    from_there = "## What packages bring"

    assert (
        FILE.read_text(encoding="utf-8").partition(from_there)[2]
        == (licences.written().partition(from_there)[2])
    )


def test_every_licence_is_one_that_is_allowed():
    stated = [
        *((name, licence) for name, _, licence in listed()),
        *((f"{name}: {what}", licence) for name, what, licence, _ in WITHIN),
        *((one.where, one.licence) for one in CARRIED),
    ]

    assert [(what, licence) for what, licence in stated if not is_allowed(licence)] == []


@pytest.mark.parametrize(
    ("expression", "allowed"),
    [
        ("MIT", True),
        ("MIT OR GPL-3.0-only", True),
        ("MIT AND GPL-3.0-only", False),
        ("GPL-3.0-only OR MIT AND BSD-3-Clause", True),
        ("AGPL-3.0-or-later", False),
        ("GPL-3.0-or-later", False),
        ("GPL-3.0-or-later WITH GCC-exception-3.1", True),
        ("CC-BY-NC-4.0", False),
        ("LicenseRef-Proprietary", False),
        ("(MIT OR GPL-3.0-only) AND ISC", True),
        ("(MIT AND GPL-3.0-only) OR AGPL-3.0-only", False),
        ("(MIT", False),
        ("", False),
    ],
)
def test_a_choice_is_met_by_one_and_a_sum_by_all(expression, allowed):
    assert is_allowed(expression) is allowed


@pytest.mark.parametrize(
    ("text", "licence"),
    [
        (MIT, "MIT"),
        (f"{MIT}\nGNU General Public License version 3", ""),
        (
            "Redistributions in binary form must reproduce the above copyright notice",
            "BSD-2-Clause",
        ),
        ("All rights reserved.", ""),
    ],
)
def test_a_text_is_recognised_by_its_phrase_or_not_at_all(text, licence):
    assert recognised(text) == licence


def kept_files():
    """The files of the repository, as git has them."""
    listing = subprocess.run(
        ["git", "ls-files", "exercises", "fixtures"],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=True,
    )
    return listing.stdout.splitlines()


def test_every_file_of_others_is_listed():
    """What lies in a folder of others, and whatever is no text of ours."""
    ours = ("exercises/locale/", "exercises/static/exercises/icon.svg")
    others = [
        path
        for path in kept_files()
        if "/vendor/" in path or any(path.endswith(end) for end in NOT_WRITTEN)
        if not path.startswith(ours)
    ]

    covered = tuple(place for one in CARRIED for place in (one.where, one.said_in))
    assert len(others) > 10
    assert [path for path in others if not path.startswith(covered)] == []


def test_what_is_listed_is_there_with_its_licence():
    assert [one.where for one in CARRIED if not (ROOT / one.where).exists()] == []
    assert [one.said_in for one in CARRIED if not (ROOT / one.said_in).is_file()] == []


def test_only_packages_that_are_asked_for_bring_something():
    bringing = {name for names, *_ in WITHIN for name in names.split(", ")}

    assert bringing <= set(licences.required())


def test_what_packages_list_of_their_own_parts_is_allowed():
    here = [
        metadata.distribution(name) for name in licences.required() if licences.is_installed(name)
    ]
    parts = [(package.name, *part) for package in here for part in licences.parts_of(package)]

    assert len(parts) > 20
    assert [part for part in parts if not is_allowed(part[2])] == []


def test_what_is_left_out_of_a_list_of_parts_is_not_in_the_wheel():
    for name, left_out in licences.NOT_IN_WHEEL.items():
        files = " ".join(map(str, metadata.distribution(name).files)).casefold()

        assert [part for part in left_out if part.casefold() in files] == []
