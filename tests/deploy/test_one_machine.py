"""The recipe for one machine: nginx in front, two instances of two workers, PostgreSQL."""

import http.client
import os
import re
import shutil
import signal
import ssl
import subprocess
import sys
import time
import uuid

import pytest

from exercises.usecases.guard_door import CODES
from tests.serving import several
from tests.serving.served import HOST, Phone

from .machine import ROOT, Browser, Machine, at_port, ports

PASSWORD = "ridge line 240 paces"
COURSE = """
import django
django.setup()
from django.contrib.auth import get_user_model
from tests import cast
print(cast.course_of(cast.site_of(get_user_model().objects.get(username="ines"))).pk)
"""


class OneMachine(Machine):
    """The machine, set up and running."""

    def __init__(self):
        super().__init__()
        self.set_up("one-machine", HOST)
        self.database()
        self.unit("navclass-migrate.service").run()
        self.port = ports(80, 443, 8001, 8002)
        for written in (8001, 8002):
            self.instance(self.port[written])
        self.nginx(self.port)

    def manage(self, *arguments):
        """Run a command as an administrator would."""
        unit = self.unit("navclass-daily.service")
        unit.settings["ExecStart"] = [
            f"{self.root}/opt/navclass/venv/bin/python manage.py {' '.join(arguments)}"
        ]
        return unit.run()[0].stdout

    def browser(self):
        """A browser from outside."""
        return Browser(self.port[443], self.root / "etc/navclass/tls/certificate.pem")

    def rows(self, question):
        """What the database says."""
        return subprocess.run(
            ["psql", "-h", self.root / "run/postgresql", "-U", "navclass", "-Atc", question],
            check=True,
            capture_output=True,
            text=True,
        ).stdout.split()

    def course(self):
        """The key of a course that Ines has planned."""
        ended = subprocess.run(
            [sys.executable, "-c", COURSE],
            cwd=ROOT,
            env=self.unit("navclass-daily.service").environment()
            | {"DJANGO_SETTINGS_MODULE": "navclass.settings"},
            check=True,
            capture_output=True,
            text=True,
        )
        return ended.stdout.split()[-1]


@pytest.fixture(scope="module")
def machine():
    made = OneMachine()
    yield made
    made.down()


@pytest.fixture(scope="module")
def desk(machine):
    """Ines, who has chosen her password by a link and signed in."""
    path = machine.manage("password_link", "ines", "--new").strip().removeprefix(f"https://{HOST}")
    browser = machine.browser()
    form = browser.get(path).headers["Location"]
    assert browser.post(form, {"new_password1": PASSWORD, "new_password2": PASSWORD}).status == 302
    answer = browser.post("/sign-in/", {"username": "ines", "password": PASSWORD})
    assert (answer.status, answer.headers["Location"]) == (302, "/sites/")
    return browser


@pytest.fixture(scope="module")
def code(machine, desk):
    """The code of a class that Ines makes and opens at her desk."""
    course = machine.course()
    made = desk.post(
        f"/courses/{course}/classes/new/",
        {
            "name": "Saturday",
            "date": "2026-10-03",
            "time_zone": "Pacific/Auckland",
            "unit": "deg",
            "feedback": "at_once",
            "asks": "on",
            "key_source": "computed",
        },
        form=f"/courses/{course}/",
    )
    page = made.headers["Location"]
    opened = desk.post(f"{page}open/", {}, form=page)
    assert opened.status == 302
    return re.search(r"/c/([A-Z0-9]{6})/", desk.get(page).body.decode())[1]


@pytest.fixture
def phone(machine, code):
    made = machine.browser()
    assert made.join(code, f"Mia {uuid.uuid4().hex[:4]}").status == 302
    return made


def test_the_units_are_in_order(machine):
    analyze = shutil.which("systemd-analyze")
    if not analyze:
        pytest.skip("no systemd-analyze on this machine; the units' lines are run all the same")
    units = sorted((machine.root / "etc/systemd/system").iterdir())
    named = [
        path.rename(path.with_name("navclass@8001.service")) if "@" in path.name else path
        for path in units
    ]  # a template is looked at as an instance of it
    try:
        said = subprocess.run(
            [analyze, "verify", "--recursive-errors=no", *named],
            capture_output=True,
            text=True,
            check=False,
        )
    finally:
        (machine.root / "etc/systemd/system/navclass@8001.service").rename(
            machine.root / "etc/systemd/system/navclass@.service"
        )

    assert (said.returncode, [line for line in said.stderr.splitlines() if "navclass" in line]) == (
        0,
        [],
    )


def test_who_signs_in_gets_cookies_for_https_alone_and_a_promise_of_https(machine, desk):
    answer = machine.browser().post("/sign-in/", {"username": "ines", "password": PASSWORD})

    assert {cookie.partition("=")[0]: "Secure" in cookie for cookie in answer.set_cookies} == {
        "__Host-sessionid": True,
        "__Secure-navclass_known": True,
        "csrftoken": True,
    }
    assert answer.headers.get_all("Strict-Transport-Security") == ["max-age=31536000"]


