"""The command line's promises to scripts: keys, units, status, one document, and a quick help."""

from __future__ import annotations

import json
import subprocess
import sys
from typing import Any

import numpy as np
import pytest
import soundfile
from click.testing import CliRunner, Result

from arsis.cli.main import main
from arsis.cli.show import contour_text, measure_text, print_text
from arsis.workflow.contour import song_contour
from arsis.workflow.measure import measure_files
from arsis.workflow.print import print_song
from tests.releases import RATE_HZ, SmallRelease, music, write
from tests.test_cli_faults import arsis, environment, process

COMMANDS = tuple(main.commands)

# DESIGN §4, "JSON keys that scripts rely on", word for word.
MEASURE = """file, rate_hz, channels, bits, frames, duration_s, integrated_lufs,
    range_lu, max_momentary_lufs, max_short_term_lufs, true_peak_dbtp, sample_peak_dbfs, plr_db,
    psr_min_db, correlation, dc_offset"""
SECTIONS = "file, tempo_bpm, downbeats_s, sections, why, warnings"
SECTION = "name, kind, start_s, end_s, confidence, join"
JOIN = "at_s, fade_ms, lead_ms"
# And what the sections carry besides.
SECTION_HEARD = "loudness_lufs, step_lu, seam"
CONTOUR = """name, kind, start_s, end_s, pass, mix, print,
    step_mix_lu, step_print_lu, step_asked_db, took"""
FACTS = """loudness_lufs, max_short_term_lufs, true_peak_dbtp, crest_db,
    attack_db, width_db, correlation, bands_db"""
# And what the contour carries besides.
HEARD = "third_octave_db, density_per_s, voice_db"
BANDS = "low, low_mid, mid, presence, air"
TOOK = "mean_db, max_db, share, step_db"
PRINT = """out, sha256, rate_hz, bits, frames, integrated_lufs, true_peak_dbtp, took,
    warnings, render_s, realtime_factor"""


def keys(words: str) -> set[str]:
    return {word.strip() for word in words.split(",")}


def document(result: Result) -> Any:
    def never(word: str) -> None:
        raise AssertionError(f"{word} in JSON")

    return json.loads(result.stdout, parse_constant=never)


def asked(*words: object) -> Any:
    result = arsis(*words, "--json")
    assert (result.exit_code, result.stderr) == (0, ""), result.output
    return document(result)


def test_measure_has_its_keys(release: SmallRelease) -> None:
    (found,) = asked("measure", release.mix)
    assert set(found) == keys(MEASURE) | {"encoding"}  # what DESIGN lists, and the word's kind
    assert (found["rate_hz"], found["channels"], found["bits"], found["frames"]) == (44_100, 2, 24, 308_700)
    assert found["duration_s"] == 7.0


def test_sections_have_their_keys(release: SmallRelease) -> None:
    for found in (asked("sections", release.plan), asked("sections", release.mix)):
        assert set(found) == keys(SECTIONS)
        for section in found["sections"]:
            assert set(section) == keys(SECTION) | keys(SECTION_HEARD)
            assert section["join"] is None or set(section["join"]) == keys(JOIN)
    planned = asked("sections", release.plan)["sections"]
    assert [s["name"] for s in planned] == ["verse 1", "refrain 1", "bridge", "verse 2"]
    assert [s["start_s"] for s in planned] == [0.0, 2.0, 4.0, 5.5]
    assert planned[-1]["end_s"] == 7.0


def test_the_contour_has_its_keys(release: SmallRelease) -> None:
    found = asked("contour", release.plan)
    assert len(found["sections"]) == 4
    for section in found["sections"]:
        assert set(section) == keys(CONTOUR)
        assert set(section["took"]) == keys(TOOK)
        for facts in (section["mix"], section["print"]):
            assert keys(FACTS) | keys(HEARD) <= set(facts)
            assert set(facts["bands_db"]) == keys(BANDS)
    # The bridge was printed elsewhere: what level it was given there is not in the plan.
    assert [s["step_asked_db"] for s in found["sections"]] == [None, 1.0, None, None]
    assert [s["pass"] for s in found["sections"]] == ["A", "B", "C", "A"]


