"""No point is without a card code any more."""

from django.db import migrations, models

import exercises.models.codes


class Migration(migrations.Migration):
    """Tighten."""

    dependencies = [("exercises", "0011_fill_card_codes")]
    operations = [
        migrations.AlterField(
            "point",
            "card_code",
            models.CharField(
                default=exercises.models.codes.new_code, editable=False, max_length=6, unique=True
            ),
        )
    ]
