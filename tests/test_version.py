"""The version stands in one place and is shown where people look for it."""

import re
import subprocess

from navclass import VERSION
from tests.test_settings import ROOT, manage


def test_the_version_is_a_year_and_a_month():
    assert re.fullmatch(r"20\d\d\.(?:[1-9]|1[0-2])(?:\.[1-9]\d*)?", VERSION)


def test_the_command_line_tells_it_without_settings():
    told = manage("version")

    assert (told.returncode, told.stdout, told.stderr) == (0, f"navclass {VERSION}\n", "")


def test_the_foot_of_the_desk_shows_it_to_who_is_signed_in_alone(client, ines):
    before = client.get("/sign-in/").content.decode()
    client.force_login(ines)

    assert f"navclass {VERSION}<" in client.get("/sites/").content.decode()
    assert VERSION not in before


def test_it_is_written_in_one_place():
    found = subprocess.run(
        ["git", "grep", "-lF", f'"{VERSION}"'], cwd=ROOT, capture_output=True, text=True, check=True
    )

    assert found.stdout.split() == ["navclass/__init__.py"]
