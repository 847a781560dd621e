"""Every sentence can be said in another language."""

import dataclasses
import html
import json
import re
from pathlib import Path

import polib
import pytest
from django.conf import settings as configured
from django.utils import translation

from exercises.domain.tasks import key
from exercises.domain.words import say, say_many
from exercises.languages import phone_catalogue, tell, tell_signed, told
from exercises.management.commands.messages import (
    NotLiteral,
    collected,
    in_python,
    in_script,
    in_template,
    paths,
)
from tests import cast
from tests.ground import answer

TEMPLATES = Path(__file__).resolve().parent.parent / "exercises" / "templates" / "exercises"
ALL_TEMPLATES = sorted(
    path.relative_to(TEMPLATES).as_posix()
    for path in (
        TEMPLATES / "base.html",
        TEMPLATES / "not_found.html",
        *(
            path
            for folder in ("desk", "debrief", "parts", "station")
            for path in (TEMPLATES / folder).glob("*.html")
        ),
    )
)
NO_SENTENCES = {
    "navclass",
    "CSV",
    "XLSX",
    "GPX",
    "GeoJSON",
    "KML",
}  # names that are the same everywhere
CLASSES = re.compile(r"{% block body_(?:class|data) %}.*?{% endblock %}")
MARKED = re.compile(r"{% blocktranslate\b.*?{% endblocktranslate %}|{% translate .*?%}", re.DOTALL)
LITERAL = re.compile(
    r"""{{[^}]*?:(?:"([^"]*)"|'([^']*)')[^}]*}}"""
)  # what a filter is given, unless it is marked with _()
FORMATS = re.compile(r"\|(?:date|floatformat|join|json_script):(?:\"[^\"]*\"|'[^']*')")
TAG = re.compile(r"{%.*?%}|{{.*?}}|{#.*?#}", re.DOTALL)
ATTRIBUTE = re.compile(r"""\b(?:aria-label|alt|title|placeholder)=(?:"([^"]*)"|'([^']*)')""")
ELEMENT = re.compile(r"<[^>]*>")
ENTITY = re.compile(r"&\w+;")


def unmarked(source):
    """Texts of a template that people see and that no catalogue can hold."""
    rest = FORMATS.sub("", MARKED.sub("", CLASSES.sub("", source)))
    literals = [one or other for one, other in LITERAL.findall(rest)]
    plain = TAG.sub("", rest)
    attributes = [one or other for one, other in ATTRIBUTE.findall(plain)]
    texts = [
        text.strip()
        for text in [
            *literals,
            *attributes,
            *ELEMENT.sub("\n", ENTITY.sub(" ", plain)).splitlines(),
        ]
    ]
    return [
        text
        for text in texts
        if any(word not in NO_SENTENCES for word in re.findall(r"[^\W\d_]{2,}", text))
    ]


def test_every_sentence_is_a_literal():
    assert collected()["django"]


@pytest.mark.parametrize("name", ALL_TEMPLATES)
def test_every_text_of_a_template_is_marked(name):
    assert unmarked((TEMPLATES / name).read_text(encoding="utf-8")) == []


@pytest.mark.parametrize(
    ("source", "found"),
    [
        ("<p>Sign in</p>", ["Sign in"]),
        ('<nav aria-label="Parts"></nav>', ["Parts"]),
        ('{{ site.cautions|default:"None noted." }}', ["None noted."]),
        ("<p>{{ number }} tasks</p>", ["tasks"]),
        ('<p>{% translate "Sign in" %} · navclass</p>', []),
        ('{{ site.cautions|default:_("None noted.") }} {{ day|date:"DATE_FORMAT" }}', []),
        ("<p>{% blocktranslate trimmed %}One <strong>two</strong>{% endblocktranslate %}</p>", []),
    ],
)
def test_what_is_not_marked_is_found(source, found):
    assert unmarked(source) == found


def test_a_warning_that_was_frozen_with_a_key_can_still_be_said_in_another_language():
    frozen = dataclasses.replace(
        answer(), warning=say("The field is only {field:.0f} nT here.", field=4000.0)
    )

    (read,) = key.from_plain(json.loads(json.dumps(key.to_plain([frozen]))))

    assert (read, read.warning.pattern, read.warning.values) == (
        frozen,
        frozen.warning.pattern,
        {"field": 4000.0},
    )
    assert (
        key.from_plain([{**key.to_plain([frozen])[0], "warning": "as it was kept before"}])[
            0
        ].warning
        == "as it was kept before"
    )


LANGUAGES = [code for code, _ in configured.LANGUAGES if code != "en"]
PLACEHOLDER = re.compile(r"\{\w*(?:[:!][^}]*)?\}|%\(\w+\)s|%%|</?\w+[^>]*>|&\w+;")


