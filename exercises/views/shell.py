"""What a phone may keep: the bare pages, their style and scripts, the service worker, the manifest.
Nothing here is about anybody.
"""

import json

from django.http import Http404, HttpResponse, JsonResponse
from django.shortcuts import render
from django.templatetags.static import static
from django.urls import reverse
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from ..domain.planning.home_lessons import LESSONS
from ..languages import tell
from ..serving import shell

FOR_A_YEAR = "public, max-age=31536000, immutable"


@require_safe
def bare_page(request):
    """The class's page without a class: what the service worker opens for every class."""
    return render(request, "exercises/station/class.html", {"lesson_codes": " ".join(LESSONS)})


def _file(content, content_type, version):
    """A file whose address holds its version; one of another version is told to be asked for
    again.
    """
    return HttpResponse(
        content,
        content_type=content_type,
        headers={"Cache-Control": FOR_A_YEAR if version == shell.version() else "no-cache"},
    )


@require_safe
def style(request, version):
    """The style sheet of the phone's pages."""
    return _file(shell.stylesheet(), "text/css; charset=utf-8", version)


@require_safe
def script(request, name, version):
    """The script of one of the phone's pages."""
    if name not in shell.SCRIPTS | shell.APART:
        raise Http404("There is no such script.")
    return _file(shell.script(name), "text/javascript; charset=utf-8", version)


@require_safe
@never_cache
def worker(request):
    """The service worker, from the root because a worker rules only its own folder."""
    files = [
        reverse("style", args=[shell.version()]),
        *(reverse("script", args=[name, shell.version()]) for name in shell.SCRIPTS),
        static(shell.QR),
        static("exercises/icon.svg"),
        reverse("manifest"),
    ]
    shell_words = {
        "version": shell.version(),
        "pages": [reverse("bare_page"), reverse("practice"), reverse("glossary"), reverse("home")],
        "files": files,
    }
    source = (shell.STATIC / "js" / "worker.js").read_text(encoding="utf-8")
    return HttpResponse(
        f"const SHELL = {json.dumps(shell_words)};\n{source}",
        content_type="text/javascript; charset=utf-8",
    )


@require_safe
def manifest(request):
    """What makes the pages installable."""
    return JsonResponse(
        {
            "name": "navclass",
            "short_name": "navclass",
            "description": tell("Practise with a compass, and learn from every reading."),
            "id": "/",
            "start_url": reverse("home"),
            "scope": "/",
            "display": "standalone",
            "icons": [
                {"src": static("exercises/icon.svg"), "type": "image/svg+xml", "sizes": "any"}
            ],
        },
        content_type="application/manifest+json",
    )
