"""What leaves the desk for the ear: the engine's own frames, switched without a click, matched, blind."""

from __future__ import annotations

import json
import re
from collections.abc import Iterable, Iterator
from pathlib import Path

import numpy as np
import pyebur128
import pytest
import soundfile
from playwright.sync_api import Browser, Page

from arsis.plan.codec import read_song
from arsis.settings import Bell
from arsis.workflow.print import print_song
from tests.advised import Finds, lacks
from tests.desk.served import Served
from tests.releases import RATE_HZ, SmallRelease
from tests.tolerances import MATCHED_LU

from .ear import CATCH_GRAPH, LEVELS, PLAYER, STATE, Ear, assert_as_expected, open_ear
from .worklet_page import FADE, Sound, largest_step

REFRAIN = (2 * RATE_HZ, 4 * RATE_HZ)
JOIN = RATE_HZ // 10  # no join of the small release fades for longer


# What goes on with time and not with the answer: the trial, the place in the song, what is waited for.
PASSING = r'trial \d|class="place">.*?</span>.*?</span>|role="status">[^<]*'


@pytest.fixture
def page(browser: Browser, desk: Served) -> Iterator[Page]:
    """The page, with the player's graph caught, the sounds listed and the print measured."""
    with browser.new_context(viewport={"width": 1280, "height": 720}) as context:
        context.add_init_script(CATCH_GRAPH)
        opened = context.new_page()
        faults: list[str] = []
        opened.on("pageerror", lambda fault: faults.append(str(fault)))
        opened.goto(desk.address)
        opened.get_by_role("radio", name="print").wait_for()
        yield opened
        assert not faults


@pytest.fixture
def ear(page: Page) -> Ear:
    return open_ear(page)


def words(path: Path) -> Sound:
    """A sound file as an outside reader has it; 24 bits fit float32 whole."""
    sound, _ = soundfile.read(path, dtype="float32", always_2d=True)
    return np.ascontiguousarray(sound.T)


def keys(page: Page) -> dict[str, str]:
    """The key of each sound by its id."""
    listed = page.evaluate("async (state) => (await import(state)).sounds.value.sounds", STATE)
    return {one["id"]: one["key"] for one in listed}


def loop(ear: Ear, start: int, end: int) -> None:
    script = "async ([state, loop]) => { (await import(state)).loop.value = loop; }"
    ear.page.evaluate(script, [STATE, {"from": start, "to": end}])


def choose(ear: Ear, name: str) -> None:
    """Chooses a source and waits until it sounds, past the fade."""
    radio = ear.page.get_by_role("radio", name=name)
    radio.check()
    ear.wait_for(PLAYER, "heard", f"value?.name === {json.dumps(radio.get_attribute('value'))}")
    ear.page.wait_for_timeout(50)


def printed(release: SmallRelease, name: str) -> Sound:
    """What `arsis print` writes of the plan as it is on disk."""
    return words(print_song(release.plan, out=release.folder / "prints" / name).out)


def around_refrain(sounds: Iterable[Sound]) -> list[Sound]:
    """What a loop of the refrain can bring to the ear, its fades included."""
    return [sound[:, REFRAIN[0] - FADE : REFRAIN[1] + FADE] for sound in sounds]


def test_what_is_heard_is_what_print_writes_before_an_edit_and_after(ear: Ear, release: SmallRelease) -> None:
    """Round the refrain at 0 dB through four sources, then an edit while it plays."""
    before, mix = (keys(ear.page)[name] for name in ("print", "mix"))
    sounds = {before: printed(release, "before.wav"), mix: words(release.mix)}
    loop(ear, *REFRAIN)
    ear.play()
    ear.full_level()
    ear.taken()
    ear.page.wait_for_timeout(700)
    for name in ("mix", "difference", "print"):
        choose(ear, name)
        ear.page.wait_for_timeout(500)
    heard = ear.taken()
    assert assert_as_expected(heard, sounds, level=1.0) > 2 * RATE_HZ
    assert {turn["mixture"]["name"] for turn in heard.turns} == {"print", "mix", "difference"}
    material = around_refrain(sounds.values())
    difference = material[0] - material[1]
    assert largest_step(heard.samples) <= max(map(largest_step, [*material, difference]))

    edit = "async (state) => (await import(state)).edit('set_ride', { name: 'refrain 1', ride_db: -1.5 })"
    assert ear.page.evaluate(edit, STATE)
    ear.wait_for(PLAYER, "heard", f"value?.parts[0].key !== {json.dumps(before)}")
    ear.page.wait_for_timeout(2100)
    heard = ear.taken()
    after = keys(ear.page)["print"]
    sounds[after] = printed(release, "after.wav")
    assert assert_as_expected(heard, sounds, level=1.0) > 2 * RATE_HZ
    assert [turn["mixture"]["parts"][0]["key"] for turn in (heard.turns[0], heard.turns[-1])] == [
        before,
        after,
    ]
    assert largest_step(heard.samples) <= max(map(largest_step, around_refrain(sounds.values())))
    assert ear.signal(PLAYER, "missed") == 0


