"""The sample clock against numpy: what leaves it is the material, bit for bit, with nothing torn between."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import numpy as np
import pytest
from playwright.sync_api import Browser, Page

from tests.tolerances import FADE_SINGLE

from .worklet_page import FADE, RATE_HZ, Heard, Sound, expected, largest_step, play, served

SECONDS = 5
FRAMES = SECONDS * RATE_HZ - 1234  # the last chunk is a short one


def tone(hz: float, phase: float, seed: int) -> Sound:
    """A loud low tone, whose splices would leap, with a little noise that makes every frame another."""
    t = np.arange(FRAMES) / RATE_HZ
    noise = np.random.default_rng(seed).normal(0, 0.003, (2, FRAMES))
    low = 0.55 * np.sin(2 * np.pi * hz * t + phase)
    high = 0.12 * np.sin(2 * np.pi * 2900 * t + phase)
    return np.asarray(np.stack([low + high, low - high]) + noise, np.float32)


@pytest.fixture(scope="module")
def sounds() -> dict[str, Sound]:
    return {
        "mix": tone(110, 0.0, 1),
        "print": tone(110, 2.1, 2),
        "edit": tone(110, 3.9, 3),
        "record": tone(90, 1, 4),
    }


@pytest.fixture(scope="module")
def page(browser: Browser, sounds: dict[str, Sound]) -> Iterator[Page]:
    with served(sounds) as address, browser.new_context() as context:
        opened = context.new_page()
        opened.goto(address)
        yield opened


def part(key: str, gain: float = 1.0, offset: int = 0, frames: int = FRAMES) -> dict[str, Any]:
    return {"key": key, "gain": gain, "offset": offset, "frames": frames}


def hear(*parts: dict[str, Any], name: str | None = None) -> dict[str, Any]:
    return {"type": "hear", "mixture": {"name": name or parts[0]["key"], "parts": list(parts)}}


def chunks(key: str, indexes: range = range(SECONDS)) -> list[dict[str, Any]]:
    return [{"type": "chunk", "key": key, "index": index} for index in indexes]


def seek(position: int) -> dict[str, Any]:
    return {"type": "seek", "position": position}


PLAY = {"type": "play", "playing": True}
STOP = {"type": "play", "playing": False}
FULL = {"type": "level", "level": 8.0}  # asks for more than there is
GLIDE_S = 3.4  # from -20 dB to 0 at 6 dB a second


def compare(heard: Heard, sounds: dict[str, Sound], from_s: float = 0.0) -> int:
    """Holds what was heard at 0 dB, from `from_s` on, against numpy; how many frames were equal, all bits."""
    first = round(from_s * RATE_HZ)
    told = expected(heard, sounds)
    want = told.samples.astype(np.float32)[:, first:]
    got, fading = heard.samples[:, first:], told.fading[first:]
    np.testing.assert_array_equal(got[:, ~fading], want[:, ~fading])
    np.testing.assert_allclose(got[:, fading], want[:, fading], rtol=0, atol=FADE_SINGLE)
    return int((~fading).sum())


def at_full_level(
    frames: int, steps: list[tuple[float, list[dict[str, Any]]]], seconds: float
) -> dict[str, Any]:
    """A script whose steps begin when a loop over the first second has brought the level up to 0 dB."""
    first = steps[0][1] + [{"type": "loop", "loop": {"from": 0, "to": RATE_HZ}}, FULL, PLAY]
    later = [(GLIDE_S + at, messages) for at, messages in steps[1:]]
    return {"frames": frames, "seconds": GLIDE_S + seconds, "steps": [(0, first), *later]}


def test_sources_switch_without_a_gap_or_a_click_and_are_exact_between(
    page: Page, sounds: dict[str, Sound]
) -> None:
    matched = part("print", 0.6129999756813049)
    script = at_full_level(
        FRAMES,
        [
            (0, [*chunks("mix"), *chunks("print"), hear(part("mix"))]),
            (0.1, [{"type": "loop", "loop": None}, seek(RATE_HZ + 77)]),
            (0.4, [hear(matched)]),
            (0.8, [hear(matched, part("mix", -1.0), name="difference")]),
            (1.2, [hear(part("mix"))]),
            (1.203, [hear(matched)]),  # before the fade is over: waits for its end
        ],
        1.8,
    )
    heard = play(page, script)
    assert compare(heard, sounds, GLIDE_S) > 1.7 * RATE_HZ
    names = [turn["mixture"]["name"] for turn in heard.turns]
    assert [name for name, before in zip(names, ["", *names], strict=False) if name != before] == [
        "mix",
        "print",
        "difference",
        "mix",
        "print",
    ]
    first = round(GLIDE_S * RATE_HZ)
    material = max(largest_step(sounds["mix"]), largest_step(sounds["print"] - sounds["mix"]))
    assert largest_step(heard.samples[:, first:]) <= material
    assert heard.told[-1]["missed"] == 0


def test_the_material_of_these_tests_would_show_a_hard_splice(sounds: dict[str, Sound]) -> None:
    spliced = sounds["mix"].copy()
    spliced[:, 60000:] = sounds["print"][:, 60000:]
    assert largest_step(spliced) > 3 * largest_step(sounds["mix"])


def test_a_loop_keeps_its_length_and_its_first_attack(page: Page, sounds: dict[str, Sound]) -> None:
    loop = {"from": RATE_HZ + 77, "to": RATE_HZ + 77 + 12345}
    script = at_full_level(
        FRAMES,
        [
            (0, [*chunks("mix"), hear(part("mix"))]),
            (0.1, [{"type": "loop", "loop": loop}, seek(loop["from"])]),
        ],
        1.5,
    )
    heard = play(page, script)
    compare(heard, sounds, GLIDE_S)
    wraps = [turn["frame"] for turn in heard.turns if turn["at"] == loop["from"]]
    assert len(wraps) > 4
    assert set(np.diff(wraps)) == {12345}
    for frame in wraps[1:-1]:
        start = frame + FADE
        first = sounds["mix"][:, loop["from"] : loop["from"] + 1000]
        np.testing.assert_array_equal(heard.samples[:, start : start + 1000], first)
    assert largest_step(heard.samples[:, round(GLIDE_S * RATE_HZ) :]) <= largest_step(sounds["mix"])


def test_an_edit_takes_over_at_the_playhead_only_when_it_is_here(
    page: Page, sounds: dict[str, Sound]
) -> None:
    script = at_full_level(
        FRAMES,
        [
            (0, [*chunks("print"), hear(part("print"))]),
            (0.1, [{"type": "loop", "loop": None}, seek(RATE_HZ)]),
            (0.3, [hear(part("edit"), name="print")]),
            (
                0.6,
                chunks("edit", range(1, 2)),
            ),  # taken here; second 2 is not there yet: the print before goes on
            (1.5, chunks("edit", range(2, 4))),
        ],
        2.0,
    )
    heard = play(page, script)
    compare(heard, sounds, GLIDE_S)
    told = [(turn["mixture"]["parts"][0]["key"], turn["at"] // RATE_HZ) for turn in heard.turns[-4:]]
    assert told[1:] == [("edit", 1), ("print", 1), ("edit", 2)]
    assert heard.told[-1]["missed"] == 0
    material = max(largest_step(sounds["print"]), largest_step(sounds["edit"]))
    assert largest_step(heard.samples[:, round(GLIDE_S * RATE_HZ) :]) <= material


def test_a_chunk_that_takes_anothers_place_is_faded_to(page: Page, sounds: dict[str, Sound]) -> None:
    """The exact render of a second that was heard from a provisional one."""
    script = at_full_level(
        FRAMES,
        [
            (0, [*chunks("print"), hear(part("print"))]),
            (0.1, [{"type": "loop", "loop": None}, seek(RATE_HZ)]),
            (0.5, [{"type": "chunk", "key": "print", "index": 1, "from": "edit"}]),
        ],
        0.9,
    )
    heard = play(page, script)
    last = heard.turns[-1]
    start = last["frame"] + FADE
    position = last["position"] + FADE
    count = heard.samples.shape[1] - start
    np.testing.assert_array_equal(heard.samples[:, start:], sounds["edit"][:, position : position + count])
    material = max(largest_step(sounds["print"]), largest_step(sounds["edit"]))
    assert largest_step(heard.samples[:, round(GLIDE_S * RATE_HZ) :]) <= material


def test_a_missing_chunk_is_silence_faded_to_and_waited_for(page: Page, sounds: dict[str, Sound]) -> None:
    script = at_full_level(
        FRAMES,
        [
            (0, [*chunks("mix", range(2)), hear(part("mix"))]),
            (0.1, [{"type": "loop", "loop": None}, seek(round(1.8 * RATE_HZ))]),
            (0.8, chunks("mix", range(2, 4))),
        ],
        1.5,
    )
    heard = play(page, script)
    compare(heard, sounds, GLIDE_S)
    silent, back = heard.turns[-2:]
    assert silent["mixture"] is None
    assert back["at"] == silent["at"]  # nothing is skipped
    quiet = heard.samples[:, silent["frame"] + FADE : back["frame"]]
    assert quiet.shape[1] > 0.2 * RATE_HZ
    assert not quiet.any()
    assert heard.told[-1]["missed"] == back["frame"] - silent["frame"]


def test_start_stop_and_the_end_of_the_song(page: Page, sounds: dict[str, Sound]) -> None:
    end = FRAMES - round(0.3 * RATE_HZ)
    script = at_full_level(
        FRAMES,
        [
            (0, [*chunks("mix"), hear(part("mix"))]),
            (0.1, [{"type": "loop", "loop": None}, seek(2 * RATE_HZ)]),
            (0.4, [STOP]),
            (0.6, [PLAY]),
            (0.8, [seek(end)]),
        ],
        1.6,
    )
    heard = play(page, script)
    compare(heard, sounds, GLIDE_S)
    stop, start = [turn for turn in heard.turns if turn["frame"] > (GLIDE_S + 0.3) * RATE_HZ][:2]
    assert stop["mixture"] is None
    assert start["at"] == stop["at"]
    assert [message["type"] for message in heard.told].count("ended") == 1
    assert heard.told[-1]["position"] == FRAMES


def test_a_reference_has_its_own_time_and_length(page: Page, sounds: dict[str, Sound]) -> None:
    record = part("record", 0.5, offset=-RATE_HZ - 5, frames=2 * RATE_HZ)
    script = at_full_level(
        FRAMES,
        [
            (0, [*chunks("mix"), *chunks("record", range(2)), hear(part("mix"))]),
            (0.1, [{"type": "loop", "loop": None}, seek(round(0.7 * RATE_HZ)), hear(record)]),
            (1.0, [seek(round(2.8 * RATE_HZ))]),
        ],
        1.6,
    )
    heard = play(page, script)
    short = {**sounds, "record": sounds["record"][:, : 2 * RATE_HZ]}
    compare(heard, short, GLIDE_S)
    assert heard.told[-1]["missed"] == 0


def test_the_level_starts_low_rises_slowly_and_falls_at_once(page: Page, sounds: dict[str, Sound]) -> None:
    script = {
        "frames": FRAMES,
        "seconds": 3.0,
        "steps": [
            (0, [*chunks("mix"), hear(part("mix")), PLAY]),
            (0.5, [{"type": "level", "level": 8.0}]),  # asks for more than there is
            (2.5, [{"type": "level", "level": 0.01}]),
        ],
    }
    heard = play(page, script)
    plain = expected(heard, sounds).samples

    def level_db(at_s: float) -> float:
        around = slice(round(at_s * RATE_HZ), round(at_s * RATE_HZ) + 64)
        return float(
            20 * np.log10(np.linalg.norm(heard.samples[:, around]) / np.linalg.norm(plain[:, around]))
        )

    assert level_db(0.3) == pytest.approx(-20, abs=1e-4)
    assert level_db(1.5) - level_db(1.0) == pytest.approx(3.0, abs=1e-3)
    assert level_db(2.4) < -20 + 6 * (2.4 - 0.5) + 0.1
    assert level_db(2.5 + 0.01) == pytest.approx(-40, abs=1e-4)
    assert largest_step(heard.samples) <= largest_step(sounds["mix"])


def test_a_level_raised_in_silence_rises_only_when_something_sounds(
    page: Page, sounds: dict[str, Sound]
) -> None:
    steps = [(0, [*chunks("mix"), hear(part("mix")), FULL]), (2.0, [PLAY])]
    heard = play(page, {"frames": FRAMES, "seconds": 2.2, "steps": steps})
    start = heard.turns[0]["frame"] + FADE
    first = heard.samples[:, start : start + 441]
    material = sounds["mix"][:, :441]
    rise_db = 20 * np.log10(np.linalg.norm(first) / np.linalg.norm(material))
    assert rise_db == pytest.approx(-20, abs=0.1)


@pytest.mark.parametrize("seed", [1, 2])
def test_whatever_is_done_in_whatever_order_what_is_heard_is_the_material(
    page: Page, sounds: dict[str, Sound], seed: int
) -> None:
    """Switches, trims, seeks, loops, stops and starts at random, many within the 5 ms of another."""
    rng = np.random.default_rng(seed)

    def anything() -> dict[str, Any]:
        key = str(rng.choice(["mix", "print", "edit"]))
        gain = float(rng.uniform(0.2, 1.0))
        start = int(rng.integers(0, 3 * RATE_HZ))
        loop = {"from": start, "to": start + int(rng.integers(500, RATE_HZ))}
        done: list[dict[str, Any]] = [
            hear(part(key, gain)),
            hear(part(key, gain, offset=int(rng.integers(-500, 500)))),
            hear(part(key, gain), part("mix", -gain), name="difference"),
            seek(int(rng.integers(0, 3 * RATE_HZ))),
            {"type": "loop", "loop": loop},
            {"type": "loop", "loop": None},
            STOP,
            PLAY,
            PLAY,
        ]
        return done[rng.integers(len(done))]

    steps = [(0.0, [*chunks("mix"), *chunks("print"), *chunks("edit"), hear(part("mix"))])]
    at_s = 0.1
    for _ in range(40):
        steps.append((at_s, [anything() for _ in range(rng.integers(1, 4))]))
        at_s += float(rng.choice([0.003, 0.004, 0.012, 0.09]))
    heard = play(page, at_full_level(FRAMES, steps, at_s + 0.1))
    compare(heard, sounds, GLIDE_S)
    assert len(heard.turns) > 20
    first = round(GLIDE_S * RATE_HZ)
    material = 2 * max(map(largest_step, sounds.values()))  # of a difference, both steps at once
    assert largest_step(heard.samples[:, first:]) <= material
