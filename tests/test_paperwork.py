"""The paperwork of a delivery: whole files, the same for the same data, and every figure where it belongs."""

from __future__ import annotations

import csv
import hashlib
import io
import os
import re
import subprocess
import sys
import zlib
from dataclasses import replace
from html.parser import HTMLParser
from pathlib import Path

import pytest

from arsis.deliver.paperwork import pdf
from arsis.deliver.paperwork.columns import WIDTH, shown_width
from arsis.deliver.paperwork.extra import Extra
from arsis.deliver.paperwork.settings_in_words import settings_of
from arsis.deliver.paperwork.write import sheets_of, write_paperwork
from arsis.plan.declared import declared
from arsis.settings import PROCESSORS, HighPass, Limiter, Polarity

from .paper_delivery import RATE_HZ, PaperDelivery, paper_delivery

ROOT = Path(__file__).parent.parent
PAGES = ("track-sheet.html", "recall.html", "report.html")
TEXTS = ("track-sheet.txt", "recall.txt", "notes-artist.txt", "notes-mixer.txt")


def sheets(made: PaperDelivery) -> dict[str, str]:
    """Every sheet but those on paper, by its name."""
    found = sheets_of(made.manifest, made.songs, made.release, made.profile, made.extra)
    return {path.rpartition("/")[2]: data.decode() for path, data in found.items()}


@pytest.fixture(scope="module")
def told() -> dict[str, str]:
    return sheets(paper_delivery())


@pytest.fixture(scope="module")
def bare() -> dict[str, str]:
    """Of a delivery of which nothing is known but its manifest and its plans."""
    return sheets(replace(paper_delivery(), extra=Extra()))


class Page(HTMLParser):
    """Every element is closed in its order; its words are collected, tables as rows."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.open: list[str] = []
        self.words: list[str] = []
        self.rows: list[list[str]] = []
        self.addresses: list[str] = []
        self.feed(text)
        assert self.open == []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.addresses += [
            value or "" for name, value in attrs if name in ("src", "href", "srcset", "action")
        ]
        if tag not in ("meta", "br"):
            self.open.append(tag)
        if tag == "tr":
            self.rows.append([])
        if tag in ("td", "th"):
            self.rows[-1].append("")

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        if "style" in self.open:
            return
        self.words.append(data)
        if self.open and self.open[-1] in ("td", "th"):
            self.rows[-1][-1] += data


def test_every_sheet_is_written_and_entered(tmp_path: Path) -> None:
    made = paper_delivery()
    entries = write_paperwork(tmp_path, made.manifest, made.songs, made.release, made.profile, made.extra)
    files = sorted(path for path in tmp_path.rglob("*") if path.is_file())
    assert [entry.path for entry in entries] == [path.relative_to(tmp_path).as_posix() for path in files]
    beside = {"tracks.cue"}  # its FILE is found where it lies
    assert {path.name for path in files if path.parent == tmp_path} == beside
    assert {path.name for path in files} >= {*PAGES, *TEXTS, "track-sheet.csv"}
    for entry, path in zip(entries, files, strict=True):
        data = path.read_bytes()
        assert (entry.sha256, entry.bytes) == (hashlib.sha256(data).hexdigest(), len(data))


WRITE = """\
import sys
from pathlib import Path
from arsis.deliver.paperwork.write import write_paperwork
from tests.paper_delivery import paper_delivery
made = paper_delivery()
facts = (made.manifest, made.songs, made.release, made.profile, made.extra)
for one in write_paperwork(Path(sys.argv[1]), *facts):
    print(one.sha256, one.path)
