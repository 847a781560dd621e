import csv

import pytest
from django.conf import settings
from django.core.management import call_command

POINTS = (
    "point,name,latitude,longitude,elevation_m,accuracy_m,mark\n"
    "A,gate,-45.1300,170.1000,400,0.5,peg\n"
    "T1,tank,-45.1290,170.1036,400,1,\n"
    "T2,vane,-45.1315,170.1026,400,1,\n"
)
COURSE = (
    "task,kind,from,to,north,full_credit_deg,part_credit_deg,given_deg,given_north\n"
    "1,sight,A,T1,magnetic,5,10,,\n"
    "2,sight,A,T2,true,5,10,,\n"
    "3,follow,A,T2,magnetic,5,10,,\n"
    "4,convert,A,,true,2,4,100,magnetic\n"
)
READINGS = (
    "person,task,answer,compass\n"
    "Mia,1,043,7\n"
    "Mia,2,1315,7\n"
    "Tom,1,223,8\n"
    "Tom,3,T2,8\n"
    'Tom,4,"125,6",8\n'
)


@pytest.fixture
def folder(tmp_path):
    for name, text in (("points.csv", POINTS), ("course.csv", COURSE), ("readings.csv", READINGS)):
        (tmp_path / name).write_text(text, encoding="utf-8")
    return tmp_path


def grade(folder, **options):
    call_command(
        "grade",
        points=folder / "points.csv",
        course=folder / "course.csv",
        readings=folder / "readings.csv",
        **{"date": "2026-10-03", "out": folder / "results", **options},
    )


def table(folder, name):
    with open(folder / "results" / name, encoding="utf-8", newline="") as stream:
        return list(csv.DictReader(stream))


def test_three_tables_come_out_and_rows_keep_their_order(folder):
    grade(folder)

    graded = table(folder, "graded.csv")
    assert [(row["person"], row["task"], row["answer"]) for row in graded] == [
        ("Mia", "1", "043"),
        ("Mia", "2", "1315"),
        ("Tom", "1", "223"),
        ("Tom", "3", "T2"),
        ("Tom", "4", "125,6"),
    ]
    assert [row["cause"] for row in graded][::2] == ["ok", "reversed", "ok"]
    assert [row["credit"] for row in graded][::2] == ["1", "0", "1"]
    assert all(0 <= float(row["cause_probability"]) <= 1 for row in graded)
    assert list(graded[0])[:9] == [
        "person",
        "task",
        "answer",
        "expected_deg",
        "error_deg",
        "credit",
        "cause",
        "cause_probability",
        "alternatives",
    ]
    assert list(table(folder, "people.csv")[0])[:4] == [
        "person",
        "offset_deg",
        "habit",
        "habit_probability",
    ]
    assert list(table(folder, "stations.csv")[0])[:4] == [
        "point",
        "bias_deg",
        "bias_se",
        "fault_probability",
    ]


def test_compasses_and_lines_stand_in_tables_of_their_own(folder):
    grade(folder)

    assert list(table(folder, "compasses.csv")) == []  # nobody shared one
    lines = table(folder, "lines.csv")
    assert list(lines[0]) == [
        "task",
        "from",
        "to",
        "bias_deg",
        "bias_se",
        "fault_probability",
        "readings",
        "since_reading",
        "until_reading",
    ]


def test_replies_to_questions_are_heard(folder):
    def reversed_chance(said):
        header, *rows = READINGS.splitlines()
        replied = [f"{row},needle_end,{said}" if "223" in row else f"{row},," for row in rows]
        (folder / "readings.csv").write_text(
            "\n".join([f"{header},question,reply", *replied]), encoding="utf-8"
        )
        grade(folder)
        (row,) = (row for row in table(folder, "graded.csv") if row["answer"] == "223")
        assert row["cause"] == "reversed"
        return float(row["cause_probability"])

    assert reversed_chance("marked") < reversed_chance("") < reversed_chance("other")


@pytest.mark.parametrize(
    ("cells", "complaint"),
    [
        ("why,other", "readings.csv, line 2, question: use one of: needle_end, arithmetic, aimed"),
        ("needle_end,perhaps", "readings.csv, line 2, reply: use one of: marked, other."),
    ],
)
def test_what_is_no_reply_is_named_by_line_and_column(folder, capsys, cells, complaint):
    header, first, *rest = READINGS.splitlines()
    rows = [f"{header},question,reply", f"{first},{cells}", *(f"{row},," for row in rest)]
    (folder / "readings.csv").write_text("\n".join(rows), encoding="utf-8")

    with pytest.raises(SystemExit):
        grade(folder)

    assert complaint in capsys.readouterr().err


def test_a_file_with_a_byte_order_mark_is_read(folder):
    (folder / "readings.csv").write_bytes(b"\xef\xbb\xbf" + READINGS.encode())

    grade(folder)

    assert len(table(folder, "graded.csv")) == 5


