"""Openly licensed songs out of Debian's packages, with the forms that were written down for them.

Nobody listened. Eleven songs are tracker files: their order of patterns *is* the score, and says to the row
where players come and go (libopenmpt gives the time of each); they are right to a few milliseconds, what
counts as a section is a judgement. They were written down before the finder had seen the songs, and nothing
was set on them. Later, before they were scored again, the times of song5 were taken at the rate at which it
is played (they were up to 0.3 s late), and three letters were named a chorus: the fullest part of a score,
where it comes back as it was.

Four are recordings. Their forms were first read from coarse pictures of likeness (spectra, pitch classes), of
spectra and of level, right to half a second at best, and scored so. They were then written anew by one who
had seen neither what the finder says of them nor any score: the pulse of each song was fitted to its onsets
over the whole length (all four were played by a machine: one tempo, which wanders by 0.02 s at most), the bar
was found from where bass, chord and layers change, and every start was looked at in a picture 6 s wide. A
start is the first onset of the new section that lies on a bar line: a fill, a pick-up or a rest before it
belongs to neither. Where no onset is, it is the bar line. So written, they are right to 0.03 s, the ends that
only ring out (``K``) to 0.1 s. None moved by more than 1.1 s. Starts and letters were put right too where the
pictures were plain; letters are less sure.

A form is ``letter start`` in seconds, one after another; a start with ``?`` may as well be none, and found
starts near it are not counted either way.

A song that is published as stems is their plain sum (`RealForm.stems`).
"""

from __future__ import annotations

import re
import shutil
import subprocess
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import compress
from pathlib import Path
from typing import TYPE_CHECKING
from zipfile import ZipFile

import numpy as np

from arsis.dsp.dither import Quantiser
from arsis.io.read import open_sound
from arsis.io.write import write_sound
from arsis.units import db_to_gain
from bench.real_music import CACHE, NotToBeHadError, unpacked

from .scores import Form

if TYPE_CHECKING:
    from .run import Outcome

FROM_SCORES, FROM_PICTURES = "from its score", "from pictures"  # how a form was come by
SPARE_S = 3.0  # around a start that may as well be none
MIX_DB = -6.5  # of every sum of stems: the highest of `real_rock` peaks at +6.2 dBFS


@dataclass(frozen=True, slots=True)
class RealForm:
    """A song: its package, where it lies in it, its form as written down; the letters of its chorus.

    path: may lead on into a zip archive, in which some games keep their music.
    stems: the files in the folder `path` whose sum is the song, where it is not one file.
    """

    package: str
    path: str
    form: str
    chorus: str = ""
    stems: tuple[str, ...] = ()

    @property
    def name(self) -> str:
        return Path(self.path).stem

    @property
    def is_score(self) -> bool:
        # Recordings may have no suffix, scores have one.
        return not self.stems and Path(self.path).suffix not in ("", ".ogg", ".opus", ".mp3")

    def truth(self, end_s: float) -> tuple[Form, tuple[float, ...]]:
        """The form, and the starts that may as well be none."""
        marks = re.findall(r"(\w+) ([\d.]+)(\??)", self.form)
        sure = [(letter, float(start)) for letter, start, mark in marks if not mark]
        letters, starts = zip(*sure, strict=True)
        kinds = tuple("chorus" if letter in self.chorus else "other" for letter in letters)
        return Form(starts, end_s, letters, kinds), tuple(float(start) for _, start, mark in marks if mark)


