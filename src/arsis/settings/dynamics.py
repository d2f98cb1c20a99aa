"""Level-dependent processors."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Literal

from annotated_types import Ge, Le, Unit, doc

from .declare import Bypass, Channel, FreqHz, Mix, Q

ThresholdDb = Annotated[float, Ge(-60.0), Le(12.0), Unit("dBFS"), doc("level at which it starts to work")]
AttackMs = Annotated[float, Ge(0.05), Le(500.0), Unit("ms"), doc("time constant for more gain change")]
ReleaseMs = Annotated[float, Ge(1.0), Le(5_000.0), Unit("ms"), doc("time constant for less gain change")]


@dataclass(frozen=True, slots=True, kw_only=True)
class Compressor:
    """Feed-forward compressor, channels linked, with a soft knee."""

    kind: Literal["compressor"] = "compressor"
    threshold_dbfs: ThresholdDb = -20.0
    ratio: Annotated[float, Ge(1.0), Le(100.0), doc("dB in over dB out above the threshold")] = 1.5
    knee_db: Annotated[float, Ge(0.0), Le(24.0), Unit("dB"), doc("width of the bend at the threshold")] = 6.0
    attack_ms: AttackMs = 30.0
    release_ms: ReleaseMs = 200.0
    makeup_db: Annotated[float, Ge(-12.0), Le(24.0), Unit("dB"), doc("gain after compression")] = 0.0
    sidechain_high_pass_hz: Annotated[
        float, Ge(0.0), Le(1_000.0), Unit("Hz"), doc("the detector is deaf below this; 0 hears all")
    ] = 0.0
    mix: Mix = 1.0
    channel: Channel = "stereo"
    bypass: Bypass = False


@dataclass(frozen=True, slots=True, kw_only=True)
class DynamicBell:
    """A bell whose gain follows the level in its own band.

    With a negative `range_db` it turns the band down as it gets louder (de-essing is one use), with
    a positive one it turns it up.
    """

    kind: Literal["dynamic_bell"] = "dynamic_bell"
    freq_hz: FreqHz
    q: Q = 1.0
    range_db: Annotated[float, Ge(-18.0), Le(18.0), Unit("dB"), doc("the most the bell may move")] = -3.0
    threshold_dbfs: ThresholdDb = -30.0
    ratio: Annotated[float, Ge(1.0), Le(100.0), doc("how steeply the bell moves above the threshold")] = 2.0
    attack_ms: AttackMs = 5.0
    release_ms: ReleaseMs = 80.0
    channel: Channel = "stereo"
    bypass: Bypass = False
