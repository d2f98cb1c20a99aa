"""The codec check: overs and where, loudness, bands, cut; the ceiling found; the command."""

from __future__ import annotations

import json
import sys
from collections.abc import Sequence
from contextlib import ExitStack
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from click.testing import Result
from hypothesis import given
from hypothesis import strategies as st

from arsis.audio import Block
from arsis.cli.codecs import codecs_text
from arsis.deliver.codec_check import CodecChecked, check_codecs, checks_for, untried
from arsis.deliver.codec_ear import NamedSpan, stretches
from arsis.deliver.codec_search import FileSound, PlanSound, Try, least_steps, search_ceiling
from arsis.deliver.coding import parse_coding
from arsis.deliver.known_profiles import find_profile
from arsis.deliver.lossy import encode
from arsis.errors import ArsisError
from arsis.io.read import open_sound, read_all
from arsis.plan.codec import read_song
from arsis.render.opening import open_source
from arsis.units import db_to_gain
from arsis.workflow.codecs import song_codecs
from arsis.workflow.print import print_song

from .codec_sounds import BAND_HZ, blocks, ffmpeg_decoded, hot, song
from .meter16 import true_peak_dbtp
from .releases import RATE_HZ, SmallRelease, write
from .signals import sine
from .test_cli_faults import arsis
from .tolerances import (
    ALGEBRA,
    CUT_HZ,
    EXACT,
    LEVEL_DB,
    METERS_DB,
    PRESET_LU,
    SECTION_CHANGE_LU,
    UNCUT_LU,
)

# Usual rates, and low ones of which the check values say that they rise far above their source.
USUAL = ("aac:256", "mp3:320", "opus:160", "vorbis:192")
LOW = ("mp3:128", "opus:96", "vorbis:96")


def checked(
    sound: Block, codings: Sequence[str], sections: Sequence[NamedSpan] = (), limit_dbtp: float = 0.0
) -> dict[str, CodecChecked]:
    checks = [parse_coding(text, limit_dbtp) for text in codings]
    done = check_codecs(blocks(sound), RATE_HZ, sound.shape[0], checks, sections)
    return dict(zip(codings, done, strict=True))


@pytest.fixture(scope="module")
def half_hot_sound() -> Block:
    """Quiet for two seconds, then two of clipped sound at -1 dBTP."""
    return np.concatenate([0.05 * song(2.0), hot(2.0)], axis=1)


@pytest.fixture(scope="module")
def half_hot(half_hot_sound: Block) -> dict[str, CodecChecked]:
    return checked(half_hot_sound, LOW, [NamedSpan("verse", 0.0, 2.0), NamedSpan("refrain", 2.0, 4.0)])


def test_hot_sound_under_the_ceiling_is_over_after_the_coder(half_hot: dict[str, CodecChecked]) -> None:
    """Check values, section 3: -1 dBTP in does not mean 0 dBTP out; MP3 at 128 rises by 0.3 to 2.8 dB,
    Opus at 96 by 1.6 to 4.5 dB."""
    for check in half_hot.values():
        assert check.source_true_peak_dbtp == pytest.approx(-1.0, abs=METERS_DB)
        assert not check.holds
        assert check.true_peak_dbtp > 0.3  # by more than two meters differ
        assert check.overs == check.overs_full_scale >= 1
        verse, refrain = check.sections
        assert (verse.overs, refrain.overs) == (0, check.overs)
        assert verse.true_peak_dbtp < -6.0  # it is 26 dB down: far from any limit
        assert refrain.true_peak_dbtp == check.true_peak_dbtp
        assert {over.section for over in check.worst} == {"refrain"}
        assert max(over.true_peak_dbtp for over in check.worst) == check.true_peak_dbtp
        assert all(2.0 <= over.start_s <= over.end_s <= 4.0 for over in check.worst)
        assert check.true_peak_at_s > 2.0


def test_what_is_told_is_what_ffmpeg_decodes(
    half_hot: dict[str, CodecChecked], half_hot_sound: Block, tmp_path: Path
) -> None:
    """The peak by the other decoder and a meter that shares no code with ours."""
    for text, check in half_hot.items():
        path = tmp_path / f"{check.codec}.bin"
        encode(path, blocks(half_hot_sound), check.codec, check.kbps, RATE_HZ, 2)
        assert true_peak_dbtp(ffmpeg_decoded(path)) == pytest.approx(check.true_peak_dbtp, abs=METERS_DB), (
            text
        )


