"""What cookies are called that speak for somebody. Where all is https their names begin with
`__Host-`: a browser takes such a cookie from this host alone and over https alone, so that no
neighbour under the same domain can put one of theirs in its place (RFC 6265bis, 4.1.3.2).
"""

from django.conf import settings


def host_only(name):
    """The name as it is given out."""
    return f"{settings.HOST_PREFIX}{name}"


def held(request, name):
    """What a browser holds by a name, an empty text for nothing. A phone that was told a plain name
    before there were others goes on by it, for it may be in the middle of a class.
    """
    return request.COOKIES.get(host_only(name)) or request.COOKIES.get(name, "")
