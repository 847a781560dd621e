"""A person has a personal code and any number of phones; feedback may wait for a second try; a task
may have its own policy.
"""

import django.db.models.deletion
from django.db import migrations, models

import exercises.models.course_class

POLICIES = [
    ("at_once", "at once, after each reading"),
    ("second_try", "after a second try, with a hint before it"),
    ("released", "at the debrief, when I release it"),
]


class Migration(migrations.Migration):
    """Add what the next one fills."""

    dependencies = [("exercises", "0003_results_and_corrections")]
    operations = [
        migrations.CreateModel(
            "Phone",
            [
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("secret_digest", models.CharField(max_length=64)),
                ("since", models.DateTimeField()),
                (
                    "person",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="phones",
                        to="exercises.person",
                    ),
                ),
            ],
            options={"ordering": ["since", "pk"]},
        ),
        migrations.CreateModel(
            "Failures",
            [
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("door", models.CharField(max_length=80, unique=True)),
                ("number", models.PositiveIntegerField(default=0)),
                ("since", models.DateTimeField()),
            ],
            options={"verbose_name_plural": "failures"},
        ),
        migrations.AddField(
            "person", "personal_code", models.CharField(max_length=6, editable=False, null=True)
        ),
        migrations.AddField(
            "task",
            "feedback",
            models.CharField(
                blank=True,
                choices=[("", "as the class has it"), *POLICIES],
                max_length=10,
                verbose_name="The answer is told",
            ),
        ),
        migrations.AlterField(
            "courseclass",
            "feedback",
            models.CharField(
                choices=POLICIES,
                default="at_once",
                max_length=10,
                verbose_name="The answer is told",
            ),
        ),
        migrations.AlterField(
            "courseclass", "name", models.CharField(max_length=80, verbose_name="Name")
        ),
        migrations.AlterField(
            "courseclass",
            "time_zone",
            models.CharField(
                default="UTC",
                max_length=60,
                validators=[exercises.models.course_class.is_time_zone],
                verbose_name="Time zone",
            ),
        ),
        migrations.AlterField("courseclass", "date", models.DateField(verbose_name="Date")),
        migrations.AlterField(
            "reading",
            "source",
            models.CharField(
                choices=[
                    ("phone", "phone"),
                    ("handed", "handed in by the instructor"),
                    ("demo", "demonstration"),
                ],
                default="phone",
                max_length=6,
            ),
        ),
    ]
