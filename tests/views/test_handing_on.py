"""A whole export and its way back, at the desk and by command."""

import io

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.core.management import CommandError, call_command

from exercises.exchange.whole import archive
from exercises.models import Reading, Site
from tests import cast, handed


def text(answer):
    return " ".join(answer.content.decode().split())


def document_of(answer):
    return archive.read(io.BytesIO(answer.content))


def sent(client, content, name="navclass-export.zip"):
    file = SimpleUploadedFile(name, content, content_type="application/zip")
    return client.post("/account/import/", {"file": file}, follow=True)


@pytest.fixture
def full(ines):
    return handed.full_class(ines)


def test_a_file_comes_without_names_unless_they_are_asked_for(desk, full):
    without, with_names = (
        document_of(desk.post("/account/export/", given)) for given in ({}, {"with_names": "on"})
    )

    assert (without["with_names"], with_names["with_names"]) == (False, True)
    assert {row["name"] for row in with_names["rows"]["person"]} > {"Zebulon"}
    assert {row["name"][:1] for row in without["rows"]["person"]} == {"#"}


def test_a_site_is_saved_by_itself(desk, full, ines):
    cast.site_of(ines, "Another ground")

    document = document_of(desk.post(f"/sites/{full.course.site_id}/export/"))

    assert (document["holds"], [row["name"] for row in document["rows"]["site"]]) == (
        "site",
        ["Test ground"],
    )


def test_looking_at_the_page_saves_nothing(desk, full):
    page = text(desk.get("/account/export/"))

    assert "Passwords, phones and personal codes stay here" in page


def test_a_file_is_taken_in_by_another_instructor(client, desk, full, karl):
    content = desk.post("/account/export/", {"with_names": "on"}).content
    client.force_login(karl)

    page = text(sent(client, content))

    assert (
        "Taken in: sites 1, classes 1, people 4, readings 9. Rows that were here already: 0."
        in page
    )
    assert Reading.objects.filter(course_class__owner=karl).count() == 9
    again = text(sent(client, content))
    assert "Taken in: sites 0, classes 0, people 0, readings 0." in again
    assert karl.sites.count() == 1


def test_what_was_taken_in_opens_at_the_desk(client, desk, full, karl):
    content = desk.post("/account/export/", {"with_names": "on"}).content
    client.force_login(karl)
    sent(client, content)
    taken = karl.classes.get()

    addresses = [
        f"/sites/{taken.course.site_id}/",
        f"/courses/{taken.course_id}/",
        f"/kits/{karl.kits.get().pk}/",
        *(
            f"/classes/{taken.pk}/{page}"
            for page in ("", "debrief/", "key/", "roster/", "trail/", "rotation/", "kit/", "live/")
        ),
    ]

    assert {address: client.get(address).status_code for address in addresses} == dict.fromkeys(
        addresses, 200
    )


@pytest.mark.parametrize(
    ("content", "said"),
    [
        pytest.param(b"", "The file is empty.", id="empty"),
        pytest.param(b"GIF89a", "This is no export of navclass", id="a picture"),
        pytest.param(b"PK\x03\x04" + b"\0" * 40, "no export of navclass", id="half a zip"),
    ],
)
def test_a_file_that_is_none_is_told_in_words(desk, content, said):
    assert said in text(sent(desk, content))
    assert not Site.objects.exists()


def test_without_a_file_the_page_asks_for_one(desk):
    assert "Choose the file first." in text(desk.post("/account/import/", {}))


def test_by_command_out_and_in_again(full, karl, tmp_path):
    said = io.StringIO()
    path = tmp_path / "all.zip"

    call_command("hand_on", "ines", path, stdout=said)
    call_command("take_in", "karl", path, stdout=said)

    assert path.stat().st_mode & 0o777 == 0o600
    assert "rows; 0 were here already." in said.getvalue()
    assert karl.classes.get().readings.count() == 9


def test_commands_refuse_in_words(full, tmp_path):
    (tmp_path / "there.zip").write_bytes(b"x")
    for arguments, said in (
        (("hand_on", "nobody", tmp_path / "a.zip"), "No account is called nobody"),
        (("hand_on", "ines", tmp_path / "there.zip"), "cannot be written"),
        (("take_in", "ines", tmp_path / "missing.zip"), "cannot be read"),
        (("take_in", "ines", tmp_path / "there.zip"), "no export of navclass"),
    ):
        with pytest.raises(CommandError, match=said):
            call_command(*arguments, stdout=io.StringIO())
    with pytest.raises(CommandError, match="ines has no site “Moor”"):
        call_command("hand_on", "ines", tmp_path / "b.zip", site="Moor")
