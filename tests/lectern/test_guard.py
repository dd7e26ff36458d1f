"""What the lectern refuses: foreign hosts and origins, missing tokens, large and many requests.

Host check and same-origin check against DNS rebinding and cross-site requests: OWASP Cheat Sheet
Series, "Cross-Site Request Forgery Prevention" (from memory); header fields of Fetch metadata and
CSP: W3C (from memory).
"""

from __future__ import annotations

from pathlib import Path

import pytest
from starlette.testclient import TestClient

from steadypoint.lectern import Folder, lectern_app
from steadypoint.lectern._guard import BURST, LARGEST_BODY, Guard

SECRET = "s3cret-s3cret"  # noqa: S105
JSON = {"content-type": "application/json"}


def test_foreign_host_is_refused(client: TestClient):
    assert client.get("/look/icon.svg").status_code == 200
    for host in ("evil.example", "localhost.evil.example", ""):
        assert client.get("/", headers={"host": host}).status_code == 421


@pytest.mark.parametrize(
    "headers",
    [
        {"origin": "http://evil.example"},
        {"origin": "null"},
        {"sec-fetch-site": "cross-site"},
        {"sec-fetch-site": "same-site"},
    ],
)
def test_changes_come_from_own_pages_only(client: TestClient, headers: dict[str, str], place: Path):
    before = (place / "rain gauge.circuit").read_bytes()
    data = {"name": "rain gauge.circuit", "text": "", "version": ""}
    assert client.post("/api/save", json=data, headers=headers).status_code == 403
    assert (place / "rain gauge.circuit").read_bytes() == before


def test_a_form_of_another_page_cannot_post(client: TestClient):
    plain = {"content-type": "text/plain"}
    assert client.post("/api/save", content="{}", headers=plain).status_code == 415


def test_large_bodies_are_refused_with_and_without_a_length(client: TestClient):
    body = b" " * (LARGEST_BODY + 1)
    assert client.post("/api/view", content=body, headers=JSON).status_code == 413

    def pieces():
        for _ in range(LARGEST_BODY // 100_000 + 1):
            yield b" " * 100_000

    assert client.post("/api/view", content=pieces(), headers=JSON).status_code == 413


def test_a_flood_is_told_to_wait(place: Path):
    now = 0.0
    app = Guard(lectern_app(Folder(place), inline=True), ["localhost"], clock=lambda: now)
    client = TestClient(app, base_url="http://localhost")
    codes = [client.get("/look/icon.svg").status_code for _ in range(int(BURST) + 5)]
    assert codes.count(429) == 5
    assert set(codes[-5:]) == {429}
    now = 1.0
    assert client.get("/look/icon.svg").status_code == 200


def test_every_answer_carries_the_policy(client: TestClient):
    for address in ("/", "/look/desk.js", "/nothing", "/desk/none.circuit/working"):
        answer = client.get(address)
        policy = answer.headers["content-security-policy"]
        assert "unsafe-inline" not in policy
        assert "default-src 'none'" in policy
        assert answer.headers["x-content-type-options"] == "nosniff"


def test_token_guards_other_addresses_than_loopback(place: Path):
    app = lectern_app(Folder(place), hosts=["desk.example"], token=SECRET, inline=True)
    with TestClient(app, base_url="http://desk.example") as client:
        assert client.get("/").status_code == 401
        assert client.get("/?token=wrong").status_code == 401
        assert client.post("/api/view", json={}).status_code == 401
        first = client.get("/?token=s3cret-s3cret", follow_redirects=False)
        assert first.status_code == 303
        assert "token" not in first.headers["location"]
        assert "HttpOnly" in first.headers["set-cookie"]
        assert client.get("/").status_code == 200
