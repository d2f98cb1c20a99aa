"""What `make real` relies on, on sound made here: copyright files are read, and faults are found."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from arsis.io.write import write_sound
from arsis.plan.model import Finish, Pass, Section, Song
from arsis.settings import Gain, Limiter
from bench import real_laws as laws
from bench.real_meters import highest_true_peak_dbtp, libebur128
from bench.real_music import NotToBeHadError, _owner, _stanzas, real_songs
from bench.real_plans import OUTBOARD_LATE, play_outside

from .signals import noise
from .tolerances import CEILING_DB

RATE_HZ = 44_100

# A piece of a machine-readable copyright file, its form from Debian's copyright-format 1.0.
COPYRIGHT = """Format: https://www.debian.org/doc/packaging-manuals/copyright-format/1.0/

Files: *
Copyright: 2009, A. Coder
License: GPL-3+

Files: data/mus*.ogg
Copyright: B. Composer
 C. Player
License: CC-BY-SA-3.0
 Long text.

Files: debian/*
Copyright: D. Packer
License: GPL-2+

License: GPL-3+
 Long text.
"""


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    mix = noise(4 * RATE_HZ, seed=1, rms=0.1)
    with write_sound(tmp_path / "mix.wav", RATE_HZ, 2, encoding="pcm_s24") as out:
        out.write(np.rint(np.clip(mix, -1.0, 0.999) * 2.0**23).astype(np.int32))
    return tmp_path


def song(chain: tuple[Gain, ...] = (), finish: Finish | None = None) -> Song:
    sections = (
        Section(name="one", start_s=0.0, pass_="A"),
        Section(name="two", start_s=2.0, pass_="B"),
    )
    passes = {"A": Pass(), "B": Pass(chain=chain)}
    return Song(title="Test", mix="mix.wav", section=sections, pass_=passes, finish=finish or Finish())


def test_the_last_paragraph_that_names_a_file_says_whose_it_is():
    stanzas = _stanzas(COPYRIGHT)
    assert _owner(stanzas, Path("usr/share/mus1.ogg")) == ("B. Composer; C. Player", "CC-BY-SA-3.0")
    assert _owner(stanzas, Path("usr/share/other.ogg")) == ("2009, A. Coder", "GPL-3+")


def test_music_that_cannot_be_fetched_is_said_to_be_so(tmp_path, monkeypatch):
    monkeypatch.setenv("PATH", str(tmp_path))
    with pytest.raises(NotToBeHadError, match="apt-get is not here"):
        real_songs(tmp_path)


def test_the_checks_hold_for_what_is_right_and_say_what_is_wrong(folder):
    plan = song((Gain(gain_db=1.0),), Finish(gain_db=3.0, limiter=Limiter()))
    mix, words = laws.words_of(folder / "mix.wav"), laws.rendered(plan, folder).astype(np.int64)
    assert not list(laws.law_1(song(), folder))
    assert list(laws.law_1(plan, folder))
    assert not list(laws.law_2(plan, folder, words))
    assert len(list(laws.law_2(plan, folder, words + 1))) == 2
    assert not list(laws.law_3(words, mix))
    assert "1 frames late" in next(laws.law_3(np.roll(words, 1, axis=1), mix))
    assert not list(laws.law_5(plan, folder))
    assert not list(laws.law_6(plan, folder, 4.0, words))
    assert list(laws.law_6(plan, folder, 4.0, words + 1))


def test_a_section_is_as_loud_as_libebur128_says(folder):
    """Steady noise, where a gate takes nothing away: both of its readings are the same."""
    sound = laws.words_of(folder / "mix.wav") / laws.FULL_SCALE
    gated = libebur128(sound, RATE_HZ).integrated_lufs
    assert laws._loudness_lufs(sound, RATE_HZ) == pytest.approx(gated, abs=0.1)


def test_the_chain_outside_is_late_and_turned_over(folder):
    play_outside(folder / "mix.wav", folder / "prints" / "out.wav")
    mix, out = (laws.words_of(folder / name) for name in ("mix.wav", "prints/out.wav"))
    assert out.shape[1] == mix.shape[1] + OUTBOARD_LATE
    assert not list(laws.law_3(-out[:, OUTBOARD_LATE:], mix))


def test_the_long_meter_reads_between_samples_and_not_where_a_place_was_cut():
    """A tone at a quarter of the rate, sampled at 45 degrees: its top lies 3.01 dB above every sample."""
    t = np.arange(RATE_HZ)
    fade = np.minimum(1.0, np.minimum(t, t[::-1]) / 4_000.0) ** 2
    tone = 0.5 * fade * np.sin(np.pi / 2.0 * t + np.pi / 4.0)
    read_dbtp = highest_true_peak_dbtp(np.stack([tone, tone]))
    assert read_dbtp == pytest.approx(20.0 * np.log10(0.5), abs=CEILING_DB)
