"""The laptop's own certificate authority, checked by OpenSSL through Python's ssl."""

import contextlib
import ssl
import warnings
from datetime import UTC, datetime, timedelta

import pytest
from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec

from exercises.serving import certificates, encryption

NOW = datetime.now(UTC)


def shake_hands(folder, certificate, key, host):
    """A handshake in memory between a client that trusts the authority and a server with the
    certificate. Raises SSLCertVerificationError.
    """
    serving, asking = (
        ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER),
        ssl.create_default_context(cafile=folder / "authority.crt"),
    )
    serving.load_cert_chain(certificate, key)
    to_server, to_client = ssl.MemoryBIO(), ssl.MemoryBIO()
    server, client = (
        serving.wrap_bio(to_server, to_client, server_side=True),
        asking.wrap_bio(to_client, to_server, server_hostname=host),
    )
    for _ in range(4):
        for side in (client, server):
            try:
                side.do_handshake()
            except ssl.SSLWantReadError:
                continue
    return client.getpeercert()


@pytest.mark.parametrize(
    "name",
    ["192.168.4.1", "10.0.0.7", "class.lan", "localhost", "laptop.local", "navclass.home.arpa"],
)
def test_a_phone_that_trusts_the_authority_accepts_the_server(tmp_path, name):
    certificate, key = certificates.for_server(tmp_path, [name], NOW)

    assert shake_hands(tmp_path, certificate, key, name)["issuer"] == (
        (("commonName", "navclass on a field laptop, signer"),),
    )


def greeted(folder, most, ciphers=None):
    """The version and the cipher that our server agrees with a client that speaks TLS up to a
    version, perhaps by certain ciphers of 1.2 alone. Raises SSLError.
    """
    serving = encryption.encrypting(*certificates.for_server(folder, ["class.lan"], NOW))
    asking = ssl.create_default_context(cafile=folder / "authority.crt")
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # old versions are what is tried
        asking.minimum_version, asking.maximum_version = ssl.TLSVersion.TLSv1, most
    asking.set_ciphers(ciphers or "ALL:@SECLEVEL=0")
    to_server, to_client = ssl.MemoryBIO(), ssl.MemoryBIO()
    client = asking.wrap_bio(to_client, to_server, server_hostname="class.lan")
    server = serving.wrap_bio(to_server, to_client, server_side=True)
    for _ in range(4):
        for side in (client, server):
            with contextlib.suppress(ssl.SSLWantReadError):
                side.do_handshake()
    return server.version(), server.cipher()[0]


@pytest.mark.parametrize("version", ["TLSv1_2", "TLSv1_3"])
def test_phones_of_today_are_answered_by_ciphers_that_notice_changes(tmp_path, version):
    spoken, cipher = greeted(tmp_path, ssl.TLSVersion[version])

    assert spoken == version.replace("_", ".")
    assert "GCM" in cipher or "CHACHA20" in cipher


@pytest.mark.parametrize(
    ("most", "ciphers"),
    [
        pytest.param(ssl.TLSVersion.TLSv1_1, None, id="an old protocol"),
        pytest.param(ssl.TLSVersion.TLSv1_2, "ECDHE-ECDSA-AES128-SHA256", id="changes unnoticed"),
    ],
)
def test_what_rfc_9325_advises_against_is_refused(tmp_path, most, ciphers):
    with pytest.raises(ssl.SSLError):
        greeted(tmp_path, most, ciphers)


def test_another_host_is_not_accepted(tmp_path):
    certificate, key = certificates.for_server(tmp_path, ["class.lan"], NOW)

    with pytest.raises(ssl.SSLCertVerificationError, match="Hostname mismatch"):
        shake_hands(tmp_path, certificate, key, "other.lan")


def test_a_stolen_authority_cannot_pose_as_a_public_site(tmp_path):
    _, signer, signing_key = certificates.authority(tmp_path, NOW)
    key = ec.generate_private_key(ec.SECP256R1())
    name = x509.Name([x509.NameAttribute(x509.NameOID.COMMON_NAME, "bank.example")])
    forged = (
        x509.CertificateBuilder()
        .subject_name(name)
        .issuer_name(signer.subject)
        .public_key(key.public_key())
        .serial_number(1)
        .not_valid_before(NOW - timedelta(days=1))
        .not_valid_after(NOW + timedelta(days=10))
        .add_extension(x509.SubjectAlternativeName([x509.DNSName("bank.example")]), critical=False)
        .sign(signing_key, hashes.SHA256())
    )
    (tmp_path / "forged.crt").write_bytes(
        forged.public_bytes(serialization.Encoding.PEM)
        + signer.public_bytes(serialization.Encoding.PEM)
    )
    (tmp_path / "forged.key").write_bytes(
        key.private_bytes(
            serialization.Encoding.PEM,
            serialization.PrivateFormat.PKCS8,
            serialization.NoEncryption(),
        )
    )

    with pytest.raises(ssl.SSLCertVerificationError, match="permitted subtree violation"):
        shake_hands(tmp_path, tmp_path / "forged.crt", tmp_path / "forged.key", "bank.example")


@pytest.mark.parametrize("name", ["bank.example", "8.8.8.8", "example.com", "lan.example.org"])
def test_public_names_are_refused_in_words(tmp_path, name):
    with pytest.raises(certificates.NotLocal, match=name):
        certificates.for_server(tmp_path, [name], NOW)


def test_the_authority_stays_and_the_certificate_is_made_anew_when_it_must(tmp_path):
    def made(names, now):
        certificate, _ = certificates.for_server(tmp_path, names, now)
        return certificate.read_bytes()

    first = made(["class.lan"], NOW)
    authority = (tmp_path / "authority.crt").read_bytes()

    assert made(["class.lan"], NOW + timedelta(days=300)) == first
    assert made(["class.lan", "10.0.0.7"], NOW) != first
    assert made(["class.lan", "10.0.0.7"], NOW + timedelta(days=380)) != made(["class.lan"], NOW)
    assert (tmp_path / "authority.crt").read_bytes() == authority


def test_keys_are_readable_by_their_owner_alone(tmp_path):
    _, key = certificates.for_server(tmp_path, ["class.lan"], NOW)

    assert [path.stat().st_mode & 0o077 for path in (key, tmp_path / "signer.key")] == [0, 0]
    assert not (tmp_path / "authority.key").exists()


def test_a_certificate_lives_no_longer_than_browsers_allow(tmp_path):
    certificate, _ = certificates.for_server(tmp_path, ["class.lan"], NOW)
    found = x509.load_pem_x509_certificate(certificate.read_bytes())

    assert found.not_valid_after_utc - found.not_valid_before_utc <= timedelta(days=398)


def test_a_new_authority_signs_a_new_certificate(tmp_path):
    certificate, key = certificates.for_server(tmp_path, ["class.lan"], NOW)
    before = certificate.read_bytes()
    (tmp_path / "authority.crt").unlink()

    certificate, key = certificates.for_server(tmp_path, ["class.lan"], NOW)

    assert certificate.read_bytes() != before
    assert shake_hands(tmp_path, certificate, key, "class.lan")
