"""A migration that changes the type of a column, as who is signed in meets it. The rule of the
database: “cached plan must not change result type”, PostgreSQL 15, src/backend/utils/cache/
plancache.c (from memory).
"""

import pytest
from django.db import connection

pytestmark = pytest.mark.skipif(
    connection.vendor != "postgresql", reason="asks PostgreSQL about its plans"
)
WIDEN = "ALTER TABLE auth_user ALTER first_name TYPE varchar({})"
OFTEN = 10  # more than it takes until a question is planned for good


@pytest.fixture
def widen():
    """Widens the column from another connection, as a migration does; narrows it in the end."""
    migrating = connection.copy()

    def to(length):
        with migrating.cursor() as cursor:
            cursor.execute(WIDEN.format(length))

    yield to
    to(150)
    migrating.close()


@pytest.mark.django_db(transaction=True)
def test_one_request_of_a_connection_at_most_meets_a_column_of_another_type(client, ines, widen):
    client.raise_request_exception = False
    client.force_login(ines)
    before = {client.get("/sites/").status_code for _ in range(OFTEN)}

    widen(160)

    assert before == {200}
    assert [client.get("/sites/").status_code for _ in range(3)] == [500, 200, 200]
