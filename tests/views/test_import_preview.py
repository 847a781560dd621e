"""The importer's preview: cells that can be typed over, rows refused one by one, repaired ones
ticked, coordinates exchanged, and exactly what is ticked stored.
"""

import json

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile

from exercises.models import Point, Survey
from tests import cast
from tests.views.test_points import fields_of, look

GOOD = "X,mast,-45.13100,170.10100"
WRONG = "Y,post,-45.1320O,170.10200"
EXCHANGED = "Z,stile,170.10300,-45.13300"
HEADER = "code,name,lat,lon\n"


@pytest.fixture
def site(ines):
    return cast.site_of(ines)


def send(desk, site, fields):
    return desk.post(f"/sites/{site.pk}/import/", fields)


def actions(answer):
    return [(one["row"].code, one["action"]) for one in answer.context["rows"]]


def ticked(answer):
    left_out = answer.context["left_out"]
    return [one["row"].line for one in answer.context["rows"] if one["row"].line not in left_out]


def brought_in(site):
    return sorted(site.points.exclude(code__in=["A", "B", "T1", "T2", "T3"]).values_list("code"))


def test_a_wrong_row_says_it_beside_its_cell_and_stays_unticked(desk, site):
    answer = look(desk, site, f"{HEADER}{GOOD}\n{WRONG}")

    page = answer.content.decode()
    assert ticked(answer) == [2]
    assert answer.context["ticked"] == "1 of 2 rows ticked"
    wrong = answer.context["rows"][1]
    assert [(cell["text"], cell["is_wrong"]) for cell in wrong["place_cells"]] == [
        ("-45.1320O", True),
        ("170.10200", False),
    ]
    assert wrong["place_problem"] in page.replace("&quot;", '"').replace("&#x27;", "'")
    assert 'name="cell-3-2"' in page


def test_a_repaired_row_becomes_ticked_and_keeps_what_was_typed_elsewhere(desk, site):
    fields = fields_of(look(desk, site, f"{HEADER}{GOOD}\n{WRONG}"))

    answer = send(desk, site, {**fields, "cell-3-2": "-45.13200", "name-2": "old mast", "line": []})

    assert actions(answer) == [("X", "new point"), ("Y", "new point")]
    assert ticked(answer) == [3]
    assert answer.context["rows"][0]["row"].name == "old mast"
    assert Point.objects.count() == 5


def test_what_was_repaired_and_ticked_is_brought_in_as_it_was_typed(desk, site):
    fields = fields_of(look(desk, site, f"{HEADER}{GOOD}\n{WRONG}"))
    answer = send(desk, site, {**fields, "cell-3-2": "45°07'55.2\"S"})

    sent = send(desk, site, fields_of(answer, take="yes"))

    assert sent.status_code == 302
    made = site.points.get(code="Y")
    assert made.latitude == pytest.approx(-(45 + 7 / 60 + 55.2 / 3600), abs=1e-8)
    assert brought_in(site) == [("X",), ("Y",)]


def test_rows_that_are_refused_stay_when_the_others_are_brought_in(desk, site):
    fields = fields_of(look(desk, site, f"{HEADER}{GOOD}\n{WRONG}\nW,wall,x,170.1"))

    answer = send(desk, site, {**fields, "take": "yes", "name-3": "mended post"})

    assert "1 point made." in answer.content.decode()
    assert "2 rows are left here" in answer.context["rest_text"]
    assert actions(answer) == [("Y", "refused"), ("W", "refused")]
    assert answer.context["rows"][0]["row"].name == "mended post"
    assert brought_in(site) == [("X",)]


def test_a_row_that_is_repaired_but_was_never_shown_as_ticked_stays_and_is_ticked(desk, site):
    fields = fields_of(look(desk, site, f"{HEADER}{GOOD}\n{WRONG}"))

    answer = send(desk, site, {**fields, "take": "yes", "cell-3-2": "-45.13200"})

    assert brought_in(site) == [("X",)]
    assert (actions(answer), ticked(answer)) == ([("Y", "new point")], [3])
    assert "1 that was refused can be read now and is ticked." in answer.context["rest_text"]
    assert send(desk, site, fields_of(answer, take="yes")).status_code == 302
    assert brought_in(site) == [("X",), ("Y",)]


