"""PostgreSQL keeps the plan of a question with the connection that asks it often, and refuses the
question there from when a migration changed the type of a column in it. So a connection on which
that happened is left: the next request has a new one.
"""

import sys
from typing import Any

from django.core.signals import got_request_exception
from django.db import NotSupportedError, connection
from django.dispatch import receiver


@receiver(got_request_exception)
def leave_old_plans(**_sent: Any) -> None:
    """Close the connection of a request that failed on what the database does not do any more."""
    if isinstance(sys.exc_info()[1], NotSupportedError):
        connection.close()
