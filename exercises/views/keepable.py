"""What a browser may keep of our answers: nothing, but for pages that are about nobody.

A borrowed laptop's cache would show names, readings and keys to whoever uses it next. The rule is
turned round so that a new page is safe before anybody thinks of it. The phone's shell stays as it
was: a phone restores a closed page from what it kept, and works without a network.
"""

from django.utils.cache import add_never_cache_headers

# by the names of addresses; each is the same for everybody, whoever is signed in
KEEPABLE = frozenset(
    {
        "authority",
        "bare_page",
        "glossary",
        "home",
        "manifest",
        "practice",
        "retention",
        "script",
        "station",  # bare: what it shows comes apart, and is not to be kept
        "style",
        "trust",
        "worker",
    }
)


def only_the_shell_is_kept(get_response):
    """A middleware: `Cache-Control: no-store` (RFC 9111, 5.2.2.5) on every other answer."""

    def middleware(request):
        response = get_response(request)
        match = request.resolver_match
        if match is None or match.url_name not in KEEPABLE or response.status_code != 200:
            add_never_cache_headers(response)
        return response

    return middleware
