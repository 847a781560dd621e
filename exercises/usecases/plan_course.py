"""Put tasks into a course, in order."""
from django.db import transaction
from django.db.models import Max

from ..models import Course, Task


@transaction.atomic
def add_task(*, course, task):
    """Append an unsaved task to a course."""
    Course.objects.select_for_update().get(pk=course.pk)
    task.course = course
    task.number = (course.tasks.aggregate(last=Max("number"))["last"] or 0) + 1
    task.save()
    return task


@transaction.atomic
def remove_task(*, task):
    """Take a task out; those after it move up. A class that is open keeps its frozen key."""
    course = Course.objects.select_for_update().get(pk=task.course_id)
    task.delete()
    for number, later in enumerate(course.tasks.order_by("number"), start=1):
        Task.objects.filter(pk=later.pk).update(number=number)


@transaction.atomic
def move_up(*, task):
    """Let a task change places with the one before it; the first stays."""
    course = Course.objects.select_for_update().get(pk=task.course_id)
    before = course.tasks.filter(number__lt=task.number).order_by("-number").first()
    if before is None:
        return
    places = {task.pk: before.number, before.pk: task.number}
    Task.objects.filter(pk=task.pk).update(number=0)  # out of the way: numbers are unique in a course
    Task.objects.filter(pk=before.pk).update(number=places[before.pk])
    Task.objects.filter(pk=task.pk).update(number=places[task.pk])


@transaction.atomic
def set_policies(*, course, policies):
    """Say of tasks, by number, when their answer is told (`domain.feedback`); empty: as the class has it. Classes that are open keep theirs."""
    for number, policy in policies.items():
        course.tasks.filter(number=number).update(feedback=policy)


@transaction.atomic
def set_visible(*, station, targets):
    """Say which targets can be seen from a station."""
    station.sees.all().delete()
    station.sees.bulk_create([station.sees.model(station=station, target=target) for target in targets if target.pk != station.pk])
