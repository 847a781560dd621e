"""manage.py serve: the server, for a field laptop's hotspot or behind a proxy."""

import io
from datetime import UTC, datetime

import segno
from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError
from django.db import DatabaseError, connections
from django.utils import timezone

from exercises.keeping import routine
from exercises.keeping.trouble import BackupTrouble
from exercises.serving import certificates, event_log, reckoning, server
from exercises.serving.application import application
from exercises.usecases import sign_in
from exercises.usecases.arrange import empty_bins
from exercises.usecases.purge_names import purge_due


def as_text_picture(link):
    """A QR code for a terminal."""
    picture = io.StringIO()
    segno.make_qr(link).terminal(out=picture, compact=True)
    return picture.getvalue()


class Command(BaseCommand):
    """On a hotspot prepare the database, print the address and its picture; serve until told to
    end.
    """

    help = "Run the production server on a field laptop, or behind a proxy."

    def add_arguments(self, parser):
        """Where to listen."""
        parser.add_argument(
            "--host",
            default="0.0.0.0",
            help="address to listen on; all of this machine's without it",
        )
        parser.add_argument("--port", type=int, default=8000)
        parser.add_argument(
            "--workers",
            type=int,
            default=server.PROCESSES,
            choices=range(1, 65),
            metavar="1..64",
            help="processes that answer; one for each core",
        )
        parser.add_argument(
            "--reckoners",
            type=int,
            default=reckoning.PROCESSES,
            choices=range(65),
            metavar="0..64",
            help="processes beside for what takes long, which give way; 0 for none",
        )
        parser.add_argument(
            "--https",
            action="store_true",
            help="serve https as well, with a certificate authority of this laptop's own",
        )
        parser.add_argument("--https-port", type=int, default=8443)
        parser.add_argument(
            "--name",
            action="append",
            default=[],
            help="a further name of this machine, such as class.lan; may be given again",
        )

    def handle(self, *args, host, port, workers, reckoners, https, https_port, name, **options):
        """Serve. Behind a proxy several may start at once, so the database is made ready before
        them.
        """
        listening, address = (
            self._listen(host, port),
            server.address_on_the_network() if host == "0.0.0.0" else host,
        )
        encrypted = (
            (self._listen(host, https_port), *self._certificate([address, *name, "localhost"]))
            if https
            else None
        )
        if settings.HOTSPOT:
            call_command("migrate", verbosity=0)
        else:
            call_command("check", deploy=True, fail_level="ERROR")
        self._daily()
        if settings.HOTSPOT:
            self.announce(f"http://{address}:{port}")
        if encrypted:
            self._explain(f"http://{address}:{port}", f"https://{address}:{https_port}")
        connections.close_all()  # a connection must not be shared by the processes to come
        server.run(
            application(),
            listening,
            encrypted,
            settings.PROXY,
            self._daily,
            workers,
            reckoners,
        )

    def _daily(self):
        """What is done when the server starts and once a day after it."""
        self._back_up()
        self._purge()

    def _back_up(self):
        """The day's backup; where it cannot be made the server serves all the same."""
        try:
            made = routine.each_day(now=timezone.now())
        except BackupTrouble as error:
            self.stderr.write(f"No backup today: {error}")
        else:
            if made:
                self.stdout.write(f"Backed up to {made.path}.")
        finally:
            self.stdout.flush()

    def _purge(self):
        """Let names go whose day is over, what lay in bins long enough, and the demonstration's
        account; a database that is busy, away or not ready yet is asked again tomorrow.
        """
        try:
            if not settings.DEMONSTRATION:
                sign_in.end_demonstration()
            number = purge_due(now=timezone.now())
            if number:
                event_log.note_event("deletion", f"names of {number} classes")
            empty_bins(now=timezone.now())
        except DatabaseError as error:
            self.stderr.write(f"Names were not deleted today: {error}")
        finally:
            connections.close_all()

    def _listen(self, host, port):
        try:
            return server.listen(host, port)
        except OSError as error:
            raise CommandError(
                f"Port {port} cannot be used ({error}). Close the other program, or give "
                f"another: --port {port + 1}"
            ) from error

    def _certificate(self, names):
        try:
            return certificates.for_server(
                settings.DATA_DIR / "https", list(dict.fromkeys(names)), datetime.now(UTC)
            )
        except certificates.NotLocal as error:
            raise CommandError(str(error)) from error

    def _explain(self, plain, encrypted):
        """How phones come to trust the encrypted address."""
        trusted, *_ = certificates.authority(settings.DATA_DIR / "https", datetime.now(UTC))
        self.stdout.write(
            f"Encrypted: {encrypted}   Phones that trust this laptop open the class without "
            f"network, even after it was closed.\n"
            f"How a phone comes to trust it: {plain}/trust/   (for phones that belong to the "
            f"school)\n"
            f"Fingerprint to compare there: {certificates.fingerprint(trusted)}\n"
        )
        self.stdout.flush()

    def announce(self, address):
        """Say where the pages are."""
        self.stdout.write(f"\nnavclass is at {address}   (Ctrl+C stops it)\n\n")
        self.stdout.write(as_text_picture(address))
        self.stdout.write(
            "Phones on the same network can read this picture. Make an instructor's account "
            "with: manage.py password_link NAME --new\n"
        )
        self.stdout.flush()
