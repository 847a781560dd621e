"""What a browser is asked for when it makes or uses a passkey, and whether its answer is genuine:
W3C Web Authentication Level 3, sections 7.1 and 7.2, through py_webauthn. There are no rows here.

Attestation is not asked for: which make of device somebody owns is nobody's business.
"""

from __future__ import annotations

import ipaddress
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Any, TypeVar

import webauthn
from webauthn.helpers import (
    base64url_to_bytes,
    bytes_to_base64url,
    decode_credential_public_key,
    decoded_public_key_to_cryptography,
    generate_challenge,
    generate_user_handle,
    options_to_json_dict,
    parse_attestation_object,
    parse_authentication_credential_json,
    parse_client_data_json,
    parse_registration_credential_json,
)
from webauthn.helpers.structs import (
    AttestationFormat,
    AuthenticatorSelectionCriteria,
    PublicKeyCredentialDescriptor,
    ResidentKeyRequirement,
    UserVerificationRequirement,
)

from ..domain.words import say
from ..models.second_step import LONGEST_HOST

Found = TypeVar("Found")

SERVER_NAME = "navclass"
ASKS_FOR_MS = 300_000  # section 15.1 recommends 300 to 600 seconds
LONGEST_ID_BYTES = 1023  # section 6.5.1
LONGEST_KEY_BYTES = 1100  # an RSA key of 8192 bits
DEFAULT_PORTS = {"https": "443", "http": "80"}
PREFERRED = UserVerificationRequirement.PREFERRED


class NoPasskeysHere(ValueError):
    """Browsers know no passkeys at this address. The message says what to do."""


class NotGenuine(ValueError):
    """An answer that no passkey gave to this question, here."""


@dataclass(frozen=True)
class Here:
    """How a browser names this server: what its passkeys belong to, and where its page is from."""

    rp_id: str
    origin: str


@dataclass(frozen=True)
class Created:
    """The public half of a new passkey; bytes as base64url."""

    credential_id: str
    public_key: str
    sign_count: int


def here(*, host: str, is_secure: bool) -> Here:
    """Where a browser is that asked for `host` (RFC 9110: with its port, unless that is usual).
    Raises NoPasskeysHere for an address in figures and for plain http, but on this very machine.

    >>> here(host="class.example:8443", is_secure=True)
    Here(rp_id='class.example', origin='https://class.example:8443')
    """
    scheme = "https" if is_secure else "http"
    host = host.lower().removesuffix(f":{DEFAULT_PORTS[scheme]}")
    name = host if host.endswith("]") else host.rpartition(":")[0] or host
    if _is_in_figures(name) or len(name) > LONGEST_HOST:
        raise NoPasskeysHere(
            say(
                "Passkeys need a server with a name, and this address is a number: {host}.",
                host=name,
            )
        )
    if not is_secure and not (name == "localhost" or name.endswith(".localhost")):
        raise NoPasskeysHere(say("Passkeys need https, and this page came without it."))
    return Here(name, f"{scheme}://{host}")


def _is_in_figures(name: str) -> bool:
    """Whether a host is an IP address: no name ends in a part of figures (WHATWG URL, hosts)."""
    if name.startswith("["):
        return True
    try:
        ipaddress.ip_address(name)
    except ValueError:
        return name.rstrip(".").rpartition(".")[2].isdigit()
    return True


def new_challenge() -> str:
    """What the next answer must hold: 64 random bytes."""
    return bytes_to_base64url(generate_challenge())


def new_handle() -> str:
    """What devices know an account by: 64 random bytes."""
    return bytes_to_base64url(generate_user_handle())


def to_create(
    *, here: Here, challenge: str, handle: str, account_name: str, held: Iterable[str]
) -> dict[str, Any]:
    """What to ask a browser for a new passkey, for none of a device that holds one already."""
    return options_to_json_dict(
        webauthn.generate_registration_options(
            rp_id=here.rp_id,
            rp_name=SERVER_NAME,
            user_id=base64url_to_bytes(handle),
            user_name=account_name,
            challenge=base64url_to_bytes(challenge),
            timeout=ASKS_FOR_MS,
            exclude_credentials=_described(held),
            authenticator_selection=AuthenticatorSelectionCriteria(
                resident_key=ResidentKeyRequirement.PREFERRED, user_verification=PREFERRED
            ),
        )
    )


