import hypothesis
import pytest
from django.core.cache import cache
from django.db import connection
from django.test import override_settings

from exercises import queries
from exercises.promises import enforce
from tests import cast, permissions

# A busy machine is no fault of the program's.
hypothesis.settings.register_profile("unhurried", deadline=None)
hypothesis.settings.load_profile("unhurried")


@pytest.fixture(scope="session", autouse=True)
def quick_passwords():
    """Hashing a password takes a third of a second by design, and tests sign in often."""
    with override_settings(PASSWORD_HASHERS=["django.contrib.auth.hashers.MD5PasswordHasher"]):
        yield


@pytest.fixture(scope="session", autouse=True)
def memory_of_its_own():
    """One process remembers by itself, so that tests without a database can forget as well; that
    several remember the same is tried by tests/serving.
    """
    own = {"default": {"BACKEND": "django.core.cache.backends.locmem.LocMemCache"}}
    with override_settings(CACHES=own):
        yield


@pytest.fixture(autouse=True)
def nothing_remembered():
    """What a process remembers of a class is of another one in the next test."""
    cache.clear()
    queries.forget()


@pytest.fixture(autouse=True)
def rows_may_go_after_a_test(request):
    """SQLite empties its tables row by row after a test that committed; migrating puts the promises
    in force again.
    """
    marker = request.node.get_closest_marker("django_db")
    commits = {"transactional_db", "live_server"} & set(request.fixturenames)
    if not commits and not (marker and marker.kwargs.get("transaction")):
        yield
        return
    request.getfixturevalue("transactional_db")
    yield
    enforce.lift(connection)


@pytest.fixture
def ines(db):
    return cast.instructor("ines")


@pytest.fixture
def karl(db):
    return cast.instructor("karl")


@pytest.fixture
def open_class(ines):
    return cast.class_of(ines)


@pytest.fixture
def mia(open_class):
    ((person, _),) = joined = cast.join(open_class, "Mia")
    person.joined = joined
    return person


@pytest.fixture
def desk(client, ines):
    client.force_login(ines)
    return client


@pytest.fixture
def phone(client, open_class, mia):
    return cast.speaks_for(client, open_class, mia.joined)


@pytest.fixture
def laid_out(open_class, mia):
    """What `lay_out` leaves."""
    return permissions.lay_out(open_class, mia)
