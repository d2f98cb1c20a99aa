"""`arsis report`: one page about a print."""

from __future__ import annotations

from contextlib import ExitStack
from dataclasses import dataclass
from pathlib import Path

from arsis.advice.predict_words import cost, does, then
from arsis.errors import ArsisError
from arsis.io.whole import write_text_whole
from arsis.plan.codec import read_release
from arsis.render.progress import Progress, unseen
from arsis.report.html import AdviceRow, Story, print_page
from arsis.version import VERSION

from .advise import Advice, Heard, advice_on, hear
from .contour import warnings_of
from .places import OpenPlan, check_target, make_folder, open_for_render, open_plan
from .revisions import kept_as, revisions


@dataclass(frozen=True, slots=True)
class Reported:
    """A report on disk."""

    out: Path
    warnings: tuple[str, ...]


def song_report(path: Path, out: Path | None = None, progress: Progress = unseen) -> Reported:
    """Renders the plan and writes the page about it."""
    return report_plan(open_plan(path), out, progress)


def report_plan(plan: OpenPlan, out: Path | None = None, progress: Progress = unseen) -> Reported:
    """The page about a plan as it was read, whatever becomes of it on disk meanwhile."""
    target = _target(plan, out)
    with ExitStack() as stack:
        source = open_for_render(plan, plan.song, stack)
        heard = hear(source, progress, to_show=True)
        warnings = warnings_of(source, heard.shape)
        write_text_whole(target, print_page(_story(plan, heard, warnings), heard.shape))
    return Reported(target, warnings)


def _target(plan: OpenPlan, out: Path | None) -> Path:
    target = out or plan.default_report
    if target.suffix.lower() not in (".html", ".htm"):
        raise ArsisError(f"{target}: a report is a page; allowed: a name that ends in .html")
    if out is None:
        make_folder(target.parent)
    check_target(plan, target)
    return target


def _story(plan: OpenPlan, heard: Heard, warnings: tuple[str, ...]) -> Story:
    source = heard.source
    info, revision = source.mix.info, _revision(plan, source.mix_sha256)
    looked = advice_on(heard)
    return Story(
        title=plan.song.title,
        byline=" · ".join(part for part in (_artist(plan.release), revision, f"mix {plan.song.mix}") if part),
        song=plan.song,
        rate_hz=info.rate_hz,
        plan_name=plan.path.name,
        plan_text=plan.text,
        warnings=warnings,
        advice=tuple(_row(one) for one, _ in looked.moves),
        leave=(*(f"for the mixer: {text}" for text in looked.ask_mixer), *looked.leave),
        colophon=f"arsis {VERSION}; mix SHA-256 {source.mix_sha256}",
    )


def _row(one: Advice) -> AdviceRow:
    return AdviceRow(
        name=", ".join(one.sections),
        says=one.evidence.says,
        move=does(one.move),
        then=then(one.evidence, one.predicted),
        cost="; ".join([cost(one.predicted), *one.conflicts]),
    )


def _artist(release: Path) -> str:
    path = release / "release.toml"
    if not path.exists():
        return ""
    record = read_release(path)
    return f"{record.artist}, {record.title}" if record.artist else record.title


def _revision(plan: OpenPlan, mix_sha256: str) -> str:
    """The kept state that the plan is in, if it is in one."""
    kept = revisions(plan.path)
    if not kept:
        return "not kept yet"
    stands = kept_as(plan.path, mix_sha256, plan.text)
    return f"revision {stands.number}" if stands else f"changed since revision {kept[-1].number}"
