"""The application as it is served: Django's, behind what Django itself stumbles over."""

from urllib.parse import unquote

from django.core.wsgi import get_wsgi_application


def application():
    """The WSGI application of a production server."""
    return heads_alone(without_null_charsets(get_wsgi_application()))


def without_null_charsets(inner):
    """A WSGI application that refuses a content type with a null character in it, also a written
    one (`%00`, RFC 8187): Python looks no charset of that name up, and Django asks before any
    middleware can answer.
    """

    def answered(environ, start_response):
        if "\x00" in unquote(environ.get("CONTENT_TYPE", "")):
            start_response("400 Bad Request", [("Content-Type", "text/plain")])
            return [b"The content type holds a null character."]
        return inner(environ, start_response)

    return answered


def heads_alone(inner):
    """An application whose answers to HEAD have no body. Waitress would send one, and whoever asks
    next on the same connection would take it for the beginning of their own answer.
    """

    def answered(environ, start_response):
        parts = inner(environ, start_response)
        if environ["REQUEST_METHOD"] != "HEAD":
            return parts
        if hasattr(parts, "close"):
            parts.close()
        return []

    return answered
