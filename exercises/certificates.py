"""A certificate authority for one laptop, so that phones of the school may trust its pages and keep them without the network.

Browsers give a service worker to https only, and not behind a certificate that was merely clicked through. The authority may sign
for private addresses and local names alone (name constraints, RFC 5280, 4.2.1.10): whoever steals its key can deceive nobody about the
rest of the internet. A server's certificate lives 397 days at most, because browsers refuse longer ones.
"""
import ipaddress
import os
from datetime import timedelta

from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

PRIVATE = ("10.0.0.0/8", "172.16.0.0/12", "192.168.0.0/16", "169.254.0.0/16", "127.0.0.0/8")  # RFC 1918, 3927, 1122
LOCAL = ("localhost", "lan", "local", "home.arpa", "internal")  # with all names under them; RFC 6761, 6762, 8375 and custom
AUTHORITY_LIVES, SERVER_LIVES, RENEWED_BEFORE = timedelta(days=3650), timedelta(days=397), timedelta(days=30)


class NotLocal(ValueError):
    """A name that the authority may not sign for."""


def _name(text):
    return x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, text)])


def _write(path, content):
    path.parent.mkdir(parents=True, exist_ok=True)
    with os.fdopen(os.open(path, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600), "wb") as file:
        file.write(content)


def _key_bytes(key):
    return key.private_bytes(serialization.Encoding.PEM, serialization.PrivateFormat.PKCS8, serialization.NoEncryption())


def authority(folder, now):
    """The authority of a data folder as (certificate, key), made at first use. Its certificate lies in `authority.crt`, for phones."""
    certificate_path, key_path = folder / "authority.crt", folder / "authority.key"
    if certificate_path.exists() and key_path.exists():
        return (x509.load_pem_x509_certificate(certificate_path.read_bytes()), serialization.load_pem_private_key(key_path.read_bytes(), None))
    key = ec.generate_private_key(ec.SECP256R1())
    permitted = [*(x509.IPAddress(ipaddress.ip_network(network)) for network in PRIVATE), *(x509.DNSName(name) for name in LOCAL)]
    certificate = (x509.CertificateBuilder().subject_name(_name("navclass on a field laptop")).issuer_name(_name("navclass on a field laptop")).public_key(key.public_key())
                   .serial_number(x509.random_serial_number()).not_valid_before(now - timedelta(days=1)).not_valid_after(now + AUTHORITY_LIVES)
                   .add_extension(x509.BasicConstraints(ca=True, path_length=0), critical=True)
                   .add_extension(x509.NameConstraints(permitted_subtrees=permitted, excluded_subtrees=None), critical=True)
                   .add_extension(x509.KeyUsage(False, False, False, False, False, True, True, False, False), critical=True)
                   .add_extension(x509.SubjectKeyIdentifier.from_public_key(key.public_key()), critical=False)
                   .sign(key, hashes.SHA256()))
    _write(key_path, _key_bytes(key))
    _write(certificate_path, certificate.public_bytes(serialization.Encoding.PEM))
    return certificate, key


def _alternative(name):
    """A host as it stands in a certificate. Raises NotLocal."""
    try:
        address = ipaddress.ip_address(name)
    except ValueError:
        if name.split(".")[-1] not in LOCAL and not name.endswith(".home.arpa"):
            raise NotLocal(f"“{name}” is not a local name. Use one that ends in .lan, .local or .home.arpa, or the laptop's address.") from None
        return x509.DNSName(name)
    if not any(address in ipaddress.ip_network(network) for network in PRIVATE):
        raise NotLocal(f"{name} is not a private address. On the internet, use a proxy with a public certificate.")
    return x509.IPAddress(address)


def for_server(folder, names, now):
    """Paths of a certificate and its key for some hosts, signed by the folder's authority; made anew when names change or time runs out.

    Raises NotLocal.
    """
    wanted = [_alternative(name) for name in names]
    certificate_path, key_path = folder / "server.crt", folder / "server.key"
    if certificate_path.exists() and _still_good(x509.load_pem_x509_certificate(certificate_path.read_bytes()), wanted, now):
        return certificate_path, key_path
    signer, signing_key = authority(folder, now)
    key = ec.generate_private_key(ec.SECP256R1())
    certificate = (x509.CertificateBuilder().subject_name(_name("navclass server")).issuer_name(signer.subject).public_key(key.public_key())
                   .serial_number(x509.random_serial_number()).not_valid_before(now - timedelta(days=1)).not_valid_after(now - timedelta(days=1) + SERVER_LIVES)
                   .add_extension(x509.SubjectAlternativeName(wanted), critical=False)
                   .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
                   .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
                   .add_extension(x509.AuthorityKeyIdentifier.from_issuer_public_key(signing_key.public_key()), critical=False)
                   .sign(signing_key, hashes.SHA256()))
    _write(key_path, _key_bytes(key))
    _write(certificate_path, certificate.public_bytes(serialization.Encoding.PEM) + signer.public_bytes(serialization.Encoding.PEM))
    return certificate_path, key_path


def _still_good(certificate, wanted, now):
    has = list(certificate.extensions.get_extension_for_class(x509.SubjectAlternativeName).value)
    return has == wanted and certificate.not_valid_after_utc - now > RENEWED_BEFORE


def read(content):
    """A certificate from its text."""
    return x509.load_pem_x509_certificate(content)


def fingerprint(certificate):
    """The SHA-256 fingerprint by which a person compares two certificates, in pairs of digits."""
    return certificate.fingerprint(hashes.SHA256()).hex(":").upper()
