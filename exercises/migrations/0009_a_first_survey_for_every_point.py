"""Every point so far was surveyed once, as it stands; the day was not noted."""

from django.db import migrations
from django.utils import timezone


def fill(apps, schema_editor):
    """One survey a point, with the point's own numbers."""
    surveys = apps.get_model("exercises", "Survey").objects
    for point in (
        apps.get_model("exercises", "Point").objects.filter(surveys=None).order_by("pk").iterator()
    ):
        surveys.create(
            point_id=point.pk,
            method=point.method,
            latitude=point.latitude,
            longitude=point.longitude,
            elevation_m=point.elevation_m,
            major_m=point.accuracy_m,
            minor_m=point.accuracy_m,
            received_at=timezone.now(),
        )


class Migration(migrations.Migration):
    """Fill."""

    dependencies = [("exercises", "0008_surveys_hazards_and_observed_bearings")]
    operations = [migrations.RunPython(fill, migrations.RunPython.noop)]
