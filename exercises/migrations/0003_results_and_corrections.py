"""Results are kept with the model's version, keys can drop tasks and hold their priors, experience
can be forgotten.
"""

import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("exercises", "0002_names_and_own_compasses"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.AddField(
            model_name="key",
            name="dropped",
            field=models.JSONField(
                blank=True, default=list, help_text="Labels of tasks that no longer count."
            ),
        ),
        migrations.AddField(
            model_name="key",
            name="priors",
            field=models.JSONField(
                blank=True,
                default=dict,
                help_text="What was believed of the class when it opened; empty for the stated "
                "ones.",
            ),
        ),
        migrations.CreateModel(
            name="Experience",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("since", models.DateTimeField()),
                (
                    "instructor",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="experience",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
        ),
        migrations.CreateModel(
            name="Results",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("model_version", models.CharField(max_length=20)),
                ("key_version", models.PositiveSmallIntegerField()),
                ("readings_count", models.PositiveIntegerField()),
                ("fingerprint", models.CharField(max_length=64)),
                ("computed_at", models.DateTimeField()),
                ("found", models.JSONField()),
                (
                    "known",
                    models.JSONField(
                        help_text="By which readings that come later are judged at once; apart, "
                        "because every phone asks for it.",
                        null=True,
                    ),
                ),
                (
                    "counts",
                    models.JSONField(
                        help_text="What the class adds to the priors of its instructor's next.",
                        null=True,
                    ),
                ),
                (
                    "course_class",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="results",
                        to="exercises.courseclass",
                    ),
                ),
            ],
            options={
                "verbose_name_plural": "results",
            },
        ),
    ]
