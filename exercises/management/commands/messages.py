"""manage.py messages: collect what the program says to people, keep the translations of it, and
compile them.

Django's makemessages needs GNU gettext, which a laptop with Windows has not, and does not know
`say`.
"""

import ast
import re

import polib
from django.conf import settings
from django.core.management.base import BaseCommand
from django.utils.translation.template import templatize

from exercises.languages import LOCALE

ROOT = LOCALE.parent
ONE, MANY = {"say", "tell", "_", "gettext_lazy"}, {"say_many", "tell_many"}
SILENT = ("locale/", "migrations/", "management/", "static/exercises/vendor/")
STRING = r"""('(?:[^'\\]|\\.)*'|"(?:[^"\\]|\\.)*")"""
IN_TEMPLATE = re.compile(
    rf"(?:\bgettext|\b_)\(\s*u?{STRING}\s*\)|\bngettext\(\s*u?{STRING}\s*,\s*u?{STRING}"
)
IN_SCRIPT = re.compile(rf"\bsay\(\s*{STRING}|\bsayMany\(\s*{STRING},\s*{STRING}")


class NotLiteral(ValueError):
    """A sentence that is put together before it is said: no catalogue can hold it."""


def in_python(source, name):
    """(message, plural or "") of every sentence in a module."""
    for node in ast.walk(ast.parse(source)):
        called = (
            node.func.id if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) else ""
        )
        if called in ONE | MANY:
            texts = node.args[: 2 if called in MANY else 1]
            if not all(
                isinstance(text, ast.Constant) and isinstance(text.value, str) for text in texts
            ):
                raise NotLiteral(
                    f"{name}, line {node.lineno}: write the sentence out, and give what changes "
                    f"as a value."
                )
            if texts[0].value:
                yield texts[0].value, texts[1].value if called in MANY else ""


def _with_pattern(pattern, source):
    for match in pattern.finditer(source):
        texts = [ast.literal_eval(text) for text in match.groups() if text]
        yield texts[0], texts[1] if len(texts) > 1 else ""


def in_template(source):
    """(message, plural or "") of every sentence in a template."""
    yield from _with_pattern(IN_TEMPLATE, templatize(source))


def in_script(source):
    """(message, plural or "") of every sentence in a script."""
    yield from _with_pattern(IN_SCRIPT, source)


def collected():
    """The sentences of the program by catalogue: {"django": {message: (plural, [files])},
    "djangojs": ...}.
    """
    catalogues = {"django": {}, "djangojs": {}}
    for path in _sources():
        name, source = path.relative_to(ROOT).as_posix(), path.read_text(encoding="utf-8")
        if path.suffix == ".py":
            sentences = in_python(source, name)
        else:
            sentences = in_template(source) if path.suffix == ".html" else in_script(source)
        messages = catalogues["djangojs" if path.suffix == ".js" else "django"]
        for message, plural in sentences:
            known, files = messages.get(message, ("", []))
            messages[message] = known or plural, files if name in files else [*files, name]
    return catalogues


def _sources():
    """The files in which something may be said, in the order of their paths."""
    for path in sorted(path for path in ROOT.rglob("*") if path.suffix in (".py", ".html", ".js")):
        name = path.relative_to(ROOT).as_posix()
        if not name.startswith(SILENT) and name != "languages.py":
            yield path


def paths(language, domain):
    """Where a catalogue's text and its compiled form lie."""
    folder = LOCALE / language / "LC_MESSAGES"
    return folder / f"{domain}.po", folder / f"{domain}.mo"


def merged(old, messages):
    """A catalogue with exactly these messages; translations of those that were there stay."""
    new = polib.POFile(wrapwidth=0)
    new.metadata = old.metadata
    for message, (plural, files) in sorted(messages.items()):
        known = old.find(message)
        entry = polib.POEntry(
            msgid=message,
            msgid_plural=plural,
            occurrences=[(name, "") for name in files],
            flags=["python-brace-format"] if "{" in message else [],
        )
        if plural:
            entry.msgstr_plural = (
                known.msgstr_plural if known and known.msgid_plural == plural else {0: "", 1: ""}
            )
        elif known and not known.msgid_plural:
            entry.msgstr = known.msgstr
        new.append(entry)
    return new


class Command(BaseCommand):
    """Rewrite the catalogues of every language but English, and say what is not translated."""

    help = "Collect the sentences of the program and compile their translations."
    requires_system_checks = []

    def handle(self, *args, **options):
        """One catalogue for pages and prints, one for the phone's scripts."""
        for domain, messages in collected().items():
            for language, _ in settings.LANGUAGES[1:]:
                text, compiled = paths(language, domain)
                catalogue = merged(polib.pofile(str(text), wrapwidth=0), messages)
                catalogue.save(str(text))
                catalogue.save_as_mofile(str(compiled))
                self.stdout.write(
                    f"{text.relative_to(ROOT.parent)}: {len(messages)} sentences, "
                    f"{len(catalogue.untranslated_entries())} not translated"
                )
