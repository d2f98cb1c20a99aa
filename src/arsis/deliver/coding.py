"""The lossy coders there are: what they take, what their files are called, and whose work they are."""

from __future__ import annotations

from functools import cache
from typing import get_args

from arsis.errors import ArsisError
from arsis.io.mpeg4 import has_av
from arsis.plan.profile import Codec, CodecCheck

CODECS: tuple[Codec, ...] = get_args(get_args(Codec)[0])
ENDS: dict[Codec, str] = {"mp3": ".mp3", "aac": ".m4a", "opus": ".opus", "vorbis": ".ogg"}

# What the coders are fed. MPEG-1 layer III knows these three (ISO/IEC 11172-3:1993, 2.4.2.3); the others
# take more, but these are what lossy music is made at, and what their makers tuned them for.
RATES_HZ = (32_000, 44_100, 48_000)
OPUS_RATE_HZ = 48_000  # RFC 7845 (2016), section 5.1: the clock of the stream, whatever came in

# ISO/IEC 11172-3:1993, 2.4.2.3, layer III. Under 64 kbit/s a frame is too short for the note in which LAME
# says how long the sound is, and what is decoded would be late and longer.
MP3_KBPS = (64, 80, 96, 112, 128, 160, 192, 224, 256, 320)
OPUS_KBPS_A_CHANNEL = (6.0, 256.0)  # libsndfile's range
# ISO/IEC 13818-7:2006, 8.2.2.3: at most 6144 bits a channel in a block of 1024 frames.
AAC_BITS_A_FRAME = 6144 / 1024
AAC_LEAST_KBPS_A_CHANNEL = 16.0  # under that the coder cuts so low that nothing is learnt: from memory


def coder_rate_hz(codec: Codec, rate_hz: int) -> int:
    """The rate of the coded sound where the source has `rate_hz`: the same, if the coder is made for it."""
    if codec == "opus":
        return OPUS_RATE_HZ
    if rate_hz in RATES_HZ:
        return rate_hz
    return 44_100 if rate_hz % 11_025 == 0 else 48_000


def check_coding(codec: Codec, kbps: float, rate_hz: int, channels: int) -> None:
    """Raises ArsisError where the coder is not installed or does not work at such a bit rate."""
    reason = unavailable(codec)
    if reason is not None:
        raise ArsisError(reason)
    if codec == "mp3":
        if kbps not in MP3_KBPS:
            raise ArsisError(
                f"mp3: found {kbps:g} kbit/s; allowed: {', '.join(str(known) for known in MP3_KBPS)}"
            )
        return
    low, high = _range_kbps(codec, coder_rate_hz(codec, rate_hz), channels)
    if not low <= kbps <= high:
        kind = ("mono", "stereo")[channels - 1]
        raise ArsisError(f"{codec}: found {kbps:g} kbit/s; allowed for {kind}: {low:g} to {high:g}")


def _range_kbps(codec: Codec, rate_hz: int, channels: int) -> tuple[float, float]:
    if codec == "opus":
        low, high = OPUS_KBPS_A_CHANNEL
        return low * channels, high * channels
    if codec == "aac":
        most = AAC_BITS_A_FRAME * rate_hz / 1000.0
        return AAC_LEAST_KBPS_A_CHANNEL * channels, float(int(most)) * channels
    from .lossy_sndfile import vorbis_range_kbps

    return vorbis_range_kbps(rate_hz, channels)


def unavailable(codec: Codec) -> str | None:
    """Why this coder cannot be used here; None where it can."""
    if codec != "aac" or has_av():
        return None
    return "AAC needs the extra `encode`, which is not installed: pip install 'arsis[encode]'"


def parse_coding(text: str, most_dbtp: float = 0.0) -> CodecCheck:
    """`aac:256` as a check. Raises ArsisError for anything else."""
    name, _, rate = text.partition(":")
    known: dict[str, Codec] = {codec: codec for codec in CODECS}
    try:
        return CodecCheck(codec=known[name], kbps=float(rate), most_dbtp=most_dbtp)
    except (KeyError, ValueError):
        allowed = f"one of {', '.join(CODECS)} and its kbit/s, as in aac:256"
        raise ArsisError(f"codec: found {text!r}; allowed: {allowed}") from None


def libraries_used(codec: Codec) -> dict[str, str]:
    """The versions of the libraries that make such a file, for the manifest."""
    return dict(_libraries(codec))


@cache
def _libraries(codec: Codec) -> tuple[tuple[str, str], ...]:
    if codec == "aac":
        import av

        parts = {name: ".".join(map(str, number)) for name, number in av.library_versions.items()}
        return (
            ("av", av.__version__),
            ("libavcodec", parts["libavcodec"]),
            ("libavformat", parts["libavformat"]),
        )
    import soundfile

    from .lossy_sndfile import maker

    return (
        ("soundfile", soundfile.__version__),
        ("libsndfile", soundfile.__libsndfile_version__),
        (codec, maker(codec)),
    )
