"""What a browser is asked about a passkey, kept in its session until it answers."""

from datetime import UTC, datetime

from django.utils import timezone

from ..languages import told
from ..usecases import passkey_ceremony
from ..usecases.passkeys import Question

# in the session: the challenge and when it was given, of a passkey to be made, and to be used
MAKE, USE = "passkey_to_make", "passkey_to_use"


def here_or_none(request):
    """How the browser names this server, or None with a sentence why it knows no passkeys here."""
    try:
        return passkey_ceremony.here(host=request.get_host(), is_secure=request.is_secure()), ""
    except passkey_ceremony.NoPasskeysHere as error:
        return None, told(error)


def ask(request, which):
    """A new question, in place of one that the session holds."""
    question = Question(passkey_ceremony.new_challenge(), timezone.now())
    request.session[which] = [question.challenge, question.asked_at.timestamp()]
    return question


def asked(request, which):
    """The question that the session holds, which holds it no more; None for none."""
    challenge, since = request.session.pop(which, (None, 0))
    return challenge and Question(challenge, datetime.fromtimestamp(since, UTC))
