"""manage.py demo: the demonstration class, ready to join."""

from django.utils import timezone

from exercises.usecases.load_demo import PASSWORD, USERNAME, load_demo
from exercises.usecases.take_demo_out import take_demo_out

from .serve import Command as Serve, as_text_picture


class Command(Serve):
    """As serve, with the demonstration loaded once."""

    help = "Load the demonstration once and serve it."

    def announce(self, address):
        """Load the demonstration and say how to get in."""
        now = timezone.now()
        waiting = load_demo(now=now)
        self.stdout.write(
            f"\nInstructor:   {address}/sign-in/   name {USERNAME}   password {PASSWORD}\n"
        )
        if waiting is None:
            self.stdout.write(
                "The demonstration's class has been closed. Make a new one at the desk.\n"
            )
        else:
            take_demo_out(course_class=waiting, now=now)
            link = f"{address}/c/{waiting.code}/join/"
            self.stdout.write(f"Participants: {link}   class code {waiting.code}\n\n")
            self.stdout.write(as_text_picture(link))
            self.stdout.write(
                "A phone on the same network can read this picture.   (Ctrl+C stops the server)\n"
            )
        self.stdout.flush()
