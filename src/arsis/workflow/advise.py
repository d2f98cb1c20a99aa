"""`arsis advise`: evidence, the least move that answers it, what it will do; or leave it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from contextlib import ExitStack
from dataclasses import dataclass, replace
from pathlib import Path
from tempfile import TemporaryDirectory

from arsis.advice.against import Difference, differences
from arsis.advice.conflicts import conflicts
from arsis.advice.curve import contour_curve
from arsis.advice.evidence import Evidence
from arsis.advice.finding import Finding
from arsis.advice.loudness import LoudnessAdvice, advise_loudness
from arsis.advice.moves import MOST_A_PASS, MOST_DB, Move, move_for
from arsis.advice.predict import Predicted, predicted
from arsis.advice.reference import Reference, read_reference
from arsis.advice.shape import judge_shape
from arsis.errors import ArsisError
from arsis.io.read import open_sound
from arsis.io.whole import write_text_whole
from arsis.measure.alike.moments import MomentMeter, Moments
from arsis.plan.model import Song
from arsis.plan.rewrite import rewrite
from arsis.render.contour import Contour, Outcome, contour, outcome
from arsis.render.progress import Progress, unseen
from arsis.render.run import Way
from arsis.render.source import Source

from .contour import opened
from .examine import stops
from .places import open_for_render, open_plan, release_of
from .print import word_of
from .revisions import Revision, keep, kept_as


@dataclass(frozen=True, slots=True, kw_only=True)
class Advice:
    """One move that might be made. confidence: 0 to 1. conflicts: with other moves, or with the limiter."""

    id: str
    sections: tuple[str, ...]
    evidence: Evidence
    move: Move
    predicted: Predicted
    confidence: float
    conflicts: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Advised:
    """leave: what was looked at and wants no move. beside: where the print stands outside the references."""

    file: str
    mix: tuple[Finding, ...]
    advice: tuple[Advice, ...]
    ask_mixer: tuple[str, ...]
    leave: tuple[str, ...]
    references: tuple[str, ...] = ()
    beside: tuple[Difference, ...] = ()
    loudness: LoudnessAdvice | None = None


@dataclass(frozen=True, slots=True)
class Listened:
    """What was advised on a plan over a mix. moved: by the id of each advice the plan with it."""

    advised: Advised
    song: Song
    mix_sha256: str
    moved: Mapping[str, Song]


@dataclass(frozen=True, slots=True)
class Wanted:
    """most_db: no move goes further. loudness_lufs: with `loudness`; None for as loud as the limits allow."""

    most_db: float = MOST_DB
    references: tuple[Path, ...] = ()
    loudness: bool = False
    loudness_lufs: float | None = None


@dataclass(frozen=True, slots=True)
class Applied:
    """A move in the plan. before, revision: the states of the plan that were kept."""

    file: str
    advice: Advice
    before: int
    revision: int


@dataclass(frozen=True, slots=True)
class Heard:
    """A plan's print, listened to once."""

    source: Source
    way: Way
    shape: Contour
    moments: Moments


def advise_song(path: Path, wanted: Wanted = Wanted(), progress: Progress = unseen) -> Advised:
    """Advice on a plan's print, or on a sound file as it stands.

    Raises ArsisError where plan, file or request is at fault.
    """
    return listen(path, wanted, progress).advised


def listen(path: Path, wanted: Wanted = Wanted(), progress: Progress = unseen) -> Listened:
    """The same, with the plans that its moves make: nothing of them is written."""
    with ExitStack() as stack:
        records = [read_reference(record, _keeps_records(path, stack)) for record in wanted.references]
        source = opened(path, stack, progress)
        heard = hear(source, progress)
        looked = advice_on(heard, wanted.most_db)
        advised = Advised(
            file=str(path),
            mix=stops(source.mix.info.path, heard.shape.mix),
            advice=tuple(one for one, _ in looked.moves),
            ask_mixer=looked.ask_mixer,
            leave=looked.leave,
            references=tuple(record.name for record in records),
            beside=_beside(heard.shape, records),
            loudness=advise_loudness(heard.source, wanted.loudness_lufs, progress)
            if wanted.loudness
            else None,
        )
        moved = {one.id: song for one, song in looked.moves}
        return Listened(advised, source.song, source.mix_sha256, moved)