def test_a_step_within_a_pass_printed_elsewhere_is_known(release: SmallRelease) -> None:
    release.change('start_s = 5.500000\npass = "A"', 'start_s = 5.500000\npass = "C"\nride_db = 0.5')
    found = asked("contour", release.plan)
    assert [s["step_asked_db"] for s in found["sections"]] == [None, 1.0, None, 0.5]


def test_print_has_its_keys(release: SmallRelease) -> None:
    found = asked("print", release.plan)
    assert set(found) == keys(PRINT) | {"version"}
    assert keys(TOOK) - {"step_db"} <= set(found["took"])
    assert found["out"] == str(release.default_print)
    assert (found["rate_hz"], found["bits"], found["frames"], found["warnings"]) == (44_100, 24, 308_700, [])
    assert found["render_s"] > 0.0


@pytest.mark.parametrize(
    "words",
    [("report", "PLAN"), ("compare", "MIX", "OUTBOARD"), ("keep", "PLAN", "-m", "x"), ("revisions", "PLAN")],
)
def test_every_other_report_is_one_document(words: tuple[str, ...], release: SmallRelease) -> None:
    places = {"PLAN": release.plan, "MIX": release.mix, "OUTBOARD": release.outboard}
    asked(*(places.get(word, word) for word in words))


def test_a_difference_of_revisions_is_a_document(release: SmallRelease) -> None:
    asked("keep", release.plan, "-m", "as it was")
    release.change("ride_db = 0.4", "ride_db = 0.9")
    (told,) = asked("diff", release.plan, 1)
    assert "refrain 1" in told
    assert told in arsis("diff", release.plan, 1).stdout
    again = arsis("keep", release.plan, "-m", "refrain up")
    assert "revision 2" in again.stdout
    assert "nothing changed since revision 2" in arsis("keep", release.plan, "-m", "again").stdout
    assert asked("diff", release.plan, 1, 2) == [told]
    assert [one["note"] for one in asked("revisions", release.plan)] == ["as it was", "refrain up"]
    listed = arsis("revisions", release.plan).stdout
    assert "as it was" in listed
    assert "refrain up" in listed


def test_what_silence_has_not_is_null(release: SmallRelease) -> None:
    write(release.mix, np.zeros((2, 7 * RATE_HZ)))
    release.set_plan(
        'schema = 1\ntitle = "Nothing"\nmix = "mixes/small-hours.wav"\n'
        '[[section]]\nname = "a"\nstart_s = 0.0\npass = "A"\n'
        '[[section]]\nname = "b"\nstart_s = 3.0\npass = "A"\n[pass.A]\n'
    )
    (measured,) = asked("measure", release.mix)
    for key in ("integrated_lufs", "true_peak_dbtp", "plr_db", "psr_min_db", "correlation"):
        assert measured[key] is None
    for section in asked("contour", release.plan)["sections"]:
        assert section["mix"]["loudness_lufs"] is None
        assert section["step_mix_lu"] is None
        assert section["took"]["step_db"] is None
    assert asked("print", release.plan)["true_peak_dbtp"] is None
    asked("sections", release.mix)
    for command, path in (("measure", release.mix), ("contour", release.plan), ("sections", release.mix)):
        text = arsis(command, path).stdout
        assert "nan" not in text.lower()
        assert "inf" not in text.lower()
        assert "None" not in text


def test_warnings_go_to_standard_error_and_make_status_3(release: SmallRelease) -> None:
    release.change("gain_db = 0.0", "gain_db = 9.0")
    result = arsis("print", release.plan, "--json")
    assert result.exit_code == 3
    found = document(result)
    most = found["took"]["max_db"]
    first = found["warnings"][0]
    assert "refrain 1" in first
    assert f"up to {most:.1f} dB" in first
    assert f"{most - 1.5:.1f} dB past its most_db of 1.5" in first
    assert "(at 0:0" in first
    assert result.stderr.splitlines() == [f"warning: {warning}" for warning in found["warnings"]]
    assert release.default_print.exists()
    assert soundfile.info(release.default_print).frames == found["frames"]
    assert arsis("contour", release.plan).exit_code == 3
    assert arsis("report", release.plan).exit_code == 3


