"""What a run of the bench ran on."""

from __future__ import annotations

import os
import platform
from importlib.metadata import version
from pathlib import Path

from arsis.version import VERSION

from .peers_programs import version as program_version


def conditions(repetitions: int) -> list[str]:
    """Lines about machine, load, versions and method."""
    load = ", ".join(f"{average:.1f}" for average in os.getloadavg())
    packages = ", ".join(
        f"{name} {version(name)}" for name in ("numpy", "scipy", "av", "pedalboard", "pyloudnorm")
    )
    return [
        f"{_processor()}, {os.cpu_count()} processors; {platform.system()} {platform.release()}; load {load}",
        f"Python {platform.python_version()}, arsis {VERSION}, {packages}, {program_version('ffmpeg')}, "
        f"{program_version('sox')}",
        f"CPU seconds (user and system, every thread and child), medians of {repetitions} runs in turn after "
        "one to warm up; a peer's is net of what getting sound in and out costs it",
    ]


def _processor() -> str:
    try:
        lines = Path("/proc/cpuinfo").read_text(encoding="utf-8").splitlines()
    except OSError:
        return platform.processor()
    names = (line.split(":", 1)[1].strip() for line in lines if line.startswith("model name"))
    return next(names, platform.machine())