"""


def test_two_processes_write_the_same_bytes_pdf_included(tmp_path: Path) -> None:
    said = []
    for seed in ("1", "2"):  # what is kept in sets comes in another order
        environment = os.environ | {"PYTHONHASHSEED": seed, "TZ": f"UTC{seed}"}
        environment["PYTHONPATH"] = os.pathsep.join(filter(None, [str(ROOT), os.environ.get("PYTHONPATH")]))
        command = [sys.executable, "-c", WRITE, str(tmp_path / seed)]
        run = subprocess.run(command, env=environment, capture_output=True, text=True, check=True)
        said.append(run.stdout)
    assert said[0] == said[1]
    assert said[0].count(".pdf") == (0 if pdf.without_pdf() else len(PAGES))


def test_a_pdf_is_an_a4_page_without_a_date_or_an_identifier(told: dict[str, str]) -> None:
    data = pdf.pdf_of(told["track-sheet.html"])
    if data is None:
        pytest.skip("needs the extra pdf")
    streams = re.findall(rb"stream\r?\n(.*?)\r?\nendstream", data, re.DOTALL)
    plain = data + b"".join(zlib.decompressobj().decompress(one) for one in streams if one[:1] == b"x")
    assert b"CreationDate" not in plain
    assert b"ModDate" not in plain
    assert re.search(rb"/ID\b", plain) is None
    width, height = map(float, re.findall(rb"/MediaBox \[\s*0 0 ([\d.]+) ([\d.]+)\s*\]", plain)[0])
    assert (width, height) == pytest.approx((595.28, 841.89), abs=0.1)  # A4: 210 x 297 mm (ISO 216)


def test_without_the_library_there_is_no_pdf_and_no_fault(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    made = paper_delivery()
    assert pdf.without_pdf() is None or "arsis[pdf]" in str(pdf.without_pdf())
    monkeypatch.setitem(sys.modules, "weasyprint", None)
    pdf._library.cache_clear()
    try:
        entries = write_paperwork(tmp_path, made.manifest, made.songs, made.release, made.profile)
        assert "arsis[pdf]" in str(pdf.without_pdf())
    finally:
        pdf._library.cache_clear()
    assert not [one.path for one in entries if one.path.endswith(".pdf")]


@pytest.mark.parametrize("name", PAGES)
def test_a_page_is_whole_and_fetches_nothing(name: str, told: dict[str, str], bare: dict[str, str]) -> None:
    for page in (told[name], bare[name]):
        read = Page(page)
        assert read.addresses == []
        assert not re.search(r"@import|url\(|https?:|<script|<iframe|<link", page)
        for row in read.rows:
            assert row


def test_no_number_is_missing(told: dict[str, str], bare: dict[str, str]) -> None:
    for name, text in (*told.items(), *bare.items()):
        words = " ".join(Page(text).words) if name.endswith(".html") else text
        assert not re.search(r"\b(nan|inf|None|NaN|True|False|Undefined)\b|\{\{|\{%", words), name


@pytest.mark.parametrize("name", TEXTS)
def test_a_text_keeps_to_its_width(name: str, told: dict[str, str]) -> None:
    lines = told[name].split("\n")
    assert max(map(shown_width, lines)) <= WIDTH
    assert [line for line in lines if line != line.rstrip()] == []
    assert told[name].endswith("\n")
    assert "\n\n\n" not in told[name]


def test_the_track_sheet_adds_up(told: dict[str, str]) -> None:
    """Read back from the text: start + length + gap is the next start, and the last one's end the total."""
    rows = re.findall(
        r"^(\d\d)  .*?(\d+:\d\d\.\d{3}) +(\d+:\d\d\.\d{3}) +(\d+\.\d{3})  (\S+)",
        told["track-sheet.txt"],
        re.MULTILINE,
    )
    assert [(row[0], row[4]) for row in rows] == [
        ("01", "AA-6Q7-20-00047"),
        ("02", "AA-6Q7-20-00048"),
        ("03", "AA-6Q7-20-00049"),
    ]
    ends = [_ms(start) + _ms(length) + round(1000 * float(gap)) for _, start, length, gap, _ in rows]
    [total] = re.findall(r"^total (\S+),", told["track-sheet.txt"], re.MULTILINE)
    for end, start in zip(ends, [*(row[1] for row in rows[1:]), total], strict=True):
        assert abs(end - _ms(start)) <= 1  # each figure is rounded for itself