@pytest.mark.parametrize(
    ("file", "text", "complaint"),
    [
        pytest.param(
            "readings.csv",
            READINGS.replace("223", "37O"),
            "readings.csv, line 4, answer: “37O” is not a bearing",
            id="letter in a number",
        ),
        pytest.param(
            "readings.csv",
            READINGS.replace("223", ""),
            "readings.csv, line 4, answer: nothing here",
            id="empty answer",
        ),
        pytest.param(
            "readings.csv",
            READINGS.replace("Tom,1", "Tom,9"),
            "readings.csv, line 4, task: there is no task “9”",
            id="unknown task",
        ),
        pytest.param(
            "readings.csv",
            READINGS.replace("T2", "T7"),
            "readings.csv, line 5, answer: “T7” is not a target",
            id="unknown target",
        ),
        pytest.param(
            "readings.csv",
            READINGS.replace("answer,", "reply,"),
            "readings.csv, line 1: column answer is missing",
            id="wrong column",
        ),
        pytest.param(
            "readings.csv",
            READINGS.replace("223,8", "223"),
            "readings.csv, line 4: 3 cells where line 1 has 4",
            id="short row",
        ),
        pytest.param(
            "points.csv",
            POINTS.replace("-45.1290", "-95"),
            "points.csv, line 3, latitude:",
            id="latitude off the Earth",
        ),
        pytest.param(
            "points.csv",
            POINTS.replace("T2,vane", "A,vane"),
            "points.csv, line 4, point: there is already a point “A”",
            id="point twice",
        ),
        pytest.param(
            "points.csv",
            POINTS.replace("0.5", "nan"),
            "points.csv, line 2, accuracy_m: “nan” is not a number",
            id="not a number",
        ),
        pytest.param(
            "course.csv",
            COURSE.replace("1,sight", "1,guess"),
            "course.csv, line 2, kind:",
            id="unknown kind",
        ),
        pytest.param(
            "course.csv",
            COURSE.replace("A,T1", "A,A"),
            "course.csv, line 2, to: a station cannot be its own target",
            id="own target",
        ),
        pytest.param(
            "course.csv",
            COURSE.replace("A,T1", "A,Z"),
            "course.csv, line 2, to: there is no point “Z”",
            id="unknown point",
        ),
        pytest.param(
            "course.csv",
            COURSE.replace("magnetic,5,10,,\n2", "up,5,10,,\n2"),
            "course.csv, line 2, north: “up” is not one of",
            id="unknown north",
        ),
        pytest.param(
            "course.csv",
            COURSE.replace("5,10,,\n2", "5,3,,\n2"),
            "course.csv, line 2, full_credit_deg:",
            id="band",
        ),
        pytest.param(
            "course.csv",
            COURSE.replace("2,4,100,magnetic", "2,4,,magnetic"),
            "course.csv, line 5, task:",
            id="nothing given",
        ),
        pytest.param("course.csv", "", "course.csv, line 1: the file is empty", id="empty file"),
    ],
)
def test_a_bad_row_is_named_by_file_line_and_column_and_nothing_is_written(
    folder, capsys, file, text, complaint
):
    (folder / file).write_text(text, encoding="utf-8")

    with pytest.raises(SystemExit) as stopped:
        grade(folder)

    assert stopped.value.code == 2
    assert complaint in capsys.readouterr().err
    assert not (folder / "results").exists()


@pytest.mark.parametrize(
    "content",
    [
        b"person,task,answer,compass\nM\xe9a,1,043,7\n",
        b"\xff\xfep\x00e\x00",
        b"person,task,answer,compass\n\x00,1,2,3\n" + b"x" * 200_000,
        b'person,task,answer,compass\n"Mia,1,043,7\n',
    ],
)
def test_a_file_that_is_no_csv_in_utf_8_is_refused_in_words(folder, capsys, content):
    (folder / "readings.csv").write_bytes(content)

    with pytest.raises(SystemExit) as stopped:
        grade(folder)

    assert stopped.value.code == 2
    assert capsys.readouterr().err.startswith("readings.csv")


@pytest.mark.parametrize(
    ("options", "complaint"),
    [
        ({"date": "2031-04-02"}, "No declination for 2031-04-02"),
        ({"date": "tomorrow"}, "“tomorrow” is not a date"),
        ({"grid": 3857}, "EPSG 3857"),
    ],
)
def test_a_date_or_grid_that_cannot_be_is_refused_in_words(folder, capsys, options, complaint):
    with pytest.raises(SystemExit):
        grade(folder, **options)

    assert complaint in capsys.readouterr().err


def test_a_file_that_is_not_there_is_refused_in_words(folder, capsys):
    (folder / "readings.csv").unlink()

    with pytest.raises(SystemExit):
        grade(folder)

    assert "readings.csv" in capsys.readouterr().err


def test_a_name_that_a_spreadsheet_would_run_is_disarmed(folder):
    (folder / "readings.csv").write_text(
        "person,task,answer,compass\n=1+1,1,043,@7\n", encoding="utf-8"
    )

    grade(folder)

    assert (
        table(folder, "graded.csv")[0]["person"],
        table(folder, "graded.csv")[0]["error_deg"][0],
    ) == ("'=1+1", table(folder, "graded.csv")[0]["error_deg"][0])


