"""Who sends the joining page twice is let in twice and not doubled."""

from django.db import migrations, models


class Migration(migrations.Migration):
    """Add the token."""

    dependencies = [("exercises", "0006_a_code_for_everybody")]
    operations = [
        migrations.AddField("person", "join_token", models.UUIDField(editable=False, null=True))
    ]