def test_quiet_sound_is_never_over_and_keeps_its_loudness() -> None:
    quiet = checked(0.1 * song(), USUAL)
    for text, check in quiet.items():
        assert check.holds, text
        assert (check.overs, check.overs_full_scale, check.worst) == (0, 0, ())
        assert check.loudness_change_lu == pytest.approx(0.0, abs=UNCUT_LU), text


def test_loud_sound_that_no_coder_cuts_keeps_its_loudness() -> None:
    """Check values, section 3: less than 0.2 LU where the coder's low-pass takes nothing."""
    for text, check in checked(song(), USUAL, [NamedSpan("all", 0.0, 3.0)]).items():
        assert check.loudness_change_lu == pytest.approx(0.0, abs=UNCUT_LU), text
        assert check.sections[0].loudness_change_lu == pytest.approx(
            check.loudness_change_lu, abs=SECTION_CHANGE_LU
        )
        assert check.cut_above_hz is None or check.cut_above_hz >= BAND_HZ


def test_the_cut_is_where_lame_says_it_cuts(tmp_path: Path) -> None:
    """LAME writes its low-pass into its note, in hundreds of Hz, ten bytes after its name."""
    sound = 0.1 * np.random.default_rng(3).standard_normal((2, 3 * RATE_HZ))
    for text in ("mp3:128", "mp3:192"):
        made = encode(tmp_path / "a.mp3", blocks(sound), "mp3", float(text[4:]), RATE_HZ, 2)
        data = made.path.read_bytes()
        says_hz = 100.0 * data[data.index(b"LAME") + 10]
        check = checked(sound, [text])[text]
        assert check.cut_above_hz == pytest.approx(says_hz, abs=CUT_HZ)
        assert check.loudness_change_lu is not None
        assert check.loudness_change_lu < -0.1  # a factor and what is cut off noise: 0.26 dB at least


@pytest.mark.parametrize(("kbps", "factor"), [(128, 0.95), (192, 0.97), (320, 1.0)])
def test_lame_turns_low_rates_down(kbps: int, factor: float) -> None:
    """Measured, and as its presets have it: a factor on what goes in, whatever the sound: AES17's tone."""
    check = checked(sine(997.0, RATE_HZ, 2.0), [f"mp3:{kbps}"])[f"mp3:{kbps}"]
    assert check.loudness_change_lu == pytest.approx(20.0 * np.log10(factor), abs=PRESET_LU)


def test_the_limit_is_what_is_asked_for() -> None:
    quiet = song(2.0)
    strict, full = (checked(quiet, ["mp3:320"], limit_dbtp=limit)["mp3:320"] for limit in (-12.0, 0.0))
    assert (strict.holds, full.holds) == (False, True)
    assert (strict.overs > 0, full.overs, strict.overs_full_scale) == (True, 0, 0)
    assert strict.true_peak_dbtp == full.true_peak_dbtp


def test_what_has_no_level_has_none() -> None:
    check = checked(np.zeros((2, RATE_HZ)), ["mp3:320"])["mp3:320"]
    assert check.holds
    assert check.loudness_change_lu is None
    assert check.bands_change_db.mid is None
    assert check.cut_above_hz is None


def test_stretches_are_parted_by_five_steps() -> None:
    peaks = np.zeros(60)
    peaks[[3, 4, 9, 30, 36, 59]] = 2.0
    assert stretches(peaks, 1.0) == [(3, 10), (30, 31), (36, 37), (59, 60)]
    assert stretches(peaks, 2.0) == []


@pytest.mark.parametrize(
    ("limit_dbtp", "gain_db"),
    [(-3.0, 0.0), (0.0, 6.0)],
)
def test_a_file_is_turned_down_until_it_holds(tmp_path: Path, limit_dbtp: float, gain_db: float) -> None:
    path = write(tmp_path / "hot.wav", hot(1.0) * db_to_gain(gain_db), "FLOAT")
    check = parse_coding("opus:128", limit_dbtp)
    with open_sound(path) as reader:
        found = search_ceiling(FileSound(reader), check)
    assert (found.by, found.start_db) == ("gain", 0.0)
    assert found.value_db is not None
    assert found.value_db < -1.0  # there was something to find
    assert found.loudness_change_lu == pytest.approx(found.value_db, abs=LEVEL_DB)
    assert found.took_max_db is None
    turned = read_all(path) * db_to_gain(found.value_db)
    encode(tmp_path / "a.opus", blocks(turned), "opus", 128.0, RATE_HZ, 2)
    assert true_peak_dbtp(ffmpeg_decoded(tmp_path / "a.opus")) <= limit_dbtp + METERS_DB
    assert failed_just_above(found.tries, found.value_db, limit_dbtp)


