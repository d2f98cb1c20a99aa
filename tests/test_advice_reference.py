"""A song beside records that are itself, itself at another level, and itself with a known change."""

from __future__ import annotations

import json
import math
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from scipy.signal import sosfilt, tf2sos

from arsis.advice import reference as module
from arsis.advice.against import MOST, Difference, differences
from arsis.advice.curve import WHOLE, KindCurve, contour_curve
from arsis.advice.reference import Reference, load_reference, read_reference
from arsis.audio import Block
from arsis.errors import ArsisError
from arsis.io.digest import sha256_of
from arsis.plan.model import Pass, Section, Song
from arsis.render.contour import contour
from arsis.render.run import Way
from arsis.render.words import Word
from arsis.units import db_to_gain
from tests.releases import write
from tests.renders import source
from tests.songs import CHORUS, INTRO, VERSE, KnownSong, make_song
from tests.tolerances import BELL_OCTAVES, BELL_SEEN_DB, FIGURE_DB

RATE_HZ = 44_100
Change = Callable[[Block], Block]


@pytest.fixture(scope="module")
def song() -> KnownSong:
    made = make_song(form=(INTRO, VERSE, CHORUS, VERSE, CHORUS))
    return replace(made, sound=0.5 * made.sound)


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("release")


@pytest.fixture(scope="module")
def plain(song: KnownSong, folder: Path) -> Reference:
    return record(song.sound, folder, "plain")


def record(sound: Block, folder: Path, name: str) -> Reference:
    return read_reference(write(folder / f"{name}.wav", sound, rate_hz=RATE_HZ), folder)


def bell(sound: Block, gain_db: float = 3.0, freq_hz: float = 3000.0, q: float = 1.0) -> Block:
    """R. Bristow-Johnson, "Cookbook formulae for audio EQ biquad filter coefficients", peaking EQ."""
    gain, turn = 10 ** (gain_db / 40), 2 * math.pi * freq_hz / RATE_HZ
    alpha, middle = math.sin(turn) / (2 * q), -2 * math.cos(turn)
    upper, lower = [1 + alpha * gain, middle, 1 - alpha * gain], [1 + alpha / gain, middle, 1 - alpha / gain]
    return np.asarray(sosfilt(tf2sos(upper, lower), sound))


def wider(sound: Block) -> Block:
    mid, side = sound.sum(axis=0) / 2, db_to_gain(3.0) * (sound[0] - sound[1]) / 2
    return np.stack([mid + side, mid - side])


def in_choruses(song: KnownSong, change: Change) -> Block:
    sound, changed = song.sound.copy(), change(song.sound)
    for label, (start_s, end_s) in zip(song.labels, song.intervals_s, strict=True):
        if label == "chorus":
            there = slice(round(start_s * RATE_HZ), round(end_s * RATE_HZ))
            sound[:, there] = changed[:, there]
    return sound


def told(song: Reference, *references: Reference) -> tuple[Difference, ...]:
    return differences(song.curve, references)


def test_the_kinds_of_the_song_are_found(plain: Reference) -> None:
    assert {WHOLE, "verse", "chorus"} <= {one.kind for one in plain.curve.kinds}
    assert plain.curve.kinds[0].kind == WHOLE


def test_a_song_beside_itself_does_not_differ(plain: Reference) -> None:
    assert told(plain, plain) == told(plain, plain, plain) == told(plain) == ()


@pytest.mark.parametrize("gain_db", [-9.0, 5.0])
def test_level_is_no_difference(song: KnownSong, plain: Reference, folder: Path, gain_db: float) -> None:
    other = record(db_to_gain(gain_db) * song.sound, folder, f"at {gain_db:g}")
    louder = other.curve.integrated_lufs - plain.curve.integrated_lufs
    assert louder == pytest.approx(gain_db, abs=FIGURE_DB)
    for ours, theirs in zip(other.curve.kinds, plain.curve.kinds, strict=True):
        assert ours.loudness_lu == pytest.approx(theirs.loudness_lu, abs=FIGURE_DB)
        assert ours.third_octaves_db[17] == pytest.approx(theirs.third_octaves_db[17], abs=FIGURE_DB)
    assert told(other, plain) == told(plain, other) == ()


