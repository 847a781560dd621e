"""Browsers in words."""

import pytest

from exercises.presenting.devices import device_text


# Examples of MDN, “User-Agent header” (the first three, the fourth) and “Browser detection using
# the user agent” (what claims to be what); quoted from memory.
@pytest.mark.parametrize(
    ("agent", "words"),
    [
        (
            "Mozilla/5.0 (Windows NT 6.1; Win64; x64; rv:47.0) Gecko/20100101 Firefox/47.0",
            "Firefox on Windows",
        ),
        (
            "Mozilla/5.0 (X11; Linux x86_64) AppleWebKit/537.36 (KHTML, like Gecko) "
            "Chrome/51.0.2704.103 Safari/537.36",
            "Chrome on Linux",
        ),
        (
            "Mozilla/5.0 (X11; Linux x86_64) AppleWebKit/537.36 (KHTML, like Gecko) "
            "Chrome/51.0.2704.106 Safari/537.36 OPR/38.0.2220.41",
            "Opera on Linux",
        ),
        (
            "Mozilla/5.0 (Windows NT 10.0; Win64; x64) AppleWebKit/537.36 (KHTML, like Gecko) "
            "Chrome/91.0.4472.124 Safari/537.36 Edg/91.0.864.59",
            "Edge on Windows",
        ),
        (
            "Mozilla/5.0 (Linux; Android 10; K) AppleWebKit/537.36 (KHTML, like Gecko) "
            "Chrome/114.0.0.0 Mobile Safari/537.36",
            "Chrome on Android",
        ),
        (
            "Mozilla/5.0 (iPhone; CPU iPhone OS 13_5_1 like Mac OS X) AppleWebKit/605.1.15 "
            "(KHTML, like Gecko) Version/13.1.1 Mobile/15E148 Safari/604.1",
            "Safari on iPhone",
        ),
        ("curl/7.64.1", "A browser that does not say which"),
        ("", "A browser that does not say which"),
    ],
)
def test_a_browser_is_told_roughly(agent, words):
    assert device_text(agent) == words
