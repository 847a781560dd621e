"""What a phone keeps: bare pages, versioned files, the worker."""

import json
import re

import pytest

from exercises.serving import shell


def test_the_bare_page_says_nothing_of_any_class(client, open_class, mia):
    page = client.get("/phone/").content.decode()

    assert open_class.code not in page
    assert "Mia" not in page


def test_a_versioned_file_may_be_kept_for_a_year_and_another_version_is_asked_for_again(client):
    now, other = (
        client.get(f"/phone-{version}.css").headers["Cache-Control"]
        for version in (shell.version(), "other")
    )

    assert (now, other) == ("public, max-age=31536000, immutable", "no-cache")


def test_every_file_that_the_worker_keeps_is_there(client, db):
    worker = client.get("/sw.js")
    told = json.loads(re.match(r"const SHELL = (.*);\n", worker.content.decode())[1])

    assert "no-cache" in worker.headers["Cache-Control"]
    assert told["version"] == shell.version()
    assert {
        address: client.get(address).status_code
        for address in [
            *told["pages"],
            *(file for file in told["files"] if not file.startswith("/static/")),
        ]
    } == dict.fromkeys(
        [*told["pages"], *(file for file in told["files"] if not file.startswith("/static/"))], 200
    )
    assert [file for file in told["files"] if file.startswith("/static/")] == [
        "/static/exercises/vendor/uqr.js",
        "/static/exercises/icon.svg",
    ]


def test_an_unknown_script_is_not_there(client):
    assert client.get("/other-x.js").status_code == 404


@pytest.mark.parametrize("name", shell.SCRIPTS)
def test_modules_are_strung_together_each_after_what_it_needs(name):
    order = shell.modules(shell.SCRIPTS[name])

    assert order[-1] == shell.SCRIPTS[name]
    assert len(order) == len(set(order))
    for place, module in enumerate(order):
        assert set(shell.modules(module)) <= set(order[: place + 1])


def test_an_import_of_many_names_may_take_a_line_for_each(tmp_path, monkeypatch):
    (tmp_path / "js").mkdir()
    (tmp_path / "js" / "base.js").write_text("export const one = 1;\nexport const two = 2;\n")
    (tmp_path / "js" / "page.js").write_text(
        'import {\n  one,\n  two as second,\n} from "./base.js";\n'
        "export const sum = one + second;\n"
    )
    monkeypatch.setattr(shell, "STATIC", tmp_path)
    monkeypatch.setitem(shell.SCRIPTS, "sum", "page")

    assert shell.script("sum") == (
        "const from_base = await (async () => {\n"
        "const one = 1;\nconst two = 2;\n\nreturn { one, two };\n})();\n"
        "const from_page = await (async () => {\n"
        "const { one,\n  two: second } = from_base;\nconst sum = one + second;\n\n"
        "return { sum };\n})();\n"
    )


@pytest.mark.parametrize("name", shell.SCRIPTS)
def test_nothing_is_left_to_import_or_export(name):
    assert re.findall(r"^(?:import|export)\b.*", shell.script(name), re.M) == []


def test_a_phone_does_not_keep_what_it_seldom_needs(client):
    worker = client.get("/sw.js").content.decode()

    assert [name for name in shell.APART if f"/{name}-" in worker] == []
    assert all(client.get(f"/{name}-x.js").status_code == 200 for name in shell.APART)


def test_every_module_of_the_phone_is_used():
    scripts = shell.SCRIPTS | shell.APART
    used = {module for first in scripts.values() for module in shell.modules(first)}

    assert {path.stem for path in (shell.STATIC / "js").glob("*.js")} - used == {
        "worker",
        "refresh",
        "map-page",
        "here-page",
        "paper-page",
        "task-form",
        "task-order",
        "folds",
        "ground",
        "hazard-drawing",
        "average",
        "labels",
        "show",
        "show-steps",
        "people-search",
        "headcount",
        "headcount-state",
        "live",
        "live-acts",
        "rotation-live",
        "rotation-state",
        "line-choosing",
        "map-labels",
        "outline",
        "site-place",
        "slow",
        "world-map",
        "import-page",
        "passkey",
        "passkey-json",
    }  # the desk's own