def test_the_demonstrations_own_tables_can_be_graded(tmp_path):
    demo = settings.BASE_DIR / "fixtures/demo"

    call_command(
        "grade",
        points=demo / "terrace_points.csv",
        course=demo / "terrace_course.csv",
        readings=demo / "terrace_readings.csv",
        date="2026-10-03",
        out=tmp_path,
    )

    assert len((tmp_path / "graded.csv").read_text().splitlines()) == 97


PLACES = (
    "task,kind,from,to,north,full_credit_deg,part_credit_deg,given_deg,given_north,"
    "more,legs,full_credit_m,part_credit_m\n"
    "1,map,A,T1,grid,3,6,,,,,,\n"
    "2,face,A,T1,grid,5,10,,,,,,\n"
    "3,fix,A,T1,grid,,,,,T2 T3,,,\n"
    "4,walk,A,T2,magnetic,,,,,,010 100,20,40\n"
    "5,intersect,A,T2,grid,,,,,T1,,,\n"
)
GIVEN = (
    "person,task,answer,compass\nMia,1,246,7\nMia,2,T3,7\nMia,3,45.1300 S 170.1000 "
    "E,7\nMia,4,t2,7\nMia,5,-45.13150 170.10260,7\nTom,4,T1,7\n"
)


@pytest.fixture
def walked(folder):
    (folder / "points.csv").write_text(
        POINTS + "T3,hide,-45.1309,170.0964,400,1,\n", encoding="utf-8"
    )
    (folder / "course.csv").write_text(PLACES, encoding="utf-8")
    (folder / "readings.csv").write_text(
        GIVEN.replace("45.1300 S 170.1000 E", "45.13000 S 170.10000 E"), encoding="utf-8"
    )
    return folder


def test_places_are_graded_in_metres_and_a_field_half_by_its_persons_own_number(walked):
    grade(walked)

    rows = {(row["person"], row["task"]): row for row in table(walked, "graded.csv")}
    assert {key: row["credit"] for key, row in rows.items()} == {
        ("Mia", "1"): "0",
        ("Mia", "2"): "1",
        ("Mia", "3"): "1",
        ("Mia", "4"): "1",
        ("Mia", "5"): "1",
        ("Tom", "4"): "0",
    }
    assert (rows["Mia", "1"]["cause"], rows["Mia", "2"]["cause"]) == ("reversed", "ok")
    assert (
        rows["Mia", "3"]["error_m"],
        rows["Mia", "3"]["expected_deg"],
        rows["Mia", "4"]["expected_place"],
    ) == ("0.0", "", "T2")
    assert float(rows["Tom", "4"]["error_m"]) > 100
    assert [row["person"] for row in table(walked, "people.csv")] == ["Mia", "Tom"]


@pytest.mark.parametrize(
    ("file", "old", "new", "complaint"),
    [
        ("course.csv", "T2 T3", "T2 T9", "course.csv, line 4, more: there is no point “T9”"),
        ("course.csv", "T2 T3", "", "course.csv, line 4, task: A position needs bearings"),
        ("course.csv", "010 100", "ten", "course.csv, line 5, legs: “ten” is not a leg"),
        ("course.csv", "20,40", "40,20", "course.csv, line 5, full_credit_m: part credit"),
        ("readings.csv", "t2", "T9", "readings.csv, line 5, answer: “T9” is not a spot here"),
        (
            "readings.csv",
            "45.13000 S 170.10000 E",
            "over there",
            "readings.csv, line 4, answer: “over there” is neither",
        ),
    ],
)
def test_a_bad_place_is_named_by_file_line_and_column(walked, capsys, file, old, new, complaint):
    text = (walked / file).read_text(encoding="utf-8")
    assert old in text
    (walked / file).write_text(text.replace(old, new, 1), encoding="utf-8")

    with pytest.raises(SystemExit):
        grade(walked)

    assert complaint in capsys.readouterr().err
    assert not (walked / "results").exists()


def test_a_column_says_which_readings_are_in_mils(folder):
    (folder / "readings.csv").write_text(
        "person,task,answer,compass,unit\nMia,1,0764,7,mils\nTom,1,043,8,\nAda,1,1316,9,mil6300\n",
        encoding="utf-8",
    )
    grade(folder)

    rows = table(folder, "graded.csv")
    assert [row["unit"] for row in rows] == ["mil6400", "deg", "mil6300"]
    # 0764 mils are 42.975 degrees
    assert float(rows[0]["error_deg"]) == pytest.approx(
        42.975 - float(rows[0]["expected_deg"]), abs=0.001
    )


def test_a_unit_that_is_none_is_named_with_its_line(folder, capsys):
    (folder / "readings.csv").write_text(
        "person,task,answer,compass,unit\nMia,1,043,7,gon\n", encoding="utf-8"
    )

    with pytest.raises(SystemExit):
        grade(folder)

    assert "readings.csv, line 2, unit: use one of: degrees, mil" in capsys.readouterr().err
