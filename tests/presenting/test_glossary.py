"""The words of the trade: each can be said, seen and found, and every "?" leads to one."""

import importlib
import re
from pathlib import Path

import polib
import pytest
from django import forms as django_forms
from django.conf import settings
from django.template import Context, Template
from django.utils import translation

from exercises.domain.diagnosis import questions
from exercises.domain.earth.norths import NORTHS
from exercises.domain.mistakes import causes
from exercises.drawing.compass_parts import PARTS
from exercises.drawing.dial import CARDINALS
from exercises.languages import told
from exercises.management.commands.messages import paths
from exercises.presenting.answers.kinds import WORDS
from exercises.presenting.glossary import SECTIONS, TERMS
from exercises.presenting.glossary.shown import on_phones, page, shown
from exercises.presenting.glossary.uses import (
    FIELDS,
    OF_CAUSES,
    OF_NORTHS,
    OF_QUESTIONS,
    of_cause,
)
from exercises.templatetags.help import NoSuchWord

MOST_WORDS = 30  # of a sentence that a tired or a young reader takes in at once; our own rule
TEMPLATES = Path(__file__).resolve().parents[2] / "exercises" / "templates"
TAG = re.compile(r'{% help ((?:"[^"]*" ?)+)%}')
LANGUAGES = [code for code, _ in settings.LANGUAGES]
TITLE = re.compile(r"^<svg[^>]* role=\"img\"[^>]*><title>([^<]+)</title>")


def tags():
    """Every word that a template names beside something, with the template."""
    return [
        (path.name, code)
        for path in sorted(TEMPLATES.rglob("*.html"))
        for named in TAG.findall(path.read_text(encoding="utf-8"))
        for code in re.findall(r'"([^"]*)"', named)
    ]


@pytest.mark.parametrize("code", TERMS)
class TestTerm:
    @pytest.mark.parametrize("language", LANGUAGES)
    def test_its_sentence_is_one_and_short(self, code, language):
        with translation.override(language):
            sentence = told(TERMS[code].sentence)

        assert len(sentence.split()) <= MOST_WORDS
        assert re.findall(r"[.!?]", sentence) == ["."]
        assert sentence.endswith(".")

    @pytest.mark.parametrize("language", [code for code in LANGUAGES if code != "en"])
    def test_it_is_in_every_language(self, code, language):
        catalogue = polib.pofile(str(paths(language, "django")[0]))
        term = TERMS[code]
        said = [catalogue.find(words.pattern) for words in (term.name, term.sentence, term.source)]

        assert all(entry and entry.msgstr for entry in said)

    @pytest.mark.parametrize("language", LANGUAGES)
    def test_its_drawing_is_told_in_words(self, code, language):
        with translation.override(language):
            drawing = shown(code)["drawing"]

        assert not drawing or len(TITLE.match(drawing)[1].split()) >= 4

    def test_what_it_is_related_to_is_another_term(self, code):
        assert set(TERMS[code].related) <= set(TERMS) - {code}
        assert len(set(TERMS[code].related)) == len(TERMS[code].related)

    def test_it_names_its_source(self, code):
        assert str(TERMS[code].source)

    def test_it_is_registered_by_its_own_code(self, code):
        assert TERMS[code].code == code


@pytest.mark.parametrize("code", [code for code in TERMS if TERMS[code].is_part])
def test_the_letter_in_a_drawing_stands_beside_its_word(code):
    word = shown(code)

    assert re.findall(r'class="letter"[^>]*>(\w)<', word["drawing"]) == [word["letter"]]
    assert f">{word['letter']}</span>" in Template(
        f'{{% load help %}}{{% help "{code}" %}}'
    ).render(Context())


def test_no_letter_is_one_of_the_dials_own():
    dials_own = set()
    for language in LANGUAGES:
        with translation.override(language):
            dials_own |= {told(letter) for letter in CARDINALS.values()}

    assert dials_own & {letter for letter, _, _ in PARTS.values()} == set()


def test_no_word_stands_in_two_sections():
    assert sum(len(terms) for _, _, terms in SECTIONS) == len(TERMS)


def test_every_lettered_part_of_the_compass_is_a_word_in_the_order_of_the_letters():
    _, _, words = SECTIONS[0]

    assert list(words) == list(PARTS)
    assert [letter for letter, _, _ in PARTS.values()] == list("ABCDFGH")


