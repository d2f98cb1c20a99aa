"""`arsis demo`: a small release of its own songs, taken through the whole job and told as it goes."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path

from arsis.deliver.order import DELIVERIES
from arsis.demo.mixes import DemoMix, write_mixes
from arsis.demo.plans import demo_plan, demo_release
from arsis.demo.songs import ARTIST, MAIN_SONG, RELEASE_TITLE
from arsis.errors import ArsisError
from arsis.io.digest import sha256_of
from arsis.io.whole import write_text_whole
from arsis.plan.codec import read_song, release_to_toml, song_to_toml
from arsis.report.text import change, clock, number, percent

from .contour import song_contour
from .deliver import Asked, default_jobs, deliver
from .print import print_song
from .record import release_record
from .report import song_report
from .revisions import keep, revisions
from .start import start_release
from .verify import verify_delivery

Say = Callable[[str], None]

# A found start this close to the composed one is the same place to the ear.
NEAR_S = 0.05
PROFILE = "hires"


@dataclass(frozen=True, slots=True)
class Demonstrated:
    """What the demo left on disk, and what must be seen about its print."""

    folder: Path
    plan: Path
    print: Path
    report: Path
    warnings: tuple[str, ...]


def run_demo(folder: Path, say: Say) -> Demonstrated:
    """Makes the demo release in `folder` and takes its main song through the job.

    Raises ArsisError where the folder holds something else.
    """
    if folder.exists() and any(folder.iterdir()) and not (folder / "mixes").is_dir():
        raise ArsisError(f"{folder}: is not empty and not a demo; the demo needs a folder of its own")
    plan = folder / "songs" / f"{MAIN_SONG}.toml"
    if (folder / "release.toml").exists():
        if not plan.exists():
            raise ArsisError(f"{folder}: holds another release; the demo needs a folder of its own")
        say(f"{folder}: the demo release is there already; printing it anew")
    else:
        _made(folder, plan, say)
    return _printed(folder, plan, say)


def _made(folder: Path, plan: Path, say: Say) -> None:
    say(f"composing {RELEASE_TITLE} by {ARTIST}: songs, instrumentals and a cappellas")
    mixes = write_mixes(folder)
    started = start_release(
        folder, [path for mix in mixes for path in (mix.path, mix.instrumental, mix.acappella)], RELEASE_TITLE
    )
    say("start: measured each mix, found its sections, wrote a plan that leaves it alone")
    for song, mix in zip(started.songs, mixes, strict=True):
        say(
            f"  {song.title}: {number(song.integrated_lufs)} LUFS, {number(song.true_peak_dbtp)} dBTP, "
            f"{song.sections} sections; {_met(song.plan, mix)}"
        )
    main = next(mix for mix in mixes if mix.path.stem == MAIN_SONG)
    decided = replace(demo_plan(main.truth.sections), mix_sha256=sha256_of(main.path))
    write_text_whole(plan, song_to_toml(decided))
    write_text_whole(folder / "release.toml", release_to_toml(demo_release()))
    say("plan: sections named by ear; pass A leaves alone, pass B gives the refrains weight and level")


def _met(plan: Path, mix: DemoMix) -> str:
    """How many of the composed section starts were found."""
    found = [section.start_s for section in read_song(plan).section[1:]]
    composed = [section.start_s for section in mix.truth.sections[1:]]
    met = sum(any(abs(start - other) < NEAR_S for other in found) for start in composed)
    return f"{met} of its {len(composed)} composed boundaries met within {NEAR_S * 1000:.0f} ms"


def _printed(folder: Path, plan: Path, say: Say) -> Demonstrated:
    made = print_song(plan)
    say(
        f"print: {made.out}, {number(made.integrated_lufs)} LUFS, {number(made.true_peak_dbtp)} dBTP, "
        f"{number(made.realtime_factor, 0)} times real time; the limiter took up to "
        f"{number(made.took.max_db)} dB, at work {percent(made.took.share)} of the time"
    )
    say("contour: loudness step into each section, mix → print; what was asked, what the limiter took of it")
    for section in song_contour(plan).sections[1:]:
        say(
            f"  {clock(section.start_s)}  {section.name:<12} {section.pass_}  "
            f"{change(section.step_mix_lu):>5} → {change(section.step_print_lu):>5} LU"
            f"   asked {change(section.step_asked_db):>5} dB, took {number(section.took.step_db)} LU"
        )
    report = song_report(plan)
    say(f"report: {report.out}")
    if not revisions(plan):  # what has been decided since is not the demo's to keep
        revision = keep(plan, "first pass: refrains up a little")
        say(f"keep: revision {revision.number}, {revision.note!r}")
    _delivered(folder, say)
    return Demonstrated(folder, plan, made.out, report.out, made.warnings)


def _delivered(folder: Path, say: Say) -> None:
    """The record in the highest resolution, read back from the disk and made again."""
    shape = release_record(folder).shape
    say(f"record: {len(shape.songs)} songs, {clock(shape.length_s)}, {number(shape.loudness_lufs)} LUFS")
    target = folder / DELIVERIES / PROFILE
    if target.exists():
        say(f"deliver: {target} is there already")
    else:
        [made] = deliver(Asked(folders=(folder,), profiles=(PROFILE,), jobs=default_jobs())).deliveries
        say(f"deliver: {len(made.manifest.sounds)} files with tags and paperwork in {made.out}")
    found = verify_delivery(target)
    made_again = f"{len(found.rebuilt)} made again from mix and plan, byte for byte the same"
    say(
        f"verify: {found.files} files hold; {made_again}"
        if found.holds
        else f"verify: {len(found.findings)} things do not hold; see arsis verify {target}"
    )
