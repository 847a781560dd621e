"""A certificate authority for one laptop, so that phones of the school may trust its pages and keep
them without the network.

Browsers give a service worker to https only, and not behind a certificate that was merely clicked
through. The authority may sign for private addresses and local names alone (name constraints, RFC
5280, 4.2.1.10): whoever steals its key can deceive nobody about the rest of the internet. A
server's certificate lives 397 days at most, because browsers refuse longer ones.
"""

import ipaddress
import os
from datetime import timedelta

from cryptography import x509
from cryptography.exceptions import InvalidSignature
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

PRIVATE = (
    "10.0.0.0/8",
    "172.16.0.0/12",
    "192.168.0.0/16",
    "169.254.0.0/16",
    "100.64.0.0/10",
    "127.0.0.0/8",
)  # RFC 1918, 3927, 6598, 1122
LOCAL = (
    "localhost",
    "lan",
    "local",
    "home.arpa",
    "internal",
)  # with all names under them; RFC 6761, 6762, 8375 and custom
PEM = serialization.Encoding.PEM
AUTHORITY, SIGNER = "navclass on a field laptop", "navclass on a field laptop, signer"
AUTHORITY_LIVES, SERVER_LIVES, RENEWED_BEFORE = (
    timedelta(days=3650),
    timedelta(days=397),
    timedelta(days=30),
)


class NotLocal(ValueError):
    """A name that the authority may not sign for."""


def _name(text):
    return x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, text)])


def _write(path, content):
    path.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
    with os.fdopen(os.open(path, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600), "wb") as file:
        file.write(content)


def _certificate(subject, public_key, issuer, signing_key, now, lives, *extensions):
    builder = (
        x509.CertificateBuilder()
        .subject_name(_name(subject))
        .issuer_name(_name(issuer))
        .public_key(public_key)
        .serial_number(x509.random_serial_number())
        .not_valid_before(now - timedelta(days=1))
        .not_valid_after(now - timedelta(days=1) + lives)
    )
    for extension, is_critical in extensions:
        builder = builder.add_extension(extension, critical=is_critical)
    return builder.sign(signing_key, hashes.SHA256())


def _may_sign(key, depth):
    return (
        (x509.BasicConstraints(ca=True, path_length=depth), True),
        (x509.KeyUsage(False, False, False, False, False, True, True, False, False), True),
        (x509.SubjectKeyIdentifier.from_public_key(key.public_key()), False),
    )


def authority(folder, now):
    """The authority of a data folder, made at first use: (the certificate that phones trust, the
    one that signs for it, its key).

    The trusted one signs a single time, for the one below it, which holds the constraints, and its
    key is thrown away: what constrains a trusted certificate itself is not looked at by every phone
    (RFC 5280, 6.1.1 d).
    """
    paths = [folder / name for name in ("authority.crt", "signer.crt", "signer.key")]
    if not all(path.exists() for path in paths):
        for path, content in zip(paths, _new_authority(now), strict=True):
            _write(path, content)
    root, signer, key = (path.read_bytes() for path in paths)
    return read(root), read(signer), serialization.load_pem_private_key(key, None)


def _new_authority(now):
    """The texts of the two certificates and of the key of the lower one."""
    root_key = ec.generate_private_key(ec.SECP256R1())
    key = ec.generate_private_key(ec.SECP256R1())
    root = _certificate(
        AUTHORITY,
        root_key.public_key(),
        AUTHORITY,
        root_key,
        now,
        AUTHORITY_LIVES,
        *_may_sign(root_key, 1),
        *_limits(),
    )
    signer = _certificate(
        SIGNER,
        key.public_key(),
        AUTHORITY,
        root_key,
        now,
        AUTHORITY_LIVES,
        *_may_sign(key, 0),
        *_limits(),
        (x509.AuthorityKeyIdentifier.from_issuer_public_key(root_key.public_key()), False),
    )
    return root.public_bytes(PEM), signer.public_bytes(PEM), _private_text(key)


def _limits():
    """What an authority is limited to: local hosts, and servers."""
    permitted = [
        *(x509.IPAddress(ipaddress.ip_network(network)) for network in PRIVATE),
        *(x509.DNSName(name) for name in LOCAL),
    ]
    return (
        (x509.NameConstraints(permitted_subtrees=permitted, excluded_subtrees=None), True),
        (x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), False),
    )


def _private_text(key):
    return key.private_bytes(PEM, serialization.PrivateFormat.PKCS8, serialization.NoEncryption())


def _alternative(name):
    """A host as it stands in a certificate. Raises NotLocal."""
    try:
        address = ipaddress.ip_address(name)
    except ValueError:
        if name.split(".")[-1] not in LOCAL and not name.endswith(".home.arpa"):
            raise NotLocal(
                f"“{name}” is not a local name. Use one that ends in .lan, .local or .home.arpa, "
                f"or the laptop's address."
            ) from None
        return x509.DNSName(name)
    if not any(address in ipaddress.ip_network(network) for network in PRIVATE):
        raise NotLocal(
            f"{name} is not a private address. Give one of this machine's private addresses with "
            f"--host; on the internet, use a proxy with a public certificate."
        )
    return x509.IPAddress(address)


def for_server(folder, names, now):
    """Paths of a certificate and its key for some hosts, signed by the folder's authority; made
    anew when names change or time runs out.

    Raises NotLocal.
    """
    wanted = [_alternative(name) for name in names]
    _, signer, signing_key = authority(folder, now)
    certificate_path, key_path = folder / "server.crt", folder / "server.key"
    if certificate_path.exists() and _still_good(
        read(certificate_path.read_bytes()), signer, wanted, now
    ):
        return certificate_path, key_path
    key = ec.generate_private_key(ec.SECP256R1())
    certificate = _certificate(
        "navclass server",
        key.public_key(),
        SIGNER,
        signing_key,
        now,
        SERVER_LIVES,
        (x509.SubjectAlternativeName(wanted), False),
        (x509.BasicConstraints(ca=False, path_length=None), True),
        (x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), False),
        (x509.AuthorityKeyIdentifier.from_issuer_public_key(signing_key.public_key()), False),
    )
    _write(key_path, _private_text(key))
    _write(certificate_path, certificate.public_bytes(PEM) + signer.public_bytes(PEM))
    return certificate_path, key_path


def _still_good(certificate, signer, wanted, now):
    try:
        certificate.verify_directly_issued_by(signer)
    except (ValueError, TypeError, InvalidSignature):
        return False
    has = list(certificate.extensions.get_extension_for_class(x509.SubjectAlternativeName).value)
    return has == wanted and certificate.not_valid_after_utc - now > RENEWED_BEFORE


def read(content):
    """A certificate from its text."""
    return x509.load_pem_x509_certificate(content)


def fingerprint(certificate):
    """The SHA-256 fingerprint by which a person compares two certificates, in pairs of digits."""
    return certificate.fingerprint(hashes.SHA256()).hex(":").upper()
