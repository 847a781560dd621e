"""Every sentence can be said in another language."""
import dataclasses
import json
import re
from pathlib import Path

import pytest

from exercises.domain import key
from exercises.domain.words import say
from exercises.management.commands.messages import collected
from tests.ground import answer

TEMPLATES = Path(__file__).resolve().parent.parent / "exercises" / "templates" / "exercises"
AT_THE_DESK = sorted(path.relative_to(TEMPLATES).as_posix() for path in (TEMPLATES / "not_found.html", *(path for folder in ("desk", "debrief", "parts") for path in (TEMPLATES / folder).glob("*.html"))))
NO_SENTENCES = {"navclass"}  # names that are the same everywhere
CLASSES = re.compile(r"{% block body_class %}.*?{% endblock %}")
MARKED = re.compile(r"{% blocktranslate\b.*?{% endblocktranslate %}|{% translate .*?%}", re.DOTALL)
LITERAL = re.compile(r"""{{[^}]*?:(?:"([^"]*)"|'([^']*)')[^}]*}}""")  # what a filter is given, unless it is marked with _()
FORMATS = re.compile(r"\|(?:date|floatformat|join):(?:\"[^\"]*\"|'[^']*')")
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
    texts = [text.strip() for text in [*literals, *attributes, *ELEMENT.sub("\n", ENTITY.sub(" ", plain)).splitlines()]]
    return [text for text in texts if any(word not in NO_SENTENCES for word in re.findall(r"[^\W\d_]{2,}", text))]


def test_every_sentence_is_a_literal():
    assert collected()["django"]


@pytest.mark.parametrize("name", AT_THE_DESK)
def test_every_text_of_a_template_is_marked(name):
    assert unmarked((TEMPLATES / name).read_text(encoding="utf-8")) == []


@pytest.mark.parametrize(("source", "found"), [
    ("<p>Sign in</p>", ["Sign in"]), ('<nav aria-label="Parts"></nav>', ["Parts"]), ('{{ site.cautions|default:"None noted." }}', ["None noted."]), ("<p>{{ number }} tasks</p>", ["tasks"]),
    ('<p>{% translate "Sign in" %} · navclass</p>', []), ('{{ site.cautions|default:_("None noted.") }} {{ day|date:"DATE_FORMAT" }}', []),
    ("<p>{% blocktranslate trimmed %}One <strong>two</strong>{% endblocktranslate %}</p>", []),
])
def test_what_is_not_marked_is_found(source, found):
    assert unmarked(source) == found


def test_a_warning_that_was_frozen_with_a_key_can_still_be_said_in_another_language():
    frozen = dataclasses.replace(answer(), warning=say("The field is only {field:.0f} nT here.", field=4000.0))

    (read,) = key.from_plain(json.loads(json.dumps(key.to_plain([frozen]))))

    assert (read, read.warning.pattern, read.warning.values) == (frozen, frozen.warning.pattern, {"field": 4000.0})
    assert key.from_plain([{**key.to_plain([frozen])[0], "warning": "as it was kept before"}])[0].warning == "as it was kept before"
