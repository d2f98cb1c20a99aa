"""The pages: links lead somewhere, commands and processors are described, README shows what is said."""

from __future__ import annotations

import importlib.util
import re
import subprocess
import sys
from pathlib import Path
from types import ModuleType

import pytest

from arsis.advice.evidence import Evidence
from arsis.advice.moves import Move
from arsis.advice.predict import Figures, Predicted, PredictedSection
from arsis.cli.advise import advised_text
from arsis.cli.main import main
from arsis.measure.spectrum import BandLevels
from arsis.plan.declared import kind_of
from arsis.plan.model import Finish, Song
from arsis.settings import PROCESSORS
from arsis.workflow.advise import Advice, Advised

from .releases import SmallRelease, pristine_release, release  # noqa: F401

ROOT = Path(__file__).parent.parent
PAGES = [ROOT / "README.md", ROOT / "CHANGELOG.md", *sorted((ROOT / "docs").glob("*.md"))]
README = PAGES[0].read_text(encoding="utf-8")
ALL = "\n".join(page.read_text(encoding="utf-8") for page in PAGES)
# DESIGN, section 2: one word for one thing.
WORDS = (
    "release",
    "song",
    "mix",
    "section",
    "pass",
    "ride",
    "join",
    "print",
    "step",
    "contour",
    "took",
    "revision",
)


@pytest.fixture(scope="module")
def pictures() -> ModuleType:
    spec = importlib.util.spec_from_file_location("pictures", ROOT / "tools" / "pictures.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules["pictures"] = module  # dataclasses look their module up
    spec.loader.exec_module(module)
    return module


def prose(page: Path) -> str:
    return re.sub(r"```.*?```", "", page.read_text(encoding="utf-8"), flags=re.DOTALL)


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.name)
def test_every_link_leads_to_a_file(page: Path) -> None:
    targets = re.findall(r"\]\(([^)#]+?)(?:#[^)]*)?\)", prose(page))
    local = [target for target in targets if not target.startswith(("http:", "https:"))]
    assert [target for target in local if not (page.parent / target).exists()] == []


def test_every_page_is_in_the_index() -> None:
    index = (ROOT / "docs" / "README.md").read_text(encoding="utf-8")
    pages = [page.name for page in (ROOT / "docs").glob("*.md") if page.name != "README.md"]
    assert [name for name in pages if f"({name})" not in index] == []


def test_every_picture_is_shown_and_small() -> None:
    files = sorted((ROOT / "docs" / "pictures").iterdir())
    assert files
    assert [file.name for file in files if f"pictures/{file.name}" not in ALL] == []
    assert [file.name for file in files if file.stat().st_size > 250_000] == []


def test_every_command_is_mentioned() -> None:
    assert [name for name in main.commands if f"arsis {name}" not in ALL] == []


def test_every_command_has_an_example() -> None:
    without = [
        name for name, one in main.commands.items() if f"Example: arsis {name} " not in (one.epilog or "")
    ]
    assert without == []


def test_every_arsis_line_on_a_page_is_a_command_with_options_it_has() -> None:
    for name, rest in re.findall(r"`arsis ([a-z]+)([^`\n]*)`", ALL):
        assert name in main.commands, name
        known = {option for one in main.commands[name].params for option in one.opts}
        known |= {"--help"}
        assert set(re.findall(r"(?<!\S)--?[a-z]+", rest)) <= known, f"arsis {name}{rest}"


@pytest.mark.parametrize("kind", [kind_of(one) for one in PROCESSORS])
def test_every_processor_is_described_beyond_its_table(kind: str) -> None:
    named = re.compile(rf"\b({kind}|{kind.replace('_', ' ')})\b", re.IGNORECASE)
    pages = [page for page in PAGES[2:] if page.name not in ("plan.md", "architecture.md")]
    assert any(named.search(prose(page)) for page in pages)


@pytest.mark.parametrize("word", WORDS)
def test_the_words_of_the_design_are_used(word: str) -> None:
    assert re.search(rf"\b{word}s?\b", README, re.IGNORECASE)


def test_the_changelog_says_what_altered_the_sound() -> None:
    text = (ROOT / "CHANGELOG.md").read_text(encoding="utf-8")
    for release_notes in re.split(r"^## ", text, flags=re.MULTILINE)[1:]:
        assert re.search(r"^### Sound$", release_notes, re.MULTILINE), release_notes.splitlines()[0]


