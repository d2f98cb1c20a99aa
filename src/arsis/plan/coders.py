"""What the lossy coders take, by their standards and their makers' tables."""

from __future__ import annotations

from typing import get_args

from .profile import Codec

CODECS: tuple[Codec, ...] = get_args(get_args(Codec)[0])

# What the coders are fed. MPEG-1 layer III knows these three (ISO/IEC 11172-3:1993, 2.4.2.3); the others
# take more, but these are what lossy music is made at, and what their makers tuned them for.
RATES_HZ = (32_000, 44_100, 48_000)
OPUS_RATE_HZ = 48_000  # RFC 7845 (2016), section 5.1: the clock of the stream, whatever came in

# ISO/IEC 11172-3:1993, 2.4.2.3, layer III. Under 64 kbit/s a frame is too short for the note in which LAME
# says how long the sound is, and what is decoded would be late and longer.
MP3_KBPS = (64, 80, 96, 112, 128, 160, 192, 224, 256, 320)
_OPUS_KBPS_A_CHANNEL = (6.0, 256.0)  # libsndfile's range
# ISO/IEC 13818-7:2006, 8.2.2.3: at most 6144 bits a channel in a block of 1024 frames.
_AAC_BITS_A_FRAME = 6144 / 1024
_AAC_LEAST_KBPS_A_CHANNEL = 16.0  # under that the coder cuts so low that nothing is learnt: from memory
# libvorbis 1.3.7 as libsndfile sets it up: the nominal rates that it writes into files of the lowest and the
# highest quality, in whole kbit/s between them; in mono and in stereo.
_VORBIS_KBPS = {
    32_000: ((42.0, 189.0), (56.0, 379.0)),
    44_100: ((48.0, 239.0), (64.0, 499.0)),
    48_000: ((48.0, 239.0), (64.0, 499.0)),
}


def coder_rates_hz(codec: Codec) -> tuple[int, ...]:
    """The rates of the sound that a coder makes."""
    return (OPUS_RATE_HZ,) if codec == "opus" else RATES_HZ


def coder_rate_hz(codec: Codec, rate_hz: int) -> int:
    """The rate of the coded sound where the source has `rate_hz`: the same, if the coder is made for it."""
    if codec == "opus":
        return OPUS_RATE_HZ
    if rate_hz in RATES_HZ:
        return rate_hz
    return 44_100 if rate_hz % 11_025 == 0 else 48_000


def range_kbps(codec: Codec, coder_hz: int, channels: int) -> tuple[float, float]:
    """The lowest and the highest bit rate, all channels, at one of the coder's rates; MP3 has only some of
    those between them."""
    if codec == "mp3":
        return MP3_KBPS[0], MP3_KBPS[-1]
    if codec == "opus":
        low, high = _OPUS_KBPS_A_CHANNEL
        return low * channels, high * channels
    if codec == "aac":
        most = _AAC_BITS_A_FRAME * coder_hz / 1000.0
        return _AAC_LEAST_KBPS_A_CHANNEL * channels, float(int(most)) * channels
    return _VORBIS_KBPS[coder_hz][channels - 1]
