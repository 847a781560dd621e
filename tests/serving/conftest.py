import pytest

from .served import Served, copied, prepare


@pytest.fixture(scope="session")
def prepared(tmp_path_factory):
    """A data folder with a class in it, and the class's code."""
    folder = tmp_path_factory.mktemp("prepared") / "data"
    return folder, prepare(folder)


@pytest.fixture
def serve(prepared, tmp_path):
    """Starts servers on one copy of the database, and leaves none behind."""
    template, code = prepared
    folder, started = copied(template, tmp_path / "data"), []

    def start(*arguments, **more):
        started.append(Served(folder, code, *arguments, **more))
        return started[-1]

    yield start
    for server in started:
        server.kill()
