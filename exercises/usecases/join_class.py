"""Join a class with a name, or with several for a group that shares one phone."""
import hashlib
import hmac
import secrets

from django.db import IntegrityError, transaction

from ..models import Compass, Person


class NameTaken(ValueError):
    """Somebody in the class has that name."""


def digest(secret):
    """What is kept of a person's secret."""
    return hashlib.sha256(secret.encode()).hexdigest()


@transaction.atomic
def join_class(*, course_class, names, compass_number, graduation_deg, declination_is_set, now):
    """Add people to a class, all or none; returns [(person, secret), ...]. The secret is given out once, here.

    A numbered compass is noted as the last person told of it; one without a number is this phone's own. Raises NameTaken.
    """
    compass, joined = _compass(course_class, compass_number, graduation_deg, declination_is_set), []
    for name in names:
        secret = secrets.token_urlsafe(18)
        try:
            with transaction.atomic():
                person = Person.objects.create(course_class=course_class, name=name, secret_digest=digest(secret), compass=compass, joined_at=now)
        except IntegrityError as error:
            raise NameTaken(f"Somebody in this class is called {name} already. Add a letter or choose another name.") from error
        joined.append((person, secret))
    return joined


@transaction.atomic
def change_compass(*, course_class, people, compass_number, graduation_deg, declination_is_set):
    """Give people another compass for the readings to come; those that were sent keep the one they were made with."""
    compass = _compass(course_class, compass_number, graduation_deg, declination_is_set)
    Person.objects.filter(course_class=course_class, pk__in=[person.pk for person in people]).update(compass=compass)


def _compass(course_class, number, graduation_deg, declination_is_set):
    """A numbered compass as last told, or one without a number."""
    told = {"graduation_deg": graduation_deg, "declination_is_set": declination_is_set}
    if number:
        return Compass.objects.update_or_create(course_class=course_class, number=number, defaults=told)[0]
    return Compass.objects.create(course_class=course_class, **told)


def people_of(course_class, tokens):
    """The people of a class whose secret is among the tokens (pairs of key and secret), in one query."""
    secret_of = {int(pk): secret for pk, _, secret in (token.partition(":") for token in tokens) if pk.isdecimal() and len(pk) < 18}
    people = Person.objects.filter(course_class=course_class, pk__in=secret_of).select_related("compass")
    return [person for person in people if hmac.compare_digest(person.secret_digest, digest(secret_of[person.pk]))]
