"""Single sign-on: OpenID Connect Core 1.0, authorization code flow (section 3.1) with PKCE (RFC 7636)."""

from __future__ import annotations

import secrets
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from urllib.parse import urlencode

from resile.errors import MissingDependencyError, SignInNeededError, StorageError
from resile.interfaces.web.settings import SignOn

_ALGORITHMS = ["RS256", "ES256", "PS256"]
_PATIENCE_S = 10.0


@dataclass(frozen=True, slots=True)
class Errand:
    """What has to come back unchanged from the sign-on service; stays in the browser, signed.

    Attributes
    ----------
    state, nonce, verifier : str
        Against a foreign answer, a foreign token, a stolen code.
    to : str
        Where the person wanted to go.
    """

    state: str
    nonce: str
    verifier: str
    to: str


def new_errand(to: str) -> Errand:
    """Begin to sign on."""
    return Errand(secrets.token_urlsafe(24), secrets.token_urlsafe(24), secrets.token_urlsafe(48), to)


class SignOnService:
    """The sign-on service of the organisation.

    Parameters
    ----------
    settings : SignOn
        Where it is and how it knows us.
    back : str
        Our address to which it leads people back.
    client : object, optional
        What fetches from it, in the manner of ``httpx.Client``.
    """

    def __init__(self, settings: SignOn, back: str, client: Any = None) -> None:
        self.settings = settings
        self.back = back
        self.client = client or _client()
        self._described: dict[str, Any] = {}

    def address(self, errand: Errand) -> str:
        """Give where the person signs on."""
        from authlib.oauth2.rfc7636 import create_s256_code_challenge

        asked = {
            "response_type": "code",
            "client_id": self.settings.client_id,
            "redirect_uri": self.back,
            "scope": "openid",
            "state": errand.state,
            "nonce": errand.nonce,
            "code_challenge": create_s256_code_challenge(errand.verifier),
            "code_challenge_method": "S256",
        }
        return f"{self._description()['authorization_endpoint']}?{urlencode(asked)}"

    def recognised(self, errand: Errand, code: str, at: str) -> str:
        """Give issuer and subject of the person who comes back with a code.

        Raises
        ------
        SignInNeededError
            Where the service does not vouch for them, or its token is not for us and this errand.
        """
        answer = self._fetch(
            "POST",
            self._description()["token_endpoint"],
            data={
                "grant_type": "authorization_code",
                "code": code,
                "redirect_uri": self.back,
                "client_id": self.settings.client_id,
                "client_secret": self.settings.client_secret,
                "code_verifier": errand.verifier,
            },
        )
        claims = self._claims(str(answer.get("id_token", "")))
        audience = claims.get("aud")
        meant = audience if isinstance(audience, list) else [audience]
        now = datetime.fromisoformat(at.replace("Z", "+00:00")).timestamp()
        holds = (
            claims.get("iss") == self.settings.issuer
            and self.settings.client_id in meant
            and secrets.compare_digest(str(claims.get("nonce")), errand.nonce)
            and float(claims.get("exp", 0)) > now
            and bool(claims.get("sub"))
        )
        if not holds:
            raise SignInNeededError(
                "the sign-on service gave a token that is not for this sign-in; try again"
            )
        return f"{claims['iss']} {claims['sub']}"

    def _claims(self, token: str) -> dict[str, Any]:
        from joserfc import jwt
        from joserfc.errors import JoseError
        from joserfc.jwk import KeySet

        keys = KeySet.import_key_set(self._fetch("GET", self._description()["jwks_uri"]))  # type: ignore[arg-type]
        try:
            return dict(jwt.decode(token, keys, algorithms=_ALGORITHMS).claims)
        except (JoseError, ValueError) as error:
            raise SignInNeededError(
                "the sign-on service gave a token that does not hold; try again"
            ) from error

    def _description(self) -> dict[str, Any]:
        if not self._described:
            issuer = self.settings.issuer
            found = self._fetch("GET", f"{issuer.rstrip('/')}/.well-known/openid-configuration")
            if found.get("issuer") != issuer:
                raise StorageError(f"the sign-on service at {issuer} calls itself {found.get('issuer')!r}")
            self._described = found
        return self._described

    def _fetch(self, method: str, address: str, **more: Any) -> dict[str, Any]:
        import httpx

        try:
            answer = self.client.request(method, address, **more)
            content = answer.json()
        except (httpx.HTTPError, ValueError) as error:
            raise StorageError(
                "the sign-on service cannot be reached; try again, or use a password"
            ) from error
        if answer.status_code != 200 or not isinstance(content, dict):
            raise SignInNeededError("the sign-on service refused; start again from the sign-in page")
        return content


def _client() -> Any:
    try:
        import authlib  # noqa: F401
        import httpx
    except ImportError as error:
        raise MissingDependencyError(
            "single sign-on needs authlib and httpx; install them with: pip install 'resile[sign-on]'"
        ) from error
    return httpx.Client(timeout=_PATIENCE_S, follow_redirects=False)
