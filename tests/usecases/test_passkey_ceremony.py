"""Whether an answer of a browser is genuine.

Published values: W3C Web Authentication Level 3, section 16 (test vectors), "ES256 credential with
no attestation": RP ID example.org, origin https://example.org. The inputs of each are derived by
HKDF-SHA-256 of the words "WebAuthn test vectors", as stands there.
"""

import datetime
import json
import random

import pytest
from cryptography import x509
from cryptography.hazmat.primitives.hashes import SHA256
from cryptography.hazmat.primitives.kdf.hkdf import HKDF
from cryptography.hazmat.primitives.serialization import Encoding

from exercises.usecases import passkey_ceremony as ceremony
from exercises.usecases.passkey_ceremony import Here, NoPasskeysHere, NotGenuine
from tests.authenticator import (
    BACKED_UP,
    ELIGIBLE,
    PRESENT,
    Authenticator,
    base64url,
    cbor,
    client_data,
    from_base64url,
)

DAY = datetime.timedelta(days=1)
HERE = Here("example.org", "https://example.org")
ATTESTATION = bytes.fromhex(
    "a363666d74646e6f6e656761747453746d74a068617574684461746158a4bfabc37432958b063360d3ad6461c9c4"
    "735ae7f8edd46592a5e0f01452b2e4b559000000008446ccb9ab1db374750b2367ff6f3a1f0020f91f391db4c9b2"
    "fde0ea70189cba3fb63f579ba6122b33ad94ff3ec330084be4a5010203262001215820afefa16f97ca9b2d23eb86"
    "ccb64098d20db90856062eb249c33a9b672f26df61225820930a56b87a2fca66334b03458abf879717c12cc68ed7"
    "3290af2e2664796b9220"
)
MADE_IN = (
    b'{"type":"webauthn.create","challenge":"AMMPt4UxxGTStncdq417YDwBFi8vpIa-pw8oOuVW4TA",'
    b'"origin":"https://example.org","crossOrigin":false,"extraData":"clientDataJSON may be '
    b"extended with additional fields in the future, such as this: "
    b'BkQeDjdcTBrXBiAwJTLE5Q"}'
)
USED_CHALLENGE = "OcDnUhQXulTUPo3JUXT0I97pvzzYBP9tZchXyav01Ag"
USED_IN = (
    b'{"type":"webauthn.get","challenge":"OcDnUhQXulTUPo3JUXT0I97pvzzYBP9tZchXyav01Ag",'
    b'"origin":"https://example.org","crossOrigin":false}'
)
USED_SAID = bytes.fromhex(
    "bfabc37432958b063360d3ad6461c9c4735ae7f8edd46592a5e0f01452b2e4b51900000000"
)
SIGNATURE = bytes.fromhex(
    "3046022100f50a4e2e4409249c4a853ba361282f09841df4dd4547a13a87780218deffcd380221008480ac0f0b93"
    "538174f575bf11a1dd5d78c6e486013f937295ea13653e331e87"
)
ANY_HANDLE = base64url(b"somebody")


def derived(salt, length=32):
    """An input of the vectors."""
    kdf = HKDF(SHA256(), length, bytes([salt]), b"none.ES256")
    return kdf.derive(b"WebAuthn test vectors")


CHALLENGE, CREDENTIAL_ID = base64url(derived(0)), derived(5)


def answer(**response):
    name = base64url(CREDENTIAL_ID)
    parts = {part: base64url(content) for part, content in response.items()}
    return json.dumps({"id": name, "rawId": name, "type": "public-key", "response": parts})


def published():
    return ceremony.created(
        answer=answer(clientDataJSON=MADE_IN, attestationObject=ATTESTATION),
        here=HERE,
        challenge=CHALLENGE,
    )


def signed(**other):
    sent = answer(
        **{
            "clientDataJSON": USED_IN,
            "authenticatorData": USED_SAID,
            "signature": SIGNATURE,
            **other,
        }
    )
    return ceremony.count_signed(
        answer=sent,
        here=HERE,
        challenge=USED_CHALLENGE,
        public_key=published().public_key,
        handle=ANY_HANDLE,
    )


def test_the_published_passkey_is_taken():
    assert published().credential_id == base64url(CREDENTIAL_ID)
    assert published().sign_count == 0


def test_the_published_sign_of_it_is_taken():
    assert signed() == 0


def test_our_device_of_the_tests_makes_the_published_bytes():
    device = Authenticator(
        counts=False,
        credential_id=CREDENTIAL_ID,
        number=int.from_bytes(derived(1), "big"),
        aaguid=derived(4, 16),
    )

    made = device.attestation("example.org", flags=PRESENT | ELIGIBLE | BACKED_UP)

    assert made == ATTESTATION