def _ms(clock: str) -> int:
    minutes, seconds = clock.split(":")
    return 60_000 * int(minutes) + round(1000 * float(seconds))


def test_page_and_text_say_the_same(told: dict[str, str]) -> None:
    text = " ".join(told["track-sheet.txt"].split())
    cells = [cell for row in Page(told["track-sheet.html"]).rows for cell in row]
    assert len(cells) > 50
    for cell in cells:
        if not re.search(r"[“(,&]", cell):  # a long title goes on in the next line
            assert cell in text, cell


def test_the_table_is_rfc_4180_and_exact(told: dict[str, str]) -> None:
    text = told["track-sheet.csv"]
    assert text.count("\r\n") == text.count("\n") == 1 + 5
    made = paper_delivery()
    rows = list(csv.DictReader(io.StringIO(text), strict=True))
    assert [row["file"] for row in rows] == [
        "00 Tide Tables.wav",
        "01 Low Water.wav",
        "01 Low Water (instrumental).wav",
        "02 Nine Lamps, Ögurvík & the 2nd Årstider.wav",
        "03 Ebb Clock.wav",
    ]
    by_path = {sound.path: sound for sound in made.manifest.sounds}
    for row in rows:
        sound = by_path[row["file"]]
        assert (row["sha256"], row["bytes"]) == (sound.sha256, str(sound.bytes))
        assert float(row["true_peak_dbtp"]) == pytest.approx(-0.304)
        assert int(row["length_frames"]) + int(row["gap_frames"]) == sound.facts.frames
        assert float(row["length_s"]) == pytest.approx(int(row["length_frames"]) / RATE_HZ, abs=5e-7)
        assert (row["release"], row["gtin"], row["catalogue_number"]) == (
            "Tide Tables",
            "4006381333931",
            "OSK 014",
        )
    songs = [row for row in rows if row["role"] == "song"]
    assert [int(row["start_frames"]) for row in songs] == [by_path[row["file"]].start_frame for row in songs]
    assert [row["start_s"] for row in rows if row["role"] == "version"] == [""]
    assert rows[-1]["artist"] == "Oddskerry with Marin Vole"
    assert rows[3]["ceiling_dbtp"] == ""


def test_titles_of_any_kind_stay_what_they_are() -> None:
    made = paper_delivery()
    title = 'One, "two"\nand <b>three</b> & {{ four }} ' + "長い題名" * 12
    sounds = tuple(replace(one, title=title) if one.place == 1 else one for one in made.manifest.sounds)
    songs = (replace(made.songs[0], title=title), *made.songs[1:])
    text = sheets(replace(made, manifest=replace(made.manifest, sounds=sounds), songs=songs))
    rows = list(csv.DictReader(io.StringIO(text["track-sheet.csv"], newline=""), strict=True))
    assert rows[1]["title"] == title
    for name in PAGES:
        assert "<b>three" not in text[name]
    assert title in " ".join(Page(text["track-sheet.html"]).words)
    for name in TEXTS:
        assert max(map(shown_width, text[name].split("\n"))) <= WIDTH


def test_recall_has_every_setting_of_every_pass(told: dict[str, str]) -> None:
    page, text = " ".join(" ".join(Page(told["recall.html"]).words).split()), told["recall.txt"]
    text = " ".join(text.split())
    for words in (
        "threshold −18 dBFS",
        "ratio 1.4",
        "knee 6 dB",
        "attack 30 ms",
        "release 180 ms",
        "mix 50 %",
        "frequency 3200 Hz",
        "gain −0.5 dB",
        "Q 1.1",
        "channel mid",
        "phase linear",
        "range −3 dB",
        "Q 0.7071 (Butterworth)",
        "tube stage hot, transformer in, 1.5 dB at 12 kHz by hand",
        "printed elsewhere: prints/low-water-bridge.wav",
        "used by refrain 1, refrain 2",
        "+0.4",
        "−0.125",
        "0:38.095238",
        "1:44.000 +0.5 dB",
        "ceiling −0.3 dBTP; −0.1 dBTP in the plan",
        "trim among the songs −0.5 dB",
        "converted from 48 kHz before the limiter",
        "revision 3: bridge from the second outboard print",
        "changed since revision 1",
        hashlib.sha256(b"low-water").hexdigest(),
        "0.11 / 2.0",
    ):
        assert words in page, words
        assert words in text, words
    # The text has its columns in the way of longer cells.
    assert "fade of 12 ms, done 8 ms before its start" in page