def test_sources_are_heard_at_one_loudness_and_every_page_starts_low(ear: Ear, release: SmallRelease) -> None:
    """The loop's loudness by libebur128 over what was heard: exactly one round of each."""
    page = ear.page
    page.locator("#hear").get_by_label("over").select_option("loop")
    loop(ear, *REFRAIN)
    page.get_by_role("radio", name="mix").check()
    ear.play()
    ear.wait_for(LEVELS, "levels", "Object.values(value?.lufs ?? {}).every((one) => one !== null)")
    page.wait_for_timeout(100)
    read = {}
    for name in ("mix", "print", "pass B"):
        choose(ear, name)
        ear.taken()
        page.wait_for_timeout(4200)
        heard = ear.taken()
        if name == "mix":
            assert assert_as_expected(heard, {keys(page)["mix"]: words(release.mix)}) > 2 * RATE_HZ
        start = (
            next(turn["frame"] for turn in heard.turns if turn["frame"] >= heard.first) + FADE - heard.first
        )
        read[name] = loudness_lufs(heard.samples[:, start : start + REFRAIN[1] - REFRAIN[0]])
    assert max(read.values()) - min(read.values()) <= MATCHED_LU, read

    page.locator("#hear").get_by_label("monitor", exact=True).fill("0")
    page.reload()
    page.get_by_role("radio", name="print").wait_for()
    assert page.locator("#hear").get_by_label("monitor", exact=True).input_value() == "-20"


def test_an_advised_move_is_heard_before_it_is_taken(
    ear: Ear, release: SmallRelease, judged: Finds, tmp_path: Path
) -> None:
    """Beside the print, at its loudness and without a gap, while the plan stays as it is to the byte."""
    page, plan = ear.page, release.plan.read_bytes()
    before = printed(release, "before.wav")
    judged(lacks("body", freq_hz=233.0))
    page.locator("#hear").get_by_label("over").select_option("loop")
    page.get_by_role("button", name="advice", exact=True).click()
    page.get_by_role("button", name="listen to the print").click()
    hear = page.get_by_role("button", name="hear it: bell")
    without = page.get_by_role("button", name="hear the print without it: bell")
    hear.click()
    ear.wait_for(PLAYER, "heard", "value?.name === 'move:chorus-body'")
    assert ear.signal(STATE, "loop") == {"from": REFRAIN[0], "to": REFRAIN[1]}
    ear.wait_for(STATE, "sounds", "value.sounds.every((one) => one.ready)")
    ear.wait_for(LEVELS, "levels", "typeof value?.gain_db['move:chorus-body'] === 'number'")
    page.wait_for_timeout(400)  # for the trims to be read and faded to
    ear.taken()
    page.wait_for_timeout(600)
    without.click()
    ear.wait_for(PLAYER, "heard", "value?.name === 'print'")
    page.wait_for_timeout(600)
    heard, of_print, of_move = ear.taken(), keys(page)["print"], keys(page)["move:chorus-body"]

    page.get_by_role("button", name="drop it: bell").click()
    page.get_by_text("dropped (1)").click()
    assert hear.count() == 0
    assert "move:chorus-body" not in keys(page)
    page.get_by_role("button", name="take up again: bell").click()
    hear.wait_for()
    assert release.plan.read_bytes() == plan
    assert not (release.folder / "revisions").exists()
    edit = "async (state) => (await import(state)).edit('set_ride', { name: 'verse 1', ride_db: -0.1 })"
    assert page.evaluate(edit, STATE)
    page.get_by_text("of the plan as it was; listen again to hear it").wait_for()
    page.get_by_role("button", name="take back").click()
    hear.click()
    page.get_by_role("button", name="take this move: bell").click()
    page.get_by_text("Put into the plan").wait_for()
    ear.wait_for(PLAYER, "heard", f"value?.name === 'print' && value.parts[0].key === {json.dumps(of_move)}")
    assert read_song(release.plan).pass_["B"].chain[-1] == Bell(freq_hz=230.0, gain_db=1.2, q=1.0)

    sounds = {of_print: before, of_move: printed(release, "after.wav")}
    assert assert_as_expected(heard, sounds) > RATE_HZ
    mixtures = [turn["mixture"] for turn in heard.turns]
    assert {one["name"] for one in mixtures} == {"print", "move:chorus-body"}
    gains = {one["parts"][0]["key"]: one["parts"][0]["gain"] for one in mixtures}
    read = [loudness_lufs(gains[key] * sound[:, slice(*REFRAIN)]) for key, sound in sounds.items()]
    assert abs(read[0] - read[1]) <= MATCHED_LU
    (changed,) = np.nonzero(np.any(sounds[of_move] != before, axis=0))
    assert changed.size > RATE_HZ
    assert REFRAIN[0] - JOIN < changed[0] < changed[-1] < REFRAIN[1] + JOIN


