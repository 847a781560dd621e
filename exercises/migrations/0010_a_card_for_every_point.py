"""Points get a code for the card that hangs there; empty at first."""

from django.db import migrations, models


class Migration(migrations.Migration):
    """Add."""

    dependencies = [("exercises", "0009_a_first_survey_for_every_point")]
    operations = [
        migrations.AddField(
            "point", "card_code", models.CharField(max_length=6, null=True, editable=False)
        )
    ]
