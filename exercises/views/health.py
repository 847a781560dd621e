"""Whether this process is alive, and whether it is ready to serve: for who starts, watches and
replaces it. Says nothing that a stranger may not know, and needs no host name, no https and no
cookie, for it is asked by machines at an address.
"""

from functools import cache

from django.db import DatabaseError, connection
from django.db.migrations.executor import MigrationExecutor
from django.http import JsonResponse

ALIVE, READY = "/health/alive/", "/health/ready/"


def answers_for_itself(get_response):
    """A middleware, the first of all: those after it look at who asks."""

    def middleware(request):
        if request.path == ALIVE:
            return _told({"alive": True})
        if request.path == READY:
            waits_for = _missing()
            return _told({"ready": not waits_for, "waits_for": waits_for}, bool(waits_for))
        return get_response(request)

    return middleware


def _told(what, is_trouble=False):
    return JsonResponse(
        what, status=503 if is_trouble else 200, headers={"Cache-Control": "no-store"}
    )


def _missing():
    """What it waits for, as a list of "database" or "migrations"."""
    try:
        with connection.cursor() as cursor:
            cursor.execute("SELECT 1")
        return [] if _are_migrated() else ["migrations"]
    except DatabaseError:
        return ["database"]


def _are_migrated():
    """Whether the database has every migration of this program. That it has is found once: the
    program does not change while it runs.
    """
    try:
        return _has_all()
    except _NotYetError:
        return False


class _NotYetError(Exception):
    """Migrations are missing; raised so that this is not remembered."""


@cache
def _has_all():
    executor = MigrationExecutor(connection)
    if executor.migration_plan(executor.loader.graph.leaf_nodes()):
        raise _NotYetError
    return True
