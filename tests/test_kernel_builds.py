"""The kernels give the bits on record however, and by whatever compiler, they are built."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

import arsis

from .golden_renders import RECORD

HOME = Path(__file__).parent.parent
KERNELS = HOME / "src" / "arsis" / "dsp" / "kernels"
# As in CMakeLists.txt, but for the optimisation. ARSIS_SANITIZE leaves out the copies for newer processors.
COMMON = ["-std=gnu11", "-fPIC", "-shared", "-ffp-contract=off", "-fno-math-errno", "-Wno-psabi"]
BUILDS = [("cc", "-O0"), ("cc", "-O3 -DARSIS_SANITIZE"), ("clang", "-O3")]

PROGRAM = """
import json
from arsis.dsp.kernels.library import _library
from tests.golden_renders import digests
print(json.dumps([_library()._name, digests()]))
"""


@pytest.mark.parametrize(("compiler", "flags"), BUILDS)
def test_every_build_gives_the_words_on_record(tmp_path: Path, compiler: str, flags: str) -> None:
    if shutil.which(compiler) is None:
        pytest.skip(f"{compiler} is not installed")
    shutil.copytree(Path(arsis.__file__).parent, tmp_path / "arsis")
    library = tmp_path / "arsis" / "dsp" / "kernels" / "libarsis_kernels.so"
    sources = sorted(map(str, KERNELS.glob("*.c")))
    subprocess.run([compiler, *COMMON, *flags.split(), *sources, "-o", str(library)], check=True)
    run = subprocess.run(
        [sys.executable, "-c", PROGRAM],
        cwd=HOME, env={**os.environ, "PYTHONPATH": str(tmp_path)}, capture_output=True, check=True,
    )  # fmt: skip
    used, digests = json.loads(run.stdout)
    assert used == str(library)
    assert digests == json.loads(RECORD.read_text(encoding="utf-8"))
