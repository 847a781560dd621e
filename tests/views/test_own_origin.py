"""Our answers are for our own pages: Fetch Standard, "Cross-Origin-Resource-Policy header" and
"X-Content-Type-Options header"; CSP Level 3, "frame-ancestors". OWASP ASVS 5.0.0, 3.4.4 and 3.4.6,
ask both of every answer.
"""

import pytest

ANSWERS = pytest.mark.parametrize(
    "path",
    ["/", "/account/", "/sw.js", "/no-such-page/", "/health/alive/", "/static/exercises/icon.svg"],
)


@ANSWERS
def test_no_page_of_another_origin_loads_an_answer_of_ours(client, db, path):
    assert client.get(path).headers["Cross-Origin-Resource-Policy"] == "same-origin"


@ANSWERS
def test_no_page_of_another_origin_frames_an_answer_of_ours(client, db, path):
    assert "frame-ancestors 'none'" in client.get(path).headers["Content-Security-Policy"]


@ANSWERS
def test_an_answer_is_nothing_but_what_it_is_called(client, db, path):
    assert client.get(path).headers["X-Content-Type-Options"] == "nosniff"
