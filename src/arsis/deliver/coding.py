"""The lossy coders that are here: whether they can be used, what they call files, and whose work they are."""

from __future__ import annotations

from functools import cache

from arsis.errors import ArsisError
from arsis.io.mpeg4 import has_av
from arsis.plan.coders import CODECS, MP3_KBPS, coder_rate_hz, range_kbps
from arsis.plan.profile import Codec, CodecCheck

ENDS: dict[Codec, str] = {"mp3": ".mp3", "aac": ".m4a", "opus": ".opus", "vorbis": ".ogg"}


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
    low, high = range_kbps(codec, coder_rate_hz(codec, rate_hz), channels)
    if not low <= kbps <= high:
        kind = ("mono", "stereo")[channels - 1]
        raise ArsisError(f"{codec}: found {kbps:g} kbit/s; allowed for {kind}: {low:g} to {high:g}")


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
