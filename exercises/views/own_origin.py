"""Our answers are for our own pages: no page of another origin loads them into itself, not even as
a picture or a script, or shows them in a frame; and they are nothing but what they are called.
"""

BY_ITSELF = "frame-ancestors 'none'"  # for what is no page, and has no policy of its own


def for_our_pages_alone(get_response):
    """A middleware, outside all that answers: static files too."""

    def middleware(request):
        response = get_response(request)
        response.headers["Cross-Origin-Resource-Policy"] = "same-origin"
        response.headers["X-Content-Type-Options"] = "nosniff"
        response.headers.setdefault("Content-Security-Policy", BY_ITSELF)
        return response

    return middleware