@pytest.mark.parametrize("at", range(0, len(SIGNATURE), 7))
def test_one_bit_of_the_signature_matters(at):
    spoilt = bytearray(SIGNATURE)
    spoilt[at] ^= 1

    with pytest.raises(NotGenuine):
        signed(signature=bytes(spoilt))


@pytest.mark.parametrize("at", [0, 31, 32, 36])
def test_one_bit_of_what_the_device_said_matters(at):
    spoilt = bytearray(USED_SAID)
    spoilt[at] ^= 0x20

    with pytest.raises(NotGenuine):
        signed(authenticatorData=bytes(spoilt))


def test_a_sign_for_another_account_is_not_taken():
    with pytest.raises(NotGenuine):
        signed(userHandle=b"somebody else")
    assert signed(userHandle=b"somebody") == 0


OPTIONS = {"challenge": CHALLENGE, "rp": {"id": "example.org"}, "user": {"id": ANY_HANDLE}}


def made(device=None, origin="https://example.org", **more):
    device = device or Authenticator()
    sent = device.make(OPTIONS, origin, **more)
    return ceremony.created(answer=sent, here=HERE, challenge=CHALLENGE)


@pytest.mark.parametrize(
    "more",
    [
        pytest.param({"origin": "https://example.org.evil.example"}, id="another name"),
        pytest.param({"origin": "http://example.org"}, id="without https"),
        pytest.param({"origin": "https://example.org:8443"}, id="another port"),
        pytest.param({"type": "webauthn.get"}, id="another wish"),
        pytest.param({"challenge": base64url(b"another" * 8)}, id="another challenge"),
        pytest.param({"crossOrigin": True}, id="within another's page"),
    ],
)
def test_what_another_page_asked_for_is_not_taken(more):
    assert made().sign_count == 1

    with pytest.raises(NotGenuine):
        made(**more)


def test_another_name_of_a_server_is_not_ours():
    sent = Authenticator().make(OPTIONS | {"rp": {"id": "evil.example"}}, HERE.origin)

    with pytest.raises(NotGenuine):
        ceremony.created(answer=sent, here=HERE, challenge=CHALLENGE)


def test_nobody_at_the_device_is_nobody():
    device = Authenticator()

    with pytest.raises(NotGenuine):
        made(device, attestation=device.attestation("example.org", flags=0))


def certificate(key):
    """A stranger's word for a device: a certificate of its key, by itself."""
    name = x509.Name([x509.NameAttribute(x509.NameOID.COMMON_NAME, "Works")])
    now = datetime.datetime.now(datetime.UTC)
    draft = x509.CertificateBuilder(name, name, key.public_key(), 7, now, now + DAY)
    return draft.sign(key, SHA256()).public_bytes(Encoding.DER)


def vouched(device, *, form, **statement):
    """What a device that vouches for itself says; its attestation in one of the forms."""
    said = device.said("example.org", PRESENT, is_new=True)
    client = client_data("webauthn.create", OPTIONS, HERE.origin)
    own = {"alg": -7, "sig": device.signature(said, client), **statement}
    return made(device, attestation=cbor({"fmt": form, "attStmt": own, "authData": said}))


def test_a_device_that_vouches_for_itself_is_taken():
    assert vouched(Authenticator(), form="packed").sign_count == 1


def test_a_strangers_certificate_is_not_read():
    device = Authenticator()
    content = certificate(device.key)

    with pytest.raises(NotGenuine):
        vouched(device, form="packed", x5c=[content])
    with pytest.raises(NotGenuine):
        vouched(device, form="apple", x5c=[content])


class OfRsa(Authenticator):
    """A device with an RSA key of so many bytes, of which nobody knows the private half."""

    length = 256

    @property
    def cose_key(self):
        return cbor({1: 3, 3: -257, -1: b"\xc1" * self.length, -2: b"\x01\x00\x01"})


def test_a_key_of_two_thousand_bits_is_taken_and_one_beyond_all_use_is_not():
    assert made(OfRsa()).sign_count == 1

    device = OfRsa()
    device.length = 1200
    with pytest.raises(NotGenuine):
        made(device)


def test_a_passkey_under_another_ones_id_is_not_taken():
    device = Authenticator()
    sent = json.loads(device.make(OPTIONS, HERE.origin))
    sent["id"] = sent["rawId"] = base64url(b"another id, of somebody else")

    with pytest.raises(NotGenuine):
        ceremony.created(answer=json.dumps(sent), here=HERE, challenge=CHALLENGE)


def test_a_key_that_is_no_point_of_its_curve_is_noticed_at_once():
    device = Authenticator()
    attestation = bytearray(device.attestation("example.org"))
    attestation[-1] ^= 1

    with pytest.raises(NotGenuine):
        made(device, attestation=bytes(attestation))


