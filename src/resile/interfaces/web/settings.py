"""What the workbench is started with."""

from __future__ import annotations

import ipaddress
import json
from dataclasses import asdict, dataclass, field
from typing import Any
from urllib.parse import urlsplit

ENVIRONMENT = "RESILE_WORKBENCH"
"""Environment variable in which `resile serve` hands the settings to its worker processes."""
MB = 1_000_000
"""Bytes in a megabyte, as sizes are said everywhere."""
LOOPBACK_HOSTS = ("localhost", "127.0.0.1", "::1")


@dataclass(frozen=True, slots=True, kw_only=True)
class SignOn:
    """A single sign-on service (OpenID Connect) of the organisation.

    Attributes
    ----------
    issuer : str
        Its address; the description is read from ``/.well-known/openid-configuration`` below it.
    client_id, client_secret : str
        How the service knows this workbench.
    label : str
        What the button says.
    """

    issuer: str
    client_id: str
    client_secret: str = field(repr=False)
    label: str = "Single sign-on"


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkbenchSettings:
    """How the workbench runs.

    Attributes
    ----------
    record : str
        Address or file of the laboratory's record.
    signs_in : bool
        False for a laboratory of one person on this computer: no accounts at all.
    address : str
        Address by which the browser reaches the workbench, where it is known (behind a proxy, say).
    hosts : tuple of str
        Host names that are answered; empty for any.
    set_up_code : str
        Has to be given to make the first account; empty where none is needed.
    upload_limit_bytes : int
        Largest body of a request [bytes].
    idle_minutes : int
        A session nobody used for so long has ended [min].
    sign_on : SignOn or None
        Single sign-on, where the organisation has it.
    """

    record: str = field(repr=False)
    signs_in: bool = False
    address: str = ""
    hosts: tuple[str, ...] = LOOPBACK_HOSTS
    set_up_code: str = field(default="", repr=False)
    upload_limit_bytes: int = 256 * MB
    idle_minutes: int = 600
    sign_on: SignOn | None = None

    @property
    def secure(self) -> bool:
        """True where browsers reach the workbench through an encrypted connection."""
        return self.address.startswith("https://")

    def to_text(self) -> str:
        """Give the settings as text for a worker process."""
        return json.dumps(asdict(self))

    @classmethod
    def from_text(cls, text: str) -> WorkbenchSettings:
        """Take the settings from the text made by `to_text`."""
        found: dict[str, Any] = json.loads(text)
        found["hosts"] = tuple(found["hosts"])
        found["sign_on"] = SignOn(**found["sign_on"]) if found["sign_on"] else None
        return cls(**found)


def is_loopback(host: str) -> bool:
    """Tell whether only this computer can reach a host name or address."""
    try:
        return ipaddress.ip_address(host.strip("[]")).is_loopback
    except ValueError:
        return host.lower() == "localhost"


def host_of(address: str) -> str:
    """Give the host name in an address, in lower case and without brackets."""
    return urlsplit(address if "//" in address else f"//{address}").hostname or ""
