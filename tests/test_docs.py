"""The documents tell the truth: settings, commands and places that exist."""

import re
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
README = (ROOT / "README.md").read_text(encoding="utf-8")


def test_every_setting_is_explained():
    used = set(
        re.findall(
            r'"(NAVCLASS_[A-Z_]+|DATABASE_URL)"',
            (ROOT / "navclass/settings.py").read_text(encoding="utf-8"),
        )
    )

    assert used <= set(re.findall(r"`(NAVCLASS_[A-Z_]+|DATABASE_URL)`", DEVELOPERS))


def test_every_command_is_explained():
    commands = {path.stem for path in (ROOT / "exercises/management/commands").glob("[a-z]*.py")}

    assert {name for name in commands if f"manage.py {name}" in DEVELOPERS + README} == commands


def test_every_system_check_is_explained():
    assert set(
        re.findall(r"navclass\.[EW]\d+", (ROOT / "exercises/checks.py").read_text(encoding="utf-8"))
    ) <= set(re.findall(r"navclass\.[EW]\d+", DEVELOPERS))


@pytest.mark.parametrize("document", ["DEVELOPERS.md", "README.md"])
def test_files_that_are_named_are_there(document):
    text = (ROOT / document).read_text(encoding="utf-8")
    named = set(re.findall(r"`((?:exercises|tests|fixtures|navclass)/[\w./-]+)`", text))

    assert {name for name in named if not (ROOT / name).exists()} == set()


def test_the_top_level_is_the_agreed_one():
    visible = {path.name for path in ROOT.iterdir() if not path.name.startswith((".", "__"))}

    assert visible == {
        "README.md",
        "DEVELOPERS.md",
        "manage.py",
        "navclass",
        "exercises",
        "tests",
        "fixtures",
        "requirements.txt",
    }