def test_a_limiter_that_eats_a_step_is_reported(release: SmallRelease) -> None:
    """Law 11: more than a quarter of an asked step."""
    release.change("gain_db = 0.0", "gain_db = 7.0")
    release.change("ride_db = 0.4", "ride_db = 3.0")
    release.change("most_db = 1.5", "most_db = 24.0")
    result = arsis("print", release.plan, "--json")
    assert result.exit_code == 3
    taken = document(result)["took"]["sections"]["refrain 1"]["step_db"]
    assert taken > 0.25 * 3.6
    (warning,) = document(result)["warnings"]
    assert warning.startswith("refrain 1: of the +3.6 dB asked into it the limiter takes")


def test_places_are_told_as_the_plan_was(release: SmallRelease, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(release.folder)
    assert asked("print", release.plan)["out"] == str(release.default_print)
    assert asked("print", "songs/small-hours.toml")["out"] == "prints/small-hours.wav"
    monkeypatch.chdir(release.folder / "mixes")
    assert asked("print", "../songs/small-hours.toml")["out"] == "../prints/small-hours.wav"


def test_a_pass_prints_into_the_folder_for_prints_whatever_its_name(release: SmallRelease) -> None:
    release.set_plan(
        'schema = 1\ntitle = "Odd"\nmix = "mixes/small-hours.wav"\n'
        '[[section]]\nname = "a"\nstart_s = 0.0\npass = "/../../B/ä"\n[pass."/../../B/ä"]\n'
    )
    out = asked("print", release.plan, "--pass", "/../../B/ä")["out"]
    assert out == str(release.default_print.with_name("small-hours-pass--..-..-B-ä.wav"))


def test_done_is_status_0_and_the_text_tells(release: SmallRelease) -> None:
    result = arsis("print", release.plan)
    assert (result.exit_code, result.stderr) == (0, "")
    assert "nothing was limited" in result.stdout


@pytest.mark.parametrize("words", [(), *((command,) for command in COMMANDS)])
def test_help_has_an_example_and_loads_no_numpy(words: tuple[str, ...]) -> None:
    shown = CliRunner().invoke(main, [*words, "--help"])
    assert shown.exit_code == 0
    if words:
        assert f"Example: arsis {words[0]} " in " ".join(shown.output.split())


def test_no_help_loads_numpy() -> None:
    program = (
        "import sys\nfrom arsis.cli.main import main\n"
        "for words in [[], *([name] for name in main.commands)]:\n"
        "    main([*words, '--help'], standalone_mode=False)\n"
        "heavy = {'numpy', 'soundfile', 'soxr', 'pydantic', 'jinja2', 'rich'} & set(sys.modules)\n"
        "sys.exit(f'loaded: {heavy}' if heavy else 0)\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", program], capture_output=True, text=True, env=environment(), timeout=60
    )
    assert (done.returncode, done.stderr) == (0, "")


def test_the_program_runs_as_a_module(release: SmallRelease) -> None:
    done = process("measure", release.mix, "--json")
    assert (done.returncode, done.stderr) == (0, "")
    assert set(json.loads(done.stdout)[0]) >= keys(MEASURE)
    assert process("--version").stdout.startswith("arsis ")


def test_texts_show_what_json_holds(release: SmallRelease) -> None:
    (measured,) = measure_files([release.mix])
    text = measure_text([measured])
    assert f"{measured.meters.integrated_lufs:.1f}".replace("-", "−") in text
    shape = song_contour(release.plan)
    told = contour_text(shape)
    for section in shape.sections:
        assert section.name in told
        assert f"{section.print.loudness_lufs:.1f}".replace("-", "−") in told
    made = print_song(release.plan)
    assert str(made.sha256) in print_text(made)


def test_a_file_with_one_channel_or_lossy_coding_is_told_as_such(release: SmallRelease) -> None:
    mono = write(release.folder / "mono.wav", music(1.0)[:1])
    coded = release.folder / "coded.ogg"
    soundfile.write(coded, music(1.0).T, RATE_HZ, format="OGG", subtype="VORBIS")
    text = arsis("measure", mono, coded).stdout
    assert "24 bit mono" in text
    assert "vorbis stereo" in text
    assert [one["bits"] for one in asked("measure", mono, coded)] == [24, None]
