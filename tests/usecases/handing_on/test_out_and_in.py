"""A whole export and the way back in: the same bytes, nothing doubled, nothing half."""

import json
from pathlib import Path

import jsonschema
from django.apps import apps
from django.contrib.auth import get_user_model

from exercises.exchange.whole import archive
from exercises.models import CourseClass, Point, Reading
from exercises.usecases import organise
from exercises.usecases.debrief import debrief
from exercises.usecases.handing_on import schema, take
from exercises.usecases.handing_on.kinds import KINDS
from tests import cast, demonstration, handed, rotated
from tests.usecases.handing_on.files import emptied, exported, through_a_file

# --- out and in again


def test_the_example_has_a_row_of_every_kind(document):
    assert [kind.name for kind in KINDS if not document["rows"][kind.name]] == []


def test_out_in_and_out_again_are_the_same_bytes(document):
    before = archive.written(document)
    emptied()
    other = cast.instructor("olga")

    take.take(document=document, owner=other)

    assert archive.written(exported(other)) == before


def test_the_demonstration_comes_back_with_the_same_bytes_and_says_the_same(db):
    demonstration.load()
    owner = get_user_model().objects.get()
    document = through_a_file(exported(owner))
    before, found = archive.written(document), told_of(owner)
    emptied()
    other = cast.instructor("olga")

    take.take(document=document, owner=other)

    assert archive.written(exported(other)) == before
    assert told_of(other) == found


def told_of(owner):
    """Credit and cause of each reading of each class that was held."""
    return [
        [(judged.reading.text, judged.credit, judged.cause) for judged in whole.judged]
        for course_class in owner.classes.filter(state="closed").order_by("pk")
        for whole in [debrief(course_class=course_class, now=cast.LATER)]
    ]


def test_taken_in_twice_nothing_is_doubled(document):
    emptied()
    other = cast.instructor("olga")
    first = take.take(document=document, owner=other)
    rows = Reading.objects.count()

    second = take.take(document=document, owner=other)

    assert (sum(first.new.values()), first.here) == (sum(map(len, document["rows"].values())), 0)
    assert (dict(second.new), second.here) == ({}, sum(first.new.values()))
    assert Reading.objects.count() == rows


def test_what_came_since_finds_its_place(document, full, ines):
    ((tom, _),) = cast.join(full, "Tom")
    cast.send(full, tom, ("2", "299"))
    later = through_a_file(exported(ines))
    emptied()
    other = cast.instructor("olga")
    take.take(document=document, owner=other)

    taken = take.take(document=later, owner=other)

    assert {"person", "reading"} <= set(taken.new)
    assert taken.new["reading"] == 1
    assert Reading.objects.get(person__name="Tom").course_class == other.classes.get()


def test_on_the_same_server_another_instructor_gets_a_copy_with_codes_of_its_own(
    document, full, karl
):
    cards = set(Point.objects.values_list("card_code", flat=True))

    take.take(document=document, owner=karl)

    copy_of = karl.classes.get()
    assert copy_of.code != full.code
    assert copy_of.course.site.owner == karl
    assert cards.isdisjoint(copy_of.course.site.points.values_list("card_code", flat=True))
    assert full.readings.count() == copy_of.readings.count()


def test_a_site_of_a_name_that_is_taken_gets_the_next_one(document, karl):
    cast.site_of(karl)

    take.take(document=document, owner=karl)

    assert list(karl.sites.values_list("name", flat=True)) == ["Test ground", "Test ground 2"]


# --- what goes along


def test_neither_passwords_nor_secrets_nor_accounts_go_along(full, ines):
    ines.set_password("a password of Ines's")
    ines.save()
    text = archive.as_json(exported(ines)).decode()

    secrets = [
        *full.people.values_list("personal_code", flat=True),
        *(phone.secret_digest for person in full.people.all() for phone in person.phones.all()),
        ines.password,
    ]
    assert [secret for secret in secrets if secret in text] == []
    assert "personal_code" not in text
    assert "secret_digest" not in text


