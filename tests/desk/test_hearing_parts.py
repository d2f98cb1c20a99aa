"""What of the hearing bar is reckoning alone: odds, trims, which chunks are fetched and in which order."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from math import comb
from typing import Any

import pytest
from playwright.sync_api import Browser, Page
from scipy.stats import binom

from tests.tolerances import ALGEBRA

from .worklet_page import served

RATE_HZ = 1000  # one chunk a second
FRAMES = 100 * RATE_HZ - 10


@pytest.fixture(scope="module")
def page(browser: Browser) -> Iterator[Page]:
    with served({}) as address, browser.new_context() as context:
        opened = context.new_page()
        opened.goto(address)
        yield opened


def call(page: Page, module: str, function: str, *args: Any) -> Any:
    script = "async ([module, name, args]) => (await import(`/static/hearing/${module}.js`))[name](...args)"
    return page.evaluate(script, [module, function, list(args)])


@pytest.mark.parametrize(
    ("right", "trials", "choices"), [(0, 10, 2), (8, 10, 2), (10, 10, 2), (12, 30, 3), (70, 100, 2)]
)
def test_the_chance_by_guessing_is_the_tail_of_the_binomial(
    page: Page, right: int, trials: int, choices: int
) -> None:
    got = call(page, "odds", "chanceByGuessing", right, trials, choices)
    p = Fraction(1, choices)
    exact = sum(
        comb(trials, hits) * p**hits * (1 - p) ** (trials - hits) for hits in range(right, trials + 1)
    )
    assert got == pytest.approx(float(exact), rel=ALGEBRA)
    assert got == pytest.approx(binom.sf(right - 1, trials, 1 / choices), rel=1e-9)


# The least number right at 5 %: Roessler, Pangborn, Sidel and Stone, Expanded statistical tables, Journal
# of Food Science 43 (1978), tables for one of two (one-sided) and one of three; from memory.
ONE_OF_TWO = {7: 7, 10: 9, 12: 10, 15: 12, 16: 12, 20: 15, 24: 17, 30: 20}
ONE_OF_THREE = {6: 5, 8: 6, 10: 7, 12: 8, 15: 9, 18: 10, 20: 11, 24: 13, 30: 15}


@pytest.mark.parametrize(("table", "choices"), [(ONE_OF_TWO, 2), (ONE_OF_THREE, 3)])
def test_the_least_number_right_is_that_of_the_published_tables(
    page: Page, table: dict[int, int], choices: int
) -> None:
    for trials, least in table.items():
        chances = [
            call(page, "odds", "chanceByGuessing", right, trials, choices) for right in (least - 1, least)
        ]
        assert chances[1] <= 0.05 < chances[0]


def test_odds_are_said_in_words(page: Page) -> None:
    words = [call(page, "odds", "oddsInWords", chance) for chance in (1.0, 0.623, 0.0107, 0.0005)]
    assert words == ["always", "62 in 100", "1 in 93", "1 in 2,000"]


LEVELS = {"lufs": {}, "gain_db": {"mix": 0.0, "print": -3.5, "pass:B": -1.2}}


def test_matched_each_is_turned_down_and_unmatched_nothing_is_louder(page: Page) -> None:
    ids = ["mix", "print", "pass:B", "revision:1"]
    matched = call(page, "sources", "trimsOf", LEVELS, ids, True)
    apart = call(page, "sources", "trimsOf", LEVELS, ids, False)
    assert matched == {
        "mix": 0.0,
        "print": -3.5,
        "pass:B": -1.2,
        "revision:1": -3.5,
    }  # unknown: as the loudest
    assert set(apart.values()) == {-3.5}
    assert all(apart[one] <= matched[one] for one in ids)


def test_before_anything_is_measured_no_trim_is_claimed(page: Page) -> None:
    assert call(page, "sources", "trimsOf", None, ["mix", "print"], True) == {"mix": 0.0, "print": 0.0}


def test_a_difference_is_a_sum_with_one_gain_below_zero(page: Page) -> None:
    sounds = [{"id": "mix", "key": "m", "frames": 5}, {"id": "print", "key": "p", "frames": 5}]
    what = {
        "sounds": sounds,
        "trims": {"mix": 0, "print": -6},
        "offsets": {},
        "less": ["print", "mix"],
        "rateHz": 1,
    }
    parts = call(page, "sources", "mixtureOf", "difference", what)["parts"]
    assert [(part["key"], part["gain"]) for part in parts] == [
        ("p", pytest.approx(0.501187, abs=1e-6)),
        ("m", -1),
    ]
    assert call(page, "sources", "mixtureOf", "pass:Z", what) is None


def sound(key: str, current: bool = False, offset: int = 0, frames: int = FRAMES) -> dict[str, Any]:
    return {"key": key, "offset": offset, "frames": frames, "current": current}


def wanted(page: Page, sounds: list[dict[str, Any]], playhead_s: float, **more: Any) -> list[tuple[str, int]]:
    what = {
        "playhead": round(playhead_s * RATE_HZ),
        "loop": None,
        "frames": FRAMES,
        "rateHz": RATE_HZ,
        **more,
    }
    chunks = call(page, "window", "chunksWanted", {"chunkFrames": RATE_HZ, "sounds": sounds, **what})
    return [(chunk["key"], chunk["index"]) for chunk in chunks]


def test_what_sounds_comes_first_then_the_others_near_then_the_rest_of_the_minute(page: Page) -> None:
    chunks = wanted(page, [sound("mix"), sound("print", current=True)], 50.5)
    assert chunks[:4] == [("print", 50), ("print", 51), ("mix", 50), ("mix", 51)]
    assert {index for key, index in chunks if key == "print"} == set(range(21, 81))
    assert {index for key, index in chunks if key == "mix"} == set(range(49, 59))
    assert len(set(chunks)) == len(chunks)


def test_a_loop_is_held_whole_of_every_sound_with_what_its_fades_need(page: Page) -> None:
    loop = {"from": 40_050, "to": 44_950}
    chunks = wanted(page, [sound("mix"), sound("print", current=True)], 43.0, loop=loop)
    for key in ("mix", "print"):
        assert {index for of, index in chunks if of == key} == {39, 40, 41, 42, 43, 44, 45}
    order = [index for key, index in chunks if key == "print"]
    assert order.index(43) < order.index(44) < order.index(40) < order.index(41)


def test_a_record_is_fetched_in_its_own_time_and_not_past_its_ends(page: Page) -> None:
    record = sound("record", current=True, offset=-45 * RATE_HZ, frames=10 * RATE_HZ)
    assert {index for _, index in wanted(page, [record], 50.5)} == set(range(10))


def test_blind_the_order_of_requests_does_not_tell_what_is_heard(page: Page) -> None:
    one = wanted(page, [sound("mix"), sound("print", current=True)], 50.5, even=True)
    other = wanted(page, [sound("mix", current=True), sound("print")], 50.5, even=True)
    assert one == other


# Asks for chunks of a source that answers when told to; notes what was asked, given up, put and dropped.
CHUNKS = """async () => {
  const { Chunks } = await import("/static/hearing/chunks.js");
  const seen = [], open = new Map(), tick = () => new Promise((done) => setTimeout(done, 0));
  const name = ({ key, index }) => `${key}${index}`;
  const read = (chunk, signal) => new Promise((give, fail) => {
    seen.push(`ask ${name(chunk)}`);
    open.set(name(chunk), give);
    signal.onabort = () => { seen.push(`leave ${name(chunk)}`); fail(signal.reason); };
  });
  const note = (what) => (chunk) => seen.push(`${what} ${name(chunk)}`);
  const chunks = new Chunks(read, note("put"), note("drop"));
  const of = (key, ...indexes) => indexes.map((index) => ({ key, index }));
  const told = async () => { await tick(); return seen.splice(0).join(", "); };
  const all = [];
  chunks.want(of("a", 0, 1, 2, 3));
  all.push(await told());
  open.get("a0")(new ArrayBuffer(0));
  all.push(await told());
  chunks.want([...of("b", 0), ...of("a", 0, 1, 2, 3)]);
  all.push(await told());
  open.get("b0")(new ArrayBuffer(0));
  all.push(await told());
  chunks.want(of("b", 0), ["a"]);
  all.push(await told());
  chunks.renew("b", [0, 7]);
  all.push(await told());
  chunks.want([]);
  all.push(await told());
  return all;
}"""


def test_what_is_at_the_playhead_does_not_wait_and_nothing_else_is_kept(page: Page) -> None:
    assert page.evaluate(CHUNKS) == [
        "ask a0, ask a1, ask a2",
        "put a0, ask a3",
        "leave a3, ask b0",  # another key at the playhead: the least urgent makes room
        "put b0, ask a3",
        "leave a1, leave a2, leave a3",  # a0 is what sounded before: kept, but nothing more of it is fetched
        "ask b0",  # another now; of 7 nothing was held
        "drop a0, drop b0, leave b0",
    ]
