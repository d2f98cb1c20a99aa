"""An advised move is heard beside the plan that it was made for, and written nowhere."""

from __future__ import annotations

import pytest

from arsis.io.digest import sha256_of
from arsis.plan.codec import read_song
from arsis.settings import Bell, Gain
from arsis.workflow.hearing import Moves, UnknownError, behind

from .releases import SmallRelease
from .test_hearing import bent, entry, hearing

MOVE = "move:chorus-body"


def offered(release: SmallRelease, mix_sha256: str | None = None) -> Moves:
    song = read_song(release.plan)
    moved = {"chorus-body": ("bell +2.0 dB", bent(song, Bell(freq_hz=300.0, gain_db=2.0)))}
    return Moves(song, mix_sha256 or sha256_of(release.mix), moved)


def test_a_move_has_the_prints_level_until_it_is_measured(
    release: SmallRelease, monkeypatch: pytest.MonkeyPatch
) -> None:
    with hearing(release) as (heard, told):
        told.wait("shape", version=1)
        monkeypatch.setattr(behind, "_QUIET_S", 1.0)  # however slow this machine is, it is asked before
        heard.offer(offered(release))
        before = heard.levels()["lufs"]
        assert before[MOVE] == before["print"]
        told.wait("exact", id=MOVE)
        after = heard.levels()["lufs"]
        assert after["print"] == before["print"] < after[MOVE]


def test_a_move_is_heard_only_beside_its_own_plan_and_mix(release: SmallRelease) -> None:
    moves = offered(release)
    with hearing(release) as (heard, _):
        assert heard.sounds()["moves"] is None
        heard.offer(moves)
        assert heard.sounds()["moves"] == {"stand": True, "dropped": []}
        key = entry(heard, MOVE)["key"]
        heard.turn_to(bent(moves.song, Gain(gain_db=-0.5)), 2)
        assert heard.sounds()["moves"] == {"stand": False, "dropped": []}
        assert MOVE not in heard.levels()["lufs"]
        heard.turn_to(moves.moved["chorus-body"][1], 3)
        assert entry(heard, "print")["key"] == key  # taken, it goes on sounding
        heard.turn_to(moves.song, 4)
        assert entry(heard, MOVE)["key"] == key
        heard.offer(offered(release, mix_sha256="0" * 64))
        assert heard.sounds()["moves"] == {"stand": False, "dropped": []}


def test_a_dropped_move_is_no_sound_until_it_is_taken_up_again(release: SmallRelease) -> None:
    with hearing(release) as (heard, told):
        heard.offer(offered(release))
        heard.drop("chorus-body", True)
        assert heard.sounds()["moves"] == {"stand": True, "dropped": ["chorus-body"]}
        assert MOVE not in heard.levels()["lufs"]
        heard.drop("chorus-body", False)
        assert MOVE in heard.levels()["lufs"]
        assert [name for name, _ in told.news].count("sounds") == 3
        with pytest.raises(UnknownError):
            heard.drop("chorus-edge", True)
