"""Where a request comes from, as far as doors are concerned."""

import ipaddress

from django.conf import settings

NETWORK_V6 = 64  # one household or school has at least so many bits to itself (RFC 6177)


def address_of(request):
    """The address of who asks; of IPv6 its network. Behind a proxy the one that the proxy saw and
    put last: those before it are anybody's claim.
    """
    told = request.META.get("REMOTE_ADDR", "")
    if settings.BEHIND_PROXY:
        told = request.META.get("HTTP_X_FORWARDED_FOR", told).rpartition(",")[2].strip()
    try:
        address = ipaddress.ip_address(told)
    except ValueError:
        return "nowhere"
    if address.version == 6:
        return str(ipaddress.ip_network((address, NETWORK_V6), strict=False))
    return str(address)
