"""The comparison with ASVS names only what is there, and what it says of the whole program holds:
it runs nothing that it was told, asks nobody, and takes no forms of others.
"""

import ast
import re
from pathlib import Path

import pytest
from django import forms
from django.core.mail.backends.smtp import EmailBackend
from django.test import Client
from django.urls import get_resolver

from exercises.models import AccountSession
from tests import cast

ROOT = Path(__file__).resolve().parent.parent
TEXT = (ROOT / "exercises/serving/ASVS.md").read_text(encoding="utf-8")
ROW = re.compile(r"^\| (\d[\d., ]*) \| .+ \| ([a-z ]+) \| (.*)\|$", re.MULTILINE)
VERDICTS = {"met", "not met", "not applicable"}
PROGRAMS = {
    str(path.relative_to(ROOT)): ast.parse(path.read_text(encoding="utf-8"))
    for folder in ("exercises", "navclass")
    for path in sorted((ROOT / folder).rglob("*.py"))
}
PASSWORD = "heather, kettle, ladder"
# By section the level of each requirement, in its order. Source: OWASP ASVS 5.0.0, its table
# 5.0/docs_en/OWASP_Application_Security_Verification_Standard_5.0.0_en.csv (repository OWASP/ASVS,
# commit 5cf9b032440be53ce345ab3c130fda46ba1ce7a2), columns req_id and L.
LEVELS = {
    "1.1": "22",
    "1.2": "1111122223",
    "1.3": "112222222223",
    "1.4": "222",
    "1.5": "123",
    "2.1": "122",
    "2.2": "112",
    "2.3": "12223",
    "2.4": "23",
    "3.1": "3",
    "3.2": "113",
    "3.3": "12223",
    "3.4": "11222233",
    "3.5": "11122333",
    "3.6": "3",
    "3.7": "22333",
    "4.1": "12233",
    "4.2": "23333",
    "4.3": "22",
    "4.4": "1222",
    "5.1": "2",
    "5.2": "112333",
    "5.3": "113",
    "5.4": "222",
    "6.1": "122",
    "6.2": "111111112222",
    "6.3": "11223333",
    "6.4": "112233",
    "6.5": "22222333",
    "6.6": "2223",
    "6.7": "33",
    "6.8": "2222",
    "7.1": "222",
    "7.2": "1111",
    "7.3": "22",
    "7.4": "11222",
    "7.5": "223",
    "7.6": "22",
    "8.1": "1233",
    "8.2": "1123",
    "8.3": "133",
    "8.4": "23",
    "9.1": "111",
    "9.2": "1222",
    "10.1": "22",
    "10.2": "223",
    "10.3": "22223",
    "10.4": "1111122222233333",
    "10.5": "22222",
    "10.6": "22",
    "10.7": "222",
    "11.1": "2233",
    "11.2": "22233",
    "11.3": "11233",
    "11.4": "1222",
    "11.5": "23",
    "11.6": "23",
    "11.7": "33",
    "12.1": "12233",
    "12.2": "11",
    "12.3": "22223",
    "13.1": "2333",
    "13.2": "222223",
    "13.3": "2233",
    "13.4": "1222233",
    "14.1": "22",
    "14.2": "12223333",
    "14.3": "122",
    "15.1": "12233",
    "15.2": "12233",
    "15.3": "1222222",
    "15.4": "3333",
    "16.1": "2",
    "16.2": "22222",
    "16.3": "2222",
    "16.4": "222",
    "16.5": "2223",
    "17.1": "23",
    "17.2": "22223333",
    "17.3": "22",
}


def numbers():
    return [number for row in ROW.findall(TEXT) for number in row[0].split(", ")]


def test_each_requirement_of_levels_one_and_two_stands_once_in_its_order():
    assert numbers() == [
        f"{section}.{number}"
        for section, levels in LEVELS.items()
        for number, level in enumerate(levels, 1)
        if level in "12"
    ]


def test_each_row_has_a_verdict_and_a_reason():
    rows = ROW.findall(TEXT)

    assert len(rows) == len([line for line in TEXT.splitlines() if re.match(r"\| \d", line)])
    assert {verdict for _, verdict, _ in rows} <= VERDICTS
    assert [number for number, _, why in rows if not why] == []


def test_each_file_and_test_that_it_names_is_there():
    named = re.findall(r"`((?:exercises|tests|navclass|\.deploy|\.ci)/[^`:]+)(?:::(\w+))?`", TEXT)

    assert len(named) > 100
    assert [
        (name, test)
        for name, test in named
        if not (ROOT / name).exists()
        or (test and f"def {test}(" not in (ROOT / name).read_text(encoding="utf-8"))
    ] == []