def loudness_lufs(sound: Sound) -> float:
    meter = pyebur128.R128State(2, RATE_HZ, pyebur128.MeasurementMode.MODE_I)
    meter.add_frames(np.ascontiguousarray(sound.T, np.float64).ravel(), sound.shape[1])
    return float(pyebur128.get_loudness_global(meter))


def truth(page: Page) -> dict[str, str]:
    """Which sound stands under which letter: what only a test may ask."""
    return dict(page.evaluate("async (player) => (await import(player)).hidden.value", PLAYER))


def blindly(page: Page, trials: int) -> None:
    page.get_by_role("button", name="compare blind").click()
    page.locator("#hear").get_by_role("spinbutton").fill(str(trials))
    page.locator("#hear").get_by_role("button", name="begin").click()
    page.locator("#hear").get_by_text(f"trial 1 of {trials}:").wait_for()


def test_a_blind_comparison_hides_which_is_which_and_tells_the_odds(ear: Ear) -> None:
    page = ear.page
    blindly(page, 5)
    bar = page.locator("#hear")
    shown = set()
    for trial in range(5):
        bar.get_by_text(f"trial {trial + 1} of 5: which is print?").wait_for()
        assert bar.get_by_role("radio").count() == 2
        shown.add(re.sub(PASSING, "", bar.inner_html()))
        letters = {sound: letter for letter, sound in truth(page).items()}
        page.get_by_role("button", name=f"it is {letters['mix' if trial == 2 else 'print']}").click()
    assert len(shown) == 1  # the page is the same whatever the letters stand for
    # 4 of 5 or better: (5 + 1) of 32
    bar.get_by_text("4 of 5 right. By guessing alone one does as well or better: 19 in 100.").wait_for()
    assert ear.signal(STATE, "source") == "print"

    page.locator("#hear").get_by_role("button", name="done").click()
    blindly(page, 40)
    asked: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    met = set()
    for _ in range(39):
        met.add(truth(page)["X"])
        page.get_by_role("radio", name="Y").check()
        page.get_by_role("button", name="it is X").click()
    assert met == {"mix", "print"}  # missed once in 2^38
    assert [url for url in asked if "/series/" in url] == []


def test_keys_choose_play_and_loop(ear: Ear) -> None:
    page = ear.page
    page.keyboard.press("Space")
    ear.wait_for(STATE, "playing", "value")
    for key, name in (("m", "mix"), ("d", "difference"), ("p", "print"), ("w", "difference"), ("1", "mix")):
        page.keyboard.press(key)
        assert ear.signal(STATE, "source") == name
    page.keyboard.press("o")
    assert ear.signal(STATE, "loop") == {"from": 0, "to": REFRAIN[0]}
    page.keyboard.press("o")
    assert ear.signal(STATE, "loop") is None
    page.keyboard.press("j")
    assert ear.signal(STATE, "loop") == {"from": 0, "to": REFRAIN[1]}
    page.get_by_role("radio", name="print").click()
    page.keyboard.press("Space")
    ear.wait_for(STATE, "playing", "!value")
