"""`make bench-form`: found sections, letters, beats and bar edges against songs whose form is known.

SONGS: `seen` (the default), `unseen`, `real`, `real-later`, `real-refrains`, `real-refrains-more`,
`real-rock`, `real-seen`, or names; `nudge` tries the nudge.
RIVALS=0 leaves the others out. Prints a line a song and the means; results go to .cache/bench/form.md.
"""

from __future__ import annotations

import os
import sys
import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

import numpy as np  # noqa: E402

from arsis.io.read import open_sound  # noqa: E402
from arsis.structure import Structure  # noqa: E402
from bench.form.finder import found_in  # noqa: E402
from bench.form.library import song_path  # noqa: E402
from bench.form.nudged import nudged_lines  # noqa: E402
from bench.form.play import Truth, truth_of  # noqa: E402
from bench.form.real import (  # noqa: E402
    FROM_PICTURES,
    FROM_SCORES,
    REAL,
    real_outcomes,
    without_spare,
)
from bench.form.real_later import REAL_LATER  # noqa: E402
from bench.form.real_refrains import REAL_REFRAINS  # noqa: E402
from bench.form.real_refrains_more import REAL_REFRAINS_MORE  # noqa: E402
from bench.form.real_rock import REAL_ROCK  # noqa: E402
from bench.form.real_seen import REAL_SEEN  # noqa: E402
from bench.form.rivals import every_eight_bars, librosa_chain, plain_novelty  # noqa: E402
from bench.form.score import FormScore  # noqa: E402
from bench.form.scores import (  # noqa: E402
    BeatScores,
    Form,
    FormScores,
    beat_scores,
    chorus_overlap,
    edge_errors_s,
    form_scores,
    sure_and_right,
)
from bench.form.seen import SEEN  # noqa: E402
from bench.form.unseen import UNSEEN  # noqa: E402

SURE = (0.0, 0.2, 0.4, 0.6, 0.8, 1.01)


@dataclass(frozen=True, slots=True)
class Outcome:
    """A song with all that was measured on it. cpu_s: of the finder, the reading of the file with it."""

    name: str
    says: str
    seconds: float
    cpu_s: float
    scores: dict[str, FormScores]
    times_s: dict[str, float]
    beats: BeatScores | None
    edges_s: list[float]
    sure: list[tuple[float, bool]]
    true: Form
    found: Form
    bars: str


def form_of(structure: Structure, end_s: float) -> Form:
    """What the finder says."""
    return Form(
        tuple(section.start_s for section in structure.sections),
        end_s,
        structure.letters,
        tuple(section.kind for section in structure.sections),
        tuple(section.confidence for section in structure.sections),
        structure.beats_s,
        structure.downbeats_s,
    )


def seconds_of(path: Path) -> float:
    """How long a sound file is."""
    with open_sound(path) as file:
        return file.info.frames / file.info.rate_hz


def measured(
    true: Form,
    says: str,
    name: str,
    path: Path,
    truth: Truth | None,
    bars: str,
    rivals: bool,
    spare_s: tuple[float, ...] = (),
) -> Outcome:
    """Everybody on one song. spare_s: starts that may as well be none."""
    started = time.process_time()
    structure = found_in(path)
    spent = {"arsis": time.process_time() - started}
    found = form_of(structure, seconds_of(path))
    forms = {"arsis": found}
    if rivals:
        with open_sound(path) as file:
            rate_hz, sound = file.info.rate_hz, file.read(file.info.frames)
        forms["eight bars"] = every_eight_bars(truth.downbeats_s if truth else found.downbeats_s, true.end_s)
        for rival, find in (
            ("novelty", lambda: plain_novelty(sound, rate_hz)),
            ("librosa", lambda: librosa_chain(path, len(true.starts_s))),
        ):
            started = time.process_time()
            form = find()
            if form is not None:
                forms[rival], spent[rival] = form, time.process_time() - started
    scores: dict[str, FormScores] = {}
    for who, form in forms.items():
        forms[who] = without_spare(form, spare_s, true)
        # Without a start its section takes the kind of the one before it: the chorus is asked of all starts.
        scores[who] = replace(form_scores(true, forms[who]), chorus=chorus_overlap(true, form))
    beats = None
    if truth is not None and truth.beats_s:
        beats = beat_scores((truth.beats_s, truth.halves_s), truth.downbeats_s, found)
    return Outcome(
        name,
        says,
        true.end_s,
        spent["arsis"],
        scores,
        spent,
        beats,
        edge_errors_s(true, found) if beats else [],
        sure_and_right(true, forms["arsis"]),
        true,
        found,
        bars,
    )


def composed(score: FormScore, rivals: bool) -> Outcome:
    """A song of the corpus."""
    truth = truth_of(score)
    path = song_path(score)
    sound_s = truth.end_s
    true = Form(truth.starts_s, sound_s, truth.letters, truth.kinds)
    bars = "free" if score.free else {16: "4/4", 20: "5/4", 14: "7/8"}.get(score.steps, "3/4")
    if score.steps == 12 and score.beat == 6:
        bars = "6/8"
    return measured(true, score.says, score.name, path, truth, bars, rivals)