@pytest.mark.parametrize("domain", ["django", "djangojs"])
@pytest.mark.parametrize("language", LANGUAGES)
class TestCatalogue:
    """`manage.py messages` keeps these true."""

    def test_it_holds_every_sentence_and_no_other(self, language, domain):
        assert {
            entry.msgid: entry.msgid_plural
            for entry in polib.pofile(str(paths(language, domain)[0]))
        } == {message: plural for message, (plural, _) in collected()[domain].items()}

    def test_every_sentence_is_translated(self, language, domain):
        assert [
            entry.msgid
            for entry in polib.pofile(str(paths(language, domain)[0]))
            if not entry.translated()
        ] == []

    def test_a_translation_holds_the_same_values(self, language, domain):
        def values(text):
            return sorted(PLACEHOLDER.findall(text))

        wrong = [
            entry.msgid
            for entry in polib.pofile(str(paths(language, domain)[0]))
            for ours, theirs in (
                [(entry.msgid_plural, entry.msgstr_plural[1])]
                if entry.msgid_plural
                else [(entry.msgid, entry.msgstr)]
            )
            if values(ours) != values(theirs)
        ]
        assert wrong == []

    def test_the_compiled_form_is_that_of_the_text(self, language, domain):
        text, compiled = paths(language, domain)

        assert [
            (entry.msgid, entry.msgstr, entry.msgstr_plural)
            for entry in sorted(polib.mofile(str(compiled)), key=lambda entry: entry.msgid)
        ] == [
            (entry.msgid, entry.msgstr, entry.msgstr_plural)
            for entry in sorted(polib.pofile(str(text)), key=lambda entry: entry.msgid)
        ]


@pytest.mark.parametrize(
    ("collect", "source", "found"),
    [
        (
            lambda source: in_python(source, "x.py"),
            'say("One {a}", a=1) + tell_many("one", "many", 2) + other("no")',
            [("One {a}", ""), ("one", "many")],
        ),
        (
            in_script,
            'say("One"); sayMany("one", "many", n); tell("no")',
            [("One", ""), ("one", "many")],
        ),
        (
            in_template,
            '{% translate "One" %}{% blocktranslate count n=2 %}one{% plural %}many{% '
            "endblocktranslate %}no",
            [("One", ""), ("one", "many")],
        ),
    ],
)
def test_sentences_are_found_where_they_are_said(collect, source, found):
    assert list(collect(source)) == found


def test_a_sentence_that_is_put_together_is_refused():
    with pytest.raises(NotLiteral, match=r"x\.py, line 1"):
        list(in_python('say(f"{a} lies there")', "x.py"))


@pytest.fixture(scope="module")
def brackets(tmp_path_factory):
    """The catalogues of a language in which every sentence of ours stands in brackets."""
    made = tmp_path_factory.mktemp("brackets")
    folder = made / "es" / "LC_MESSAGES"
    folder.mkdir(parents=True)
    for domain, messages in collected().items():
        catalogue = polib.POFile()
        catalogue.metadata = {
            "Content-Type": "text/plain; charset=UTF-8",
            "Plural-Forms": "nplurals=2; plural=(n != 1);",
        }
        for message, (plural, _) in messages.items():
            catalogue.append(
                polib.POEntry(
                    msgid=message,
                    msgid_plural=plural,
                    msgstr_plural={0: f"⟦{message}⟧", 1: f"⟦{plural}⟧"},
                )
                if plural
                else polib.POEntry(msgid=message, msgstr=f"⟦{message}⟧")
            )
        catalogue.save_as_mofile(str(folder / f"{domain}.mo"))
    return made


@pytest.fixture
def marked(settings, brackets):
    """A language of brackets, so that any other text shows."""
    settings.LOCALE_PATHS = [brackets]


INNERMOST = re.compile(r"⟦[^⟦⟧]*⟧")
CONTENT = {
    "navclass",
    "Test",
    "ground",
    "Saturday",
    "Short",
    "round",
    "ines",
    "the",
    "thing",
    "peg",
    "gate",
    "painted",
    "stone",
    "Mia",
    "Keep",
    "off",
    "road",
    "EPSG",
    "csv",
    "CSV",
    "XLSX",
    "GPX",
    "GeoJSON",
    "KML",
    "UTM",
    "MGRS",
    "IGRF",
    "WMM",
    "English",
    "Español",
    "UTC",
    "Pacific",
    "Auckland",
    "Ashburton",
    "Christchurch",
    "Dunedin",
    "Invercargill",
    "Oamaru",
    "Timaru",
    "Wanaka",
    "octubre",
    "oct",
    "Oct",
    "sábado",
    "noviembre",
    "nov",
    "testserver",
    "http",
    "join",
    "abcdef",
}  # what instructors wrote, names (towns on the map among them), units and formats


