import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models
from django.db.models.functions import Length, Trim
from django.db.models.lookups import GreaterThan


class Migration(migrations.Migration):
    dependencies = [
        ("exercises", "0031_shared_cache"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name="SentForm",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("digest", models.CharField(max_length=64)),
                ("at", models.DateTimeField(db_index=True)),
                ("led_to", models.TextField(blank=True)),
                (
                    "user",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="sent_forms",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "ordering": ["at", "pk"],
                "constraints": [
                    models.UniqueConstraint(
                        models.F("user"),
                        models.F("digest"),
                        name="form_sent_once_by_an_account",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(GreaterThan(Length(Trim("digest")), 0)),
                        name="sent_form_digest_is_not_empty",
                    ),
                ],
            },
        ),
    ]
