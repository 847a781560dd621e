"""Our answers are for our own pages: Fetch Standard, "Cross-Origin-Resource-Policy header"."""

import pytest


@pytest.mark.parametrize(
    "path",
    ["/", "/account/", "/sw.js", "/no-such-page/", "/health/alive/", "/static/exercises/icon.svg"],
)
def test_no_page_of_another_origin_loads_an_answer_of_ours(client, db, path):
    assert client.get(path).headers["Cross-Origin-Resource-Policy"] == "same-origin"