def unsaid(page):
    """Words on a page that no catalogue said."""
    rest = re.sub(
        r"<(script|style)\b.*?</\1>|<strong class=.personal-code.>.*?</strong>",
        "",
        page,
        flags=re.DOTALL,
    )
    attributes = " ".join(re.findall(r'(?:aria-label|alt|title|placeholder)="([^"]*)"', rest))
    rest = html.unescape(f"{re.sub(r'<[^>]*>', ' ', rest)} {attributes}")
    while INNERMOST.search(rest):
        rest = INNERMOST.sub(" ", rest)
    return {word for word in re.findall(r"[^\W\d_]{3,}", rest)}


ADDRESSES = (
    "/",
    "/practice/",
    "/phone/",
    "/trust/",
    "/hand-in/",
    "/sites/",
    "/sites/new/",
    "/sites/{site}/",
    "/sites/{site}/edit/",
    "/sites/{site}/points/new/",
    "/sites/{site}/points/T1/",
    "/sites/{site}/over-time/",
    "/sites/{site}/points/A/surveys/",
    "/sites/{site}/points/A/here/",
    "/sites/{site}/here/",
    "/sites/{site}/measured/",
    "/sites/{site}/import/",
    "/sites/{site}/ground/",
    "/sites/{site}/hazards/new/",
    "/courses/{course}/propose/"
    "?number=3&kind=sight&north=mixed&preset=usual&refuse=A%3ET1%3Emagnetic",
    "/sites/{site}/courses/new/",
    "/courses/{course}/",
    "/classes/{pk}/",
    "/classes/{pk}/print/",
    "/classes/{pk}/paper/",
    "/classes/{pk}/key/",
    "/classes/{pk}/debrief/",
    "/classes/{pk}/debrief/alone/",
    "/classes/{pk}/people/{person}/",
    "/experience/",
    "/classes/{pk}/key/correct/?what=station&of=A&degrees=9&error=1",
    "/c/{code}/join/?more",
    "/c/{code}/other-phone/",
    "/c/{code}/compass/",
    "/c/{code}/pace/",
    "/c/{code}/mine/",
    "/my-classes/",
    "/nowhere/",
)


@pytest.mark.parametrize("address", ADDRESSES)
def test_no_page_says_anything_that_is_not_in_the_catalogue(marked, desk, open_class, address):
    joined = cast.join(open_class, "Mia")
    cast.six_read(open_class, other=("3", "015"))
    cast.send(open_class, joined[0][0], ("1", "224"), ("2", "T1"))
    cast.speaks_for(desk, open_class, joined)
    open_class.released_at = cast.LATER
    open_class.save()
    place = {
        "site": open_class.course.site_id,
        "course": open_class.course_id,
        "pk": open_class.pk,
        "person": joined[0][0].pk,
        "code": open_class.code,
    }

    page = desk.get(address.format(**place), headers={"accept-language": "es"}).content.decode()

    assert "⟦" in page
    assert unsaid(page.replace(open_class.code, "")) - CONTENT == set()


def test_what_a_phone_is_told_is_said_in_its_language(marked, desk, open_class):
    joined = cast.join(open_class, "Mia")
    cast.speaks_for(desk, open_class, joined)
    cast.send(open_class, joined[0][0], ("1", "224"), ("3", "015"))

    told_now = desk.get(f"/c/{open_class.code}/state/", headers={"accept-language": "es"}).json()

    said = [
        told_now["tasks"][0]["prompt"],
        told_now["tasks"][0]["north"],
        *(
            one[part]
            for one in told_now["shown"]
            for part in ("credit", "reading", "answer", "error", "cause", "advice")
        ),
    ]
    assert told_now["language"] == "es"
    assert [text for text in said if unsaid(text) - CONTENT] == []


def test_numbers_follow_the_reader():
    with translation.override("es"):
        assert (
            tell("{degrees:.1f}° off", degrees=2.5),
            tell_signed(-2.5, 1),
            told(say_many("{number} thing", "{number} things", 2)),
        ) == ("2,5° off", "−2,5", "2 things")
    with translation.override("en"):
        assert tell("{degrees:.1f}° off", degrees=2.5) == "2.5° off"


def test_the_phones_catalogue_is_empty_in_english_and_full_in_spanish():
    with translation.override("en"):
        assert phone_catalogue() == {}
    with translation.override("es"):
        assert set(phone_catalogue()) == set(collected()["djangojs"])


@pytest.mark.parametrize(
    ("header", "cookie", "language"),
    [("es-AR,es;q=0.9", None, "es"), ("de", None, "en"), ("en", "es", "es"), ("es", "en", "en")],
)
def test_the_phone_chooses_the_language_and_the_person_may_change_it(
    client, db, header, cookie, language
):
    if cookie:
        client.cookies["navclass_language"] = cookie

    assert (
        f'<html lang="{language}">'
        in client.get("/", headers={"accept-language": header}).content.decode()
    )
