"""The bench's rows run: on two seconds of noise, with the peers that are installed. No timing is asserted."""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np
import pytest

from arsis.io.write import write_sound
from arsis.plan.codec import parse_song
from bench.song import RATE_HZ, Material
from bench.treatment import STARTS_S, plan

SECONDS = 2.0


@pytest.fixture(scope="module")
def material(tmp_path_factory: pytest.TempPathFactory) -> Material:
    folder = tmp_path_factory.mktemp("bench")
    noise = np.random.default_rng(7).integers(-(2**21), 2**21, (2, round(SECONDS * RATE_HZ)), dtype=np.int32)
    (folder / "mixes").mkdir()
    with write_sound(folder / "mixes" / "noise.wav", RATE_HZ, 2) as sound:
        sound.write(noise)
    (folder / "songs").mkdir()
    path = folder / "songs" / "noise.toml"
    path.write_text(plan("mixes/noise.wav", 15.0), encoding="utf-8")
    return Material(folder / "mixes" / "noise.wav", path, SECONDS)


def test_every_row_on_sound_in_memory_runs_and_names_its_peers(material: Material, tmp_path: Path) -> None:
    pytest.importorskip("av")
    pytest.importorskip("pedalboard")
    pytest.importorskip("pyloudnorm")
    from bench.rows import measured
    from bench.rows_sound import bands_row, compressor_row, limiter_row, meters_row
    from bench.table import markdown, plain

    results = [measured(make(material), 1) for make in (meters_row, bands_row, limiter_row, compressor_row)]
    for result in results:
        assert result.cpu_s > 0.0
        assert len(result.peers) >= 2
        assert all(peer.name in plain(result) for peer in result.peers)
    assert markdown(results).count("| arsis |") == len(results)


def test_the_row_of_found_sections_runs(material: Material) -> None:
    pytest.importorskip("mir_eval")
    from bench.rows import measured
    from bench.rows_sections import section_rows

    assert measured(next(section_rows(material)), 1).cpu_s > 0.0


def test_the_plan_of_the_whole_chain_has_both_passes_all_joins_and_the_limiter() -> None:
    song = parse_song(plan("mix.wav"))
    assert [section.start_s for section in song.section] == list(STARTS_S)
    assert [section.pass_ for section in song.section] == list("ABABABA")
    assert song.finish.limiter is not None
    assert song.finish.limiter.most_db == 24.0


def test_a_process_costs_its_own_memory_and_not_that_of_who_started_it() -> None:
    from bench.timing import of_process

    held = np.ones(20_000_000)  # 160 MB, touched
    cost = of_process(("true",))
    assert cost.peak_mb is not None
    assert held.nbytes / 2**20 > 10 * cost.peak_mb


def test_a_program_that_fails_is_no_result() -> None:
    from bench.timing import of_process

    with pytest.raises(RuntimeError, match="status 1"):
        of_process(("false",))


def test_the_row_of_a_delivery_runs_on_two_short_songs(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    pytest.importorskip("av")
    from arsis.deliver.manifest_file import read_manifest
    from bench import rows_deliver
    from bench.rows import measured

    from .no_pdf import plain_environment
    from .releases import music, write

    size = rows_deliver.Size(songs=2, song_s=11.0, cache=tmp_path)
    write(tmp_path / "mixes/song-96k-11.wav", music(11.0), rate_hz=96_000)
    starter = tmp_path / "arsis"
    starter.write_text(f'#!/bin/sh\nexec {sys.executable} -m arsis "$@"\n', encoding="utf-8")
    starter.chmod(0o755)
    monkeypatch.setattr(rows_deliver, "arsis", lambda: str(starter))
    monkeypatch.setattr("bench.family.child_environment", lambda: plain_environment(tmp_path))
    result = measured(rows_deliver.deliver_row(tmp_path, size), 5)
    assert result.cpu_s > 0.0
    assert len(result.peers) == 1
    assert "times real time for all three" in result.notes[0]
    for profile in rows_deliver.PROFILES:
        songs = [
            s for s in read_manifest(tmp_path / "record/deliveries" / profile).sounds if s.role == "song"
        ]
        assert len(songs) == 2
    assert len(list((tmp_path / "encoded").iterdir())) == 2 * 7
    if sys.platform == "linux":
        assert result.peak_mb is not None
        assert result.peak_mb > 50.0
