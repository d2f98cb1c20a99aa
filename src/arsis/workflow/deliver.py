"""`arsis deliver`: the files of a release, tagged, checked, with what belongs beside them."""

from __future__ import annotations

import datetime
import os
from collections.abc import Callable, Iterator, Sequence
from contextlib import AbstractContextManager, ExitStack
from dataclasses import dataclass, field
from pathlib import Path

from arsis.deliver.codec_check import untried
from arsis.deliver.executors import Executor, in_line, processes
from arsis.deliver.inputs import changed, inputs_of
from arsis.deliver.manifest import MANIFEST, Manifest
from arsis.deliver.manifest_file import read_manifest
from arsis.deliver.order import DELIVERIES, Order
from arsis.deliver.paperwork.extra import KeptAs
from arsis.deliver.paperwork.pdf import without_pdf
from arsis.deliver.preflight import prepare_order
from arsis.deliver.staging import Begun, Staging, begun_in, open_staging, staging_of
from arsis.deliver.steps import steps
from arsis.deliver.work import Delivering, work_off
from arsis.errors import ArsisError
from arsis.io.digest import sha256_of
from arsis.render.progress import Progress, unseen

from .revisions import kept_as, revisions

Say = Callable[[str], None]
KEPT = "what is finished is kept; the same command goes on from there"


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What is to be delivered. out: for one release in one profile only. date: today, when None.

    jobs: processes on this machine; 1 works in this one. scheduler: of a cluster that does the work instead.
    """

    folders: tuple[Path, ...]
    profiles: tuple[str, ...]
    out: Path | None = None
    jobs: int = 1
    date: str | None = None
    versions: bool = True
    scheduler: str | None = None


@dataclass(frozen=True, slots=True)
class Resumed:
    """jobs: pieces of work in all. kept: of them, what an earlier command had done."""

    jobs: int
    kept: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Delivered:
    """A finished delivery. was_there: nothing had to be made."""

    out: Path
    manifest: Manifest = field(metadata={"beside": True})
    warnings: tuple[str, ...] = ()
    resumed: Resumed = Resumed(0, 0)
    was_there: bool = False


@dataclass(frozen=True, slots=True)
class Deliveries:
    """All that was asked for. faults: why others could not be made."""

    deliveries: tuple[Delivered, ...]
    warnings: tuple[str, ...]
    faults: tuple[str, ...]


def deliver(asked: Asked, say: Say = lambda line: None, progress: Progress = unseen) -> Deliveries:
    """Makes every delivery that was asked for.

    Raises ArsisError where nothing can be made: of several releases one that cannot is told and the others
    are made. When it is stopped, what is finished waits for the same command.
    """
    _check(asked)
    alone = len(asked.folders) == 1
    done: list[Delivered] = []
    faults: list[str] = []
    try:
        with _executor(asked) as executor:
            todo = _todo(asked, say, done, faults, alone)
            for ended in work_off(todo, executor, progress):
                if ended.manifest is None:
                    kept = f"; {KEPT}" if ended.done > ended.kept else ""
                    faults.append(f"{ended.about.target}: {ended.fault}{kept}")
                    if not alone:
                        say(faults[-1])
                else:
                    done.append(_delivered(ended, ended.manifest))
                    for note in _notes(ended.about, ended.manifest):
                        say(f"{ended.about.target}: {note}")
    except KeyboardInterrupt as stop:
        stop.add_note(KEPT)
        raise
    if faults and alone:
        if not done:
            raise ArsisError("\n".join(faults))
        say("\n".join(faults))
    done.sort(key=_asked_for(asked))
    named = [(f"{one.out.name}: " if len(done) > 1 else "", one) for one in done]
    warnings = tuple(f"{name}{warning}" for name, one in named for warning in one.warnings)
    return Deliveries(tuple(done), warnings, tuple(faults))


def _asked_for(asked: Asked) -> Callable[[Delivered], int]:
    """The place of a delivery among those asked for, whichever was done first."""
    places: dict[Path, int] = {}
    for folder in asked.folders:
        for profile in asked.profiles:
            places.setdefault((asked.out or folder / DELIVERIES / profile).absolute(), len(places))
    return lambda one: places[one.out]


def _check(asked: Asked) -> None:
    if asked.out is not None and len(asked.folders) * len(asked.profiles) > 1:
        raise ArsisError("--out is for one release in one profile; of more, each goes to its own deliveries/")
    if asked.out is not None:
        _check_out(asked.out)
    if asked.date is not None:
        try:
            datetime.date.fromisoformat(asked.date)
        except ValueError:
            raise ArsisError(f"--date: found {asked.date!r}; allowed: a day as YYYY-MM-DD") from None


def _check_out(out: Path) -> None:
    """A delivery has a folder of its own, and lies in no other one."""
    whole = out.absolute()
    if not out.name or out.name == "..":
        raise ArsisError(f"--out: found {str(out)!r}; allowed: a folder that is not there yet")
    for above in whole.parents:
        if (above / MANIFEST).is_file():
            raise ArsisError(f"--out: {out} lies in the delivery {above}; allowed: a folder outside it")


def _executor(asked: Asked) -> AbstractContextManager[Executor]:
    if asked.scheduler is not None:
        from arsis.deliver.executor_cluster import cluster

        return cluster(asked.scheduler)
    return in_line() if asked.jobs == 1 else processes(asked.jobs)


def _todo(
    asked: Asked, say: Say, done: list[Delivered], faults: list[str], alone: bool
) -> Iterator[Delivering[Order]]:
    """The deliveries that have to be made; of those that are there, only a look."""
    for folder in asked.folders:
        try:
            orders = _orders(asked, folder)
        except ArsisError as fault:
            if alone:
                raise
            faults.append(str(fault))
            say(str(fault))
            continue
        for order in orders:
            try:
                found = _begun(order, asked, say)
            except ArsisError as fault:
                faults.append(str(fault))
                if not alone:
                    say(str(fault))
                continue
            if isinstance(found, Delivered):
                done.append(found)
            else:
                yield found


def _orders(asked: Asked, folder: Path) -> list[Order]:
    """Of one release in every profile; all their faults in one message, each once."""
    orders: list[Order] = []
    faults: list[str] = []
    for profile in asked.profiles:
        target = asked.out or folder / DELIVERIES / profile
        begun = begun_in(staging_of(target))
        date = asked.date or (begun.date if begun else None) or _date_there(target) or _today()
        try:
            there = _size(target) or _size(staging_of(target))
            order = prepare_order(folder, profile, date, asked.out, there, asked.versions)
            orders.append(order)
        except ArsisError as fault:
            faults += str(fault).splitlines()
    if faults:
        raise ArsisError("\n".join(dict.fromkeys(faults)))
    return orders


def _today() -> str:
    return datetime.date.today().isoformat()


def _date_there(target: Path) -> str | None:
    try:
        return read_manifest(target).date
    except ArsisError:
        return None


def _size(folder: Path) -> int:
    return sum((Path(root) / name).stat().st_size for root, _, names in os.walk(folder) for name in names)


def _begun(order: Order, asked: Asked, say: Say) -> Delivering[Order] | Delivered:
    """The delivery begun, or gone on with; or as it is there already."""
    inputs = inputs_of(order)
    with ExitStack() as stack:
        staging = stack.enter_context(open_staging(order.target))
        if order.target.exists():
            found = _as_it_is(order, inputs)
            staging.clear()
            return found
        begun = _go_on_or_begin(staging, Begun(order.date, inputs, _kept(order)), say)
        close = stack.pop_all().close
    return Delivering(order, steps(order, staging, begun), close)


def _kept(order: Order) -> dict[int, KeptAs]:
    """The states that the plans were kept in, by place."""
    found = {}
    for song in order.songs:
        plan = order.folder / song.plan
        same, all_kept = kept_as(plan, song.mix.sha256), revisions(plan)
        last = same or (all_kept[-1] if all_kept else None)
        if last is not None:
            found[song.place] = KeptAs(number=last.number, note=last.note, changed=same is None)
    return found


def _go_on_or_begin(staging: Staging, begun: Begun, say: Say) -> Begun:
    before = staging.begun()
    if before is not None and before == begun:
        say(f"{staging.target}: going on with what was begun before")
        begun = before
    else:
        if before is not None:
            what = "; ".join(changed(before.inputs, begun.inputs)) or f"its date was {before.date}"
            say(f"{staging.target}: begun anew, since {what}")
        staging.begin(begun)
    staging.make_folders()
    return begun


def _as_it_is(order: Order, inputs: dict[str, str]) -> Delivered:
    """A delivery that is there. Raises ArsisError where it is another than was asked for."""
    target = order.target
    move = "move it away, or give --out"
    if not (target / MANIFEST).is_file():
        raise ArsisError(f"{target}: is there and is no delivery; {move}")
    manifest = read_manifest(target)
    other = changed(manifest.inputs, inputs)
    if manifest.date != order.date:
        other = (*other, f"its date is {manifest.date}")
    if other:
        raise ArsisError(f"{target}: a delivery is there, but {'; '.join(other)}; {move}")
    digests = {sound.path: sound.sha256 for sound in manifest.sounds}
    digests |= {document.path: document.sha256 for document in manifest.documents}
    altered = [
        path
        for path, digest in digests.items()
        if not (target / path).is_file() or sha256_of(target / path) != digest
    ]
    if altered:
        raise ArsisError(
            f"{target}: a delivery is there, but not as it was made: {', '.join(altered)}; `arsis verify "
            f"{target}` says more; {move}"
        )
    return Delivered(out=target, manifest=manifest, warnings=_warnings(order, manifest), was_there=True)


def _delivered(ended: Delivering[Order], manifest: Manifest) -> Delivered:
    return Delivered(
        out=ended.about.target,
        manifest=manifest,
        warnings=_warnings(ended.about, manifest),
        resumed=Resumed(ended.done, ended.kept),
    )


def _notes(order: Order, manifest: Manifest) -> tuple[str, ...]:
    """What is left out for want of an extra: no fault of the delivery."""
    papers = any(document.path.endswith(".pdf") for document in manifest.documents)
    lacking = None if papers else without_pdf()
    return (*untried(order.profile.codec), *filter(None, [lacking]))


def _warnings(order: Order, manifest: Manifest) -> tuple[str, ...]:
    """Each with the file that it is about."""
    of_files = [f"{sound.path}: {said}" for sound in manifest.sounds for said in sound.warnings]
    return (*order.warnings, *of_files)


def default_jobs() -> int:
    """A process for each core that this one may use."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


def named(profiles: Sequence[str]) -> tuple[str, ...]:
    """Each profile once, in the order asked for."""
    return tuple(dict.fromkeys(profiles))
