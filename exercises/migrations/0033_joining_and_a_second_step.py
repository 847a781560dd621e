"""Who may join a class, how people came in, and which of them stand on a roster; a second
step at sign-in.
"""

import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models


def note_rosters(apps, schema_editor):
    """Who has not joined stands on a roster; of others it is not known."""
    apps.get_model("exercises", "Person").objects.filter(joined_at=None).update(was_listed=True)


class Migration(migrations.Migration):
    dependencies = [
        ("exercises", "0032_forms_act_once"),
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
        migrations.CreateModel(
            name="AuthenticatorApp",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("name", models.CharField(max_length=40, verbose_name="Name")),
                ("sealed_secret", models.TextField()),
                ("since", models.DateTimeField()),
                ("last_step", models.BigIntegerField()),
                (
                    "user",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="authenticator_apps",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "ordering": ["since", "pk"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            django.db.models.lookups.GreaterThan(
                                django.db.models.functions.text.Length(
                                    django.db.models.functions.text.Trim("name")
                                ),
                                0,
                            )
                        ),
                        name="authenticator_app_name_is_not_empty",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            django.db.models.lookups.GreaterThan(
                                django.db.models.functions.text.Length(
                                    django.db.models.functions.text.Trim("sealed_secret")
                                ),
                                0,
                            )
                        ),
                        name="authenticator_app_sealed_secret_is_not_empty",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="RecoveryCode",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("digest", models.CharField(max_length=64)),
                ("used_at", models.DateTimeField(blank=True, null=True)),
                (
                    "user",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="recovery_codes",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "ordering": ["pk"],
                "constraints": [
                    models.UniqueConstraint(
                        models.F("user"),
                        models.F("digest"),
                        name="recovery_code_once_in_an_account",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            django.db.models.lookups.GreaterThan(
                                django.db.models.functions.text.Length(
                                    django.db.models.functions.text.Trim("digest")
                                ),
                                0,
                            )
                        ),
                        name="recovery_code_digest_is_not_empty",
                    ),
                ],
            },
        ),
        migrations.RunPython(note_rosters, migrations.RunPython.noop),
    ]
