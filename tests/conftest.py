import pytest

from tests import cast


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
