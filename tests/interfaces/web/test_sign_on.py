"""Single sign-on against a small issuer run by the test (OpenID Connect Core 1.0, section 3.1; RFC 7636)."""

import base64
import hashlib
from collections.abc import Callable
from urllib.parse import parse_qs, urlsplit

import pytest
from joserfc import jwt
from joserfc.jwk import RSAKey
from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import JSONResponse
from starlette.routing import Route
from starlette.testclient import TestClient

from resile.interfaces.web.settings import SignOn
from resile.interfaces.web.sign_on import SignOnService
from resile.workflows.laboratory.access.people import make_person
from resile.workflows.laboratory.access.permissions import one_person

ISSUER = "https://issuer.example"
NOON_S = 1778580000
"""2026-05-12T10:00:00Z in seconds since 1970 (counted with the calendar module)."""


class Issuer:
    """Gives codes and tokens; what its next token says can be bent."""

    def __init__(self) -> None:
        self.key = RSAKey.generate_key(2048, {"kid": "one", "use": "sig"})
        self.bent: dict[str, object] = {}
        self.signing = self.key
        self.asked: dict[str, str] = {}
        routes = [
            Route("/.well-known/openid-configuration", self.describe),
            Route("/keys", self.keys),
            Route("/token", self.token, methods=["POST"]),
        ]
        self.client = TestClient(Starlette(routes=routes), base_url=ISSUER)

    def describe(self, request: Request) -> JSONResponse:
        return JSONResponse(
            {
                "issuer": ISSUER,
                "authorization_endpoint": f"{ISSUER}/authorize",
                "token_endpoint": f"{ISSUER}/token",
                "jwks_uri": f"{ISSUER}/keys",
            }
        )

    def keys(self, request: Request) -> JSONResponse:
        return JSONResponse({"keys": [self.key.as_dict(private=False)]})

    async def token(self, request: Request) -> JSONResponse:
        form = await request.form()
        digest = hashlib.sha256(str(form["code_verifier"]).encode()).digest()
        challenge = base64.urlsafe_b64encode(digest).rstrip(b"=").decode()
        if challenge != self.asked["code_challenge"] or form["client_secret"] != "between us":
            return JSONResponse({"error": "invalid_grant"}, 400)
        claims = {
            "iss": ISSUER, "sub": "4711", "aud": "resile", "exp": NOON_S + 60, "nonce": self.asked["nonce"],
        }  # fmt: skip
        return JSONResponse(
            {"id_token": jwt.encode({"alg": "RS256", "kid": "one"}, claims | self.bent, self.signing)}
        )

    def sign_on(self, address: str) -> str:
        """Do what a person does at the issuer's page: gives the way back."""
        self.asked = {name: values[0] for name, values in parse_qs(urlsplit(address).query).items()}
        return f"/sign-on/back?code=abc&state={self.asked['state']}"


@pytest.fixture
def issuer() -> Issuer:
    return Issuer()


@pytest.fixture
def client(workbench: Callable[..., TestClient], issuer: Issuer) -> TestClient:
    settings = SignOn(issuer=ISSUER, client_id="resile", client_secret="between us")
    client = workbench(signs_in=True, address="http://localhost", sign_on=settings)
    client.app.state.sign_on = SignOnService(settings, "http://localhost/sign-on/back", issuer.client)
    record = client.app.state.record
    make_person(
        record, one_person(), "2026-05-12T09:00:00Z", name="Ada Berg", account="ada",
        roles=["technician"], external=f"{ISSUER} 4711",
    )  # fmt: skip
    return client


def test_a_person_the_service_knows_comes_in_and_goes_where_they_wanted(
    client: TestClient, issuer: Issuer
) -> None:
    way = client.get("/sign-on?to=/account").headers["location"]
    assert way.startswith(f"{ISSUER}/authorize?") and "code_challenge_method=S256" in way
    assert "between" not in way
    before = client.cookies["resile"]
    assert client.get(issuer.sign_on(way)).headers["location"] == "/account"
    assert client.cookies["resile"] != before
    assert "Ada Berg" in client.get("/").text


@pytest.mark.parametrize(
    "bent",
    [
        {"nonce": "another"},
        {"aud": "another"},
        {"iss": "https://evil.example"},
        {"exp": NOON_S - 1},
        {"sub": ""},
    ],
    ids=lambda bent: next(iter(bent)),
)
def test_a_token_that_is_not_for_this_sign_in_opens_nothing(
    client: TestClient, issuer: Issuer, bent: dict[str, object]
) -> None:
    issuer.bent = bent
    answer = client.get(issuer.sign_on(client.get("/sign-on").headers["location"]))
    assert answer.status_code == 401
    assert client.get("/").status_code == 303


def test_a_token_signed_by_another_key_opens_nothing(client: TestClient, issuer: Issuer) -> None:
    issuer.signing = RSAKey.generate_key(2048, {"kid": "one"})
    assert client.get(issuer.sign_on(client.get("/sign-on").headers["location"])).status_code == 401


def test_an_answer_begun_in_another_browser_opens_nothing(client: TestClient, issuer: Issuer) -> None:
    way = issuer.sign_on(client.get("/sign-on").headers["location"])
    other = TestClient(client.app, base_url="http://localhost", follow_redirects=False)
    other.get("/sign-on")
    assert other.get(way).status_code == 401


def test_one_whom_nobody_here_has_added_is_told_so(client: TestClient, issuer: Issuer) -> None:
    issuer.bent = {"sub": "stranger"}
    answer = client.get(issuer.sign_on(client.get("/sign-on").headers["location"]))
    assert answer.status_code == 403
    assert "administrator" in answer.text


def test_without_single_sign_on_there_is_no_such_page(workbench: Callable[..., TestClient]) -> None:
    assert workbench(signs_in=True).get("/sign-on").status_code == 404
