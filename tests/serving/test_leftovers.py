import gc

import pytest

from exercises.serving import leftovers, server, supervisor


@pytest.fixture
def collector():
    """The collector as it was, put back."""
    threshold = gc.get_threshold()
    yield gc
    gc.unfreeze()
    gc.set_threshold(*threshold)


def test_what_is_loaded_is_not_looked_through_again(collector):
    collector.unfreeze()

    leftovers.look_seldom()

    assert collector.get_freeze_count() > 10_000  # Django alone is more
    assert collector.get_threshold()[0] == leftovers.YOUNG


def test_a_server_settles_before_its_processes_part(collector, monkeypatch):
    collector.unfreeze()
    frozen = []
    monkeypatch.setattr(
        supervisor, "keep", lambda *processes: frozen.append(collector.get_freeze_count())
    )

    with server.listen("127.0.0.1", 0) as listening:
        server.run(None, listening)

    assert frozen[0] > 10_000
