"""The annotations that several kinds share: a bound, a unit and a sentence, said once."""

from __future__ import annotations

from typing import Annotated, Literal, TypeAlias

from annotated_types import Ge, Le, Unit, doc

Channel: TypeAlias = Annotated[
    Literal["stereo", "mid", "side", "left", "right"],
    doc("what the processor works on; the rest passes untouched"),
]
Phase: TypeAlias = Annotated[
    Literal["minimum", "linear"],
    doc("minimum: like the analogue curve; linear: no phase shift, at the price of pre-ringing and latency"),
]
FreqHz: TypeAlias = Annotated[float, Ge(5.0), Le(40_000.0), Unit("Hz"), doc("centre or corner frequency")]
ToneGainDb: TypeAlias = Annotated[float, Ge(-24.0), Le(24.0), Unit("dB"), doc("boost or cut")]
Q: TypeAlias = Annotated[float, Ge(0.1), Le(20.0), doc("centre frequency over bandwidth; higher is narrower")]
Bypass: TypeAlias = Annotated[bool, doc("true: it stays in the plan and does nothing")]
Mix: TypeAlias = Annotated[float, Ge(0.0), Le(1.0), doc("share of the processed signal; 1 is all of it")]
