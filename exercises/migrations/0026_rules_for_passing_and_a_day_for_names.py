"""A rule for passing, 80 % for courses and classes that are there, and the day on which the names
of a class go. Nobody who joined before was told a day: names of old classes stay at least for
another thirty days, so that whoever runs them can say otherwise first.
"""

from datetime import timedelta

import django.core.validators
from django.db import migrations, models
from django.utils import timezone

KEPT, AT_LEAST = timedelta(days=90), timedelta(days=30)


def fill_days(apps, schema_editor):
    """Give each class a day."""
    soonest = timezone.now().date() + AT_LEAST
    for course_class in apps.get_model("exercises", "CourseClass").objects.all():
        course_class.names_until = max(course_class.date + KEPT, soonest)
        course_class.save(update_fields=["names_until"])


def _share():
    return models.PositiveSmallIntegerField(
        blank=True,
        default=80,
        help_text="From 50 to 100; 80 is usual. Empty: nobody passes or fails.",
        null=True,
        validators=[
            django.core.validators.MinValueValidator(50),
            django.core.validators.MaxValueValidator(100),
        ],
        verbose_name="To pass, percent of the credit",
    )


class Migration(migrations.Migration):
    dependencies = [("exercises", "0025_kit")]

    operations = [
        migrations.AddField("course", "pass_share", _share()),
        migrations.AddField("courseclass", "pass_share", _share()),
        migrations.AddField(
            "courseclass",
            "names_purged_at",
            models.DateTimeField(blank=True, editable=False, null=True),
        ),
        migrations.AddField(
            "person",
            "wish",
            models.CharField(
                blank=True,
                choices=[("name", "their name"), ("all", "their name and their readings")],
                default="",
                editable=False,
                max_length=4,
            ),
        ),
        migrations.AddField("courseclass", "names_until", models.DateField(null=True)),
        migrations.RunPython(fill_days, migrations.RunPython.noop),
        migrations.AlterField(
            "courseclass",
            "names_until",
            models.DateField(
                help_text="Everybody who joins reads it.",
                verbose_name="Names are deleted after",
            ),
        ),
    ]
