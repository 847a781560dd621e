"""Everybody who has joined gets a personal code, and the phone that they joined with a row of its
own.
"""

import secrets

from django.db import migrations

ALPHABET = "ACDEFHJKLMNPRTUVWXY34679"


def fill(apps, schema_editor):
    """A code for each person, unique in its class; a phone for each secret."""
    people, phones, taken = (
        apps.get_model("exercises", "Person").objects,
        apps.get_model("exercises", "Phone").objects,
        set(),
    )
    for person in people.order_by("pk").iterator():
        code = "".join(secrets.choice(ALPHABET) for _ in range(6))
        while (person.course_class_id, code) in taken:
            code = "".join(secrets.choice(ALPHABET) for _ in range(6))
        taken.add((person.course_class_id, code))
        people.filter(pk=person.pk).update(personal_code=code)
        if person.secret_digest:
            phones.create(
                person_id=person.pk, secret_digest=person.secret_digest, since=person.joined_at
            )


class Migration(migrations.Migration):
    """Fill."""

    dependencies = [("exercises", "0004_phones_codes_and_policies")]
    operations = [migrations.RunPython(fill, migrations.RunPython.noop)]
