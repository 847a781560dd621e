"""Files that are no export, or one that somebody changed: refused in words, with nothing stored."""

import copy
import io
import uuid
import zipfile

import pytest
from hypothesis import HealthCheck, given, settings as tried, strategies as st

from exercises.exchange.whole import archive
from exercises.exchange.whole.archive import NotExport
from exercises.models import HandedId, Person, Site
from exercises.usecases.handing_on import take
from exercises.usecases.handing_on.kinds import KINDS
from tests import cast
from tests.usecases.handing_on.files import emptied, through_a_file


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
