"""A machine set up in a folder by a recipe of `.deploy`, and what starts its services there: the
units' lines as they stand, without systemd.
"""

import http.client
import os
import shlex
import shutil
import signal
import socket
import ssl
import subprocess
import tempfile
import time
from pathlib import Path

from tests.serving.served import HOST, Phone, free_port

ROOT = Path(__file__).resolve().parent.parent.parent
DEPLOY = ROOT / ".deploy"
BARE = {"PATH": "/usr/local/sbin:/usr/local/bin:/usr/sbin:/usr/bin:/sbin:/bin", "LANG": "C.UTF-8"}
STARTS_WITHIN_S = 90


class Unit:
    """A unit's settings, each a list, for some may be given several times."""

    def __init__(self, path, instance=""):
        self.settings = {}
        for line in path.read_text().splitlines():
            name, is_setting, value = line.partition("=")
            if is_setting and not line.startswith("#"):
                self.settings.setdefault(name, []).append(value.replace("%i", instance))

    def environment(self):
        """What its processes find in their environment."""
        lines = [word for row in self.settings.get("Environment", []) for word in shlex.split(row)]
        for path in self.settings.get("EnvironmentFile", []):
            lines += [
                row for row in Path(path).read_text().splitlines() if row[:1] not in ("", "#")
            ]
        return BARE | dict(line.split("=", 1) for line in lines)

    def commands(self):
        """What it starts."""
        return [shlex.split(line) for line in self.settings["ExecStart"]]

    def run(self, *more):
        """Run all that it starts, to the end; raises where one fails."""
        return [self._run([*command, *more]) for command in self.commands()]

    def _run(self, command):
        return subprocess.run(
            command,
            cwd=self.settings["WorkingDirectory"][0],
            env=self.environment(),
            check=True,
            capture_output=True,
            text=True,
        )

    def start(self, *more, log=None):
        """Start what stays."""
        (command,) = self.commands()
        return subprocess.Popen(
            [*command, *more],
            cwd=self.settings["WorkingDirectory"][0],
            env=self.environment(),
            start_new_session=True,
            stdout=log,
            stderr=log,
        )


class Machine:
    """A folder that stands for a machine, its services, and their end."""

    def __init__(self):
        # short, because the path of a socket may have 107 characters
        self.root = Path(tempfile.mkdtemp(prefix="nav-", dir="/tmp"))
        self.root.chmod(0o755)
        self.started, self.at_end = {}, []

    def set_up(self, recipe, *arguments):
        """Run a recipe's script below the folder."""
        subprocess.run(
            [DEPLOY / recipe / "set-up", *arguments],
            env={**BARE, "ROOT": str(self.root), "HOME": str(self.root)}
            | {name: os.environ[name] for name in os.environ if name.startswith(("PIP_", "SSL_"))},
            check=True,
        )

    def unit(self, name, instance=""):
        """A unit as it was put in place."""
        return Unit(self.root / "etc/systemd/system" / name, instance)

    def database(self):
        """PostgreSQL on a socket where the settings look for it."""
        programs = sorted(Path("/usr/lib/postgresql").glob("*/bin"))[-1]
        data, sockets = self.root / "var/lib/postgresql", self.root / "run/postgresql"
        for folder in (data, sockets):
            folder.mkdir(parents=True)
            shutil.chown(folder, "postgres")

        def as_postgres(*command):
            subprocess.run(
                ["su", "postgres", "-s", "/bin/sh", "-c", shlex.join(map(str, command))],
                check=True,
                stdout=subprocess.DEVNULL,
            )

        options = f"-c listen_addresses= -c fsync=off -k {sockets}"
        as_postgres(
            programs / "initdb", "-D", data, "-U", "navclass", "-A", "trust", "--locale=C.UTF-8"
        )
        as_postgres(
            programs / "pg_ctl", "-D", data, "-o", options, "-w", "-l", data / "log", "start"
        )
        self.at_end.append(
            lambda: as_postgres(programs / "pg_ctl", "-D", data, "-m", "immediate", "stop")
        )
        subprocess.run(
            [programs / "createdb", "-h", sockets, "-U", "navclass", "navclass"], check=True
        )

    def instance(self, port):
        """Start one of the instances, and wait until it is ready."""
        log = (self.root / f"instance-{port}.log").open("ab")
        process = self.unit("navclass@.service", str(port)).start(log=log)
        self.started[port] = process
        for _ in range(STARTS_WITHIN_S * 10):
            try:
                if at_port(port, "/health/ready/") == 200:
                    return process
            except OSError:
                time.sleep(0.1)  # a process that does not listen yet gives no other sign
        raise TimeoutError((self.root / f"instance-{port}.log").read_text())

    def nginx(self, ports):
        """Start nginx with the site as it was put in place, but for its ports: {written: own}."""
        site = self.root / "etc/nginx/sites-enabled/navclass"
        text = site.read_text()
        for written, own in ports.items():
            for before, after in (
                ("listen ", " "),
                ("listen ", ";"),
                ("[::]:", " "),
                ("[::]:", ";"),
            ):
                text = text.replace(f"{before}{written}{after}", f"{before}{own}{after}")
            text = text.replace(f"127.0.0.1:{written} ", f"127.0.0.1:{own} ")
        site.write_text(text)
        main = self.root / "etc/nginx/nginx.conf"
        main.write_text(
            f"pid {self.root}/nginx.pid; daemon off; error_log {self.root}/nginx.log;\n"
            f"events {{}} http {{ access_log off; include {site.parent}/*; }}\n"
        )
        subprocess.run(["nginx", "-t", "-q", "-c", main], check=True)
        self.started["nginx"] = subprocess.Popen(["nginx", "-c", main], start_new_session=True)

    def down(self):
        """End everything, and leave nothing."""
        for process in self.started.values():
            if process.poll() is None:
                os.killpg(process.pid, signal.SIGKILL)
            process.wait()
        for act in self.at_end:
            act()
        # thousands of small files: nobody need wait for that
        subprocess.Popen(["rm", "-rf", self.root], start_new_session=True)


def at_port(port, path, **headers):
    """The status that somebody on the machine itself gets at a port."""
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=60)
    try:
        connection.request("GET", path, headers=headers)
        return connection.getresponse().status
    finally:
        connection.close()


class Browser(Phone):
    """A browser that reaches the machine from outside, over https, and trusts its certificate."""

    def __init__(self, port, certificate, name=HOST):
        self.port, self.cookies, self.proxied, self.name = port, {}, {}, name
        self.context = ssl.create_default_context(cafile=certificate)

    def connected(self):
        """An encrypted connection to the name."""
        connection = http.client.HTTPSConnection(
            self.name, self.port, timeout=60, context=self.context
        )
        connection._create_connection = _to_this_machine
        return connection


def _to_this_machine(address, *more):
    """As if the name were this machine's."""
    return socket.create_connection(("127.0.0.1", address[1]), *more)


def ports(*written):
    """Ports that nobody listens on, for those that are written."""
    return {one: free_port() for one in written}
