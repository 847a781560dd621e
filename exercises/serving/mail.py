"""Mail leaves beside the request: how long an answer takes must not tell whether an account has an
address, and a mail server that is slow must hold up nobody.
"""

import logging
import threading

from django.core.mail import get_connection

log = logging.getLogger(__name__)


def send_beside(messages):
    """Send messages in a thread of their own; what goes wrong is noted in the log."""
    connection = get_connection()
    threading.Thread(target=_send, args=(connection, messages), daemon=True).start()


def _send(connection, messages):
    try:
        connection.send_messages(messages)
    except OSError:  # of a socket, and of smtplib
        log.exception("Mail for a new password could not be sent.")
