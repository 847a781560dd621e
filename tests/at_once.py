"""The same moment, in several threads: what people do with a finger that trembles."""

import threading
from concurrent.futures import ThreadPoolExecutor

from django.db import connection

PATIENCE_S = 60  # a test that hangs ends; nothing is measured by it


def at_once(*acts):
    """What each of several functions returns, all of them begun together in threads of their own,
    each with its own connection to the database.
    """
    begun = threading.Barrier(len(acts))

    def acted(act):
        begun.wait(PATIENCE_S)
        try:
            return act()
        finally:
            connection.close()

    with ThreadPoolExecutor(len(acts)) as threads:
        return [future.result(PATIENCE_S) for future in [threads.submit(acted, a) for a in acts]]