def line(one: Outcome) -> str:
    """A song in a line."""
    ours, beats = one.scores["arsis"], one.beats
    chorus = "    –" if ours.chorus is None else f"{ours.chorus:5.2f}"
    pulse = f"{beats.f:6.2f}{beats.amlt:6.2f}{beats.down_f:6.2f}" if beats else "     –     –     –"
    count = f"{len(one.found.starts_s)}/{len(one.true.starts_s)}"
    return (
        f"{one.name:<16}{one.bars:<5}{one.seconds:5.0f} s {ours.f05:5.2f}{ours.f3:6.2f}{ours.pairwise:6.2f}"
        f"{chorus}{pulse}{count:>8}{one.cpu_s:6.2f} s  {one.says}"
    )


def summary(outcomes: Sequence[Outcome]) -> Iterator[str]:
    """The means, everybody's, and what is said of confidence, edges and beats."""
    yield f"\n{'mean of ' + str(len(outcomes)):<16}{'F 0.5 s':>9}{'F 3 s':>9}{'pairwise':>10}{'CPU s':>9}"
    for who in outcomes[0].scores:
        rows = [one.scores[who] for one in outcomes]
        spent = [one.times_s[who] for one in outcomes if who in one.times_s]
        means = [float(np.mean([getattr(row, key) for row in rows])) for key in ("f05", "f3", "pairwise")]
        cpu = f"{np.mean(spent):9.2f}" if spent else "        –"
        yield f"{who:<16}{means[0]:9.3f}{means[1]:9.3f}{means[2]:10.3f}{cpu}"
    ratios = [one.times_s["librosa"] / one.cpu_s for one in outcomes if "librosa" in one.times_s]
    if ratios:
        yield f"librosa's chain takes {np.median(ratios):.1f} times as long, the file read in both"
    kinds = {one.says for one in outcomes}
    for says in sorted(kinds) if kinds <= {FROM_SCORES, FROM_PICTURES} else ():
        of = [one for one in outcomes if one.says == says]
        rows = [one.scores["arsis"] for one in of]
        means = [float(np.mean([getattr(row, key) for row in rows])) for key in ("f05", "f3", "pairwise")]
        clear = [right for one in of for sure, right in one.sure if sure >= SURE[-2]]
        figures = ", ".join(f"{mean:.3f}" for mean in means)
        yield f"arsis, {len(of)} {says}: {figures}; over {SURE[-2]}: {sum(clear)} of {len(clear)} right"
    chorus = [one.scores["arsis"].chorus for one in outcomes if one.scores["arsis"].chorus is not None]
    if chorus:
        yield f"chorus overlap {np.mean(chorus):.3f}"
    for bars in ("4/4", "3/4", "6/8", "5/4", "7/8"):
        rows = [one.beats for one in outcomes if one.beats and one.bars == bars]
        if rows:
            means = [float(np.mean([getattr(row, key) for row in rows])) for key in ("f", "amlt", "down_f")]
            yield f"{bars}: beats F {means[0]:.3f}, AMLt {means[1]:.3f}, downbeats F {means[2]:.3f}"
    edges = [1000.0 * error for one in outcomes for error in one.edges_s]
    if edges:
        yield f"bar edges: median {np.median(edges):.1f} ms, 90 % within {np.percentile(edges, 90):.1f} ms"
    pairs = [pair for one in outcomes for pair in one.sure]
    for low, high in pairwise(SURE):
        inside = [right for sure, right in pairs if low <= sure < high]
        yield f"sure {low:.1f} to {min(high, 1.0):.1f}: {sum(inside)} of {len(inside)} right"
    free = [one.scores["arsis"].f3 for one in outcomes if one.bars == "free"]
    if free:
        yield f"free time, F 3 s: {', '.join(f'{value:.2f}' for value in free)}"


def _outcomes(wanted: str, rivals: bool) -> Iterator[Outcome]:
    real = {
        "real": REAL,
        "real-later": REAL_LATER,
        "real-refrains": REAL_REFRAINS,
        "real-refrains-more": REAL_REFRAINS_MORE,
        "real-rock": REAL_ROCK,
        "real-seen": REAL_SEEN,
    }
    if wanted in real:
        yield from real_outcomes(real[wanted], rivals)
        return
    lists = {"seen": SEEN, "unseen": UNSEEN}
    names = set(wanted.split())
    for score in lists.get(wanted) or [score for score in (*SEEN, *UNSEEN) if score.name in names]:
        yield composed(score, rivals)


def main() -> int:
    wanted, rivals = os.environ.get("SONGS", "seen"), os.environ.get("RIVALS", "1") != "0"
    if wanted == "nudge":
        for text in nudged_lines():
            print(text, flush=True)
        return 0
    said = [f"{'song':<16}{'bars':<5}{'length':>7} {'0.5 s':>5}{'3 s':>6}{'pair':>6}{'chor':>5}"
            f"{'beat':>6}{'AMLt':>6}{'down':>6}{'found':>8}{'CPU':>8}"]  # fmt: skip
    print(said[0], flush=True)
    if rivals:
        librosa_chain(song_path(SEEN[0]), 8)  # compiles its own at the first call
    outcomes = []
    for one in _outcomes(wanted, rivals):
        outcomes.append(one)
        said.append(line(one))
        print(said[-1], flush=True)
    for text in summary(outcomes):
        said.append(text)
        print(text, flush=True)
    kept = ROOT / ".cache" / "bench"
    kept.mkdir(parents=True, exist_ok=True)
    (kept / "form.md").write_text("\n".join(said) + "\n", encoding="utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main())
