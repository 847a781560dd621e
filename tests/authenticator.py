"""A device that holds a passkey, in software: what browsers and devices say between them, byte by
byte, by W3C Web Authentication Level 3 (sections 5.8.1, 6.1, 6.5) and CBOR (RFC 8949, RFC 9052).
It shares no code with the library that reads it.
"""

import base64
import hashlib
import json
import secrets
import struct

from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.hashes import SHA256

PRESENT, VERIFIED, ELIGIBLE, BACKED_UP, HOLDS_KEY = 0x01, 0x04, 0x08, 0x10, 0x40
ES256, P256 = -7, 1
USUAL = PRESENT | VERIFIED


def base64url(content):
    return base64.urlsafe_b64encode(content).rstrip(b"=").decode()


def from_base64url(text):
    return base64.urlsafe_b64decode(text + "=" * (-len(text) % 4))


def cbor(thing):
    """A number, bytes, a text, a list or a map, in the shortest form; keys in the order given."""
    if isinstance(thing, int):
        return _head(0, thing) if thing >= 0 else _head(1, -1 - thing)
    if isinstance(thing, bytes):
        return _head(2, len(thing)) + thing
    if isinstance(thing, str):
        return _head(3, len(thing.encode())) + thing.encode()
    if isinstance(thing, list):
        return _head(4, len(thing)) + b"".join(map(cbor, thing))
    return _head(5, len(thing)) + b"".join(cbor(part) for pair in thing.items() for part in pair)


def _head(major, number):
    if number < 24:
        return bytes([major << 5 | number])
    if number < 0x100:
        return bytes([major << 5 | 24, number])
    return struct.pack(">BH", major << 5 | 25, number)


class Authenticator:
    """A device with one key. It counts what it signs, or says 0 each time."""

    def __init__(self, *, counts=True, credential_id=None, number=None, aaguid=bytes(16)):
        private = ec.derive_private_key(number, ec.SECP256R1()) if number else None
        self.key = private or ec.generate_private_key(ec.SECP256R1())
        self.credential_id = credential_id or secrets.token_bytes(32)
        self.counts, self.count, self.aaguid, self.handle = counts, 0, aaguid, None

    @property
    def cose_key(self):
        """Its public half: EC2, ES256, P-256, x, y."""
        public = self.key.public_key().public_numbers()
        x, y = public.x.to_bytes(32, "big"), public.y.to_bytes(32, "big")
        return cbor({1: 2, 3: ES256, -1: P256, -2: x, -3: y})

    def said(self, rp_id, flags, *, is_new=False):
        """The authenticator data."""
        if self.counts:
            self.count += 1
        data = hashlib.sha256(rp_id.encode()).digest()
        data += struct.pack(">BI", flags | (HOLDS_KEY if is_new else 0), self.count)
        if is_new:
            data += self.aaguid + struct.pack(">H", len(self.credential_id)) + self.credential_id
            data += self.cose_key
        return data

    def signature(self, said, client_data):
        """What proves that the key is here."""
        signed = said + hashlib.sha256(client_data).digest()
        return self.key.sign(signed, ec.ECDSA(SHA256()))

    def attestation(self, rp_id, flags=USUAL):
        """The attestation object, of the form that attests nothing."""
        said = self.said(rp_id, flags, is_new=True)
        return cbor({"fmt": "none", "attStmt": {}, "authData": said})

    def make(self, options, origin, *, attestation=None, **client):
        """What a browser answers to a wish for a new passkey; `client` spoils what it says."""
        self.handle = options["user"]["id"]
        sent = attestation or self.attestation(options["rp"]["id"])
        said = client_data("webauthn.create", options, origin, **client)
        return self._answer(clientDataJSON=said, attestationObject=sent)

    def use(self, options, origin, *, flags=USUAL, rp_id=None, **client):
        """What a browser answers to a wish for a sign of it."""
        client_said = client_data("webauthn.get", options, origin, **client)
        said = self.said(rp_id or options["rpId"], flags)
        return self._answer(
            clientDataJSON=client_said,
            authenticatorData=said,
            signature=self.signature(said, client_said),
            userHandle=from_base64url(self.handle),
        )

    def _answer(self, **response):
        name = base64url(self.credential_id)
        parts = {part: base64url(content) for part, content in response.items()}
        return json.dumps({"id": name, "rawId": name, "type": "public-key", "response": parts})


def client_data(kind, options, origin, **more):
    """What the browser says that it was asked, by which page."""
    said = {"type": kind, "challenge": options["challenge"], "origin": origin}
    return json.dumps({**said, "crossOrigin": False, **more}, separators=(",", ":")).encode()
