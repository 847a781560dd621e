"""Who may join a class, how people came in, and which of them stand on a roster."""

from django.conf import settings
from django.db import migrations, models


def note_rosters(apps, schema_editor):
    """Who has not joined stands on a roster; of others it is not known."""
    apps.get_model("exercises", "Person").objects.filter(joined_at=None).update(was_listed=True)


class Migration(migrations.Migration):
    dependencies = [
        ("exercises", "0030_numbers_outside"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.AddField(
            model_name="courseclass",
            name="joining",
            field=models.CharField(
                choices=[
                    ("open", "Anybody with the code may join"),
                    ("listed", "Only names on the list may join"),
                    ("shut", "Nobody else may join"),
                ],
                default="open",
                editable=False,
                max_length=6,
            ),
        ),
        migrations.AddField(
            model_name="person",
            name="joined_from",
            field=models.CharField(blank=True, default="", editable=False, max_length=12),
        ),
        migrations.AddField(
            model_name="person",
            name="joined_on",
            field=models.CharField(blank=True, default="", editable=False, max_length=12),
        ),
        migrations.AddField(
            model_name="person",
            name="was_listed",
            field=models.BooleanField(default=False, editable=False),
        ),
        migrations.AddConstraint(
            model_name="courseclass",
            constraint=models.CheckConstraint(
                condition=models.Q(("joining__in", ["open", "listed", "shut"])),
                name="class_joining_is_known",
            ),
        ),
        migrations.AddField("staff", "used_at", models.DateTimeField(blank=True, null=True)),
        migrations.RunPython(note_rosters, migrations.RunPython.noop),
    ]
