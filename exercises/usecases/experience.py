"""Begin afresh with what is believed of classes, or take all of one's own into account again."""

from ..models import Experience


def forget(*, instructor, now):
    """From now on only classes opened later sharpen the priors. Classes that are open keep those
    that they were opened with.
    """
    Experience.objects.update_or_create(instructor=instructor, defaults={"since": now})


def remember(*, instructor):
    """Let all of the instructor's classes count again."""
    Experience.objects.filter(instructor=instructor).delete()
