"""A whole export and the way back in: the same bytes, nothing doubled, nothing half."""

import copy
import io
import json
import uuid
import zipfile
from pathlib import Path

import jsonschema
import pytest
from django.apps import apps
from django.contrib.auth import get_user_model
from hypothesis import HealthCheck, given, settings as tried, strategies as st

from exercises.exchange.whole import archive
from exercises.exchange.whole.archive import NotExport
from exercises.models import CourseClass, HandedId, Person, Point, Reading, Site
from exercises.usecases import organise
from exercises.usecases.debrief import debrief
from exercises.usecases.handing_on import give, schema, take
from exercises.usecases.handing_on.kinds import KINDS
from tests import cast, demonstration, handed, rotated


def exported(owner, *, site=None, with_names=True, now=cast.LATER):
    return give.document(owner=owner, site=site, with_names=with_names, now=now)


def through_a_file(document):
    return archive.read(io.BytesIO(archive.written(document)))


def emptied():
    """As another server's database: no account, no row."""
    with cast.unheld():
        CourseClass.objects.all().delete()
        for kind in reversed(KINDS):
            kind.model._base_manager.all().delete()
        HandedId.objects.all().delete()
        get_user_model().objects.all().delete()


@pytest.fixture
def full(ines):
    return handed.full_class(ines)


@pytest.fixture
def document(full, ines):
    return through_a_file(exported(ines))


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


# --- hostile files


def refused(document, owner, said="does not fit together"):
    before = Site.objects.count(), Person.objects.count(), HandedId.objects.count()
    with pytest.raises(NotExport, match=f"(?i){said}"):
        take.take(document=document, owner=owner)
    assert (Site.objects.count(), Person.objects.count(), HandedId.objects.count()) == before


@pytest.mark.parametrize(
    ("kind", "field", "value"),
    [
        pytest.param("point", "latitude", "north", id="a text for a number"),
        pytest.param("point", "latitude", 91, id="off the earth"),
        pytest.param("point", "latitude", True, id="true for a number"),
        pytest.param("point", "latitude", None, id="nothing for a number"),
        pytest.param("point", "code", "a b", id="no code"),
        pytest.param("point", "name", "x" * 81, id="too long"),
        pytest.param("point", "name", ["x"], id="a list for a text"),
        pytest.param("point", "name", "a\0b", id="a null"),
        pytest.param("point", "name", "\ud800", id="half a character"),
        pytest.param("point", "site", str(uuid.uuid4()), id="a site that is not there"),
        pytest.param("point", "site", 1, id="a key for a number"),
        pytest.param("point", "pk", 1, id="a field that does not go along"),
        pytest.param("site", "owner", "ines", id="an owner"),
        pytest.param("site", "grid_epsg", 4326, id="no grid"),
        pytest.param("site", "grid_epsg", 2**70, id="too large a number"),
        pytest.param("task", "kind", "swim", id="no kind"),
        pytest.param("task", "legs", "040", id="half a leg"),
        pytest.param("task", "number", -1, id="below zero"),
        pytest.param("class", "state", "ajar", id="no state"),
        pytest.param("class", "time_zone", "Mars", id="no zone"),
        pytest.param("class", "date", "yesterday", id="no day"),
        pytest.param("class", "opened_at", "2026-10-03T09:30:00", id="a moment without a zone"),
        pytest.param("hazard", "corners", [["a", "b"]], id="corners of letters"),
        pytest.param("hazard", "corners", 7, id="no corners"),
        pytest.param("key", "answers", [{}], id="empty answers"),
        pytest.param("key", "answers", {}, id="answers of another type"),
        pytest.param("key", "points", {"A": 1}, id="points of another type"),
        pytest.param("key", "dropped", [1], id="dropped of another type"),
        pytest.param("rotation", "plan", {}, id="an empty plan"),
        pytest.param("reading", "client_id", "1", id="no uuid"),
        pytest.param("reading", "value_deg", 360, id="off the circle"),
        pytest.param("kit_compass", "number", "a/b", id="no number"),
        pytest.param("trail_entry", "before", [], id="a list for a table"),
    ],
)
def test_a_value_that_does_not_fit_is_refused_with_nothing_stored(document, kind, field, value):
    emptied()
    document["rows"][kind][0][field] = value

    of_database = "check constraint|promise broken|invalid input syntax"
    said = rf"taken in: ({kind}|surrogates|.*\\ud800|.*({of_database}))"
    refused(document, cast.instructor("olga"), said)


def test_a_number_among_the_answers_that_is_a_text_is_refused(document):
    emptied()
    document["rows"]["key"][0]["answers"][0]["expected_deg"] = "<b>"

    refused(document, cast.instructor("olga"), "taken in: key")