@pytest.mark.parametrize("gain_db", [3.0, -3.0])
def test_a_bell_is_named(song: KnownSong, plain: Reference, folder: Path, gain_db: float) -> None:
    found = told(record(bell(song.sound, gain_db), folder, f"bell {gain_db:g}"), plain)
    first = found[0]
    assert (first.about, first.kind) == ("tone", WHOLE)
    assert first.by_db == pytest.approx(gain_db, abs=BELL_SEEN_DB)
    assert first.freq_hz is not None
    assert first.from_hz is not None
    assert first.to_hz is not None
    assert abs(math.log2(first.freq_hz / 3000.0)) < BELL_OCTAVES
    assert first.from_hz < 3000.0 < first.to_hz
    assert "plain (1 reference)" in first.says
    assert "dB more" in first.says if gain_db > 0.0 else "dB less" in first.says
    assert [one for one in found if one.about == "tone"] == [first]  # nor said again of verse and chorus


def test_a_bell_in_the_choruses_is_said_of_the_choruses(
    song: KnownSong, plain: Reference, folder: Path
) -> None:
    changed = in_choruses(song, lambda sound: bell(sound, 4.0, 800.0))
    found = told(record(changed, folder, "choruses"), plain)
    assert {one.kind for one in found if one.about == "tone"} == {"chorus"}


def test_between_two_records_nothing_lies_outside(song: KnownSong, plain: Reference, folder: Path) -> None:
    brighter = record(bell(song.sound, 3.0), folder, "brighter")
    darker = record(bell(song.sound, -3.0), folder, "darker")
    assert told(plain, brighter) != ()
    assert told(plain, brighter, darker) == ()
    brightest = record(bell(song.sound, 6.0), folder, "brightest")
    first = told(brightest, plain, darker, brighter)[0]
    assert first.by_db == pytest.approx(3.0, abs=BELL_SEEN_DB)  # beside the nearest
    assert first.says.endswith("any of plain, darker and brighter (3 references)")


def test_wider_sides_are_told(song: KnownSong, plain: Reference, folder: Path) -> None:
    (width,) = [
        one for one in told(record(wider(song.sound), folder, "wider"), plain) if one.about == "width"
    ]
    assert (width.kind, width.by_db) == (WHOLE, pytest.approx(3.0, abs=FIGURE_DB))


def test_a_lifted_chorus_is_a_larger_step(song: KnownSong, plain: Reference, folder: Path) -> None:
    lifted = record(in_choruses(song, lambda sound: db_to_gain(2.5) * sound), folder, "lifted")
    about = {one.about: one for one in told(lifted, plain)}
    assert about["step"].by_db == pytest.approx(2.5, abs=FIGURE_DB)
    assert about["growth"].by_db == pytest.approx(2.5, abs=FIGURE_DB)
    assert "tone" not in about


def test_no_more_than_five_are_told_the_weightiest_first(
    song: KnownSong, plain: Reference, folder: Path
) -> None:
    changed = song.sound
    for freq_hz in (60.0, 200.0, 700.0, 2500.0, 9000.0):
        changed = bell(changed, 6.0 if freq_hz != 700.0 else -9.0, freq_hz, 2.0)
    found = told(record(wider(changed), folder, "changed"), plain)
    assert len(found) == MOST
    assert found[0].by_db < 0.0


@pytest.mark.parametrize(
    ("about", "by", "words"),
    [
        ("attack", -1.2, "whole song: its attacks stand 1.2 dB lower than in plain (1 reference)"),
        (
            "voice",
            1.4,
            "whole song: its voice, as estimated, stands 1.4 dB higher than in plain (1 reference)",
        ),
        ("plr", -2.0, "whole song: its PLR is 2.0 dB lower than in plain (1 reference)"),
        ("step", -0.7, "chorus: the step into it is 0.7 LU smaller than in plain (1 reference)"),
    ],
)
def test_a_figure_outside_is_told_and_one_within_is_not(
    plain: Reference, about: str, by: float, words: str
) -> None:
    sung = moved(plain, lambda one: replace(one, voice_db=-9.0))

    def by_so_much(share: float) -> Reference:
        if about == "plr":
            assert sung.curve.plr_db is not None
            return replace(sung, curve=replace(sung.curve, plr_db=sung.curve.plr_db + share * by))
        key = {"attack": "attack_db", "voice": "voice_db", "step": "step_lu"}[about]
        return moved(
            sung,
            lambda one: replace(one, **{key: getattr(one, key) and getattr(one, key) + share * by}),
        )

    (found,) = told(by_so_much(1.0), sung)
    assert (found.about, found.by_db, found.says) == (about, pytest.approx(by), words)
    assert told(by_so_much(0.6), sung) == ()


