"""Each point gets a card code of its own."""

import secrets

from django.db import migrations

ALPHABET = "ACDEFHJKLMNPRTUVWXY34679"


def fill(apps, schema_editor):
    """A code for each point, unique among all."""
    points, taken = apps.get_model("exercises", "Point").objects, set()
    for point in points.filter(card_code=None).order_by("pk").iterator():
        code = "".join(secrets.choice(ALPHABET) for _ in range(6))
        while code in taken:
            code = "".join(secrets.choice(ALPHABET) for _ in range(6))
        taken.add(code)
        points.filter(pk=point.pk).update(card_code=code)


class Migration(migrations.Migration):
    """Fill."""

    dependencies = [("exercises", "0010_a_card_for_every_point")]
    operations = [migrations.RunPython(fill, migrations.RunPython.noop)]