def test_a_ticked_row_that_was_spoilt_brings_nothing_in_and_nothing_typed_is_lost(desk, site):
    fields = fields_of(look(desk, site, f"{HEADER}{GOOD}\nY,post,-45.13200,170.10200"))

    answer = send(desk, site, {**fields, "take": "yes", "cell-3-3": "far", "mark-2": "a peg"})

    assert "Line 3: “far” is not a longitude." in answer.content.decode()
    assert "Nothing was brought in." in answer.content.decode()
    assert (Point.objects.count(), Survey.objects.count()) == (5, 0)
    rows = [one["row"] for one in answer.context["rows"]]
    assert (rows[0].mark, rows[1].cells["longitude"]) == ("a peg", "far")
    assert ticked(answer) == [2]


def test_only_unticked_rows_are_left_behind_for_good(desk, site):
    fields = fields_of(look(desk, site, f"{HEADER}{GOOD}\nY,post,-45.13200,170.10200"))

    answer = send(desk, site, {**fields, "take": "yes", "line": ["2"]})

    assert (answer.status_code, brought_in(site)) == (302, [("X",)])


@pytest.mark.parametrize(
    ("asked", "left"), [("3", ["refused"]), ("all", ["new point"]), ("2", ["refused"])]
)
def test_coordinates_are_exchanged_in_one_row_or_in_all(desk, site, asked, left):
    first = look(desk, site, f"{HEADER}{GOOD}\n{EXCHANGED}\nV,tree,170.10400,-45.13400")
    assert first.context["exchangeable"] == 2

    answer = send(desk, site, fields_of(first, exchange=asked))

    third = ["new point" if asked in ("3", "all") else "refused"]
    assert [action for _, action in actions(answer)] == ["new point", *third, *left]
    assert ticked(answer) == [2, *[3] * (third == ["new point"]), *[4] * (left == ["new point"])]


def test_what_is_exchanged_is_stored_where_it_lies(desk, site):
    answer = send(desk, site, fields_of(look(desk, site, HEADER + EXCHANGED), exchange="all"))

    send(desk, site, fields_of(answer, take="yes"))

    made = site.points.get(code="Z")
    assert (float(made.latitude), float(made.longitude)) == (-45.133, 170.103)


def test_columns_that_are_not_used_are_named(desk, site):
    answer = look(desk, site, "code,lat,lon,tree,owner\nX,-45.131,170.101,oak,Ada")

    assert "2 columns are not used: tree, owner." in answer.content.decode()


def test_names_with_figures_come_in_from_a_paste(desk, site):
    answer = desk.post(
        f"/sites/{site.pk}/import/",
        {"text": "S3: 45.13100 S, 170.10100 E\nGate 4: 45.13200 S, 170.10200 E\nwhat"},
    )

    send(desk, site, fields_of(answer, take="yes"))

    names = site.points.filter(code__in=["S3", "P1"]).values_list("code", "name")
    assert sorted(names) == [("P1", "Gate 4"), ("S3", "S3")]


def test_a_code_column_that_is_chosen_later_brings_its_codes(desk, site):
    first = look(desk, site, "sign,name,lat,lon\nQ7,mast,-45.13100,170.10100")
    assert first.context["rows"][0]["row"].code == "P1"

    answer = send(desk, site, fields_of(first, column_code="0"))

    assert actions(answer) == [("Q7", "new point")]


def test_what_was_typed_survives_columns_that_hold_no_position(desk, site):
    fields = fields_of(
        look(desk, site, HEADER + GOOD), **{"name-2": "typed", "cell-2-3": "170.102"}
    )
    broken = send(desk, site, {**fields, "column_latitude": ""})
    assert "Say which columns hold the position" in broken.content.decode()
    kept = dict(broken.context["form"].typed_rows())

    answer = send(desk, site, {**fields_of(broken), **kept, "column_latitude": "2"})

    row = answer.context["rows"][0]["row"]
    assert (row.name, row.cells["longitude"], ticked(answer)) == ("typed", "170.102", [2])