def test_a_reading_of_somebody_of_another_class_is_refused(document):
    emptied()
    other = copy.deepcopy(document["rows"]["class"][0])
    other["id"], other["code"] = str(uuid.uuid4()), "ACDEFH"
    document["rows"]["class"].append(other)
    document["rows"]["reading"][0]["course_class"] = other["id"]

    refused(
        document, cast.instructor("olga"), "reading_(task_is_in_a_key_of|compass_is_in)_its_class"
    )


def test_a_file_cannot_name_rows_of_somebody_else(document, full, karl):
    """Karl has the numbers of Ines's rows from her export: they are not his to write into."""
    rows = document["rows"]
    only_readings = {**document, "rows": {"reading": copy.deepcopy(rows["reading"][:1])}}
    only_readings["rows"]["reading"][0]["id"] = str(uuid.uuid4())

    refused(only_readings, karl)
    assert full.readings.count() == len(rows["reading"])


def test_a_row_that_is_there_twice_is_refused(document):
    emptied()
    document["rows"]["person"].append(dict(document["rows"]["person"][0]))

    refused(document, cast.instructor("olga"))


def test_a_kind_that_is_not_known_is_refused(document):
    emptied()
    document["rows"]["account"] = [{"id": str(uuid.uuid4()), "username": "root"}]

    refused(document, cast.instructor("olga"))


@tried(
    max_examples=60,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)
@given(data=st.data())
def test_whatever_a_file_holds_it_is_taken_in_or_refused_in_words(document, karl, data):
    changed = copy.deepcopy(document)
    kind = data.draw(st.sampled_from([kind.name for kind in KINDS]))
    row = data.draw(st.sampled_from(changed["rows"][kind]))
    field = data.draw(st.sampled_from(sorted(row)))
    row[field] = data.draw(
        st.none()
        | st.booleans()
        | st.integers()
        | st.floats(allow_nan=False, allow_infinity=False)
        | st.text(max_size=20)
        | st.lists(st.integers(), max_size=2)
        | st.dictionaries(st.text(max_size=3), st.integers(), max_size=2)
    )
    try:
        take.take(document=changed, owner=karl)
    except NotExport as error:
        assert str(error)
    else:
        with cast.unheld():
            karl.classes.all().delete()
            karl.kits.all().delete()
            for site in karl.sites.all():
                site.courses.all().delete()
                site.delete()


def zipped(**members):
    content = io.BytesIO()
    with zipfile.ZipFile(content, "w", zipfile.ZIP_DEFLATED) as made:
        for name, text in members.items():
            made.writestr(name.replace("__", "/").replace("_json", ".json"), text)
    content.seek(0)
    return content


@pytest.mark.parametrize(
    "file",
    [
        pytest.param(io.BytesIO(b""), id="nothing"),
        pytest.param(io.BytesIO(b"%PDF-1.7"), id="no zip"),
        pytest.param(zipped(other="x"), id="another zip"),
        pytest.param(zipped(export_json="{}", **{"..__..__secret_key": "x"}), id="a way out"),
        pytest.param(zipped(export_json="{"), id="half"),
        pytest.param(zipped(export_json="[" * 100_000), id="deep"),
        pytest.param(zipped(export_json=b"\xff\xfe"), id="no text"),
        pytest.param(zipped(export_json='{"format": NaN}'), id="no number"),
        pytest.param(zipped(export_json="[]"), id="a list"),
        pytest.param(zipped(export_json='{"format": "navclass-export"}'), id="no version"),
        pytest.param(zipped(export_json='{"format": "navclass-export", "version": 2}'), id="newer"),
        pytest.param(
            zipped(export_json='{"format": "navclass-export", "version": 1, "rows": []}'),
            id="rows in a list",
        ),
        pytest.param(
            zipped(
                export_json='{"format": "navclass-export", "version": 1, "rows": {"site": [1]}}'
            ),
            id="a row that is a number",
        ),
        pytest.param(
            zipped(export_json='{"format": "navclass-export", "version": {"a": []}, "rows": {}}'),
            id="a version of another type",
        ),
    ],
)
def test_a_file_that_is_none_is_refused_in_words(file):
    with pytest.raises(NotExport, match=r"\."):
        archive.read(file)


def test_a_file_that_unfolds_without_end_is_not_read_to_its_end(monkeypatch):
    monkeypatch.setattr(archive, "LARGEST_ROWS", 1000)

    with pytest.raises(NotExport, match="too large"):
        archive.read(zipped(export_json=b" " * 5000))


def test_a_file_of_too_many_rows_is_refused(monkeypatch, document):
    monkeypatch.setattr(archive, "MOST_ROWS", 10)

    with pytest.raises(NotExport, match="too large"):
        through_a_file(document)


def test_a_file_that_was_changed_on_the_way_is_noticed(document):
    content = bytearray(archive.written(document))
    content[300] ^= 0xFF

    with pytest.raises(NotExport):
        archive.read(io.BytesIO(bytes(content)))


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
