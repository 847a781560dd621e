"""A server in processes of its own, as it runs behind a proxy, and what a client says to it."""

import http.client
import json
import os
import re
import shutil
import signal
import socket
import subprocess
import sys
import time
import uuid
from pathlib import Path
from urllib.parse import urlencode

ROOT = Path(__file__).resolve().parent.parent.parent
HOST = "class.example"
STARTS_WITHIN_S = 60
# a class of Ines's with Mia in it, made in a process of its own so that no test's database is asked
PREPARE = """
import django
django.setup()
from django.core.management import call_command
call_command("migrate", verbosity=0)
from tests import cast
ines = cast.instructor("ines", "ridge line 240 paces")
print(cast.class_of(ines).code)
"""


def environment(folder, **more):
    """The environment of a server on the internet, with nothing of the tests' own."""
    own = {
        name: value
        for name, value in os.environ.items()
        if not name.startswith(("NAVCLASS_", "DATABASE_URL", "DJANGO_"))
    }
    return {
        **own,
        "DJANGO_SETTINGS_MODULE": "navclass.settings",
        "NAVCLASS_HOTSPOT": "no",
        "NAVCLASS_SECRET_KEY": "0123456789abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ",
        "NAVCLASS_HOSTS": HOST,
        "NAVCLASS_BEHIND_PROXY": "yes",
        "NAVCLASS_DATA": str(folder),
        **more,
    }


def prepare(folder, **more):
    """A database with a class in it; its code."""
    ended = subprocess.run(
        [sys.executable, "-c", PREPARE],
        cwd=ROOT,
        env=environment(folder, **more),
        capture_output=True,
        text=True,
        check=True,
    )
    return ended.stdout.split()[-1]


def free_port():
    """A port that nobody listens on."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return probe.getsockname()[1]


class Served:
    """`manage.py serve` as a process with its workers."""

    def __init__(self, folder, code, *arguments, **more):
        self.folder, self.code, self.port = Path(folder), code, free_port()
        self.log = self.folder / f"log-{self.port}"
        with self.log.open("wb") as log:
            self.process = subprocess.Popen(
                [
                    sys.executable,
                    "manage.py",
                    "serve",
                    "--host",
                    "127.0.0.1",
                    "--port",
                    str(self.port),
                    *arguments,
                ],
                cwd=ROOT,
                env=environment(folder, **more),
                stdout=log,
                stderr=log,
                start_new_session=True,
            )
        self._await()

    def _await(self):
        for _ in range(STARTS_WITHIN_S * 20):
            try:
                if Phone(self).get("/health/alive/").status == 200:
                    return
            except OSError:
                time.sleep(0.05)  # a process that does not listen yet gives no other sign
        raise TimeoutError(self.log.read_text())

    def children(self, number):
        """The processes that the server keeps, once there are so many."""
        path = Path(f"/proc/{self.process.pid}/task/{self.process.pid}/children")
        while len(found := [int(pid) for pid in path.read_text().split()]) != number:
            time.sleep(0.05)  # who starts them says nothing
        return found

    def end(self, number=signal.SIGTERM):
        """Ask the server to end; how long that took, in seconds."""
        began = time.monotonic()
        self.process.send_signal(number)
        self.process.wait(20)
        return time.monotonic() - began

    def kill(self):
        """Leave nothing behind."""
        if self.process.poll() is None:
            os.killpg(self.process.pid, signal.SIGKILL)
        self.process.wait()


def copied(folder, to):
    """The data of a server that does not run, for another."""
    shutil.copytree(folder, to)
    return to


class Answer:
    """What came back."""

    def __init__(self, response):
        self.status, self.body = response.status, response.read()
        self.headers = response.headers
        self.cookies = dict(cookie.partition(";")[0].split("=", 1) for cookie in self.set_cookies)

    @property
    def set_cookies(self):
        """The lines that set cookies."""
        return self.headers.get_all("Set-Cookie") or []

    def json(self):
        """What a phone reads."""
        return json.loads(self.body)


class Phone:
    """A browser behind the proxy: what it sends reaches the server as the proxy passes it on."""

    def __init__(self, served, *, comes_from="127.0.0.1", seen="203.0.113.7", scheme="https"):
        self.port, self.comes_from, self.cookies = served.port, comes_from, {}
        self.proxied = {"X-Forwarded-For": seen, "X-Forwarded-Proto": scheme}

    def ask(self, method, path, body=None, content_type=None, **more):
        """One request on a connection of its own."""
        headers = {"Host": HOST, **self.proxied, **more}
        if self.cookies:
            headers["Cookie"] = "; ".join(f"{name}={text}" for name, text in self.cookies.items())
        if method == "POST":
            headers |= {
                "Content-Type": content_type,
                "Origin": f"https://{headers['Host']}",
                "Referer": f"https://{headers['Host']}{path}",
                "X-CSRFToken": self.cookies.get("csrftoken", ""),
            }
        connection = self.connected()
        try:
            connection.request(method, path, body, headers)
            answer = Answer(connection.getresponse())
        finally:
            connection.close()
        self.cookies |= answer.cookies
        return answer

    def connected(self):
        """A connection to the server."""
        return http.client.HTTPConnection(
            "127.0.0.1", self.port, timeout=60, source_address=(self.comes_from, 0)
        )

    def get(self, path, **more):
        """A page."""
        return self.ask("GET", path, **more)

    def post(self, path, fields, form=None, **more):
        """A form, with the token that its page holds: its own, or another."""
        page = self.get(form or path)
        token = re.search(rb'csrfmiddlewaretoken" value="(\w+)', page.body)
        fields = {**fields, **({"csrfmiddlewaretoken": token[1].decode()} if token else {})}
        return self.ask(
            "POST", path, urlencode(fields), "application/x-www-form-urlencoded", **more
        )

    def join(self, code, name="Mia"):
        """Join a class."""
        return self.post(f"/c/{code}/join/", {"names": name, "graduation": "2", "is_set": "no"})

    def read(self, code, text="070", client_id=None):
        """Send a reading."""
        (mine,) = (text for name, text in self.cookies.items() if re.search(r"navclass_\d", name))
        reading = {
            "id": client_id or str(uuid.uuid4()),
            "person": int(mine.strip('"').partition(":")[0]),
            "task": "1",
            "text": text,
            "mils": False,
            "measured_at": "2026-10-03T09:40:00Z",
        }
        return self.ask(
            "POST", f"/c/{code}/readings/", json.dumps({"readings": [reading]}), "application/json"
        )