def failed_just_above(tries: Sequence[Try], value_db: float, limit_dbtp: float) -> bool:
    """A try a tenth above what was found, which did not hold."""
    above = [one for one in tries if one.value_db == pytest.approx(value_db + 0.1, abs=LEVEL_DB)]
    return len(above) == 1 and above[0].true_peak_dbtp > limit_dbtp


def test_a_plan_is_rendered_again_under_a_lower_ceiling(release: SmallRelease, tmp_path: Path) -> None:
    """The found ceiling is put into the plan and printed by `arsis print`, then coded and decoded outside."""
    release.change("gain_db = 0.0\nlimiter", "gain_db = 14.0\nlimiter")
    tried = song_codecs(release.plan, ["opus:96"], limit_dbtp=-1.0, search=True)
    (found,) = tried.ceilings
    assert (found.by, found.start_db) == ("limiter", -1.0)
    assert found.value_db is not None
    assert found.value_db <= -1.2  # there was something to find
    assert failed_just_above(found.tries, found.value_db, -1.0)
    assert found.took_max_db is not None
    assert found.took_max_before_db is not None
    assert found.took_max_db > found.took_max_before_db > 3.0  # the limiter is at work
    assert found.loudness_change_lu is not None
    # It costs less than the ceiling comes down, from −1 dBTP: not everything lay at the ceiling.
    assert found.value_db + 1.0 < found.loudness_change_lu < 0.0
    release.change("ceiling_dbtp = -1.0", f"ceiling_dbtp = {found.value_db}")
    print_song(release.plan, out=tmp_path / "print.wav", bits="32f")
    encode(tmp_path / "a.opus", blocks(read_all(tmp_path / "print.wav")), "opus", 96.0, RATE_HZ, 2)
    assert true_peak_dbtp(ffmpeg_decoded(tmp_path / "a.opus")) <= -1.0 + METERS_DB


def test_nothing_is_searched_where_it_holds_already(release: SmallRelease) -> None:
    (found,) = song_codecs(release.plan, ["mp3:320"], limit_dbtp=0.0, search=True).ceilings
    assert (found.value_db, len(found.tries), found.loudness_change_lu) == (-1.0, 1, 0.0)


@given(need=st.integers(0, 130), short=st.sampled_from([1, 3, 50]))
def test_the_search_ends_at_the_least_step_that_holds(need: int, short: int) -> None:
    """Of a coder that always misses by less, by at most `short` steps a try, than what will be needed."""
    asked: list[int] = []

    def excess(steps_down: int) -> int:
        asked.append(steps_down)
        return min(short, max(0, need - steps_down))

    assert least_steps(excess, 120) == (need if need <= 120 else None)
    assert max(asked) <= 120
    assert len(asked) == len(set(asked)) <= 22


def test_a_limit_out_of_reach_is_said(tmp_path: Path) -> None:
    path = write(tmp_path / "loud.wav", hot(1.0) * 4.0, "FLOAT")
    tried = song_codecs(path, ["mp3:320"], limit_dbtp=-6.0, search=True)
    assert tried.ceilings[0].value_db is None
    assert any("nothing down to" in warning for warning in tried.warnings)


def test_a_plan_without_a_limiter_is_turned_down(release: SmallRelease) -> None:
    song = read_song(release.plan)
    song = replace(song, finish=replace(song.finish, limiter=None))
    with ExitStack() as stack:
        sound = PlanSound(open_source(song, release.folder, stack), RATE_HZ)
        assert (sound.by, sound.start_db) == ("gain", 0.0)
        now, lower = (np.concatenate(list(sound.at(at_db).blocks), axis=1) for at_db in (0.0, -6.0))
    assert np.allclose(lower, now * db_to_gain(-6.0), rtol=EXACT, atol=ALGEBRA)


def test_a_plans_sections_are_named(release: SmallRelease) -> None:
    release.change("gain_db = 0.0\nlimiter", "gain_db = 14.0\nlimiter")
    (check,) = song_codecs(release.plan, ["opus:96"], limit_dbtp=-1.0).checks
    assert [s.name for s in check.sections] == ["verse 1", "refrain 1", "bridge", "verse 2"]
    assert sum(section.overs for section in check.sections) == check.overs > 0


