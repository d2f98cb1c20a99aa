"""A page that holds the desk's worklet and nothing else, and the player written again in numpy."""

from __future__ import annotations

import base64
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer
from itertools import zip_longest
from pathlib import Path
from threading import Thread
from typing import Any, ClassVar

import numpy as np
from numpy.typing import NDArray
from playwright.sync_api import Page

Sound = NDArray[np.float32]  # (2, frames)
RATE_HZ = 44100
FADE = 221  # frames of 5 ms at 44.1 kHz
STATIC = Path(__file__).parents[2] / "src" / "arsis" / "desk" / "static"
HERE = Path(__file__).parent


def chunk_bytes(sound: Sound, index: int, chunk_frames: int = RATE_HZ) -> bytes:
    """One chunk as the desk serves it: the left frames, then the right ones, float32."""
    return np.ascontiguousarray(sound[:, index * chunk_frames : (index + 1) * chunk_frames], "<f4").tobytes()


class Answer(SimpleHTTPRequestHandler):
    """The static folder, this folder and the chunks of `sounds`: worklets load from a real server only."""

    sounds: ClassVar[dict[str, Sound]] = {}

    def do_GET(self) -> None:
        kind, _, rest = self.path.removeprefix("/").partition("/")
        media = "text/javascript"
        if kind == "sound":
            key, index = rest.split("/")
            body, media = chunk_bytes(self.sounds[key], int(index)), "application/octet-stream"
        elif kind:
            body = ((STATIC if kind == "static" else HERE) / rest).read_bytes()
        else:
            body, media = b'<!doctype html><link rel="icon" href="data:,"><title>worklet</title>', "text/html"
        self.send_response(200)
        self.send_header("content-type", media)
        self.send_header("content-length", str(len(body)))
        self.end_headers()
        self.wfile.write(body)

    def log_message(self, format: str, *args: object) -> None:
        pass


@contextmanager
def served(sounds: dict[str, Sound]) -> Iterator[str]:
    """Where a page can load the worklet and `sounds`."""
    handler = type("SoundsAnswer", (Answer,), {"sounds": sounds})
    server = ThreadingHTTPServer(("127.0.0.1", 0), handler)
    thread = Thread(target=server.serve_forever)
    thread.start()
    yield f"http://127.0.0.1:{server.server_port}/"
    server.shutdown()
    thread.join()
    server.server_close()


@dataclass(frozen=True, slots=True)
class Heard:
    """What left the worklet, and what it told meanwhile. first: the first frame's, by the audio clock."""

    samples: NDArray[np.float32]
    told: list[dict[str, Any]]
    first: int = 0

    @property
    def turns(self) -> list[dict[str, Any]]:
        return [message for message in self.told if message["type"] == "turn"]


def unpacked(left: str, right: str) -> NDArray[np.float32]:
    return np.stack([np.frombuffer(base64.b64decode(side), "<f4") for side in (left, right)])


def play(page: Page, script: dict[str, Any]) -> Heard:
    given = {"rate": RATE_HZ, "chunkFrames": RATE_HZ, **script}
    answer = page.evaluate("async (script) => (await import('/tests/offline.js')).play(script)", given)
    return Heard(unpacked(answer["left"], answer["right"]), answer["told"])


def voice(
    mixture: dict[str, Any], sounds: dict[str, Sound], position: int, count: int
) -> NDArray[np.float64]:
    """`count` frames of a mixture from song frame `position` on, silence outside of each sound."""
    total = np.zeros((2, count))
    for part in mixture["parts"]:
        sound = sounds[part["key"]]
        at = position + part["offset"] + np.arange(count)
        inside = (at >= 0) & (at < sound.shape[1])
        total[:, inside] += sound[:, at[inside]].astype(float) * float(np.float32(part["gain"]))
    return total


@dataclass(frozen=True, slots=True)
class Expected:
    samples: NDArray[np.float64]  # before the monitor level
    fading: NDArray[np.bool_]  # the frames of fades


def expected(heard: Heard, sounds: dict[str, Sound]) -> Expected:
    """The player once more, from what it told of its turns."""
    length = heard.first + heard.samples.shape[1]
    samples = np.zeros((2, length))
    fading = np.zeros(length, bool)
    turns = heard.turns
    for turn, following in zip_longest(turns, turns[1:]):
        start = turn["frame"]
        end = min(length, start + turn["fade"] + length if following is None else following["frame"] + FADE)
        fading[start : start + FADE] = True
        if turn["mixture"] is None or end <= start:
            continue
        weight = np.ones(end - start)
        weight[:FADE] = (np.arange(FADE) / FADE)[: len(weight)]
        if following is not None:
            out = 1 - np.arange(FADE) / FADE
            late = weight[following["frame"] - start :]
            late[:] = out[: len(late)]
        samples[:, start:end] += voice(turn["mixture"], sounds, turn["position"], end - start) * weight
    return Expected(samples[:, heard.first :], fading[heard.first :])


def largest_step(samples: NDArray[Any]) -> float:
    return float(np.abs(np.diff(samples, axis=-1)).max())
