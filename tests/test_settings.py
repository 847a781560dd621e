import os
import re
import subprocess
import sys
from pathlib import Path

import pytest
from django.core.checks import run_checks
from django.core.management import call_command

from exercises import checks

ROOT = Path(__file__).resolve().parent.parent


def manage(*arguments, **environment):
    """Run manage.py with an environment of its own: nothing of navclass's unless given."""
    clean = {
        name: value
        for name, value in os.environ.items()
        if not name.startswith(("NAVCLASS_", "DATABASE_URL", "DJANGO_"))
    }
    return subprocess.run(
        [sys.executable, "manage.py", *arguments],
        cwd=ROOT,
        env=clean | environment,
        capture_output=True,
        text=True,
        check=False,
        timeout=60,
    )


def setting(name, **environment):
    return manage(
        "shell",
        "-v",
        "0",
        "-c",
        f"from django.conf import settings; print(repr(settings.{name}))",
        **environment,
    ).stdout.strip()


def test_unset_means_production(tmp_path):
    data = {"NAVCLASS_DATA": str(tmp_path)}

    assert setting("DEBUG", **data) == "False"
    assert setting("SESSION_COOKIE_SECURE", **data) == "True"
    assert setting("SECURE_HSTS_SECONDS", **data) == "31536000"
    assert setting("ALLOWED_HOSTS", **data) == "[]"


@pytest.mark.parametrize(("hotspot", "name"), [("no", "__Host-sessionid"), ("yes", "sessionid")])
def test_the_sessions_cookie_belongs_to_this_host_alone_where_all_is_https(tmp_path, hotspot, name):
    data = {"NAVCLASS_DATA": str(tmp_path), "NAVCLASS_HOTSPOT": hotspot}

    assert setting("SESSION_COOKIE_NAME", **data) == repr(name)


def test_a_word_that_is_neither_yes_nor_no_stops_with_those_allowed():
    assert (
        "NAVCLASS_DEBUG=true is not understood. Use yes or no."
        in manage("check", NAVCLASS_DEBUG="true").stderr
    )


@pytest.mark.parametrize("days", ["0", "a week", "-3", "401", "1.5"])
def test_days_that_make_no_sense_stop_with_those_allowed(days):
    said = manage("check", NAVCLASS_SESSION_DAYS=days).stderr

    assert f"NAVCLASS_SESSION_DAYS={days} is not understood. Use days from 1 to 400." in said


def test_mail_needs_a_sender_and_the_name_that_its_links_lead_to():
    said = manage("check", NAVCLASS_EMAIL_HOST="mail.example", NAVCLASS_HOTSPOT="yes").stderr

    assert "NAVCLASS_EMAIL_HOST needs NAVCLASS_EMAIL_FROM" in said


def test_without_a_secret_key_or_hosts_the_deployment_check_fails(tmp_path):
    ended = manage("check", "--deploy", NAVCLASS_DATA=str(tmp_path))

    assert ended.returncode == 1
    assert re.findall(r"\((navclass\.\w+)\) (.*)", ended.stderr) == [
        ("navclass.E001", "No secret key is set."),
        ("navclass.E002", "No host name is set."),
    ]


def test_the_deployment_check_of_a_server_that_is_set_up_finds_nothing(tmp_path):
    ended = manage(
        "check",
        "--deploy",
        "--fail-level=WARNING",
        NAVCLASS_DATA=str(tmp_path),
        NAVCLASS_HOSTS="class.example",
        NAVCLASS_SECRET_KEY="0123456789abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ",
    )

    assert (ended.returncode, "no issues" in ended.stdout + ended.stderr) == (0, True)


def test_the_hotspot_makes_a_secret_key_of_its_own_and_keeps_it(tmp_path):
    environment = {"NAVCLASS_HOTSPOT": "yes", "NAVCLASS_DATA": str(tmp_path)}

    assert setting("SECRET_KEY", **environment) == setting("SECRET_KEY", **environment) != "''"
    assert (tmp_path / "secret_key").stat().st_mode & 0o077 == 0


def test_sqlite_is_set_for_concurrent_writers(tmp_path):
    options = setting("DATABASES['default']['OPTIONS']", NAVCLASS_DATA=str(tmp_path))

    assert "'transaction_mode': 'IMMEDIATE'" in options
    assert "journal_mode=WAL" in options


def test_a_database_address_moves_it_to_postgresql():
    assert (
        setting("DATABASES['default']['ENGINE']", DATABASE_URL="postgres://navclass@db/navclass")
        == "'django.db.backends.postgresql'"
    )


@pytest.mark.parametrize(
    ("name", "value", "check", "identifier"),
    [
        ("SECRET_KEY", "", checks.secret_key_is_set, "navclass.E001"),
        ("ALLOWED_HOSTS", [], checks.hosts_are_set, "navclass.E002"),
        ("HOTSPOT", True, checks.hotspot_is_meant, "navclass.W001"),
        ("DEBUG", True, checks.debug_is_off, "navclass.W002"),
    ],
)
def test_what_is_unsafe_is_said_with_an_id_and_a_hint(settings, name, value, check, identifier):
    setattr(settings, name, value)

    (found,) = check(None)

    assert (found.id, bool(found.hint)) == (identifier, True)


def test_nothing_is_said_of_safe_settings(settings):
    settings.HOTSPOT, settings.DEBUG, settings.SECRET_KEY, settings.ALLOWED_HOSTS = (
        False,
        False,
        "x" * 50,
        ["class.example"],
    )

    assert [
        one
        for check in (
            checks.secret_key_is_set,
            checks.hosts_are_set,
            checks.hotspot_is_meant,
            checks.debug_is_off,
        )
        for one in check(None)
    ] == []


@pytest.mark.django_db
def test_no_migration_is_outstanding():
    call_command("makemigrations", "--check", "--dry-run", verbosity=0)


def test_djangos_own_checks_find_nothing():
    assert run_checks() == []


def test_pages_carry_a_strict_content_policy(client, db):
    policy = client.get("/").headers["Content-Security-Policy"]

    assert "default-src 'self'" in policy
    assert "unsafe" not in policy
