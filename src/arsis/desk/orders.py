"""What a page may ask for as a job, and the work that it is.

The plan of a print or a report is read when it is asked for: later changes are not in it.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial
from pathlib import Path
from typing import Any, TypeVar

from arsis.advice.finding import placed
from arsis.advice.predict_words import cost, does, then
from arsis.deliver.known_profiles import names
from arsis.deliver.manifest_file import read_manifest
from arsis.deliver.order import DELIVERIES
from arsis.errors import ArsisError
from arsis.render.progress import Progress
from arsis.workflow.advise import Wanted, apply_advice, listen
from arsis.workflow.deliver import Asked, default_jobs, deliver
from arsis.workflow.hearing import Moves
from arsis.workflow.inside import check_inside, check_plan, check_release, check_song, check_tree
from arsis.workflow.places import OpenPlan, make_folder, open_plan
from arsis.workflow.print import print_plan
from arsis.workflow.record import release_record
from arsis.workflow.report import report_plan
from arsis.workflow.verify import verify_delivery

from .answers import plain
from .jobs import Made, Work

Wish = dict[str, Any]
Offer = Callable[[Moves | None], None]
Value = TypeVar("Value")
CONTAINERS = ("wav", "flac", "aiff")
BITS = ("16", "24", "32", "32f")


def song_work(release: Path, plan_path: Path, kind: str, wish: Wish, offer: Offer) -> Work:
    """The work on one song. offer: gets the moves that advice has found, and None when it is asked anew.

    Raises ArsisError where the wish, the plan or a path of it is at fault.
    """
    orders: dict[str, Callable[[OpenPlan, Wish], Work]] = {
        "print": _print,
        "report": _report,
        "advise": partial(_advise, offer),
        "apply": _apply,
    }
    order = _of(orders, kind)
    check_plan(release, plan_path)
    plan = open_plan(plan_path)
    check_song(release, plan.song)
    return order(plan, wish)


def release_work(release: Path, kind: str, wish: Wish) -> Work:
    """The work on the whole release. Raises ArsisError as `song_work`, for every song of it."""
    return _of({"record": _record, "deliver": _deliver, "verify": _verify}, kind)(release, wish)


def _print(plan: OpenPlan, wish: Wish) -> Work:
    container = _wished(wish, "container", str, CONTAINERS) or CONTAINERS[0]
    version, pass_name = _wished(wish, "version", str), _wished(wish, "pass", str)
    bits, rate_hz = _wished(wish, "bits", str, BITS), _wished(wish, "rate_hz", int)
    _all_known(wish, "container", "version", "pass", "bits", "rate_hz")
    out = plan.default_print(pass_name, version).with_suffix(f".{container}")
    check_inside(plan.release, out)

    def work(progress: Progress) -> Made:
        make_folder(out.parent)
        made = print_plan(
            plan, out=out, pass_name=pass_name, version=version, rate_hz=rate_hz, bits=bits, progress=progress
        )
        return Made(_result(plan.release, made), (out,))

    return work


def _report(plan: OpenPlan, wish: Wish) -> Work:
    _all_known(wish)
    check_inside(plan.release, plan.default_report)

    def work(progress: Progress) -> Made:
        made = report_plan(plan, progress=progress)
        return Made(_result(plan.release, made), (made.out,))

    return work


def _advise(offer: Offer, plan: OpenPlan, wish: Wish) -> Work:
    loudness = _wished(wish, "loudness", bool) or False
    _all_known(wish, "loudness")

    def work(progress: Progress) -> Made:
        offer(None)
        heard = listen(plan.path, Wanted(loudness=loudness), progress)
        found = heard.advised
        says = {one.id: one.move.says for one in found.advice}
        moved = {one: (says[one], song) for one, song in heard.moved.items()}
        offer(Moves(heard.song, heard.mix_sha256, moved))
        moves = [
            {
                **plain(one),
                "does": does(one.move),
                "then": then(one.evidence, one.predicted),
                "cost": cost(one.predicted),
            }
            for one in found.advice
        ]
        mix = [{**plain(one), "placed": placed(one)} for one in found.mix]
        return Made({**_result(plan.release, found), "advice": moves, "mix": mix})

    return work


def _apply(plan: OpenPlan, wish: Wish) -> Work:
    advice = _wished(wish, "advice", str)
    _all_known(wish, "advice")
    if advice is None:
        raise ArsisError("advice: found nothing; allowed: the id of what was advised")
    return lambda progress: Made(_result(plan.release, apply_advice(plan.path, advice, progress=progress)))


def _record(release: Path, wish: Wish) -> Work:
    _all_known(wish)
    check_release(release)

    def work(progress: Progress) -> Made:
        made = release_record(release, progress=progress)
        return Made(_result(release, made), (made.out,))

    return work


def _deliver(release: Path, wish: Wish) -> Work:
    profile = _profile(release, wish)
    check_release(release)
    asked = Asked(folders=(release,), profiles=(profile,), jobs=default_jobs())

    def work(progress: Progress) -> Made:
        notes: list[str] = []
        (made,) = deliver(asked, notes.append, progress).deliveries
        sounds = [
            {
                "path": one.path,
                "integrated_lufs": one.facts.integrated_lufs,
                "true_peak_dbtp": one.facts.true_peak_dbtp,
            }
            for one in made.manifest.sounds
        ]
        result = {"out": made.out, "warnings": made.warnings, "was_there": made.was_there, "sounds": sounds}
        files = sorted(path for path in made.out.rglob("*") if path.is_file())
        return Made({**_result(release, result), "notes": notes}, tuple(files))

    return work


def _verify(release: Path, wish: Wish) -> Work:
    folder = release / DELIVERIES / _profile(release, wish)
    check_tree(release, folder)
    manifest = read_manifest(folder)
    home = folder / manifest.release_path
    for path in (home, home / "release.toml", *(home / mix.path for mix in manifest.mixes)):
        check_inside(release, path)
    return lambda progress: Made(_result(release, verify_delivery(folder, progress=progress)))


def _profile(release: Path, wish: Wish) -> str:
    """A profile is named, and so is its delivery: only a name that is known leads to a folder."""
    known = names(release)
    name = _wished(wish, "profile", str, known)
    _all_known(wish, "profile")
    if name is None:
        raise ArsisError(f"profile: found nothing; allowed: {', '.join(known)}")
    return name


def _of(known: dict[str, Callable[[Value, Wish], Work]], kind: str) -> Callable[[Value, Wish], Work]:
    if kind not in known:
        raise ArsisError(f"kind: found {kind!r}; allowed: {', '.join(known)}")
    return known[kind]


def _wished(wish: Wish, key: str, kind: type[Value], allowed: Sequence[Value] = ()) -> Value | None:
    """A value of a wish; None where none is given. Raises ArsisError for one that is not allowed."""
    value = wish.get(key)
    if value is None:
        return None
    if type(value) is not kind or (allowed and value not in allowed):
        words = ", ".join(map(str, allowed)) or {str: "text", int: "a whole number", bool: "yes or no"}[kind]
        raise ArsisError(f"{key}: found {value!r}; allowed: {words}")
    return value


def _all_known(wish: Wish, *keys: str) -> None:
    unknown = [key for key in wish if key not in keys]
    if unknown:
        raise ArsisError(f"{unknown[0]}: an unknown key; allowed: {', '.join(keys) or 'none'}")


def _result(release: Path, made: Any) -> dict[str, Any]:
    """Figures for the page; where a file lies is told from the release folder on."""
    result: dict[str, Any] = plain(made)
    for key in ("out", "file", "delivery"):
        if key in result:
            result[key] = Path(result[key]).relative_to(release).as_posix()
    return result
