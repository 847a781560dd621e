"""What a request may be made of: text in UTF-8, and JSON where a script sends it. Everything else
is refused in words and is no trouble of the server's.
"""

import json
import uuid

import pytest

from exercises.models import Reading
from exercises.serving.application import without_null_charsets

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


@pytest.mark.parametrize("charset", ["charset*=UTF-8''a%00b", "charset=a\x00b"])
def test_a_charset_with_a_null_character_is_refused_before_django_asks(charset):
    asked, said = {"CONTENT_TYPE": f"text/plain; {charset}"}, []
    body = without_null_charsets(None)(asked, lambda status, headers: said.append(status))

    assert (said, list(body)) == (
        ["400 Bad Request"],
        [b"The content type holds a null character."],
    )


def test_other_content_types_come_through_to_the_application():
    served = without_null_charsets(lambda environ, start_response: [environ["CONTENT_TYPE"]])

    assert served({"CONTENT_TYPE": "text/plain; charset=utf-8"}, None) == [
        "text/plain; charset=utf-8"
    ]


STRANGE = ["[]", "{}", "[[]]", "NaN", '"\\ud800"', "1e400", "true", "-1", "9" * 400]


@pytest.mark.parametrize("field", ["id", "person", "task", "text", "unit", "measured_at", "mils"])
@pytest.mark.parametrize("strange", STRANGE)
def test_a_reading_with_a_strange_value_is_answered_in_words(
    phone, open_class, mia, field, strange
):
    plain = {**READING, "id": str(uuid.uuid4()), "person": mia.pk}
    body = json.dumps({"readings": [{**plain, field: "THIS"}]}).replace('"THIS"', strange)
    answer = sent(mia, phone, open_class, "application/json", body)

    (outcome,) = answer.json()["readings"]
    assert outcome["message"] or outcome["status"] == "stored"


@pytest.mark.parametrize("field", ["id", "about", "question", "said", "cause", "measured_at"])
@pytest.mark.parametrize("strange", STRANGE)
def test_what_is_said_of_a_reading_with_a_strange_value_is_answered_in_words(
    phone, open_class, mia, field, strange
):
    plain = {"id": str(uuid.uuid4()), "person": mia.pk, **READING}
    sent(mia, phone, open_class, "application/json", json.dumps({"readings": [plain]}))
    about = Reading.objects.get().pk
    reply = {"id": str(uuid.uuid4()), "about": about, "question": "dial", "said": "red"}
    body = json.dumps({"readings": [{**reply, field: "THIS"}]}).replace('"THIS"', strange)
    answer = sent(mia, phone, open_class, "application/json", body)

    assert answer.status_code == 200
    assert answer.json()["readings"][0]["message"]


@pytest.mark.parametrize("field", ["person", "lessons"])
@pytest.mark.parametrize("strange", STRANGE)
def test_lessons_of_a_strange_value_are_answered_in_words(phone, open_class, mia, field, strange):
    body = json.dumps({"person": mia.pk, "lessons": [], field: "THIS"}).replace('"THIS"', strange)
    path = f"/c/{open_class.code}/at-home/"
    answer = phone.generic("POST", path, body, content_type="application/json")

    assert answer.status_code in (200, 400, 403)
    assert "message" in answer.json() or answer.json()["home"] == []
