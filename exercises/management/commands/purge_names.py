"""manage.py purge_names: for the operator's timer, once a day."""

from django.core.management.base import BaseCommand
from django.utils import timezone

from exercises.serving import event_log
from exercises.usecases.arrange import empty_bins
from exercises.usecases.purge_names import purge_due


class Command(BaseCommand):
    """Let the names of all classes go whose day is over, and what lay in bins long enough."""

    help = "Delete names whose day is over, and what lay in bins long enough. Run it once a day."

    def handle(self, *args, **options):
        """Do it, and say of how many classes."""
        number = purge_due(now=timezone.now())
        if number:
            event_log.note_event("deletion", f"names of {number} classes")
        empty_bins(now=timezone.now())
        self.stdout.write(f"Names deleted in {number} {'class' if number == 1 else 'classes'}.")
