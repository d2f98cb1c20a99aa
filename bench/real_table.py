"""Results of real songs in words."""

from __future__ import annotations

from .real_song import SongResult

_COLUMNS = (
    "song", "length", "rate", "LUFS", "LRA", "dBTP", "sections", "BPM",
    "joins", "worst seam", "least corr.", "took mean/max", "of a step", "laws", "start/print/all",
)  # fmt: skip


def table(results: list[SongResult]) -> str:
    """One row a song, as Markdown that is also fit for a terminal."""
    rows = [_COLUMNS, *(_row(result) for result in results)]
    widths = [max(len(row[i]) for row in rows) for i in range(len(_COLUMNS))]
    lines = [
        "| " + " | ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)) + " |"
        for row in rows
    ]
    return "\n".join([lines[0], "|" + "|".join("-" * (width + 2) for width in widths) + "|", *lines[1:]])


def credits(results: list[SongResult]) -> str:
    """Whose the music is."""
    lines = ["| song | package | by | licence |", "|---|---|---|---|"]
    lines += [f"| {r.song.name} | {r.song.package} | {r.song.authors} | {r.song.licence} |" for r in results]
    return "\n".join(lines)


def sections(result: SongResult) -> str:
    """The sections that were found: name, start, confidence, loudness of mix."""
    found = (
        f"{s.name} {int(s.start_s) // 60}:{s.start_s % 60:04.1f} ({sure:.2f}; {s.mix.loudness_lufs:.1f})"
        for s, sure in zip(result.sections, result.confidences, strict=True)
    )
    return f"{result.song.name}: " + ", ".join(found)


def faults(results: list[SongResult]) -> str:
    """Everything that did not hold."""
    return "\n".join(
        f"{result.song.name}: {'law ' if law[0].isdigit() else ''}{law}: {fault}"
        for result in results
        for law, found in result.faults.items()
        for fault in found
    )


def _row(r: SongResult) -> tuple[str, ...]:
    failed = sorted(law for law, found in r.faults.items() if found)
    tempo = "none" if r.tempo_bpm is None else f"{r.tempo_bpm:.1f}"
    return (
        r.song.name,
        f"{int(r.length_s) // 60}:{int(r.length_s) % 60:02d}",
        f"{r.rate_hz}",
        f"{r.integrated_lufs:.1f}",
        f"{r.range_lu:.1f}",
        f"{r.true_peak_dbtp:+.1f}",
        f"{len(r.sections)}",
        tempo,
        f"{r.joins}",
        f"{r.seam_db:.2f} dB",
        f"{r.correlation:.3f}",
        f"{r.took_mean_db:.2f}/{r.took_max_db:.2f} dB",
        f"{r.step_taken_lu:.2f} LU",
        "fail: " + ", ".join(failed) if failed else "hold",
        f"{r.start_s:.1f}/{r.print_s:.1f}/{r.seconds:.0f} s",
    )