GARBAGE = [
    "",
    "null",
    "[]",
    "7",
    '"text"',
    "{}",
    "{",
    "[" * 10_000,
    '{"a":' * 9_000,
    '{"id":"\\ud800","rawId":"\\ud800","type":"public-key","response":{}}',
    '{"id":7,"rawId":[],"type":{},"response":"x"}',
    answer(),
    answer(clientDataJSON=b"", attestationObject=b"", authenticatorData=b"", signature=b""),
    answer(clientDataJSON=b"[]", attestationObject=b"\x80", authenticatorData=b"x", signature=b""),
    answer(clientDataJSON=b"\xff", attestationObject=b"\xbb" + b"\xff" * 8, signature=b"\x30"),
    answer(clientDataJSON=MADE_IN, attestationObject=b"\x9f" * 9_000),
    answer(clientDataJSON=MADE_IN, attestationObject=b"\x5b\x7f" + b"\xff" * 7),
    answer(clientDataJSON=MADE_IN, attestationObject=cbor({"fmt": {}, "authData": 7})),
    answer(clientDataJSON=MADE_IN, attestationObject=ATTESTATION[:-1]),
]


@pytest.mark.parametrize("sent", GARBAGE, ids=range(len(GARBAGE)))
def test_garbage_is_not_genuine_and_nothing_worse(sent):
    with pytest.raises(NotGenuine):
        ceremony.created(answer=sent, here=HERE, challenge=CHALLENGE)
    with pytest.raises(NotGenuine):
        ceremony.count_signed(
            answer=sent,
            here=HERE,
            challenge=CHALLENGE,
            public_key=published().public_key,
            handle=ANY_HANDLE,
        )


def test_a_spoilt_answer_is_taken_as_it_was_or_is_not_genuine():
    """500 answers with one to four bytes of the attestation changed, from seed 7."""
    rng = random.Random(7)
    taken = set()
    for _ in range(500):
        spoilt = bytearray(ATTESTATION)
        for _ in range(rng.randint(1, 4)):
            spoilt[rng.randrange(len(spoilt))] = rng.randrange(256)
        sent = answer(clientDataJSON=MADE_IN, attestationObject=bytes(spoilt))
        try:
            made = ceremony.created(answer=sent, here=HERE, challenge=CHALLENGE)
        except NotGenuine:
            continue
        taken.add(made.credential_id)

    assert taken == {base64url(CREDENTIAL_ID)}


@pytest.mark.parametrize(
    ("host", "is_secure", "rp_id", "origin"),
    [
        ("class.example", True, "class.example", "https://class.example"),
        ("class.example:443", True, "class.example", "https://class.example"),
        ("Class.Example:8443", True, "class.example", "https://class.example:8443"),
        ("field-laptop", True, "field-laptop", "https://field-laptop"),
        ("localhost:8000", False, "localhost", "http://localhost:8000"),
        ("localhost:80", False, "localhost", "http://localhost"),
        ("desk.localhost", False, "desk.localhost", "http://desk.localhost"),
        ("class.example:80", True, "class.example", "https://class.example:80"),
    ],
)
def test_passkeys_belong_to_the_name_and_the_page_to_its_origin(host, is_secure, rp_id, origin):
    assert ceremony.here(host=host, is_secure=is_secure) == Here(rp_id, origin)


@pytest.mark.parametrize(
    "host",
    ["10.42.0.1", "127.0.0.1:8000", "[::1]:8000", "[fe80::1]", "10.42.0.1.", "1.2.3", "7", "a.7"],
)
def test_at_a_number_there_are_no_passkeys(host):
    with pytest.raises(NoPasskeysHere, match="this address is a number"):
        ceremony.here(host=host, is_secure=True)


@pytest.mark.parametrize("host", ["class.lan", "localhost.example", "notlocalhost:8000"])
def test_without_https_there_are_passkeys_on_this_machine_alone(host):
    with pytest.raises(NoPasskeysHere, match="need https"):
        ceremony.here(host=host, is_secure=False)


def test_what_a_browser_is_asked_names_no_account_to_the_device():
    asked = ceremony.to_create(
        here=HERE,
        challenge=CHALLENGE,
        handle=ceremony.new_handle(),
        account_name="ines",
        held=[base64url(CREDENTIAL_ID)],
    )

    assert (asked["attestation"], asked["rp"]["id"]) == ("none", "example.org")
    assert len(from_base64url(asked["user"]["id"])) == 64
    assert [one["id"] for one in asked["excludeCredentials"]] == [base64url(CREDENTIAL_ID)]
    assert asked["authenticatorSelection"]["userVerification"] == "preferred"
    assert len(from_base64url(ceremony.new_challenge())) == 64
