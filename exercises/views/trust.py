"""How a phone of the school comes to trust the laptop's own certificate authority."""

from django.conf import settings
from django.http import Http404, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from ..serving import certificates


def _certificate():
    """The authority's certificate, or None where this server has none."""
    path = settings.DATA_DIR / "https" / "authority.crt"
    return path.read_bytes() if path.exists() else None


@require_safe
def trust(request):
    """What to do on the phone, step by step, and what it means."""
    certificate = _certificate()
    return render(
        request,
        "exercises/station/trust.html",
        {
            "fingerprint": certificates.fingerprint(certificates.read(certificate))
            if certificate
            else ""
        },
    )


@require_safe
def authority(request):
    """The certificate to install. Raises Http404 where this server has none."""
    certificate = _certificate()
    if certificate is None:
        raise Http404("This server has no certificate authority of its own.")
    return HttpResponse(
        certificate,
        content_type="application/x-x509-ca-cert",
        headers={"Content-Disposition": 'attachment; filename="navclass.crt"'},
    )