@pytest.mark.parametrize("kind", [*PROCESSORS, Limiter])
def test_every_setting_that_is_declared_is_told_with_its_unit(kind: type) -> None:
    one = kind(**({"freq_hz": 100.0} if "freq_hz" in declared(kind) else {}))
    told_of = settings_of(one)
    keys = [key for key in declared(kind) if key not in ("kind", "bypass")]
    assert len(told_of) == len(keys)
    for (_, said), key in zip(told_of, keys, strict=True):
        assert said.endswith(declared(kind)[key].unit)
    assert len({name for name, _ in told_of}) == len(keys)


def test_bypass_is_told_where_there_is_one() -> None:
    assert settings_of(Polarity(bypass=True)) == (("channel", "stereo"), ("bypass", "yes"))
    assert settings_of(Polarity()) == (("channel", "stereo"),)


def test_a_slope_without_a_q_of_its_own_is_told_without() -> None:
    assert [name for name, _ in settings_of(HighPass(freq_hz=30.0, order=4))] == [
        "frequency", "order", "channel", "phase",
    ]  # fmt: skip


def test_a_join_of_equals_and_a_cut_are_told() -> None:
    made = paper_delivery()
    first, second, third, fourth = made.songs[0].section
    assert second.join is not None
    same = replace(second, pass_=first.pass_, ride_db=first.ride_db)
    cut = replace(third, join=replace(second.join, fade_ms=0.0, lead_ms=0.0))
    songs = (replace(made.songs[0], section=(first, same, cut, fourth)), *made.songs[1:])
    rows = Page(sheets(replace(made, songs=songs))["recall.html"]).rows
    assert [row[6] for row in rows[1:5]] == [
        "–", "nothing changes", "a cut at its start", "fade of 20 ms, done 2 ms before its start",
    ]  # fmt: skip


def test_the_report_has_levels_ceilings_coders_and_warnings(told: dict[str, str]) -> None:
    read = Page(told["report.html"])
    assert [
        "01 Low Water.wav",
        "−11.0",
        "6.2",
        "−6.5",
        "−8.3",
        "−0.30",
        "−0.30",
        "−0.52",
        "10.7",
    ] in read.rows
    assert ["Low Water", "to −0.30 dBTP", "0.05", "2.04", "2:11.9", "2 %", "1.5"] in read.rows
    assert ["Nine Lamps, “Ögurvík” & the 2nd Årstider", "none", *["–"] * 5] in read.rows
    coded = [
        "Low Water",
        "AAC 256",
        "−0.30",
        "0.31",
        "0.0",
        "4",
        "−0.02",
        "2:11.9 in refrain 2",
        "−0.4",
        "18.5",
    ]
    assert coded in read.rows
    words = " ".join(read.words)
    for said in ("past its most_db of 1.5", "opus at 128 kbit/s was not tried", "1.8 LU above −14.0 LUFS"):
        assert said in words


def test_what_is_not_known_is_left_out(bare: dict[str, str]) -> None:
    report = " ".join(Page(bare["report.html"]).words)
    for said in ("After a lossy coder", "Loudness where it is heard", "For the one who cuts it"):
        assert said not in report
    assert "?" not in bare["notes-mixer.txt"]
    assert "kept as" not in bare["recall.txt"]