def test_where_there_is_no_voice_none_is_compared(plain: Reference) -> None:
    nobody = moved(plain, lambda one: replace(one, voice_db=-13.0))
    sung = moved(plain, lambda one: replace(one, voice_db=-9.0))
    assert told(nobody, sung) == told(sung, nobody) == ()


def moved(reference: Reference, change: Callable[[KindCurve], KindCurve]) -> Reference:
    """A record whose every kind of section is another."""
    curve = reference.curve
    return replace(reference, curve=replace(curve, kinds=tuple(change(one) for one in curve.kinds)))


def test_the_contour_of_a_plan_reads_as_the_record_does(song: KnownSong, plain: Reference) -> None:
    words = np.round(song.sound * 2**23) * 2.0**-23
    starts_s = [float(start) for start in song.starts_s]
    sections = tuple(
        Section(name=f"{i}", kind=label, start_s=start_s, pass_="A")  # type: ignore[arg-type]
        for i, (label, start_s) in enumerate(zip(song.labels, starts_s, strict=True))
    )
    plan = Song(title="Itself", mix="mix.wav", section=sections, pass_={"A": Pass()})
    shape = contour(source(plan, words, RATE_HZ), Way(Word(24), RATE_HZ))
    curve = contour_curve(shape, "print")
    assert curve is not None
    assert curve.integrated_lufs == pytest.approx(plain.curve.integrated_lufs, abs=FIGURE_DB)
    assert differences(curve, [plain]) == ()


def test_a_record_is_read_once(song: KnownSong, folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    opened: list[Path] = []

    def counting(path: Path) -> Any:
        opened.append(path)
        return open_sound(path)

    open_sound = module.open_sound
    monkeypatch.setattr(module, "open_sound", counting)
    path = write(folder / "once.wav", 0.9 * song.sound, rate_hz=RATE_HZ)
    first = read_reference(path, folder)
    kept = folder / "references" / f"once-{sha256_of(path)[:12]}.json"
    before = kept.read_bytes()
    assert opened == [path]
    assert read_reference(path, folder) == load_reference(kept) == first
    assert opened == [path]
    assert kept.read_bytes() == before
    assert str(folder) not in before.decode()
    write(path, 0.8 * song.sound, rate_hz=RATE_HZ)  # another record by the same name
    assert read_reference(path, folder).sha256 != first.sha256
    assert opened == [path, path]


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (lambda text: text[: len(text) // 2], "delimiter"),
        (lambda text: "[]", "the document is"),
        (lambda text: "[" * 100_000, "recursion"),
        (lambda text: text.replace('"schema": 1', '"schema": 2'), "a newer arsis wrote it"),
        (lambda text: text.replace('"schema": 1', '"schema": 0'), "schema is 0"),
        (lambda text: text.replace('"plr_db"', '"plr"'), "plr"),
        (lambda text: text.replace('"kind": "verse"', '"kind": 3'), "kind is 3"),
        (lambda text: text.replace('"kind": "verse"', '"kind": "chorus"'), "each kind once"),
        (lambda text: text.replace('"range_lu": ', '"range_lu": 1e999, "range": '), "range"),
        (lambda text: text.replace('"range_lu": ', '"range_lu": NaN, "range": '), "range"),
        (lambda text: text.replace('"sha256": "', '"sha256": "x'), "64 digits"),
    ],
)
def test_a_broken_file_is_one_message(
    plain: Reference, folder: Path, tmp_path: Path, change: Callable[[str], str], said: str
) -> None:
    (good,) = (folder / "references").glob("plain-*.json")
    broken = tmp_path / good.name
    broken.write_text(change(good.read_text()))
    with pytest.raises(ArsisError) as caught:
        load_reference(broken)
    message = str(caught.value)
    assert message.startswith(f"{broken}: is not a reference as arsis keeps it: ")
    assert message.endswith("remove it to read the record again")
    assert said in message
    assert "\n" not in message


def test_what_was_kept_of_another_record_is_refused(plain: Reference, folder: Path, tmp_path: Path) -> None:
    (good,) = (folder / "references").glob("plain-*.json")
    table = json.loads(good.read_text())
    (tmp_path / "references").mkdir()
    (tmp_path / "references" / good.name).write_text(json.dumps(table | {"sha256": "0" * 64}))
    with pytest.raises(ArsisError, match="of another record"):
        read_reference(folder / "plain.wav", tmp_path)


def test_silence_is_no_reference(tmp_path: Path) -> None:
    with pytest.raises(ArsisError, match="is silent"):
        record(np.zeros((2, RATE_HZ)), tmp_path, "silence")
    assert not (tmp_path / "references").exists()