def apply_advice(
    path: Path, advice_id: str, most_db: float = MOST_DB, progress: Progress = unseen
) -> Applied:
    """Writes a move into the plan as a new revision; the plan as it was is kept first.

    Raises ArsisError where there is no such advice, or no plan to write it into.
    """
    plan = open_plan(path)
    text = path.read_text(encoding="utf-8")
    with ExitStack() as stack:
        source = open_for_render(plan, plan.song, stack)
        moves = advice_on(hear(source, progress), most_db, advice_id).moves
        found = next(((one, song) for one, song in moves if one.id == advice_id), None)
        if found is None:
            raise ArsisError(
                f"{path}: nothing is advised under {advice_id!r}; `arsis advise {path}` lists what is"
            )
        one, song = found
        written = rewrite(text, song)
        _still(path, text)
        stood = kept_as(path, source.mix_sha256) or keep(path, f"before {advice_id}")
        _still(path, text)  # keeping takes a moment
        write_text_whole(path, written)
        made: Revision = keep(path, f"{advice_id}: {one.move.says}")
    return Applied(str(path), one, stood.number, made.number)


def _still(path: Path, text: str) -> None:
    """Raises ArsisError where the plan is no longer the one that was listened to."""
    if path.read_text(encoding="utf-8") != text:
        raise ArsisError(f"{path}: was changed while it was listened to, and left so; ask again")


def _keeps_records(path: Path, stack: ExitStack) -> Path:
    """The release that the song lies in; a sound file that lies in none leaves nothing behind."""
    if path.suffix == ".toml":
        return release_of(path)
    releases = (folder for folder in path.absolute().parents if (folder / "release.toml").exists())
    return next(releases, None) or Path(stack.enter_context(TemporaryDirectory()))


def _beside(shape: Contour, records: Sequence[Reference]) -> tuple[Difference, ...]:
    curve = contour_curve(shape, "print") if records else None
    return () if curve is None else differences(curve, records)


def hear(source: Source, progress: Progress = unseen, *, to_show: bool = False) -> Heard:
    """Renders once, as `arsis print` would at the mix's own rate.

    to_show: with what nothing is advised by, the bands of the mix and the sound around the joins.
    """
    info = source.mix.info
    way = Way(word_of(None, source.mix.info), info.rate_hz, keep_join_sound=to_show)
    moments = MomentMeter(info.rate_hz, info.channels, info.frames)
    shape = contour(source, way, progress, also=moments.add, mix_bands=to_show)
    return Heard(source, way, shape, moments.finish())


@dataclass(frozen=True, slots=True)
class Looked:
    """moves: the surest first, each with the plan that has it. ask_mixer: what no move here answers."""

    moves: tuple[tuple[Advice, Song], ...]
    ask_mixer: tuple[str, ...]
    leave: tuple[str, ...]


def advice_on(heard: Heard, most_db: float = MOST_DB, only: str | None = None) -> Looked:
    """What the print asks for. only: the id of the one that is to be rendered."""
    judged = judge_shape(heard.shape, heard.moments)
    song = heard.source.song
    made: list[tuple[Evidence, Move, Song]] = []
    leave: list[str] = list(judged.leave)
    ask_mixer: list[str] = []
    for evidence in judged.evidence:
        if evidence.what == "attack":
            ask_mixer.append(evidence.says)
            continue
        found = move_for(song, evidence, most_db)
        if isinstance(found, str):
            leave.append(f"{evidence.says} {found}")
        elif sum(evidence.kind == one.kind for one, _, _ in made) >= MOST_A_PASS:
            leave.append(f"{evidence.says} {MOST_A_PASS} moves come before it: take them first, ask again.")
        else:
            made.append((evidence, *found))
    asked = [one for one in made if only in (None, one[0].id)]
    after = _outcomes(heard, [moved for _, _, moved in asked])
    told = [
        predicted(song, heard.shape, one, evidence.sections)
        for one, (evidence, _, _) in zip(after, asked, strict=True)
    ]
    against = conflicts(song, [evidence for evidence, _, _ in asked], told)
    advice = [
        Advice(
            id=evidence.id, sections=evidence.sections, evidence=evidence, move=move, predicted=one,
            confidence=evidence.sure, conflicts=against[i],
        )
        for i, ((evidence, move, _), one) in enumerate(zip(asked, told, strict=True))
    ]  # fmt: skip
    moves = tuple((one, moved) for one, (_, _, moved) in zip(advice, asked, strict=True))
    return Looked(moves, tuple(ask_mixer), tuple(leave))


def _outcomes(heard: Heard, songs: Sequence[Song]) -> list[Outcome]:
    """Each plan really rendered through the finish; two at a time where nothing but the mix is read."""

    def one(song: Song) -> Outcome:
        source = heard.source
        if source.printed or source.followers:
            return outcome(replace(source, song=song), heard.way, heard.shape.onsets)
        with open_sound(source.mix.info.path) as mix:
            return outcome(replace(source, song=song, mix=mix), heard.way, heard.shape.onsets)

    threads = 1 if heard.source.printed or heard.source.followers else 2
    with ThreadPoolExecutor(threads) as pool:
        return list(pool.map(one, songs))
