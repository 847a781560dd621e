"""Names are compared in any script, and a compass without a number may belong to a person."""

from django.db import migrations, models
from django.db.models import Q

from exercises.models.course_class import name_key


def fill(apps, schema_editor):
    """Give each person the compared form of the name; two that turn out alike keep apart by their
    number.
    """
    seen = set()
    people = apps.get_model("exercises", "Person").objects
    for person in people.order_by("pk").only("pk", "course_class_id", "name").iterator():
        key = name_key(person.name)
        if (person.course_class_id, key) in seen:
            key = f"{key} {person.pk}"
        seen.add((person.course_class_id, key))
        people.filter(pk=person.pk).update(name_key=key)


class Migration(migrations.Migration):
    """Add, fill, tighten."""

    dependencies = [("exercises", "0001_begin")]
    operations = [
        migrations.AddField("person", "name_key", models.TextField(editable=False, null=True)),
        migrations.RunPython(fill, migrations.RunPython.noop),
        migrations.AlterField("person", "name_key", models.TextField(editable=False)),
        migrations.RemoveConstraint("person", "person_name_once_in_a_class"),
        migrations.AddConstraint(
            "person",
            models.UniqueConstraint("course_class", "name_key", name="person_name_once_in_a_class"),
        ),
        migrations.AlterField("compass", "number", models.CharField(blank=True, max_length=8)),
        migrations.RemoveConstraint("compass", "compass_number_once_in_a_class"),
        migrations.AddConstraint(
            "compass",
            models.UniqueConstraint(
                fields=["course_class", "number"],
                condition=~Q(number=""),
                name="compass_number_once_in_a_class",
            ),
        ),
    ]