def called(tree):
    """The names of what is called in a program: `eval`, `subprocess.run`."""
    return [ast.unparse(node.func) for node in ast.walk(tree) if isinstance(node, ast.Call)]


def imported(tree):
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom) and not node.level:
            yield from (f"{node.module}.{alias.name}" for alias in node.names)


def test_nothing_runs_what_it_was_told():
    forbidden = {"eval", "exec", "compile", "os.system", "os.popen", "subprocess.getoutput"}
    shells = [name for name, tree in PROGRAMS.items() if "shell=True" in ast.unparse(tree)]

    assert [
        (name, one) for name, tree in PROGRAMS.items() for one in called(tree) if one in forbidden
    ] == []
    assert shells == []


def test_no_part_asks_another_server():
    asking = ("urllib.request", "http.client", "requests", "httpx", "ftplib", "aiohttp", "urllib3")

    assert [
        (name, one)
        for name, tree in PROGRAMS.items()
        for one in imported(tree)
        if one.startswith(asking)
    ] == []


def test_objects_are_unpickled_in_one_place():
    unpickling = {"pickle", "marshal", "shelve", "dill", "yaml"}

    assert [
        name
        for name, tree in PROGRAMS.items()
        if unpickling & {one.split(".")[0] for one in imported(tree)}
    ] == ["exercises/serving/reckoning.py"]


def test_no_query_is_written_out_but_of_the_programs_own_words():
    """Rooms that write SQL put in it nothing that somebody typed: health, promises, backups, and
    what every reading asks, where values go as parameters.
    """
    by_hand = re.compile(r"\.(?:cursor|raw|executescript|execute)$|^RawSQL$")

    found = {name for name, tree in PROGRAMS.items() if any(map(by_hand.search, called(tree)))}

    own = (
        "exercises/keeping/",
        "exercises/promises/",
        "exercises/migrations/",
        "exercises/models/prepared.py",
        "exercises/views/health.py",
    )
    assert [name for name in sorted(found) if not name.startswith(own)] == []


def views():
    patterns = get_resolver().url_patterns
    while patterns:
        pattern, *patterns = patterns
        if hasattr(pattern, "url_patterns"):
            patterns = [*pattern.url_patterns, *patterns]
        else:
            yield pattern


def test_no_address_takes_forms_of_others(ines):
    client = Client(enforce_csrf_checks=True)
    client.force_login(ines)

    assert [view.name for view in views() if getattr(view.callback, "csrf_exempt", False)] == []
    assert client.post("/account/sign-out/").status_code == 403


def test_trace_is_answered_nowhere(desk):
    plain = [f"/{view.pattern}" for view in views() if "<" not in str(view.pattern)]

    assert len(plain) > 20
    answers = {path: desk.generic("TRACE", path, HTTP_X_SAID="otter") for path in plain}
    assert {path for path, answer in answers.items() if answer.status_code == 200} == set()
    assert [path for path, answer in answers.items() if b"otter" in answer.content] == []


def test_every_form_names_its_fields():
    assert list(views())  # they load the forms
    made = [
        form for form in forms.ModelForm.__subclasses__() if form.__module__.startswith("exercises")
    ]

    assert len(made) > 3
    assert [form for form in made if form._meta.fields is None or form._meta.exclude] == []


def sign_in(client):
    client.post("/sign-in/", {"username": "ines", "password": PASSWORD})
    return client.cookies["sessionid"].value


@pytest.fixture
def account(db):
    return cast.instructor("ines", PASSWORD)


def test_signing_in_gives_a_new_session_and_ends_the_one_before(client, account):
    first = sign_in(client)

    second = sign_in(client)

    assert list(AccountSession.objects.values_list("session_key", flat=True)) == [second] != [first]


def test_a_session_that_was_signed_out_opens_nothing(client, account):
    key = sign_in(client)
    client.post("/sign-out/")
    client.cookies["sessionid"] = key

    assert client.get("/account/").status_code == 302


def test_a_fault_tells_nothing_of_the_inside(account, monkeypatch, settings):
    settings.DEBUG = False
    monkeypatch.setattr("exercises.views.account.hold_sessions.of_account", lambda **_: 1 / 0)
    client = Client(raise_request_exception=False)
    client.force_login(account)

    answer = client.get("/account/")

    assert answer.status_code == 500
    assert b"Traceback" not in answer.content
    assert b"division" not in answer.content


def test_a_mail_servers_certificate_is_checked():
    context = EmailBackend(use_tls=True).ssl_context

    assert (context.check_hostname, context.verify_mode.name) == (True, "CERT_REQUIRED")