def test_an_import_without_marks_leaves_those_that_are_there(desk, site):
    mark = site.points.get(code="A").mark
    assert mark
    answer = look(desk, site, "code,lat,lon\nA,-45.13010,170.10040")

    send(desk, site, fields_of(answer, take="yes", **{"mark-2": ""}))

    assert site.points.get(code="A").mark == mark


@pytest.mark.parametrize(
    ("changes", "stored"),
    [
        ({"cell-2-2": "x" * 100_000}, []),
        ({"cell-2-2": "=HYPERLINK(1)"}, []),
        ({"cell-2-2": "\x00"}, []),
        ({"cell-99999999-1": "x", "cell-2-99": "x", "cell--": "x", "cell-2-2": "½"}, []),
        ({"looked": "[" * 10_000}, [("X",)]),
        ({"looked": '{"columns": [], "refused": 7}'}, [("X",)]),
        ({"looked": '{"columns": {}, "refused": [[{}], null, 1e400]}'}, [("X",)]),
        ({"line": ["9999", "x", "-1", "2" * 5000]}, []),
        ({"code-2": "x" * 100_000}, []),
        ({"name-2": "n\x00\uffff" * 20_000}, [("X",)]),
        ({"sheet": json.dumps({"format": "csv", "columns": ["a"], "rows": [], "lines": []})}, []),
        ({"column_latitude": "99"}, []),
        ({"again": "x"}, []),
    ],
)
def test_a_form_that_was_tampered_with_stores_what_can_be_read_or_nothing(
    desk, site, changes, stored
):
    fields = fields_of(look(desk, site, HEADER + GOOD), take="yes")

    answer = send(desk, site, {**fields, "line": ["2"], **changes})

    assert answer.status_code in (200, 302)
    assert brought_in(site) == stored
    assert len(answer.content) < 100_000


def test_a_cell_that_is_typed_too_long_is_cut_where_its_field_ends(desk, site):
    fields = fields_of(look(desk, site, HEADER + GOOD))

    answer = send(desk, site, {**fields, "cell-2-2": "4" * 100_000})

    assert answer.context["rows"][0]["row"].cells["latitude"] == "4" * 500
    assert actions(answer) == [("X", "refused")]


def test_a_name_that_is_typed_with_control_characters_is_cleaned(desk, site):
    fields = fields_of(look(desk, site, HEADER + GOOD), take="yes")

    send(desk, site, {**fields, "name-2": "ba\x0bd \x7fname\x00"})

    assert site.points.get(code="X").name == "ba d  name"


def test_five_thousand_rows_are_refused_in_a_sentence(desk, site):
    rows = "".join(f"N{number},p,-45.131,170.101\n" for number in range(5000))

    answer = look(desk, site, HEADER + rows)

    assert "more than 500 points" in answer.content.decode()
    assert "rows" not in answer.context


def test_a_table_that_was_swollen_on_the_page_is_refused(desk, site):
    fields = fields_of(look(desk, site, HEADER + GOOD))
    sheet = json.loads(fields["sheet"])
    sheet["rows"], sheet["lines"] = sheet["rows"] * 5000, list(range(2, 5002))

    answer = desk.post(
        f"/sites/{site.pk}/import/", {**fields, "sheet": json.dumps(sheet)}, follow=True
    )

    assert "Choose the file once more" in answer.content.decode()


def test_a_file_of_its_own_export_with_a_name_like_a_formula_comes_back(desk, site):
    site.points.filter(code="T1").update(name="=SUM(1)")
    data = desk.get(f"/sites/{site.pk}/points.csv").content
    answer = desk.post(f"/sites/{site.pk}/import/", {"file": SimpleUploadedFile("p.csv", data)})

    again = send(desk, site, {**fields_of(answer), "cell-2-2": "-45.12"})

    assert again.status_code == 200
    assert [action for _, action in actions(again)][1:] == ["left as it is"] * 4


def test_a_full_table_fits_into_what_a_page_may_send(desk, site, settings):
    header = "code,name,lat,lon,ele,accuracy,mark,target,sees,method,place,x,y\n"
    rows = "".join(f"{n:03d},p,-45.131,170.101,400,3,peg,yes,T1,map,,,\n" for n in range(500))
    answer = look(desk, site, header + rows)

    page = answer.content.decode()

    assert page.count("<input") < settings.DATA_UPLOAD_MAX_NUMBER_FIELDS
