"""A task says how people come by the angle between two norths."""

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("exercises", "0016_questions_and_labels"),
    ]

    operations = [
        migrations.AddField(
            model_name="task",
            name="angle_way",
            field=models.CharField(
                blank=True,
                choices=[
                    ("", "as is usual for its kind"),
                    ("told", "told with the task"),
                    ("on_map", "to be found on the map"),
                    ("unsaid", "left out"),
                ],
                help_text="Of a task that turns a bearing from one north to another. Usual: told "
                "on phone, card and sheet; where one works on the map, to be found there.",
                max_length=10,
                verbose_name="The angle between the norths",
            ),
        ),
    ]
