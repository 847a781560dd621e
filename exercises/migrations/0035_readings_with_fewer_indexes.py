import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("exercises", "0034_passkeys")]

    operations = [
        migrations.AlterField(
            model_name="reading",
            name=name,
            field=models.ForeignKey(
                db_index=False,
                on_delete=django.db.models.deletion.CASCADE,
                related_name="readings",
                to=f"exercises.{model}",
            ),
        )
        for name, model in (("course_class", "courseclass"), ("person", "person"))
    ]
