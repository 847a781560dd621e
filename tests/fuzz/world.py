"""What is there to be spoilt: a site, a course and a class of Ines's, with all that addresses name;
who asks; which forms the pages show; what scripts send.
"""

import uuid
from dataclasses import dataclass
from html.parser import HTMLParser

from django.test import Client
from django.urls import get_resolver
from django.utils import timezone

from exercises.domain.running import roles
from exercises.usecases import give_roles
from exercises.usecases.trail import Account
from tests import cast
from tests.permissions import arguments, lay_out

ROLES = ("owner", "other", "helper", "participant", "nobody")


@dataclass(frozen=True)
class Form:
    """A form of a page: where it leads, how, and the values that each of its fields offers."""

    path: str
    method: str
    fields: dict


@dataclass(frozen=True)
class World:
    """All that requests are made of."""

    clients: dict
    named: dict  # what an address may name, by the name of its part
    addresses: list  # (text with %(name)s in it, {name: whether it is a number})
    forms: list
    scripts: list  # (path, what a script sends there)


class _Forms(HTMLParser):
    """The forms of a page."""

    def __init__(self, path):
        super().__init__()
        self.path, self.found, self.fields, self.open = path, [], None, ""

    def handle_starttag(self, tag, attributes):
        held = dict(attributes)
        if tag == "form":
            self.fields = {}
            action = (held.get("action") or self.path).partition("#")[0] or self.path
            self.found.append(Form(action, held.get("method") or "get", self.fields))
        elif self.fields is not None and tag in ("input", "textarea", "select", "button"):
            self.open = held.get("name") or ""
            if self.open:
                self.fields.setdefault(self.open, []).append(held.get("value") or "")
        elif tag == "option" and self.fields is not None and self.open:
            self.fields[self.open].append(held.get("value") or "")

    def handle_endtag(self, tag):
        if tag == "form":
            self.fields = None


def forms_of(client, path):
    """The forms that a page shows to somebody; none where it shows no page."""
    answer = client.get(path)
    if answer.status_code != 200 or not answer.headers["Content-Type"].startswith("text/html"):
        return []
    parser = _Forms(path)
    parser.feed(answer.content.decode())
    return parser.found


def _clients(course_class, joined):
    clients = {role: Client(raise_request_exception=False) for role in ROLES}
    clients["owner"].force_login(course_class.owner)
    clients["other"].force_login(cast.instructor("karl"))
    helper = cast.instructor("hana")
    invitation = give_roles.invite(
        course_class=course_class,
        role=roles.HELPER,
        sees_answers=False,
        days=60,
        by=Account(course_class.owner),
        now=timezone.now(),
    )
    give_roles.take_as_account(invitation=invitation, user=helper, now=timezone.now())
    clients["helper"].force_login(helper)
    cast.speaks_for(clients["participant"], course_class, joined)
    return clients


def _scripts(course_class, person, laid_out):
    """(path, what a script sends there)."""
    code, pk = course_class.code, course_class.pk
    about = {"id": str(uuid.UUID(int=7)), "at": "2026-10-03T09:31:00Z"}
    return [
        (f"/c/{code}/readings/", {"readings": [cast.reading(person, unit="deg", mils=False)]}),
        (
            f"/c/{code}/readings/",
            {
                "readings": [
                    {**about, "about": laid_out["reading"], "question": "dial", "said": "red"},
                    {**about, "about": laid_out["reading"], "cause": "declination"},
                ]
            },
        ),
        (f"/c/{code}/at-home/", {"person": person.pk, "lessons": ["north"]}),
        (
            f"/classes/{pk}/headcount/{laid_out['count']}/marks/",
            {
                "marks": [{**about, "person": person.pk, "here": True, "marked_at": about["at"]}],
                "clock": about["at"],
            },
        ),
        (
            f"/classes/{pk}/rotation/marks/",
            {
                "version": laid_out["rotation_version"],
                "marks": [{**about, "what": "change", "round": 1, "marked_at": about["at"]}],
                "clock": about["at"],
            },
        ),
        (
            f"/classes/{pk}/live/acts/",
            {"acts": [{**about, "do": "note", "text": "a", "station": "A"}], "clock": about["at"]},
        ),
    ]


def build():
    """A world in the database."""
    owner = cast.instructor("ines")
    course_class = cast.class_of(owner)
    joined = cast.join(course_class, "Mia")
    ((person, _),) = joined
    laid_out = lay_out(course_class, person)
    wanted = {
        "pk",
        "point",
        "card",
        "course",
        "class",
        "what",
        "number",
        "person",
        "version",
        "name",
        "uidb64",
        "token",
        *laid_out,
    }
    named = {}
    for name in [*sorted(wanted - {"pk", "class"}), "pk", "class"][::-1]:
        for part, value in arguments([name], course_class, person, laid_out).items():
            named.setdefault(part, []).append(value)
    named["code"].append(course_class.code)
    clients = _clients(course_class, joined)
    scripts = _scripts(course_class, person, laid_out)
    world = World(clients, named, _addresses(), [], scripts)
    for text, parts in world.addresses:
        if not text.endswith("/"):
            continue  # a print or a table
        path = "/" + text % {part: named[part][0] for part in parts}
        for client in clients.values():
            world.forms.extend(forms_of(client, path))
    return world


def _addresses():
    """Each address by its pattern, with the converter of each of its parts."""
    routes = get_resolver("exercises.urls").reverse_dict
    found = {}
    for name in routes:
        for ((text, _parts), *_others), _pattern, _given, converters in routes.getlist(name):
            found[text] = {part: one.regex == "[0-9]+" for part, one in converters.items()}
    return sorted(found.items())