def test_a_phone_joins_and_its_reading_is_stored_once(machine, phone, code):
    client_id = str(uuid.uuid4())

    told = [phone.read(code, client_id=client_id).status for _ in range(2)]

    assert told == [200, 200]
    assert machine.rows(
        f"select count(*) from exercises_reading where client_id='{client_id}'"
    ) == ["1"]


def test_the_phone_gets_its_service_worker_and_all_files_that_this_names(machine):
    worker = machine.browser().get("/sw.js")
    files = re.findall(r'"(/[^"]+\.(?:js|css|svg|webmanifest))"', worker.body.decode())

    assert (worker.status, worker.headers["Cache-Control"]) == (
        200,
        "max-age=0, no-cache, no-store, must-revalidate, private",
    )
    assert len(files) > 5
    assert {machine.browser().get(path).status for path in files} == {200}
    assert machine.browser().get("/static/exercises/icon.svg").status == 200


def test_plain_http_leads_to_https(machine):
    connection = http.client.HTTPConnection("127.0.0.1", machine.port[80])
    connection.request("GET", "/c/ABCDEF/?a=b", headers={"Host": HOST})
    answer = connection.getresponse()

    assert (answer.status, answer.headers["Location"]) == (301, f"https://{HOST}/c/ABCDEF/?a=b")


def test_another_name_is_refused_in_front_and_behind(machine):
    stranger = Browser(
        machine.port[443], machine.root / "etc/navclass/tls/certificate.pem", "elsewhere.example"
    )

    with pytest.raises(ssl.SSLError):
        stranger.get("/")
    assert machine.browser().get("/", Host="elsewhere.example").status == 421
    assert at_port(machine.port[80], "/", Host="elsewhere.example") == 421
    behind = {"Host": "elsewhere.example", "X-Forwarded-Proto": "https"}
    assert at_port(machine.port[8001], "/", **behind) == 400


def test_what_a_client_claims_of_where_it_comes_from_is_not_believed(machine, desk):
    claims = {
        "X-Forwarded-For": "198.51.100.77",
        "X-Forwarded-Host": "elsewhere.example",
        "Forwarded": "for=198.51.100.78;host=elsewhere.example;proto=http",
    }

    answer = machine.browser().post(
        "/sign-in/", {"username": "tom", "password": "wrong for certain"}, **claims
    )

    doors = " ".join(machine.rows("select door from exercises_failures"))
    assert answer.status == 200
    assert ("127.0.0.1" in doors, "198.51.100" in doors) == (True, False)


def test_who_reaches_an_instance_past_nginx_is_not_believed_to_be_it(machine):
    class Instance:
        port = machine.port[8001]

    assert Phone(Instance, comes_from="127.0.0.2").get("/").status == 301


def test_health_is_told_on_the_machine_and_not_outside(machine):
    assert [at_port(machine.port[port], "/health/ready/") for port in (8001, 8002)] == [200, 200]
    assert machine.browser().get("/health/ready/").status == 404


def test_what_is_due_daily_runs(machine):
    assert [ended.returncode for ended in machine.unit("navclass-daily.service").run()] == [0, 0]


def test_no_log_of_nginx_holds_a_path_or_an_address(machine, phone, code):
    phone.get(f"/c/{code}/")

    written = "".join(path.read_text() for path in (machine.root / "var/log/nginx").iterdir())
    assert " GET 200 " in written
    assert (code in written, "127.0.0.1" in written) == (False, False)


def test_an_instance_that_is_gone_is_stepped_over_and_one_that_ends_finishes_first(
    machine, phone, code
):
    port = machine.port[8001]
    os.killpg(machine.started[port].pid, signal.SIGKILL)
    with pytest.raises(OSError):
        while at_port(port, "/health/alive/"):
            time.sleep(0.05)  # what was being asked of it is lost, and sent again by the phone

    assert [phone.read(code).status for _ in range(6)] == [200] * 6
    machine.started[port].wait()
    machine.instance(port)
    machine.started[machine.port[8002]].terminate()
    assert machine.started[machine.port[8002]].wait(5) == 0
    assert [phone.read(code).status for _ in range(6)] == [200] * 6
    machine.instance(machine.port[8002])


@pytest.fixture
def at_instances(machine, desk):
    """New browsers at the first or the second instance, as nginx passes on what they send."""

    def make(which):
        class Instance:
            port = machine.port[(8001, 8002)[which]]

        return Phone(Instance)

    return make


def test_it_matters_to_nobody_which_instance_answers(at_instances, code):
    assert several.signed_in_at_one_is_signed_in_at_the_other(at_instances) == 200
    assert several.joined_at_one_is_stored_by_the_other(at_instances, code, "Ana") == (
        302,
        [200, 200],
        1,
    )
    assert several.signed_out_at_one_is_signed_out_at_the_other(at_instances) == (
        200,
        302,
        "/sign-in/?next=/sites/",
    )


def test_guesses_at_both_instances_are_counted_together(at_instances, code):
    assert several.guesses_are_counted_together(at_instances, code) == (
        CODES.bears + 1,
        [429, 429],
    )
