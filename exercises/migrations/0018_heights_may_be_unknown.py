"""A height that nobody gave is NULL. So far it stood as 0 metres and was taken for unknown."""

import django.core.validators
from django.db import migrations, models


def forget_zeros(apps, schema_editor):
    """Zeros become unknown, which is what they have meant."""
    for name in ("Point", "Survey"):
        rows = apps.get_model("exercises", name).objects.filter(elevation_m=0)
        rows.update(elevation_m=None)


def zeros_again(apps, schema_editor):
    """What is unknown becomes 0."""
    for name in ("Point", "Survey"):
        rows = apps.get_model("exercises", name).objects.filter(elevation_m=None)
        rows.update(elevation_m=0)


class Migration(migrations.Migration):
    """Let heights be empty."""

    dependencies = [("exercises", "0017_how_the_angle_between_norths_is_told")]
    operations = [
        migrations.AlterField(
            model_name="point",
            name="elevation_m",
            field=models.FloatField(
                blank=True,
                help_text="Above the sea. Leave empty where it is not known.",
                null=True,
                validators=[
                    django.core.validators.MinValueValidator(-500),
                    django.core.validators.MaxValueValidator(8900),
                ],
                verbose_name="Height in metres",
            ),
        ),
        migrations.AlterField(
            model_name="survey",
            name="elevation_m",
            field=models.FloatField(null=True),
        ),
        migrations.RunPython(forget_zeros, zeros_again),
    ]