def test_without_names_no_name_goes_along_and_all_stay_here(full, ines):
    before = list(full.people.order_by("pk").values_list("name", flat=True))

    text = archive.as_json(exported(ines, with_names=False)).decode()

    said = [name for name in (*handed.PEOPLE, "Zebby") if name in text]
    assert said == []
    assert list(full.people.order_by("pk").values_list("name", flat=True)) == before
    assert [name for name in handed.PEOPLE if name in archive.as_json(exported(ines)).decode()] == [
        *handed.PEOPLE
    ]


def test_a_class_that_is_out_with_its_rotation_goes_along_without_names(ines):
    made = cast.class_of(ines)
    rotated.grouped(made)
    rotated.started(made)
    names = {
        *made.people.values_list("name", flat=True),
        *made.groups.values_list("name", flat=True),
    }

    text = archive.as_json(exported(ines, with_names=False)).decode()

    assert [name for name in names if f'"{name}"' in text] == []


def test_without_names_the_numbers_stay_the_same(full, ines):
    named, nameless = (exported(ines, with_names=way) for way in (True, False))

    assert [
        [row["id"] for row in document["rows"]["reading"]] for document in (named, nameless)
    ] == [[row["id"] for row in named["rows"]["reading"]]] * 2


def test_classes_of_another_instructor_on_a_shared_site_stay_here(ines, karl):
    site = cast.site_of(ines)
    organisation = organise.found(name="Three schools", by=ines, now=cast.NOW)
    organise.join(organisation=organisation, user=karl, now=cast.NOW)
    organise.share(site=site, organisation=organisation)
    theirs = cast.class_of(karl, course=cast.course_of(site))
    cast.join(theirs, "Zebulon")

    assert exported(ines, site=site)["rows"]["class"] == []
    assert exported(ines)["rows"]["person"] == []
    own = exported(karl)["rows"]
    assert [row["name"] for row in own["site"]] == ["Test ground"]
    assert [row["name"] for row in own["person"]] == ["Zebulon"]


def test_one_site_goes_without_the_others_and_without_kits(full, ines):
    cast.site_of(ines, "Another ground")

    rows = exported(ines, site=full.course.site)["rows"]

    assert [row["name"] for row in rows["site"]] == ["Test ground"]
    assert (rows["kit"], rows["issue"], rows["class"][0]["kit"]) == ([], [], None)


def test_what_lies_in_the_bin_stays_here(full, ines):
    CourseClass.objects.update(removed_at=cast.LATER)

    assert exported(ines)["rows"]["class"] == []


def test_the_schema_is_that_of_the_models():
    """A field that was added or a limit that changed: write the schema anew (README.md)."""
    kept = json.loads((archive.FOLDER / "schema.json").read_text(encoding="utf-8"))

    assert json.loads(json.dumps(schema.schema())) == kept


def test_an_export_keeps_to_its_schema(document):
    kept = json.loads((archive.FOLDER / "schema.json").read_text(encoding="utf-8"))

    jsonschema.validate(
        document, kept, format_checker=jsonschema.Draft202012Validator.FORMAT_CHECKER
    )


def test_every_kind_is_explained():
    text = Path(archive.FOLDER / "README.md").read_text(encoding="utf-8")

    assert [kind.name for kind in KINDS if f"`{kind.name}`" not in text] == []


def test_every_model_goes_along_or_is_known_to_stay():
    stays = {
        "AccountSession",
        "AuthenticatorApp",
        "Experience",
        "Failures",
        "HandedId",
        "Invitation",
        "Member",
        "Organisation",
        "Passkey",
        "Phone",
        "RecoveryCode",
        "Results",
        "SentForm",
        "Staff",
    }
    ours = {model.__name__ for model in apps.get_app_config("exercises").get_models()}

    assert ours - {kind.model.__name__ for kind in KINDS} == stays
