"""A server as on a field laptop: a process of its own, which can be killed in the middle of
anything, with a database in a file.
"""

import os
import shutil
import signal
import socket
import sqlite3
import subprocess
import sys
import time
import urllib.request
from contextlib import closing
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent.parent
STARTS_WITHIN_S = 60


def free_port():
    """A port that nobody listens on."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return probe.getsockname()[1]


class Field:
    """The server, its data, and how to treat it badly."""

    def __init__(self, folder):
        self.folder, self.port, self.process = folder, free_port(), None

    @property
    def address(self):
        """Where it is reached. localhost is a secure context, so there is a service worker."""
        return f"http://localhost:{self.port}"

    def start(self, command="serve", *more):
        """Start it, and wait until it answers."""
        environment = {
            name: value
            for name, value in os.environ.items()
            if name not in ("DATABASE_URL", "DJANGO_SETTINGS_MODULE")
        }
        self.process = subprocess.Popen(
            [
                sys.executable,
                "manage.py",
                command,
                "--host",
                "127.0.0.1",
                "--port",
                str(self.port),
                *more,
            ],
            cwd=ROOT,
            start_new_session=True,
            stdout=subprocess.DEVNULL,
            env={**environment, "NAVCLASS_DATA": str(self.folder), "NAVCLASS_HOTSPOT": "yes"},
        )
        for _ in range(STARTS_WITHIN_S * 10):
            try:
                urllib.request.urlopen(
                    f"http://127.0.0.1:{self.port}/", timeout=STARTS_WITHIN_S
                ).close()
                return self
            except OSError:
                time.sleep(
                    0.1
                )  # waits for a process that does not listen yet, which gives no other sign
        raise TimeoutError("The server did not start.")

    def signal(self, number):
        """Send a signal to all its processes."""
        os.killpg(self.process.pid, number)

    def kill(self):
        """No goodbye: as when the laptop's battery is empty."""
        if self.process:
            self.signal(signal.SIGKILL)
            self.process.wait()
            self.process = None

    def put_back(self, folder):
        """Let the database hold again what another data folder holds, while the server runs."""
        with (
            closing(sqlite3.connect(folder / "navclass.sqlite3")) as before,
            closing(sqlite3.connect(self.folder / "navclass.sqlite3", timeout=10)) as own,
        ):
            before.backup(own)

    def rows(self, question, *values):
        """What the database says."""
        with sqlite3.connect(self.folder / "navclass.sqlite3", timeout=10) as database:
            return database.execute(question, values).fetchall()

    def execute(self, change, *values):
        """Change the database behind the server's back."""
        with sqlite3.connect(self.folder / "navclass.sqlite3", timeout=10) as database:
            database.execute(change, values)

    def readings(self):
        """What was stored from phones in the open class: (name, task, text, attempt, source), in
        order of arrival.
        """
        return self.rows(
            "SELECT p.name, r.task, r.text, r.attempt, r.source FROM exercises_reading r JOIN "
            "exercises_person p ON p.id = r.person_id "
            "WHERE r.source <> 'demo' ORDER BY r.id"
        )

    @property
    def code(self):
        """The code of the demonstration's open class."""
        return self.rows(
            "SELECT code FROM exercises_courseclass WHERE name = 'Thursday beginners'"
        )[0][0]


def copied(folder, to):
    """The data folder of a server that is not running, for another."""
    shutil.copytree(folder, to)
    return Field(to)