def to_use(*, here: Here, challenge: str, held: Iterable[str]) -> dict[str, Any]:
    """What to ask a browser for a sign of a passkey."""
    return options_to_json_dict(
        webauthn.generate_authentication_options(
            rp_id=here.rp_id,
            challenge=base64url_to_bytes(challenge),
            timeout=ASKS_FOR_MS,
            allow_credentials=_described(held),
            user_verification=PREFERRED,
        )
    )


def _described(held: Iterable[str]) -> list[PublicKeyCredentialDescriptor]:
    return [PublicKeyCredentialDescriptor(id=base64url_to_bytes(one)) for one in held]


def created(*, answer: str, here: Here, challenge: str) -> Created:
    """The passkey that a browser made. Raises NotGenuine."""
    return _read(lambda: _created(answer, here, challenge))


def id_in(answer: str) -> str:
    """Which passkey an answer says it is of. Raises NotGenuine."""
    return _read(lambda: bytes_to_base64url(parse_authentication_credential_json(answer).raw_id))


def count_signed(*, answer: str, here: Here, challenge: str, public_key: str, handle: str) -> int:
    """How often the passkey says that it signed; 0 where it does not count. Whether that goes on
    from what it said before is another question, which only a genuine answer is asked. Raises
    NotGenuine.
    """
    return _read(lambda: _count_signed(answer, here, challenge, public_key, handle))


def _read(read: Callable[[], Found]) -> Found:
    """What an answer holds. Its bytes may be anything, and what the library and the decoders below
    it raise then is of no one family: whatever it is, the answer is not genuine.
    """
    try:
        return read()
    except Exception as error:
        raise NotGenuine from error


def _created(answer: str, here: Here, challenge: str) -> Created:
    sent = parse_registration_credential_json(answer)
    _must_be_of_our_page(sent.response.client_data_json)
    _must_be_unattested(sent.response.attestation_object)
    found = webauthn.verify_registration_response(
        credential=sent,
        expected_challenge=base64url_to_bytes(challenge),
        expected_rp_id=here.rp_id,
        expected_origin=here.origin,
    )
    if found.credential_id != sent.raw_id or len(sent.raw_id) > LONGEST_ID_BYTES:
        raise NotGenuine
    if len(found.credential_public_key) > LONGEST_KEY_BYTES:
        raise NotGenuine
    # without attestation nothing was signed yet: a key that cannot be one is noticed now
    decoded_public_key_to_cryptography(decode_credential_public_key(found.credential_public_key))
    return Created(
        bytes_to_base64url(found.credential_id),
        bytes_to_base64url(found.credential_public_key),
        found.sign_count,
    )


def _count_signed(answer: str, here: Here, challenge: str, public_key: str, handle: str) -> int:
    sent = parse_authentication_credential_json(answer)
    _must_be_of_our_page(sent.response.client_data_json)
    if sent.response.user_handle not in (None, b"", base64url_to_bytes(handle)):
        raise NotGenuine
    return webauthn.verify_authentication_response(
        credential=sent,
        expected_challenge=base64url_to_bytes(challenge),
        expected_rp_id=here.rp_id,
        expected_origin=here.origin,
        credential_public_key=base64url_to_bytes(public_key),
        credential_current_sign_count=0,
    ).new_sign_count


def _must_be_of_our_page(client_data: bytes) -> None:
    """Not of a frame within another's page, which the library does not look at."""
    if parse_client_data_json(client_data).cross_origin:
        raise NotGenuine


def _must_be_unattested(attestation: bytes) -> None:
    """Asked for none, a browser leaves the key's own signature at most (section 5.1.3), so that no
    certificate of strangers need be read.
    """
    found = parse_attestation_object(attestation)
    own = found.fmt == AttestationFormat.PACKED and found.att_stmt.x5c is None
    if found.fmt != AttestationFormat.NONE and not own:
        raise NotGenuine