def test_the_profiles_list_is_tried_where_none_is_named(release: SmallRelease) -> None:
    named = [(c.codec, c.kbps) for c in find_profile("stream", release.folder).codec]
    assert [(c.codec, c.kbps) for c in song_codecs(release.plan).checks] == named


def test_a_delivered_file_is_checked_for_its_profile(release: SmallRelease) -> None:
    stream = find_profile("stream", release.folder)
    spans = [NamedSpan("first", 0.0, 3.5), NamedSpan("second", 3.5, 7.0)]
    done = checks_for(stream, release.mix, spans)
    assert [check.codec for check in done] == [check.codec for check in stream.codec]
    assert [section.name for section in done[0].sections] == ["first", "second"]
    [vorbis] = [check for check in done if check.codec == "vorbis"]
    assert vorbis.coded_kbps == pytest.approx(vorbis.kbps, rel=0.4)
    assert vorbis.libraries["libsndfile"]
    assert checks_for(find_profile("hires", release.folder), release.mix) == ()
    assert untried(stream.codec) == ()


def document(result: Result) -> dict[str, Any]:
    return dict(json.loads(result.stdout))


def test_the_command_answers_in_text_and_json(release: SmallRelease) -> None:
    result = arsis("codecs", release.plan, "--codec", "mp3:320", "--codec", "opus:160", "--json")
    assert result.exit_code == 0, result.output
    found = document(result)
    assert set(found) == {"file", "checks", "ceilings", "warnings"}
    assert [check["codec"] for check in found["checks"]] == ["mp3", "opus"]
    assert set(found["checks"][0]["bands_change_db"]) == {"low", "low_mid", "mid", "presence", "air"}
    text = arsis("codecs", release.plan, "--codec", "mp3:320", "--search").output
    assert "mp3" in text
    assert "needed: the ceiling that keeps what is decoded under the limit" in text


def test_what_is_over_is_a_warning_with_its_place(release: SmallRelease) -> None:
    release.change("gain_db = 0.0\nlimiter", "gain_db = 14.0\nlimiter")
    result = arsis("codecs", release.plan, "--codec", "opus:96", "--limit-dbtp", "-1")
    assert result.exit_code == 3
    assert "warning: opus at 96 kbit/s: decoded peaks pass −1.0 dBTP" in result.stderr
    assert "refrain 1" in result.stdout


def test_without_the_extra_aac_is_named_and_the_rest_is_done(
    release: SmallRelease, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    encode(tmp_path / "a.m4a", blocks(song(1.0)), "aac", 256.0, RATE_HZ, 2)
    monkeypatch.setitem(sys.modules, "av", None)  # as where it is not installed
    result = arsis("codecs", release.mix, "--codec", "aac:256")
    assert (result.exit_code, result.stdout) == (2, "")
    assert "AAC needs the extra `encode`, which is not installed: pip install" in result.stderr
    result = arsis("codecs", release.mix)
    assert result.exit_code == 3
    assert "warning: aac at 256 kbit/s was not tried: AAC needs the extra" in result.stderr
    assert "vorbis" in result.stdout
    with pytest.raises(ArsisError, match="needs the extra"):
        encode(tmp_path / "b.m4a", blocks(song(1.0)), "aac", 256.0, RATE_HZ, 2)
    result = arsis("measure", tmp_path / "a.m4a")
    assert result.exit_code == 2
    assert "MPEG-4 is read with the extra `encode`" in result.stderr


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--codec", "flac:320"), "codec: found 'flac:320'; allowed: one of mp3, aac, opus, vorbis"),
        (("--codec", "mp3"), "codec: found 'mp3'"),
        (("--codec", "mp3:fast"), "codec: found 'mp3:fast'"),
        (("--codec", "mp3:300"), "mp3: found 300 kbit/s; allowed: 64"),
        (("--codec", "opus:nan"), "opus: found nan kbit/s"),
    ],
)
def test_a_request_at_fault_is_one_message(words: tuple[str, ...], said: str, release: SmallRelease) -> None:
    result = arsis("codecs", release.mix, *words)
    assert (result.exit_code, result.stdout) == (2, "")
    assert result.stderr.startswith(f"arsis: {said}")
    assert result.stderr.count("\n") == 1


def test_text_of_nothing() -> None:
    from arsis.workflow.codecs import CodecsTried

    assert codecs_text(CodecsTried("a.wav", (), (), ())) == "a.wav: nothing was tried"
