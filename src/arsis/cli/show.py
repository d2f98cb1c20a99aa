"""What each command says in text: short, in the trade's words."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from arsis.report.text import NOTHING, change, clock, most_taken, number, percent, table

if TYPE_CHECKING:  # results only name types here; their modules load numpy
    from arsis.workflow.compare import Compared
    from arsis.workflow.contour import Shape
    from arsis.workflow.demo import Demonstrated
    from arsis.workflow.measure import Measured
    from arsis.workflow.print import Followed, Printed
    from arsis.workflow.report import Reported
    from arsis.workflow.revisions import Revision
    from arsis.workflow.start import Started


def measure_text(files: Sequence[Measured]) -> str:
    heads = (
        "file",
        "format",
        "length",
        "LUFS",
        "LRA",
        "max M",
        "max S",
        "dBTP",
        "dBFS",
        "PLR",
        "PSR min",
        "corr",
        "DC",
    )
    rows = [
        (
            f.file,
            " ".join((f"{f.rate_hz / 1000:g} kHz", _word(f), ("mono", "stereo")[f.channels - 1])),
            clock(f.duration_s),
            number(f.meters.integrated_lufs),
            number(f.meters.range_lu),
            number(f.meters.max_momentary_lufs),
            number(f.meters.max_short_term_lufs),
            number(f.meters.true_peak_dbtp),
            number(f.meters.sample_peak_dbfs),
            number(f.meters.plr_db),
            number(f.meters.psr_min_db),
            number(f.meters.correlation, 2),
            _dc(f.meters.dc_offset),
        )
        for f in files
    ]
    return table(heads, rows, left=2)


def _word(file: Measured) -> str:
    if file.bits is None:
        return file.encoding
    return f"{file.bits} bit float" if file.encoding.startswith("float") else f"{file.bits} bit"


def _dc(offsets: Sequence[float]) -> str:
    """As a share of full scale; what lies under a ten-thousandth is nobody's concern."""
    most = max(offsets, key=abs)
    return f"{number(100.0 * most, 2)} %" if abs(most) >= 1e-4 else "0"


def start_text(made: Started) -> str:
    rows = [
        (
            str(song.plan),
            str(song.sections),
            number(song.integrated_lufs),
            number(song.true_peak_dbtp),
            ", ".join(song.versions) or NOTHING,
        )
        for song in made.songs
    ]
    songs = table(("plan", "sections", "LUFS", "dBTP", "versions"), rows)
    count = "1 song" if len(rows) == 1 else f"{len(rows)} songs"
    return f"{made.title}: {count} in {made.folder}; every plan leaves its mix alone so far\n\n{songs}"


def contour_text(shape: Shape) -> str:
    heads = (
        "section",
        "from",
        "pass",
        "mix",
        "print",
        "mix step",
        "print step",
        "asked",
        "took",
        "crest",
        "attack",
        "width",
    )
    rows = [
        (
            s.name,
            clock(s.start_s),
            s.pass_,
            number(s.mix.loudness_lufs),
            number(s.print.loudness_lufs),
            change(s.step_mix_lu),
            change(s.step_print_lu),
            change(s.step_asked_db),
            f"{number(s.took.mean_db)}/{number(s.took.max_db)}",
            change(_difference(s.mix.crest_db, s.print.crest_db)),
            change(_difference(s.mix.attack_db, s.print.attack_db)),
            change(_difference(s.mix.width_db, s.print.width_db)),
        )
        for s in shape.sections
    ]
    bands = ("low", "low_mid", "mid", "presence", "air")
    band_rows = [
        (
            s.name,
            *(number(getattr(s.mix.bands_db, band)) for band in bands),
            *(
                change(_difference(getattr(s.mix.bands_db, band), getattr(s.print.bands_db, band)))
                for band in bands
            ),
        )
        for s in shape.sections
    ]
    names = [band.replace("_", " ") for band in bands]
    return "\n".join(
        (
            table(heads, rows),
            "loudness, LUFS; steps, LU; took: mean/most, dB; crest, attack, width: change to the print, dB",
            "",
            table(("bands, dB", *names, *names), band_rows),
            "against the section's own level: of the mix, then the change to the print",
        )
    )


