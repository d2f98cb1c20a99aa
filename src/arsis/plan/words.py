"""A processor in the trade's words, and numbers as they are read: `bell 3.2 kHz −0.5 dB Q 1.1 (mid)`."""

from __future__ import annotations

from arsis.settings import (
    Bell,
    Compressor,
    Delay,
    DynamicBell,
    Gain,
    HighPass,
    HighShelf,
    Limiter,
    LowPass,
    LowShelf,
    Polarity,
    Processor,
    Saturator,
    Tilt,
    Width,
)

_BUTTERWORTH_Q = 0.7071067811865476
# Decimals shown: at least, and at most where nothing asks for more.
_DECIMALS = {
    "dB": (1, 2),
    "dBTP": (1, 2),
    "dBFS": (0, 2),
    "s": (3, 3),
    "kHz": (0, 2),
    "Hz": (0, 1),
    "ms": (0, 2),
}
# Names that are not the key itself without its unit.
_CALLED = {
    "freq": "frequency",
    "q": "Q",
    "sidechain_high_pass": "detector above",
    "fold_below": "mono below",
    "side": "sides",
    "lookahead": "look-ahead",
    "most": "most it should take",
    "even": "even harmonics, share",
}
_SUFFIXES = ("_hz", "_dbfs", "_dbtp", "_db", "_ms", "_s", "_frames")
_SIGNED = ("dB",)
_MOST_DECIMALS = 17


def described(processor: Processor | Limiter) -> str:
    """One line for one processor."""
    aside = ", ".join(_aside(processor))
    return _body(processor) + (f" ({aside})" if aside else "")


def quantity(value: float, unit: str) -> str:
    """A number with its unit, rounded for reading, with a true minus."""
    value, unit = _scaled(value, unit, abs(value))
    return f"{_number(value, unit, 0)} {unit}".rstrip()


def change(before: float, after: float, unit: str) -> str:
    """`−0.5 → −0.8 dB`: two unlike values never look alike, however close."""
    largest = max(abs(before), abs(after))
    (before, shown_unit), (after, _) = _scaled(before, unit, largest), _scaled(after, unit, largest)
    for more in range(_MOST_DECIMALS):
        old, new = _number(before, shown_unit, more), _number(after, shown_unit, more)
        if old != new:
            return f"{old} → {new} {shown_unit}".rstrip()
    return f"{before!r} → {after!r} {shown_unit}".rstrip()


def title(processor: Processor | Limiter) -> str:
    """What it is called among its neighbours: kind, and frequency where it has one."""
    freq_hz = getattr(processor, "freq_hz", None)
    name = kind_word(processor)
    return name if freq_hz is None else f"{name} {quantity(freq_hz, 'Hz')}"


def kind_word(processor: Processor | Limiter) -> str:
    """`low shelf` for `low_shelf`."""
    return str(getattr(processor, "kind", "limiter")).replace("_", " ")


def key_word(key: str) -> str:
    """What a setting is called: `frequency` for `freq_hz`; its unit goes with the value."""
    for suffix in _SUFFIXES:
        if key.endswith(suffix):
            key = key.removesuffix(suffix)
            break
    return _CALLED.get(key, key.replace("_", " "))


def _body(processor: Processor | Limiter) -> str:
    name = title(processor)
    match processor:
        case Gain() | Tilt():
            return f"{name} {quantity(processor.gain_db, 'dB')}"
        case Bell() | LowShelf() | HighShelf():
            return f"{name} {quantity(processor.gain_db, 'dB')} Q {quantity(processor.q, '')}"
        case HighPass() | LowPass():
            q = (
                f" Q {quantity(processor.q, '')}"
                if processor.order == 2 and processor.q != _BUTTERWORTH_Q
                else ""
            )
            return f"{name} {6 * processor.order} dB/octave{q}"
        case Saturator():
            even = f", even {quantity(processor.even, '')}" if processor.even else ""
            return f"{name} drive {quantity(processor.drive_db, 'dB')}{even}"
        case Width():
            fold = (
                f", mono below {quantity(processor.fold_below_hz, 'Hz')}" if processor.fold_below_hz else ""
            )
            return f"{name} sides {quantity(processor.side_db, 'dB')}{fold}"
        case Delay():
            return f"{name} {quantity(processor.delay_frames, 'frames')}"
        case Polarity():
            return f"{name} turned"
        case _:
            return f"{name} {_level_dependent(processor)}"


def _level_dependent(processor: Compressor | DynamicBell | Limiter) -> str:
    if isinstance(processor, Limiter):
        ahead = f"look-ahead {quantity(processor.lookahead_ms, 'ms')}"
        release, most = quantity(processor.release_ms, "ms"), _unsigned(processor.most_db)
        return f"{quantity(processor.ceiling_dbtp, 'dBTP')}, {ahead}, release {release}, most {most}"
    times = f"attack {quantity(processor.attack_ms, 'ms')}, release {quantity(processor.release_ms, 'ms')}"
    above = f"{quantity(processor.ratio, '')}:1 above {quantity(processor.threshold_dbfs, 'dBFS')}"
    if isinstance(processor, DynamicBell):
        return f"up to {quantity(processor.range_db, 'dB')} Q {quantity(processor.q, '')}, {above}, {times}"
    makeup = f", makeup {quantity(processor.makeup_db, 'dB')}" if processor.makeup_db else ""
    deaf = processor.sidechain_high_pass_hz
    hears = f", detector above {quantity(deaf, 'Hz')}" if deaf else ""
    return f"{above}, knee {_unsigned(processor.knee_db)}, {times}{makeup}{hears}"


def _aside(processor: Processor | Limiter) -> list[str]:
    """Bypass, channel, phase and mix, where they are not the usual ones."""
    channel, phase = getattr(processor, "channel", "stereo"), getattr(processor, "phase", "minimum")
    mix = getattr(processor, "mix", 1.0)
    said = ["bypassed"] if getattr(processor, "bypass", False) else []
    said += [channel] if channel != "stereo" else []
    said += [f"{phase} phase"] if phase != "minimum" else []
    return said + ([f"mix {quantity(100.0 * mix, '%')}"] if mix != 1.0 else [])


def _unsigned(value_db: float) -> str:
    return quantity(value_db, "dB").removeprefix("+")


def _scaled(value: float, unit: str, largest: float) -> tuple[float, str]:
    """Kilohertz where the largest number in sight asks for it."""
    return (value / 1000.0, "kHz") if unit == "Hz" and largest >= 1000.0 else (value, unit)


def _number(value: float, unit: str, more: int) -> str:
    """A number with so many decimals more than usual."""
    least, most = _DECIMALS.get(unit, (0, 2))
    whole, _, decimals = f"{abs(value):.{most + more}f}".partition(".")
    decimals = decimals.rstrip("0").ljust(least, "0")
    is_zero = not whole.strip("0") and not decimals.strip("0")
    sign = "" if is_zero else "−" if value < 0 else "+" if unit in _SIGNED else ""
    return sign + whole + (f".{decimals}" if decimals else "")
