"""What the page asks about chains: declarations, response, spectrum."""

from __future__ import annotations

from collections.abc import Iterator

import httpx
import pytest

from arsis.plan.declared import declared, kind_of
from arsis.plan.table import from_table
from arsis.settings import PROCESSORS, Limiter
from tests.desk.served import serving
from tests.releases import SmallRelease

SONG = "/api/songs/small-hours"
BELL = {"kind": "bell", "freq_hz": 1000, "gain_db": 3.0, "q": 1.0}


@pytest.fixture(scope="module")
def client(pristine_release: SmallRelease) -> Iterator[httpx.Client]:
    with serving(pristine_release.folder) as served, served.client() as client:
        yield client


def test_every_kind_and_every_key_is_declared(client: httpx.Client) -> None:
    told = client.get("/api/declarations").json()
    assert [one["kind"] for one in told["processors"]] == [kind_of(kind) for kind in PROCESSORS]
    for one, kind in zip(told["processors"], PROCESSORS, strict=True):
        assert [key["key"] for key in one["keys"]] == [key for key in declared(kind) if key != "kind"]
        assert all(key["about"] for key in one["keys"])
        assert one["about"].endswith(".")
    assert [key["key"] for key in told["limiter"]] == list(declared(Limiter))
    [freq] = [key for key in told["processors"][1]["keys"] if key["key"] == "freq_hz"]
    assert freq == {
        "key": "freq_hz", "name": "frequency", "type": "number", "words": [], "low": 5.0, "high": 40000.0,
        "unit": "Hz", "about": "centre or corner frequency", "default": None, "required": True,
        "start": 1000.0,
    }  # fmt: skip
    assert {key["type"] for one in told["processors"] for key in one["keys"]} == {
        "number", "whole", "word", "yes_no",
    }  # fmt: skip
    assert "chorus" in told["section_kinds"]
    assert told["dithers"][0] == "none"


def test_a_new_one_of_every_kind_can_be_put_in_as_it_starts(client: httpx.Client) -> None:
    for one, kind in zip(client.get("/api/declarations").json()["processors"], PROCESSORS, strict=True):
        start = {key["key"]: key["start"] for key in one["keys"]}
        assert from_table(kind, {"kind": one["kind"], **start})
        answer = client.post(f"{SONG}/response", json={"chain": [{"kind": one["kind"], **start}]})
        assert answer.status_code == 200, answer.text


def test_a_response_has_the_grid_the_whole_and_each_link(client: httpx.Client) -> None:
    told = client.post(f"{SONG}/response", json={"chain": [BELL, {"kind": "compressor"}]}).json()
    assert len(told["freq_hz"]) == len(told["wholes"][0]["db"]) == len(told["links"][0]["db"]) == 300
    assert (told["wholes"][0]["of"], told["wholes"][0]["most_db"]) == ("everything", None)
    assert max(told["wholes"][0]["db"]) == pytest.approx(3.0, abs=0.01)
    assert [one["db"] is None for one in told["links"]] == [False, True]
    assert told["links"][0]["says"] == "bell 1 kHz +3.0 dB Q 1"


def test_what_is_wrong_with_a_chain_is_told(client: httpx.Client) -> None:
    wrong = client.post(f"{SONG}/response", json={"chain": [{**BELL, "gain_db": 99}]})
    assert wrong.status_code == 422
    assert "from -24 to 24 dB" in wrong.json()["error"]
    for body in ({}, {"chain": "bell"}, {"chain": [BELL] * 101}):
        assert client.post(f"{SONG}/response", json=body).status_code == 400
    nowhere = client.post("/api/songs/nowhere/response", json={"chain": []})
    assert (nowhere.status_code, nowhere.json()["error"]) == (404, "the release has no song nowhere")


def test_a_spectrum_is_of_the_sections_that_use_the_pass(client: httpx.Client) -> None:
    told = client.get(f"{SONG}/spectrum", params={"pass": "B"}).json()
    assert told["sections"] == ["refrain 1"]
    assert len(told["freq_hz"]) == len(told["before_db"]) == len(told["after_db"])
    assert told["after_db"][-1] - told["before_db"][-1] == pytest.approx(0.6, abs=0.01)  # its gain
    assert client.get(f"{SONG}/spectrum", params={"pass": "X"}).status_code == 422
    finish = client.get(f"{SONG}/spectrum").json()
    assert finish["sections"] == ["verse 1", "refrain 1", "bridge", "verse 2"]
    assert finish["after_db"] == finish["before_db"]  # its chain is empty; the limiter comes behind
