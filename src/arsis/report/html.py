"""One self-contained page about a print, fit to hand to an artist: figures, tables, the plan."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from importlib.resources import files

from jinja2 import Environment, StrictUndefined
from markupsafe import Markup

from arsis.measure.seam import seam
from arsis.measure.spectrum import THIRD_OCTAVES
from arsis.plan.model import RidePoint, Song
from arsis.plan.words import described
from arsis.render.contour import Contour, SectionShape
from arsis.render.join_report import JoinReport
from arsis.render.joins import JoinSound

from .contour_figure import contour_figure
from .patterns import definitions
from .seam_figure import seam_figure
from .spectrum_figure import spectrum_figure
from .text import NOTHING, change, clock, most_taken, number, percent
from .time_figures import loudness_figure, took_figure


@dataclass(frozen=True, slots=True)
class AdviceRow:
    """A move that might be made, in words: what speaks for it, what it would come to, and its cost."""

    name: str
    says: str
    move: str
    then: str
    cost: str


@dataclass(frozen=True, slots=True)
class Story:
    """What the page tells besides the measurements. rate_hz: of the mix. leave: looked at and left alone."""

    title: str
    byline: str
    song: Song
    rate_hz: int
    plan_name: str
    plan_text: str
    warnings: tuple[str, ...]
    advice: tuple[AdviceRow, ...]
    leave: tuple[str, ...]
    colophon: str


SECTION_HEADS = (
    "section", "from", "pass", "loudness", "step in mix", "in print", "asked", "took", "true peak", "crest",
    "attack", "width", "low", "low mid", "mid", "presence", "air",
)  # fmt: skip


# Points of a drawn ride that are told one by one; the plan below has them all.
_POINTS_TOLD = 8


def print_page(story: Story, contour: Contour) -> str:
    """The page as HTML; nothing in it is fetched from anywhere."""
    home = files("arsis.report")
    template = Environment(autoescape=True, undefined=StrictUndefined, trim_blocks=True).from_string(
        (home / "page.html.j2").read_text(encoding="utf-8")
    )
    return template.render(
        story=story,
        style=Markup((home / "page.css").read_text(encoding="utf-8")),
        patterns=Markup(definitions()),
        facts=_facts(story.song, contour),
        contour=Markup(contour_figure(contour)),
        treatments=_treatments(story.song),
        section_heads=SECTION_HEADS,
        section_rows=[_section_row(section) for section in contour.sections],
        loudness=Markup(loudness_figure(contour)),
        limited=story.song.finish.limiter is not None,
        rested=contour.took.max_db <= 0.0,
        took=Markup(took_figure(contour)),
        took_note=_took_note(contour),
        spectra=_spectra(contour),
        seams=_seams(contour, story.rate_hz),
    )


def _facts(song: Song, contour: Contour) -> list[tuple[str, str]]:
    mix, printed = contour.mix, contour.print
    return [
        ("loudness", f"{number(printed.integrated_lufs)} LUFS"),
        ("of the mix", f"{number(mix.integrated_lufs)} LUFS"),
        ("true peak", f"{number(printed.true_peak_dbtp)} dBTP"),
        ("loudness range", f"{number(mix.range_lu)} → {number(printed.range_lu)} LU"),
        ("peak to loudness", f"{number(mix.plr_db)} → {number(printed.plr_db)} dB"),
        ("limiter took at most", f"{number(contour.took.max_db)} dB" if song.finish.limiter else NOTHING),
        ("length", clock(contour.sections[-1].end_s)),
    ]


def _treatments(song: Song) -> list[dict[str, str]]:
    rows = []
    for name, treatment in song.pass_.items():
        where = [
            section.name + (f" ({change(section.ride_db)} dB)" if section.ride_db else "")
            for section in song.section
            if section.pass_ == name
        ]
        chain = ", ".join(described(settings) for settings in treatment.chain)
        done = chain or (f"printed elsewhere: {treatment.print}" if treatment.print else "left alone")
        what = done if done in treatment.note or not treatment.note else f"{treatment.note}: {done}"
        rows.append({"name": name, "where": ", ".join(where) or "nowhere", "what": what})
    if song.ride:
        rows.append({"name": "ride", "where": _ridden(song.ride), "what": _drawn(song.ride)})
    rows.append({"name": "finish", "where": "everything", "what": _finish(song)})
    return rows


def _ridden(points: Sequence[RidePoint]) -> str:
    return f"{clock(points[0].time_s)} to {clock(points[-1].time_s)}"


def _drawn(points: Sequence[RidePoint]) -> str:
    """A short ride point by point; of a long one, how far it goes."""
    if len(points) <= _POINTS_TOLD:
        told = ", ".join(f"{change(p.gain_db)} dB at {clock(p.time_s)}" for p in points)
        return f"drawn by hand: {told}"
    low, high = (pick(p.gain_db for p in points) for pick in (min, max))
    return f"drawn by hand, {len(points)} points: {change(low)} to {change(high)} dB"


def _finish(song: Song) -> str:
    finish = song.finish
    parts = [described(settings) for settings in finish.chain]
    if finish.gain_db:
        parts.append(f"gain {change(finish.gain_db)} dB")
    if finish.limiter:
        parts.append(f"limiter, ceiling {number(finish.limiter.ceiling_dbtp)} dBTP")
    return ", ".join(parts) or "nothing"


def _section_row(section: SectionShape) -> list[str]:
    mix, printed = section.mix, section.print
    bands = zip(_bands(mix.bands_db), _bands(printed.bands_db), strict=True)
    return [
        section.name,
        clock(section.start_s),
        section.pass_,
        f"{number(mix.loudness_lufs)} → {number(printed.loudness_lufs)}",
        change(section.step_mix_lu),
        change(section.step_print_lu),
        change(section.step_asked_db),
        f"{number(section.took.mean_db)} / {number(section.took.max_db)}",
        number(printed.true_peak_dbtp),
        f"{number(mix.crest_db)} → {number(printed.crest_db)}",
        f"{number(mix.attack_db)} → {number(printed.attack_db)}",
        f"{number(mix.width_db)} → {number(printed.width_db)}",
        *(change(after - before) for before, after in bands),
    ]


def _bands(levels: object) -> list[float]:
    return [getattr(levels, name) for name in ("low", "low_mid", "mid", "presence", "air")]


def _took_note(contour: Contour) -> str:
    took = contour.took
    at_work = f"at work {percent(took.share)} of the time"
    return f"It took {most_taken(took.max_db)}, at {clock(took.max_at_s)}; {at_work}."


def _spectra(contour: Contour) -> list[tuple[str, Markup]]:
    return [
        (
            section.name,
            Markup(
                spectrum_figure(
                    THIRD_OCTAVES, section.mix.third_octave_db, section.print.third_octave_db, section.name
                )
            ),
        )
        for section in contour.sections
    ]


def _seams(contour: Contour, rate_hz: int) -> list[dict[str, object]]:
    starts = {section.name: round(section.start_s * rate_hz) for section in contour.sections}
    return [
        {
            "into": report.into,
            "drawing": Markup(seam_figure(sound, starts[report.into], rate_hz)),
            "note": _seam_note(report, sound, rate_hz),
        }
        for report, sound in zip(contour.joins.reports, contour.joins.sounds, strict=True)
    ]


def _seam_note(report: JoinReport, sound: JoinSound, rate_hz: int) -> str:
    found = seam(sound.made, sound.before, sound.after, rate_hz)
    dip = f", {number(report.dip_db)} dB at {report.dip_freq_hz:g} Hz" if report.dip_db < -0.1 else ""
    return (
        f"{1000 * sound.fade.frames / rate_hz:.0f} ms; correlation {report.correlation:.3f}; "
        f"{found.bump_db:.2f} dB above, {found.dip_db:.2f} dB below both passes; "
        f"level half-way {change(report.middle_db, 2)} dB{dip}"
    )