def _difference(before: float | None, after: float | None) -> float | None:
    return None if before is None or after is None else after - before


def print_text(made: Printed) -> str:
    took = made.took
    limiter = (
        f"the limiter took {most_taken(took.max_db)}, at work {percent(took.share)} of the time"
        if took.max_db > 0.0
        else "nothing was limited"
    )
    return "\n".join(
        (
            f"{made.out}: {made.bits} bit, {made.rate_hz / 1000:g} kHz",
            *([] if made.version is None else [_followed(made.version)]),
            f"{number(made.integrated_lufs)} LUFS, {number(made.true_peak_dbtp)} dBTP; {limiter}",
            f"{number(made.render_s, 2)} s, {number(made.realtime_factor, 0)} times real time",
            f"SHA-256 {made.sha256}",
        )
    )


def _followed(version: Followed) -> str:
    """How a version lies against the main mix, in a line."""
    if not version.follows:
        return f"{version.name}: by its own level, with its own limiter; it does not follow"
    lies = [f"{change(version.offset_frames, 2)} frames ({change(version.offset_ms, 3)} ms)"]
    lies += [f"drift {change(version.drift_ppm, 2)} ppm"] if version.drift_ppm else []
    lies += ["polarity turned"] if version.polarity == -1 else []
    return (
        f"{version.name}: follows the main version; its mix lies at {', '.join(lies)}, level "
        f"{change(version.gain_db)} dB, correlation {number(version.correlation, 2)}, sure: "
        f"{percent(version.confidence or 0.0)}"
    )


def report_text(made: Reported) -> str:
    return str(made.out)


def keep_text(kept: Revision) -> str:
    if not kept.is_new:
        return f"nothing changed since revision {kept.number}: {kept.note}"
    return f"revision {kept.number} kept: {kept.note}"


def restore_text(gone_back: Revision) -> str:
    return f"the plan is what it was in revision {gone_back.number}: {gone_back.note}"


def revisions_text(kept: Sequence[Revision]) -> str:
    if not kept:
        return "no revision kept yet"
    rows = [
        (str(one.number), one.date.replace("T", " ").removesuffix("Z"), " ".join(one.note.split()))
        for one in kept
    ]
    return table(("revision", "kept, UTC", "note"), rows, left=3)


def diff_text(changes: Sequence[str]) -> str:
    return "\n".join(changes) or "nothing differs"


def demo_text(made: Demonstrated) -> str:
    return "\n".join(
        (
            "",
            f"the print:  {made.print}",
            f"its report: {made.report}   (open it in any browser)",
            f"its plan:   {made.plan}   (edit it, then: arsis print {made.plan})",
            f"the desk:   arsis desk {made.folder}   (see and hear it; start with your monitors low)",
        )
    )


def compare_text(found: Compared) -> str:
    if found.identical and found.gain_db == 0.0:
        later = round(found.offset_frames)
        where = f", {number(later, 0)} frames later" if later else ""
        turned = ", polarity turned" if found.polarity < 0 else ""
        return f"the same, sample for sample{where}{turned}"
    lines = [
        f"{found.b} against {found.a}: {_lag(found)}, {_turned(found.gain_db)}",
        f"what is left lies at {number(found.difference_db)} dB",
        "",
        table(
            ("band", "level", "left"),
            [
                (name.replace("_", " "), change(band.change_db, 2), number(band.difference_db))
                for name, band in found.bands.items()
            ],
        ),
        "level: b against a after the match, dB; left: the difference against a's band, dB",
        "",
        "most at " + ", ".join(f"{clock(p.start_s)} ({number(p.difference_db)} dB)" for p in found.places),
    ]
    return "\n".join(lines)


def _turned(gain_db: float) -> str:
    if abs(gain_db) < 0.005:
        return "equally loud"
    return f"turned {'up' if gain_db > 0.0 else 'down'} by {number(abs(gain_db), 2)} dB to match"


def _lag(found: Compared) -> str:
    lag = f"{number(found.offset_frames, 2)} frames later" if abs(found.offset_frames) >= 0.05 else "in step"
    drift = f", clock {number(found.drift_ppm, 2)} ppm off" if abs(found.drift_ppm) >= 0.05 else ""
    return lag + drift + (", polarity turned" if found.polarity < 0 else "")