@pytest.mark.parametrize(("template", "code"), tags())
def test_every_word_that_a_template_names_is_a_term(template, code):
    assert code in TERMS, template


def test_words_are_named_where_people_get_lost():
    assert {template for template, _ in tags()} == {
        "alone.html",
        "course.html",
        "ground.html",
        "key.html",
        "practice.html",
        "site.html",
        "traverse.html",
    }


def test_a_word_that_is_none_is_refused():
    with pytest.raises(NoSuchWord, match="inclination"):
        Template('{% load help %}{% help "inclination" %}').render(Context())


@pytest.mark.parametrize(("place", "code"), FIELDS.items())
def test_a_word_at_a_field_is_a_term_and_the_field_is_there(place, code):
    importlib.import_module("exercises.urls")  # which brings all forms
    form, field = place.split(".")
    (made,) = (cls for cls in descendants(django_forms.BaseForm) if cls.__name__ == form)

    assert field in made.base_fields
    assert code in TERMS


def descendants(cls):
    return {cls, *(deeper for own in cls.__subclasses__() for deeper in descendants(own))}


def test_words_of_causes_norths_questions_and_kinds_are_terms_of_what_there_is():
    by_cause = [codes for row in OF_CAUSES.values() for codes in row.values()]
    named = [*by_cause, OF_NORTHS.values(), *OF_QUESTIONS.values()]

    assert {cause for row in OF_CAUSES.values() for cause in row} <= set(causes.CODES)
    assert set(OF_NORTHS) == set(NORTHS)
    assert set(OF_QUESTIONS) <= set(questions.QUESTIONS)
    assert {code for codes in named for code in codes} <= set(TERMS)
    assert {code for words in WORDS.values() for code in words.needs} <= set(TERMS)


@pytest.mark.parametrize(
    ("cause", "probability", "setting", "words"),
    [
        ("reversed", 0.9, causes.IN_THE_FIELD, ("needle", "orienting_arrow")),
        ("reversed+station_fault", 0.9, causes.IN_THE_FIELD, ("needle", "orienting_arrow")),
        ("reversed", 0.59, causes.IN_THE_FIELD, ()),
        ("reversed", 0.9, causes.IN_A_SUM, ("back_bearing",)),
        ("station_fault", 0.9, causes.IN_THE_FIELD, ("local_attraction",)),
        ("digits_swapped", 0.9, causes.IN_THE_FIELD, ()),
    ],
)
def test_a_cause_brings_its_words_where_it_is_sure(cause, probability, setting, words):
    assert of_cause(cause, probability, setting) == words


def test_a_phone_brings_every_word_of_its_tasks_and_results_along(client):
    kept = set(re.findall(r'<template data-word="(\w+)"', client.get("/phone/").content.decode()))
    of_results = {
        code for row in OF_CAUSES.values() for codes in row.values() for code in codes
    } | {code for codes in OF_QUESTIONS.values() for code in codes}
    of_tasks = {code for words in WORDS.values() for code in words.needs} | set(OF_NORTHS.values())

    assert kept == of_tasks | of_results == {word["code"] for word in on_phones()}


def test_the_page_holds_every_word_once_and_no_drawing_twice(client):
    html = client.get("/words/").content.decode()
    drawings = [entry["drawing"] for _, _, entries in page()["sections"] for entry in entries]

    assert re.findall(r'<article class="word" id="(\w+)"', html) == list(TERMS)
    assert len(set(filter(None, drawings))) == len(list(filter(None, drawings)))
    assert set(re.findall(r'href="#(\w+)"', html)) - {"main"} <= set(TERMS)


def test_who_joins_reads_no_more_than_before(client, open_class):
    html = client.get(f"/c/{open_class.code}/join/").content.decode()

    assert 'class="about"' not in html
    assert "data-word" not in html


def test_a_field_opens_its_word_without_a_script_and_is_read_aloud_by_its_name(desk):
    html = desk.get("/sites/new/").content.decode()
    (fold,) = re.findall(r'<details class="about">.*?</details>', html, re.S)

    assert re.search(
        r'aria-hidden="true">\?</span>\s*<span class="hidden">\s*What is this: UTM\?', fold
    )
    assert str(TERMS["utm"].sentence) in fold
    assert 'href="/words/#utm"' in fold
