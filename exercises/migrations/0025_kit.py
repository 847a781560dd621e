"""Kits with the log of each compass, who has which, and what a key knew of them."""

import django.core.validators
import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("exercises", "0024_watching"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.AddField(
            model_name="key",
            name="compasses",
            field=models.JSONField(
                blank=True,
                default=dict,
                help_text="What the log of its kit told of compasses when it opened, by number.",
            ),
        ),
        migrations.CreateModel(
            name="Kit",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("name", models.CharField(max_length=80, verbose_name="Name")),
                (
                    "organisation",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.SET_NULL,
                        related_name="kits",
                        to="exercises.organisation",
                        verbose_name="Shared with",
                    ),
                ),
                (
                    "owner",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="kits",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "ordering": ["name", "pk"],
            },
        ),
        migrations.AddField(
            model_name="courseclass",
            name="kit",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.SET_NULL,
                related_name="classes",
                to="exercises.kit",
            ),
        ),
        migrations.CreateModel(
            name="KitCompass",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("number", models.CharField(max_length=8)),
                ("kind", models.CharField(blank=True, max_length=40, verbose_name="Kind")),
                (
                    "graduation_deg",
                    models.FloatField(
                        default=2,
                        validators=[
                            django.core.validators.MinValueValidator(0.5),
                            django.core.validators.MaxValueValidator(30),
                        ],
                    ),
                ),
                (
                    "unit",
                    models.CharField(
                        choices=[
                            ("deg", "degrees, 0 to 360"),
                            ("mil6400", "mils, 0 to 6400"),
                            ("mil6300", "mils, 0 to 6300 (streck)"),
                            ("mil6000", "mils, 0 to 6000"),
                        ],
                        default="deg",
                        max_length=8,
                    ),
                ),
                (
                    "is_adjustable",
                    models.BooleanField(
                        default=False, verbose_name="A declination can be set on it"
                    ),
                ),
                (
                    "bought",
                    models.CharField(
                        blank=True,
                        max_length=10,
                        validators=[
                            django.core.validators.RegexValidator(
                                "^[12][0-9]{3}(-(0[1-9]|1[0-2])(-(0[1-9]|[12][0-9]|3[01]))?)?$",
                                "Give a year or a day, such as 2024 or 2024-05-17.",
                            )
                        ],
                        verbose_name="Bought",
                    ),
                ),
                ("notes", models.TextField(blank=True, max_length=500, verbose_name="Notes")),
                ("withdrawn_at", models.DateTimeField(blank=True, editable=False, null=True)),
                (
                    "kit",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="compasses",
                        to="exercises.kit",
                    ),
                ),
            ],
            options={
                "ordering": ["number", "pk"],
            },
        ),
        migrations.CreateModel(
            name="Issue",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("group_name", models.CharField(blank=True, max_length=30)),
                ("issued_at", models.DateTimeField()),
                ("issued_by", models.CharField(max_length=150)),
                ("returned_at", models.DateTimeField(blank=True, null=True)),
                (
                    "course_class",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="issues",
                        to="exercises.courseclass",
                    ),
                ),
                (
                    "person",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.SET_NULL,
                        related_name="issues",
                        to="exercises.person",
                    ),
                ),
                (
                    "compass",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="issues",
                        to="exercises.kitcompass",
                    ),
                ),
            ],
            options={
                "ordering": ["issued_at", "pk"],
            },
        ),
        migrations.CreateModel(
            name="KitEntry",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("at", models.DateTimeField()),
                ("by_name", models.CharField(max_length=150)),
                (
                    "event",
                    models.CharField(
                        choices=[
                            ("checked", "checked"),
                            ("off", "off"),
                            ("reversed", "reversed"),
                            ("looked", "looked"),
                            ("bubble", "bubble"),
                            ("needle", "needle"),
                            ("damaged", "damaged"),
                            ("repaired", "repaired"),
                            ("withdrawn", "withdrawn"),
                            ("back", "back"),
                        ],
                        max_length=10,
                    ),
                ),
                (
                    "offset_deg",
                    models.FloatField(
                        blank=True,
                        null=True,
                        validators=[
                            django.core.validators.MinValueValidator(-180),
                            django.core.validators.MaxValueValidator(180),
                        ],
                    ),
                ),
                (
                    "error_deg",
                    models.FloatField(
                        blank=True,
                        null=True,
                        validators=[django.core.validators.MinValueValidator(0)],
                    ),
                ),
                ("words", models.CharField(blank=True, max_length=200, verbose_name="In words")),
                ("token", models.CharField(blank=True, max_length=64)),
                (
                    "compass",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="entries",
                        to="exercises.kitcompass",
                    ),
                ),
                (
                    "course_class",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.SET_NULL,
                        related_name="kit_entries",
                        to="exercises.courseclass",
                    ),
                ),
            ],
            options={
                "verbose_name_plural": "kit entries",
                "ordering": ["at", "pk"],
            },
        ),
        migrations.AddConstraint(
            model_name="kitcompass",
            constraint=models.UniqueConstraint(
                models.F("kit"), models.F("number"), name="kit_number_once_in_a_kit"
            ),
        ),
        migrations.AddConstraint(
            model_name="issue",
            constraint=models.UniqueConstraint(
                models.F("compass"),
                condition=models.Q(("returned_at", None)),
                name="compass_out_only_once_at_a_time",
            ),
        ),
        migrations.AddConstraint(
            model_name="kitentry",
            constraint=models.UniqueConstraint(
                models.F("compass"),
                models.F("token"),
                condition=models.Q(("token", ""), _negated=True),
                name="kit_entry_sent_twice_is_stored_once",
            ),
        ),
        migrations.AddConstraint(
            model_name="kitentry",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    (
                        "event__in",
                        [
                            "checked",
                            "off",
                            "reversed",
                            "looked",
                            "bubble",
                            "needle",
                            "damaged",
                            "repaired",
                            "withdrawn",
                            "back",
                        ],
                    )
                ),
                name="kit_entry_event_is_known",
            ),
        ),
    ]
