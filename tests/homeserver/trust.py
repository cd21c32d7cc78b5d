"""What another client can see of a bot's device: checked with the protocol's reference library, not with the bot's."""

from __future__ import annotations

from typing import Any

from signedjson.key import decode_verify_key_bytes
from signedjson.sign import verify_signed_json
from unpaddedbase64 import decode_base64

from homeserver import Homeserver, request
from person import Person


def signed_devices(homeserver: Homeserver, user: str, seen_by: Person) -> list[str]:
    """The devices of an account that its own published identity vouches for.

    Source: Matrix specification, client-server API, "Cross-signing": the master key signs the self-signing key, and the
    self-signing key signs each device.
    """
    keys = request(homeserver.url, "POST", "/_matrix/client/v3/keys/query", {"device_keys": {user: []}}, seen_by.token)
    master, self_signing = keys["master_keys"][user], keys["self_signing_keys"][user]
    _verify(self_signing, user, master)
    devices: dict[str, Any] = keys["device_keys"][user]
    for device in devices.values():
        _verify(device, user, self_signing)
    return list(devices)


def _verify(signed: Any, user: str, signer: Any) -> None:
    """Fails unless `signed` bears a valid signature by the (only) key of `signer`."""
    [(key_id, key)] = signer["keys"].items()
    without_hints = {name: value for name, value in signed.items() if name != "unsigned"}
    verify_signed_json(without_hints, user, decode_verify_key_bytes(key_id, decode_base64(key)))
