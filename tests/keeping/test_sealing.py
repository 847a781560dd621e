"""A sealed file, opened without this program: by `openssl`-free primitives of `cryptography` alone,
as the room's README.md tells it.
"""

import io
import re
from pathlib import Path

import pytest
from hypothesis import given, settings, strategies as st

from exercises.keeping import sealing
from exercises.keeping.trouble import BackupTrouble

PASSPHRASE = "peg at the gate"
README = Path(sealing.__file__).with_name("README.md")


@pytest.fixture(scope="module")
def closed(tmp_path_factory):
    path = tmp_path_factory.mktemp("sealed") / "b.zip.sealed"
    with path.open("wb") as file:
        sealing.seal(io.BytesIO(b"plain bytes" * 1000), file, PASSPHRASE)
    return path


def opened(path, passphrase=PASSPHRASE):
    plain = io.BytesIO()
    sealing.unseal(path, plain, passphrase)
    return plain.getvalue()


def test_what_was_closed_opens_with_its_passphrase(closed):
    assert opened(closed) == b"plain bytes" * 1000


def test_the_recipe_of_the_readme_opens_it_without_navclass(closed, tmp_path, monkeypatch):
    (recipe,) = re.findall(r"```python\n(.*?)```", README.read_text(encoding="utf-8"), re.S)
    monkeypatch.chdir(tmp_path)
    (tmp_path / "backup.zip.sealed").write_bytes(closed.read_bytes())

    exec(recipe.replace("the passphrase", PASSPHRASE), {})

    assert "navclass" not in recipe.replace("navclass-backup", "")
    assert (tmp_path / "backup.zip").read_bytes() == b"plain bytes" * 1000


def test_another_passphrase_does_not_open_it(closed):
    with pytest.raises(BackupTrouble, match="the passphrase is another one"):
        opened(closed, "peg at the gait")


def test_letters_typed_on_another_keyboard_are_the_same_passphrase(tmp_path):
    path = tmp_path / "b"
    with path.open("wb") as file:
        sealing.seal(io.BytesIO(b"x"), file, "caf\u00e9 am Fluss")

    assert opened(path, "cafe\u0301 am Fluss") == b"x"


def test_a_short_passphrase_is_refused():
    with pytest.raises(BackupTrouble, match="too short"):
        sealing.seal(io.BytesIO(), io.BytesIO(), "elevenchars")


@settings(max_examples=12)
@given(st.integers(0, 11000 + sealing.HEAD + sealing.TAG - 1), st.integers(1, 255))
def test_a_byte_that_was_changed_anywhere_is_noticed(tmp_path_factory, closed, place, change):
    path = tmp_path_factory.mktemp("changed") / "b.zip.sealed"
    content = bytearray(closed.read_bytes())
    content[place] ^= change
    path.write_bytes(content)

    with pytest.raises(BackupTrouble):
        opened(path)


@pytest.mark.parametrize("length", [0, 7, 8, 36, 51, 52, 5000])
def test_a_file_that_was_cut_off_is_noticed(closed, tmp_path, length):
    path = tmp_path / "cut"
    path.write_bytes(closed.read_bytes()[:length])

    with pytest.raises(BackupTrouble):
        opened(path)
