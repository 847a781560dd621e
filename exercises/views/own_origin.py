"""Our answers are for our own pages: no page of another origin loads them into itself, not even as
a picture or a script.
"""


def for_our_pages_alone(get_response):
    """A middleware, outside all that answers: static files too."""

    def middleware(request):
        response = get_response(request)
        response.headers["Cross-Origin-Resource-Policy"] = "same-origin"
        return response

    return middleware
