"""The register of words as pages and phones need it: told in the reader's language, and drawn."""

from ...drawing.compass_parts import PARTS, compass_parts, letter_of
from ...languages import told
from ..answers.kinds import WORDS
from . import SECTIONS, TERMS
from .uses import FIELDS, OF_CAUSES, OF_NORTHS


def shown(code):
    """A word with its sentence, its drawing, and the letter that it has there, if any. Raises
    KeyError for what is no term.
    """
    term = TERMS[code]
    return {
        "code": code,
        "name": told(term.name),
        "sentence": told(term.sentence),
        "drawing": term.drawing() if term.drawing else "",
        "letter": letter_of(code) if term.is_part else "",
    }


def at_field(form, field):
    """The word that stands beside a field of a form, by the names of both; None of most."""
    code = FIELDS.get(f"{form}.{field}")
    return shown(code) if code else None


def on_phones():
    """The words that a task, or what is said of an answer, may need on a phone."""
    of_tasks = [code for words in WORDS.values() for code in words.needs]
    of_causes = [
        code for by_cause in OF_CAUSES.values() for codes in by_cause.values() for code in codes
    ]
    return [shown(code) for code in dict.fromkeys([*of_tasks, *OF_NORTHS.values(), *of_causes])]


def page():
    """All words by section, and the compass with the letters of its parts. A drawing that serves
    several words stands at the first of them.
    """
    seen = set()
    return {
        "compass": compass_parts(),
        "sections": [
            (code, told(title), [_entry(term, seen) for term in terms.values()])
            for code, title, terms in SECTIONS
        ],
    }


def _entry(term, seen):
    """A word of the page. Where its drawing is the whole compass, its letter there is enough."""
    is_drawn = bool(term.drawing) and not term.is_part and term.drawing not in seen
    seen.add(term.drawing)
    return {
        **shown(term.code),
        "drawing": term.drawing() if is_drawn else "",
        "letter": letter_of(term.code) if term.code in PARTS else "",
        "source": told(term.source),
        "related": [(code, told(TERMS[code].name)) for code in term.related],
    }
