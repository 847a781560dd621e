"""Nobody is without a personal code any more, and secrets belong to phones."""

from django.db import migrations, models

import exercises.models.course_class


class Migration(migrations.Migration):
    """Tighten."""

    dependencies = [("exercises", "0005_fill_phones_and_codes")]
    operations = [
        migrations.AlterField(
            "person",
            "personal_code",
            models.CharField(
                default=exercises.models.course_class.new_code, editable=False, max_length=6
            ),
        ),
        migrations.AddConstraint(
            "person",
            models.UniqueConstraint(
                "course_class", "personal_code", name="personal_code_once_in_a_class"
            ),
        ),
        migrations.RemoveField("person", "secret_digest"),
    ]
