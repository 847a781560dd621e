"""What is told to who watches the server: alive, ready, and nothing else."""

import pytest
from django.db import OperationalError, connection
from django.db.migrations.recorder import MigrationRecorder

from exercises.views import health


@pytest.fixture(autouse=True)
def not_yet_looked():
    health._has_all.cache_clear()
    yield
    health._has_all.cache_clear()


@pytest.fixture
def strange_host(settings):
    """As behind a balancer, which asks at an address and without https."""
    settings.ALLOWED_HOSTS, settings.SECURE_SSL_REDIRECT = ["class.example"], True


def test_it_is_alive_without_asking_the_database(client, strange_host):
    answer = client.get("/health/alive/")

    assert (answer.status_code, answer.json()) == (200, {"alive": True})


def test_it_is_ready_when_the_database_answers_and_is_migrated(client, db, strange_host):
    answer = client.get("/health/ready/")

    assert (answer.status_code, answer.json()) == (200, {"ready": True, "waits_for": []})
    assert (answer.cookies, answer.headers["Cache-Control"]) == ({}, "no-store")


def test_it_is_not_ready_before_the_last_migration(client, db):
    MigrationRecorder.Migration.objects.filter(app="exercises").order_by("-pk").first().delete()

    answer = client.get("/health/ready/")

    assert (answer.status_code, answer.json()["waits_for"]) == (503, ["migrations"])


def test_it_becomes_ready_once_it_is_migrated(client, db):
    last = MigrationRecorder.Migration.objects.filter(app="exercises").order_by("-pk").first()
    last.delete()
    client.get("/health/ready/")
    last.pk = None
    last.save()

    assert client.get("/health/ready/").status_code == 200


def test_it_is_not_ready_without_the_database(client, db, monkeypatch):
    def away():
        raise OperationalError("password of navclass at 192.0.2.1 refused")

    with monkeypatch.context() as patch:
        patch.setattr(connection, "cursor", away)
        answer = client.get("/health/ready/")

    assert (answer.status_code, answer.json()) == (
        503,
        {"ready": False, "waits_for": ["database"]},
    )
