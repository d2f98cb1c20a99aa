"""From settings to sound. Importing the package registers every kind with `prepare`."""

from . import dynamics, level, saturation, stereo, tone
from .base import Runner, drain, is_neutral, prepare
from .chain import ChainRunner, is_neutral_chain
from .routing import apply, routed

__all__ = [
    "ChainRunner",
    "Runner",
    "apply",
    "drain",
    "dynamics",
    "is_neutral",
    "is_neutral_chain",
    "level",
    "prepare",
    "routed",
    "saturation",
    "stereo",
    "tone",
]
