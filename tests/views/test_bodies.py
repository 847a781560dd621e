"""What a request may be made of: text in UTF-8, and JSON where a script sends it. Everything else
is refused in words and is no trouble of the server's.
"""

import json
import uuid

import pytest

from exercises.models import Reading

UTF_16 = "application/x-www-form-urlencoded; charset=utf-16"


@pytest.mark.parametrize("path", ["/?next=caf%e9", "/sign-in/?next=%ff"])
def test_another_charset_than_utf_8_is_refused(client, db, path):
    answer = client.get(path, CONTENT_TYPE=UTF_16)

    assert (answer.status_code, answer.content) == (415, b"Send text in UTF-8.")
    assert answer.headers["Content-Type"] == "text/plain; charset=utf-8"


def test_a_form_in_another_charset_is_refused_before_it_is_read(client, db):
    answer = client.generic("POST", "/sign-in/", b"\xff\xfe", content_type=UTF_16)

    assert answer.status_code == 415


@pytest.mark.parametrize("charset", ["utf-8", "UTF8", "utf_8"])
def test_utf_8_by_any_of_its_names_is_read(client, db, charset):
    answer = client.get("/?next=caf%c3%a9", CONTENT_TYPE=f"text/plain; charset={charset}")

    assert answer.status_code == 200


def sent(mia, phone, open_class, content_type, body):
    path = f"/c/{open_class.code}/readings/"
    return phone.generic("POST", path, body, content_type=content_type)


READING = {"task": "1", "text": "074", "measured_at": "2026-10-03T09:31:00Z"}


@pytest.mark.parametrize(
    "content_type",
    ["multipart/form-data; boundary=x", "text/plain", "application/x-www-form-urlencoded"],
)
def test_readings_that_do_not_come_as_json_are_refused_in_words(
    phone, open_class, mia, content_type
):
    body = json.dumps({"readings": [{**READING, "id": str(uuid.uuid4()), "person": mia.pk}]})
    answer = sent(mia, phone, open_class, content_type, body)

    assert answer.status_code == 400
    assert answer.json()["message"] == "This is not a list of readings. Reload the page."
    assert not Reading.objects.exists()


@pytest.mark.parametrize("where", ["readings", "at-home"])
@pytest.mark.parametrize("body", [b"", b"\xff\xfe{", b"[" * 20_000, b"null", b"7", b'"x"'])
def test_a_body_that_is_no_json_of_ours_is_refused_in_words(phone, open_class, mia, where, body):
    path = f"/c/{open_class.code}/{where}/"
    answer = phone.generic("POST", path, body, content_type="application/json")

    assert answer.status_code == 400
    assert answer.json()["message"]
