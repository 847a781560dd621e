"""The recipe for a laptop in the field: its unit serves http and https, without anything else."""

import json
import ssl
import subprocess
import time
import urllib.error
import urllib.request

import pytest

from tests.serving.served import Phone, free_port

from .machine import Machine


class Laptop(Machine):
    """The laptop, set up and started."""

    def __init__(self):
        super().__init__()
        self.set_up("field-laptop")
        self.port, self.https_port = free_port(), free_port()
        log = (self.root / "log").open("wb")
        self.started["serve"] = self.unit("navclass-hotspot.service").start(
            *("--host", "127.0.0.1"),  # another may be one that its authority may not sign for
            *("--port", str(self.port), "--https-port", str(self.https_port)),
            log=log,
        )

    def wait(self):
        """Until it answers."""
        for _ in range(900):
            try:
                urllib.request.urlopen(f"http://127.0.0.1:{self.port}/health/ready/").close()
                return self
            except (urllib.error.URLError, OSError):
                time.sleep(0.1)  # a process that does not listen yet gives no other sign
        raise TimeoutError((self.root / "log").read_text())


class OnTheHotspot(Phone):
    """A phone on the laptop's own network, with no proxy between."""

    def __init__(self, laptop):
        super().__init__(laptop)
        self.proxied = {"Host": f"192.0.2.7:{laptop.port}"}


@pytest.fixture(scope="module")
def laptop():
    made = Laptop()
    yield made.wait()
    made.down()


def test_it_prepares_its_database_and_serves_plain_http(laptop):
    phone = OnTheHotspot(laptop)
    answer = phone.get("/")

    assert (answer.status, answer.headers["Strict-Transport-Security"]) == (200, None)
    assert (laptop.root / "var/lib/navclass/navclass.sqlite3").exists()


def test_the_command_for_an_account_makes_a_link_that_opens(laptop):
    unit = laptop.unit("navclass-hotspot.service")
    ended = subprocess.run(
        [
            f"{laptop.root}/opt/navclass/venv/bin/python",
            "manage.py",
            "password_link",
            "ines",
            "--new",
        ],
        cwd=unit.settings["WorkingDirectory"][0],
        env=unit.environment(),
        capture_output=True,
        text=True,
        check=True,
    )
    path = "/" + ended.stdout.strip().split("/", 3)[3]

    assert OnTheHotspot(laptop).get(path).status == 302


def test_who_trusts_its_authority_is_answered_over_https(laptop):
    authority = laptop.root / "var/lib/navclass/https/authority.crt"
    context = ssl.create_default_context(cafile=authority)

    with urllib.request.urlopen(
        f"https://localhost:{laptop.https_port}/health/ready/", context=context, timeout=20
    ) as answer:
        assert json.load(answer)["ready"] is True


def test_told_to_end_it_ends(laptop):
    laptop.started["serve"].terminate()

    assert laptop.started["serve"].wait(5) == 0
