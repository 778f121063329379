"""The sound behind a field: a stretch of the recording, half a second before and after.

A clip is what makes a check quick, so only the wanted stretch is decoded: the file is entered
near its start, or, in a format whose time stamps cannot be trusted after a jump, its packets
are counted past without being decoded. Seconds are those of the record: counted from the first
sound that decodes. A recording is played only when it is the one that the record was made
from, by its SHA-256; this is computed once for as long as the file stays as it is.
"""

from __future__ import annotations

import io
import math
import threading
import wave
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

from ...lexicon.errors import InputError
from ...pipeline.audio import SAMPLE_RATE, digest_of, is_list, to_samples

if TYPE_CHECKING:
    import av
    import av.container

    from ...pipeline.record import Audio

#: Heard around the words, so that their beginning and end can be made out (house).
AROUND_S = 0.5
#: No finding is said in more than this; a longer clip is cut off.
MAX_CLIP_S = 120.0
#: Decoded before the wanted stretch: codecs need some sound to settle (Opus: 80 ms, RFC 7845).
_SETTLE_S = 0.3
#: Containers that keep exact time stamps; FFmpeg guesses them in others after a jump.
_EXACT = frozenset(("wav", "w64", "aiff", "caf", "flac", "ogg", "mov", "mp4", "matroska", "webm"))


class Recordings:
    """The recordings of this machine that records name, checked once each. Thread-safe."""

    def __init__(self) -> None:
        self._digests: dict[tuple[str, int, int], str] = {}
        self._lock = threading.Lock()

    def check(self, path: Path, audio: Audio) -> None:
        """``InputError`` unless the file at ``path`` is the recording that ``audio`` tells of."""
        try:
            if not path.is_file():
                raise InputError(
                    f"The recording {path.name} is not where it was; put it back beside the "
                    "record and start the review again."
                )
            stat = path.stat()
            key = (str(path), stat.st_size, stat.st_mtime_ns)
            with self._lock:  # two clips at once wait for one checksum
                if key not in self._digests:
                    self._digests[key] = digest_of(path)
                same = self._digests[key] == audio.sha256
        except OSError as error:
            reason = error.strerror or type(error).__name__
            raise InputError(f"The recording {path.name} cannot be read ({reason}).") from error
        if not same:
            raise InputError(
                f"The recording {path.name} is not the one that this record was made from "
                "(its SHA-256 differs), so it is not played."
            )


def cut_clip(path: Path, *, start_s: float, end_s: float) -> bytes:
    """The sound from ``start_s`` to ``end_s`` and ``AROUND_S`` around it, as a WAV file.

    Mono, 16 bits, 16 kHz. ``InputError`` when there is no such stretch or no sound in it.
    """
    if not 0.0 <= start_s <= end_s:
        raise InputError("A clip ends after it starts; give start_s and end_s in seconds.")
    first_s = max(0.0, start_s - AROUND_S)
    last_s = min(end_s + AROUND_S, first_s + MAX_CLIP_S)
    samples = _decode(path, first_s, last_s)
    if not len(samples):
        raise InputError(f"The recording {path.name} is shorter than {start_s:.1f} s.")
    out = io.BytesIO()
    with wave.open(out, "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(SAMPLE_RATE)
        file.writeframes((np.clip(samples, -1.0, 1.0) * 32_767).astype("<i2").tobytes())
    return out.getvalue()


def _decode(path: Path, first_s: float, last_s: float) -> npt.NDArray[np.float32]:
    import av
    import av.error

    try:
        with _opened(path) as (container, stream):
            opening = next(container.decode(stream), None)
            zero_s = (opening and opening.time) or 0.0
        with _opened(path) as (container, stream):  # afresh: a jump back is not the same
            frames = _frames(container, stream, zero_s, first_s, last_s)
            return _gather(frames, first_s, last_s)
    except (av.error.FFmpegError, OSError, UnicodeDecodeError) as error:
        raise InputError(f"The recording {path.name} cannot be decoded.") from error


@contextmanager
def _opened(path: Path) -> Iterator[tuple[av.container.InputContainer, av.AudioStream]]:
    import av

    with av.open(str(path), mode="r", metadata_errors="ignore") as container:
        stream = container.streams.best("audio")
        if is_list(container) or not isinstance(stream, av.AudioStream):
            raise InputError(f"The recording {path.name} holds no sound.")
        yield container, stream


def _frames(
    container: av.container.InputContainer,
    stream: av.AudioStream,
    zero_s: float,
    first_s: float,
    last_s: float,
) -> Iterator[tuple[float, av.AudioFrame]]:
    """The decoded frames around the stretch, each with its second in the record."""
    import av.error

    wanted_s = zero_s + first_s - _SETTLE_S
    exact = bool(set(container.format.name.split(",")) & _EXACT)
    if exact and wanted_s > zero_s and stream.time_base is not None:
        container.seek(int(wanted_s / stream.time_base), stream=stream)
    for packet in container.demux(stream):
        if not exact and _end_s(packet, stream) < wanted_s:
            continue
        try:
            frames = packet.decode()
        except av.error.FFmpegError:
            continue  # the first packet after a jump may lean on one before it
        for frame in frames:
            at_s = (frame.time or 0.0) - zero_s
            if at_s > last_s:
                return
            yield at_s, frame


def _end_s(packet: av.Packet[av.AudioStream], stream: av.AudioStream) -> float:
    """The second at which a packet ends, infinite when it does not say."""
    if packet.pts is None or not packet.duration or stream.time_base is None:
        return math.inf
    return float((packet.pts + packet.duration) * stream.time_base)


def _gather(
    frames: Iterator[tuple[float, av.AudioFrame]], first_s: float, last_s: float
) -> npt.NDArray[np.float32]:
    pieces: list[npt.NDArray[np.float32]] = []
    begun_s: float | None = None
    resampler, format_ = to_samples(), None

    def take(frame: av.AudioFrame | None) -> None:
        pieces.extend(p.to_ndarray().mean(axis=0) for p in resampler.resample(frame))

    for at_s, frame in frames:
        new = (frame.format.name, frame.layout.name, frame.sample_rate)
        if format_ is not None and new != format_:  # chained files change in mid-stream
            take(None)
            resampler = to_samples()
        format_ = new
        begun_s = at_s if begun_s is None else begun_s
        frame.pts = None
        take(frame)
    if begun_s is None:
        return np.zeros(0, np.float32)
    take(None)
    samples = np.concatenate(pieces) if pieces else np.zeros(0, np.float32)
    first, last = (max(0, round((s - begun_s) * SAMPLE_RATE)) for s in (first_s, last_s))
    return np.nan_to_num(samples[first:last]).astype(np.float32)