def test_readme_has_every_block_once_with_its_command(pictures: ModuleType) -> None:
    blocks = re.findall(r"<!-- output: (\w+) -->\n(.*?)<!-- end -->", README, re.DOTALL)
    assert [name for name, _ in blocks] == ["start", "examine", "sections", "plan", *list(pictures.TOUR)[3:]]
    for name, text in blocks:
        if name != "plan":
            assert text.startswith(f"```console\n$ {pictures.typed(pictures.TOUR[name])}\n")


def test_the_plan_in_readme_can_be_read() -> None:
    from arsis.plan.codec import parse_song

    [text] = re.findall(r"<!-- output: plan -->\n```toml\n(.*?)```", README, re.DOTALL)
    first = '[[section]]\nname = "before"\nstart_s = 0.0\npass = "A"\n\n'
    song: Song = parse_song(f'schema = 1\ntitle = "Low Water"\nmix = "mix.wav"\n\n{first}{text}')
    assert {"A", "B"} == set(song.pass_)
    assert song.finish != Finish()


def skeleton(text: str) -> set[str]:
    """The lines without a figure, a block or the name of a file or a section: heads of tables, their keys."""
    lines = [" ".join(line.split()) for line in text.splitlines() if not line.startswith(("$", "```"))]
    return {line for line in lines if line and not re.search(r"\d|/|█", line.replace("mean/most", ""))}


COMMANDS = {
    "sections": ("sections", "MIX"),
    "contour": ("contour", "PLAN"),
    "measure": ("measure", "MIX"),
    "compare": ("compare", "MIX", "PRINT"),
    "revisions": ("revisions", "PLAN"),
}


def test_what_readme_shows_has_the_form_of_what_is_said(release: SmallRelease) -> None:  # noqa: F811
    said: dict[str, str] = {}
    paths = {"MIX": release.mix, "PLAN": release.plan, "PRINT": release.outboard}
    arsis("keep", str(release.plan), "-m", "as it was")
    for name, command in COMMANDS.items():
        said[name] = arsis(*(str(paths.get(word, word)) for word in command))
    shown = dict(re.findall(r"<!-- output: (\w+) -->\n```\w+\n(.*?)```", README, re.DOTALL))
    for name, text in said.items():
        assert skeleton(shown[name]), name
        assert skeleton(shown[name]) <= skeleton(text), f"{name}: renew README with `make pictures`"


def test_the_advice_in_readme_has_the_form_of_what_is_said() -> None:
    [shown] = re.findall(r"<!-- output: advise -->\n```console\n(.*?)```", README, re.DOTALL)
    of_one = re.compile(r"^  (move|then|cost|mind): ", re.MULTILINE)
    advised = Advised(
        file="songs/a.toml", mix=(), advice=(one_advice(),), ask_mixer=(), leave=("width: as usual",)
    )
    said = advised_text(advised)
    blocks = re.split(r"^[a-z-]+   \(sure: \d+ %\)$", shown, flags=re.MULTILINE)[1:]
    assert blocks
    for block in blocks:
        assert of_one.findall(block)[:3] == of_one.findall(said) == ["move", "then", "cost"]
    for line in ("left alone:", "to take one: arsis advise songs/"):
        assert f"\n{line}" in shown
        assert f"\n{line}" in said


def one_advice() -> Advice:
    """A made-up one: only its form matters."""
    bands = BandLevels(low=-5.0, low_mid=-4.0, mid=-6.0, presence=-14.0, air=-22.0)
    now = Figures(
        loudness_lufs=-12.0, step_lu=1.0, width_db=-6.0, attack_db=5.0, bands_db=bands, took_max_db=0.0
    )
    evidence = Evidence(
        what="edge", kind="verse", against="chorus", sections=("verse",), size_db=1.0, freq_hz=3e3,
        says="Edge.", sure=0.7,
    )  # fmt: skip
    move = Move(
        says="bell", sections=("verse",), passes=("A",), ride_db=None, processor=None, db=-1.0, left_db=0.0
    )
    told = Predicted(
        integrated_lufs=-12.0, true_peak_dbtp=-1.0, plr_db=11.0, took_max_db=0.0,
        sections=(PredictedSection(name="verse", now=now, then=now),),
        costs_took_db=0.0, costs_plr_db=0.0, costs_attack_db=0.0,
    )  # fmt: skip
    return Advice(
        id="verse-edge", sections=("verse",), evidence=evidence, move=move, predicted=told,
        confidence=0.7, conflicts=(),
    )  # fmt: skip


def arsis(*words: str) -> str:
    run = subprocess.run([sys.executable, "-m", "arsis", *words], capture_output=True, text=True, check=False)
    assert run.returncode in (0, 3), run.stderr
    return run.stdout