_PINGUS, _ZAZ = "usr/share/games/pingus/data/music/", "usr/share/games/zaz/"
_BUBBLE = "usr/share/games/frozen-bubble/snd/"
REAL = (
    RealForm(
        "pingus-data",
        _PINGUS + "pingus-3.it",
        "I 0 A 4.8 B 19.2 C 28.8 I 48 A 52.8 B 67.2 C 76.8 D 96",
        "A",
    ),
    RealForm(
        "pingus-data",
        _PINGUS + "pingus-4.it",
        "I 0 A 9.6 B 19.2 C 28.8 D 38.4 E 48 F 57.6 G 67.2 E 84 X 88.8?",
    ),
    RealForm(
        "pingus-data",
        _PINGUS + "pingus-5.it",
        "I 0 X 5.33? X 10.67? A 16 B 26.67 A 34.67 X 40? D 45.33 E 53.33 F 64 A 76 X 86.67?",
        "A",
    ),
    RealForm("pingus-data", _PINGUS + "pingus-6.it", "A 0 B 17.44 C 29.07 D 34.88 E 40.69 A 46.51 D 63.95"),
    RealForm("pingus-data", _PINGUS + "pingus-9.it", "I 0 A 7.68 B 15.36 C 23.04 D 46.08 E 53.76 D 61.44"),
    RealForm(
        "pingus-data",
        _PINGUS + "goin_march.it",
        "A 0 B 20.04 X 30.04? A 40.04 C 50.04 X 55.04? D 60.04 E 70.04 F 80.04 G 100.04 H 120.04 "
        "J 130.04 X 140.04?",
    ),
    RealForm(
        "rafkill-data",
        "usr/share/games/rafkill/music/song5.xm",
        "I 0 A 36.27 B 72.54 C 108.81 A 126.94 D 145.08 B 181.35 I 226.69 B 244.82 X 281.09? X 290.16?",
        "B",
    ),
    RealForm("pingus-data", _PINGUS + "the_big_march_in_space.it", "A 0 B 18 C 36 D 54 E 90 C 126"),
    RealForm("pingus-data", _PINGUS + "gd-matth.it", "A 0 B 10.24 C 30.72 B 51.2"),
    RealForm("pingus-data", _PINGUS + "sorcerer.it", "A 0 B 15.36 C 30.72 D 46.08 X 61.44?"),
    RealForm(
        "monsterz-data",
        "usr/share/games/monsterz/sound/music.s3m",
        "A 0 B 19.79 X 29.69? C 59.38 X 69.27? E 79.17 C 108.86 F 118.75 X 128.65? H 138.54 X "
        "148.44? X 168.23?",
    ),
    RealForm(
        "zaz-data",
        _ZAZ + "mus1.ogg",
        "A 0 B 19.28 C 57.67 D 72.07 X 76.87? E 96.07 F 115.27 G 134.46 E 153.66 C 192.05 E 211.25 F "
        "230.45 B 249.65 K 268.84",
    ),
    RealForm(
        "zaz-data",
        _ZAZ + "mus2.ogg",
        "A 0 B 19.32 X 38.51? C 57.72 D 76.91 E 96.1 X 115.3? F 134.5 G 153.69 C 172.89 K 182.49",
    ),
    RealForm(
        "frozen-bubble-data",
        _BUBBLE + "frozen-mainzik-1p.ogg",
        "A 0 B 22.8 C 45.56 D 68.32 E 91.08 F 102.46 G 125.22 H 148 F 216.28 X 239.04? J 261.8 K 307.33",
    ),
    RealForm(
        "frozen-bubble-data",
        _BUBBLE + "introzik.ogg",
        "I 0 A 3.26 B 24.13 A 45 B 65.87 A 86.74 C 107.61 A 128.48 X 149.35? X 170.21? K 191.09",
    ),
)


def real_outcomes(songs: Sequence[RealForm], rivals: bool) -> Iterator[Outcome]:
    """Every song that can be had here; says of the others why not."""
    from .run import measured, seconds_of

    for song in songs:
        try:
            path = sound_of(song)
        except NotToBeHadError as why:
            print(f"{song.name}: left out: {why}")
            continue
        true, spare = song.truth(seconds_of(path))
        says = FROM_SCORES if song.is_score else FROM_PICTURES
        yield measured(true, says, song.name, path, None, "", rivals, spare)


def without_spare(found: Form, spare_s: tuple[float, ...], true: Form) -> Form:
    """`found` less the starts that lie near a spare one and near no true one."""
    keep = [
        at == 0
        or not any(abs(start - mark) < SPARE_S for mark in spare_s)
        or any(abs(start - mark) < SPARE_S for mark in true.starts_s)
        for at, start in enumerate(found.starts_s)
    ]

    return replace(
        found,
        starts_s=tuple(compress(found.starts_s, keep)),
        letters=tuple(compress(found.letters, keep)),
        kinds=tuple(compress(found.kinds, keep)),
        sure=tuple(compress(found.sure, keep)),
    )


def sound_of(song: RealForm) -> Path:
    """A file that can be read as sound; a score is played by openmpt123, stems are mixed."""
    path = unpacked(song.package, CACHE) / song.path
    archive = next((folder for folder in path.parents if folder.is_file()), None)
    if archive is not None:
        path = _out_of(archive, path)
    if not path.exists():
        raise NotToBeHadError(f"{song.package} has no {song.path}: another version of the package?")
    if song.stems:
        return _mixed(song, path)
    if not song.is_score:
        return path
    out = CACHE / "scores" / f"{song.name}.wav"
    if not out.exists():
        if shutil.which("openmpt123") is None:
            raise NotToBeHadError("openmpt123 is not here, which plays scores (Debian's package openmpt123)")
        out.parent.mkdir(parents=True, exist_ok=True)
        command = ["openmpt123", "--quiet", "--batch", "--repeat", "0", "--samplerate", "44100", "--force"]
        subprocess.run([*command, "-o", str(out), str(path)], check=True, capture_output=True)
    return out


def _out_of(archive: Path, path: Path) -> Path:
    """Where the file that lies at `path` in the zip archive has been unpacked, if it is in there."""
    folder, member = CACHE / "zipped" / archive.stem, path.relative_to(archive).as_posix()
    if not (folder / member).exists():
        with ZipFile(archive) as packed:
            if member in packed.namelist():
                packed.extract(member, folder)
    return folder / member


def _mixed(song: RealForm, folder: Path) -> Path:
    """The stems' sum at MIX_DB, in 24 bits."""
    out = CACHE / "mixes" / f"{song.name}.wav"
    if out.exists():
        return out
    out.parent.mkdir(parents=True, exist_ok=True)
    sounds = []
    for stem in song.stems:
        with open_sound(folder / stem) as sound:
            rate_hz = sound.info.rate_hz
            sounds.append(sound.read(sound.info.frames))
    mix = db_to_gain(MIX_DB) * np.sum(sounds, axis=0)
    quantiser = Quantiser(24, len(mix), seed=1)
    with write_sound(out, rate_hz, len(mix), encoding="pcm_s24") as file:
        file.write(quantiser.process(mix))
    return out
