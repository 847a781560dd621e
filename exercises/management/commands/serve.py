"""manage.py serve: the server for a field laptop's hotspot."""
import io

import segno
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError
from django.core.wsgi import get_wsgi_application
from django.db import connections

from exercises import server


def as_text_picture(link):
    """A QR code for a terminal."""
    picture = io.StringIO()
    segno.make_qr(link).terminal(out=picture, compact=True)
    return picture.getvalue()


class Command(BaseCommand):
    """Prepare the database, print the address and its picture, serve until Ctrl+C."""

    help = "Run the production server on a field laptop."

    def add_arguments(self, parser):
        """Where to listen."""
        parser.add_argument("--host", default="0.0.0.0", help="address to listen on; all of this machine's without it")
        parser.add_argument("--port", type=int, default=8000)

    def handle(self, *args, host, port, **options):
        """Migrate, then serve."""
        try:
            listening = server.listen(host, port)
        except OSError as error:
            raise CommandError(f"Port {port} cannot be used ({error}). Close the other program, or give another: --port {port + 1}") from error
        call_command("migrate", verbosity=0)
        address = f"http://{server.address_on_the_network() if host == '0.0.0.0' else host}:{port}"
        self.announce(address)
        connections.close_all()  # a connection must not be shared by the processes to come
        server.run(get_wsgi_application(), listening)

    def announce(self, address):
        """Say where the pages are."""
        self.stdout.write(f"\nnavclass is at {address}   (Ctrl+C stops it)\n\n")
        self.stdout.write(as_text_picture(address))
        self.stdout.write("Phones on the same network can read this picture. Make an instructor's account with: manage.py createsuperuser\n")
        self.stdout.flush()
