"""https with the laptop's own authority: a phone that trusts it opens the class without the
network.
"""

import os
import re
import shutil
import ssl
import subprocess
import urllib.error
import urllib.request

import pytest

from tests.optional import unavailable

from .conftest import FLAGS, PHONE, expect
from .field import copied, free_port


@pytest.fixture
def encrypted(loaded, tmp_path):
    """A server with https beside http, and the port of the former."""
    server, port = copied(loaded, tmp_path / "data"), free_port()
    server.start("serve", "--https", "--https-port", str(port), "--name", "class.lan")
    server.https_port = port
    yield server
    server.kill()


def test_the_server_answers_over_https_to_who_trusts_its_authority(encrypted):
    context = ssl.create_default_context(cafile=encrypted.folder / "https" / "authority.crt")

    with urllib.request.urlopen(
        f"https://127.0.0.1:{encrypted.https_port}/", context=context, timeout=20
    ) as answer:
        assert answer.status == 200
    with pytest.raises(urllib.error.URLError, match="CERTIFICATE_VERIFY_FAILED"):
        urllib.request.urlopen(f"https://127.0.0.1:{encrypted.https_port}/", timeout=20)


def test_the_page_of_trust_shows_the_fingerprint_and_gives_the_certificate(encrypted):
    page = (
        urllib.request.urlopen(f"http://127.0.0.1:{encrypted.port}/trust/", timeout=20)
        .read()
        .decode()
    )
    certificate = urllib.request.urlopen(
        f"http://127.0.0.1:{encrypted.port}/trust/authority.crt", timeout=20
    ).read()

    digest = subprocess.run(
        ["openssl", "x509", "-noout", "-fingerprint", "-sha256"],
        input=certificate,
        capture_output=True,
        check=True,
    ).stdout.decode()
    assert digest.strip().partition("=")[2] in page


def test_a_phone_that_trusts_the_authority_opens_the_class_without_network(
    playwright, program, encrypted, tmp_path
):
    if not shutil.which("certutil"):
        unavailable(
            "no certutil on this machine to trust a certificate with (Debian: libnss3-tools)"
        )
    database = tmp_path / "home/.pki/nssdb"
    database.mkdir(parents=True)
    subprocess.run(["certutil", "-d", f"sql:{database}", "-N", "--empty-password"], check=True)
    subprocess.run(
        [
            "certutil",
            "-d",
            f"sql:{database}",
            "-A",
            "-t",
            "C,,",
            "-n",
            "navclass",
            "-i",
            str(encrypted.folder / "https/authority.crt"),
        ],
        check=True,
    )
    context = playwright.chromium.launch_persistent_context(
        str(tmp_path / "profile"),
        executable_path=program,
        args=FLAGS,
        viewport=PHONE,
        env={**os.environ, "HOME": str(tmp_path / "home")},
    )
    context.set_default_timeout(10_000)
    phone, address = (
        context.pages[0],
        f"https://class.lan:{encrypted.https_port}/c/{encrypted.code}/",
    )
    phone.goto(f"{address}join/")
    phone.get_by_label("Your name").fill("Mia")
    phone.get_by_role("button", name="Join", exact=True).click()
    expect(phone.get_by_role("button", name=re.compile("Terrace steps"))).to_be_visible()
    assert phone.evaluate("() => isSecureContext")
    expect(phone.get_by_text("you may close this page and open it again")).to_be_visible()
    phone.close()
    encrypted.kill()
    phone = context.new_page()
    phone.goto(address)

    expect(phone.get_by_role("button", name=re.compile("Terrace steps"))).to_be_visible()
    context.close()
