"""Turns a sound file into the samples that the recogniser hears, or says why it cannot.

Decoding is done by PyAV, which brings its own codecs, so any common recording works,
a video's sound track included. The one thing this module never does is hand on less than
was recorded without saying so: faster-whisper's own decoder stops at the first bad packet
and keeps quiet about the rest, so packets are decoded one by one here, and what came out
is held against the length that the file declares. Silence is not an error; a file that
breaks off, skips or holds nothing is.

What cannot be noticed: an Ogg, raw AAC or headerless MP3 file cut at a packet's end says
nowhere how long it was.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

from ..lexicon.errors import InputError

if TYPE_CHECKING:
    import av
    import av.container

SAMPLE_RATE = 16_000

#: Missing sound that still counts as whole: encoder padding is under 50 ms in every codec
#: that PyAV writes (measured), clocks of long recordings drift by less than 1 in 1,000.
_TOLERANCE_S = 0.25
_DRIFT = 0.001
#: A jump of the time stamps that counts as a hole, and junk allowed before the first sound.
_GAP_S = 0.1
_JUNK_S = 0.1

#: Formats of files that only name others, whatever their own name ends in.
_LISTS = frozenset(("concat", "hls", "dash", "imf", "sdp"))
#: Containers whose header states a length; others only let it be guessed from the bit rate.
_STATE_LENGTH = frozenset(
    ("wav", "w64", "aiff", "caf", "flac", "ogg", "asf", "mov", "mp4", "matroska", "webm")
)
#: Not sound, though FFmpeg opens them: text as terminal art, and single pictures.
_NOT_SOUND = ("tty", "image2", "gif", "apng", "_pipe", "ico", "lrc", "srt", "ass", "webvtt")


@dataclass(frozen=True, kw_only=True)
class AudioOptions:
    """``max_hours``: the longest recording that is read, to keep memory within about 2 GB."""

    max_hours: float = 6.0


@dataclass(frozen=True)
class Sound:
    """One recording: float32 mono samples at 16 kHz within -1 to 1, and where they came from.

    ``file`` is the name without its folder, ``sha256`` that of the file as it lies on disk.
    """

    samples: npt.NDArray[np.float32] = field(repr=False)
    duration_s: float
    sha256: str
    file: str


def load_audio(path: Path | str, *, options: AudioOptions = AudioOptions()) -> Sound:
    """Decode the sound of a file, the whole of it.

    Raises ``InputError`` when there is no such file, it is a folder, empty, not audio, a
    video without sound, longer than allowed, or damaged; the message names the second.
    """
    path = Path(path)
    _check_file(path)
    try:
        digest = digest_of(path)
        samples = _decode(path, options)
    except OSError as error:  # FFmpeg's own errors are translated before this
        raise InputError(f"{path}: cannot be read ({error.strerror or error}).") from error
    return Sound(samples, len(samples) / SAMPLE_RATE, digest, path.name)


def _check_file(path: Path) -> None:
    try:
        if path.is_dir():
            raise InputError(f"{path}: this is a folder; name the recordings in it.")
        if not path.exists():
            raise InputError(f"{path}: there is no such file; check the name.")
        if not path.is_file():
            raise InputError(f"{path}: this is not a regular file; name a recording.")
        if path.stat().st_size == 0:
            raise InputError(f"{path}: is empty (0 bytes); record or copy it again.")
    except OSError as error:
        raise InputError(f"{path}: cannot be read ({error.strerror}).") from error


def _decode(path: Path, options: AudioOptions) -> npt.NDArray[np.float32]:
    import av
    import av.error

    try:
        with av.open(str(path), mode="r", metadata_errors="ignore") as container:
            if is_list(container):
                raise InputError(f"{path}: holds no sound, only the names of other files.")
            return _Decoding(container, path, options).run()
    except (av.error.FFmpegError, UnicodeDecodeError) as error:
        raise InputError(_unreadable(path)) from error


def digest_of(path: Path) -> str:
    """The SHA-256 of a file as it lies on disk, in hexadecimal digits; may raise ``OSError``."""
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


def is_list(container: av.container.InputContainer) -> bool:
    """Whether a file only names others: what it would play is not what its SHA-256 was taken of."""
    return not _LISTS.isdisjoint(container.format.name.split(","))


class _Decoding:
    """One pass over one open file; notes the first hole as it goes."""

    def __init__(
        self, container: av.container.InputContainer, path: Path, options: AudioOptions
    ) -> None:
        self.container, self.path, self.max_hours = container, path, options.max_hours
        self.buffer = bytearray()
        self.hole_s: float | None = None
        self.junk_s = 0.0
        found = container.streams.best("audio")
        if found is None:
            raise InputError(self._no_sound())
        self.stream = found
        self.declared_s = self._declared_s(path)

    @property
    def position_s(self) -> float:
        return len(self.buffer) / (4 * SAMPLE_RATE)

    def run(self) -> npt.NDArray[np.float32]:
        self._check_length(self.declared_s or 0.0)
        key, resampler = None, to_samples()
        for frame in self._frames():
            new = (frame.format.name, frame.layout.name, frame.sample_rate)
            if key is not None and new != key:  # chained files change in mid-stream
                self._take(resampler, None)
                resampler = to_samples()
            key = new
            frame.pts = None
            self._take(resampler, frame)
        if key is not None:
            self._take(resampler, None)
        self._check_whole()
        samples = np.frombuffer(self.buffer, dtype=np.float32)
        samples.flags.writeable = False
        return samples

    def _frames(self) -> Iterator[av.AudioFrame]:
        """Decoded frames; a bad packet is damage when sound follows it, else a ragged end."""
        import av
        import av.error

        bad = False
        decoded_s, first_s = 0.0, None
        packets = self.container.demux(self.stream)
        while True:
            try:
                packet = next(packets)
            except StopIteration:
                return
            except av.error.FFmpegError:
                self.hole_s = decoded_s if self.hole_s is None else self.hole_s
                return
            try:
                frames = packet.decode()
            except av.error.FFmpegError:
                if first_s is None:
                    self.junk_s += float((packet.duration or 0) * (packet.time_base or 0))
                bad = first_s is not None or self.junk_s > _JUNK_S
                continue
            for frame in frames:
                if not isinstance(frame, av.AudioFrame):
                    continue
                if bad:
                    raise InputError(self._damaged(decoded_s))
                if first_s is None:
                    first_s = frame.time or 0.0
                elif frame.time is not None and frame.time - first_s - decoded_s > _GAP_S:
                    self.hole_s = decoded_s if self.hole_s is None else self.hole_s
                decoded_s += frame.samples / frame.sample_rate
                yield frame

    def _take(self, resampler: av.AudioResampler, frame: av.AudioFrame | None) -> None:
        for piece in resampler.resample(frame):
            array = piece.to_ndarray().mean(axis=0, dtype=np.float32)
            if not np.isfinite(array).all():
                raise InputError(self._damaged(self.position_s))
            self.buffer += array.tobytes()
        self._check_length(self.position_s)

    def _declared_s(self, path: Path) -> float | None:
        """The length in seconds that the file itself states, None where it is but guessed."""
        formats = set(self.container.format.name.split(","))
        if "wav" in formats:
            return _wav_length_s(path) or self._stream_s()
        if "mp3" in formats and _mp3_states_length(path):
            return self._stream_s()
        if formats & _STATE_LENGTH:
            stream_s = self._stream_s()
            if stream_s is None and len(self.container.streams) == 1 and self.container.duration:
                return self.container.duration / 1_000_000
            return stream_s
        return None

    def _stream_s(self) -> float | None:
        if self.stream.duration is None or self.stream.time_base is None:
            return None
        return float(self.stream.duration * self.stream.time_base)

    def _check_length(self, length_s: float) -> None:
        if length_s > self.max_hours * 3600:
            raise InputError(
                f"{self.path}: is longer than {self.max_hours:g} hours; split it into shorter "
                "recordings, one examination each."
            )

    def _check_whole(self) -> None:
        if self.declared_s is not None:
            missing_s = self.declared_s - self.position_s
            if missing_s > _TOLERANCE_S + _DRIFT * self.declared_s:
                place_s = self.position_s if self.hole_s is None else self.hole_s
                raise InputError(self._damaged(place_s))
        if not self.buffer:
            raise InputError(f"{self.path}: holds no sound (0 s); record or copy it again.")

    def _damaged(self, place_s: float) -> str:
        of = "" if self.declared_s is None else f" of {self.declared_s:.1f} s"
        return (
            f"{self.path}: is damaged at second {place_s:.1f}{of}; copy it again from where it "
            "was recorded, or save the part that plays as a new file."
        )

    def _no_sound(self) -> str:
        name = self.container.format.name
        if self.container.streams.video and not any(mark in name for mark in _NOT_SOUND):
            return f"{self.path}: is a video without a sound track; there is nothing to hear."
        return _unreadable(self.path)


def _unreadable(path: Path) -> str:
    return f"{path}: cannot be decoded; it is not a sound file, or it was cut off."


def to_samples() -> av.AudioResampler:
    """What turns decoded frames into 16 kHz floats, their channels still apart."""
    import av

    return av.AudioResampler(format="fltp", rate=SAMPLE_RATE)  # FFmpeg's own mix can exceed 1


def _wav_length_s(path: Path) -> float | None:
    """The length that a WAV header states, None when it states none that makes sense.

    FFmpeg cuts the stated length down to what the file holds. Layout: Multimedia
    Programming Interface and Data Specifications 1.0 (IBM and Microsoft 1991), "WAVE".
    """
    with path.open("rb") as file:
        head = file.read(65_536)
    if head[:4] != b"RIFF":
        return None
    place, byte_rate = 12, 0
    while place + 8 <= len(head):
        kind, size = head[place : place + 4], int.from_bytes(head[place + 4 : place + 8], "little")
        if kind == b"fmt ":
            byte_rate = int.from_bytes(head[place + 16 : place + 20], "little")
        if kind == b"data":
            unknown = size in (0, 0xFFFFFFFF) or size >= 0x7FFFFF00  # written while streaming
            return None if unknown or not byte_rate else size / byte_rate
        place += 8 + size + size % 2
    return None


def _mp3_states_length(path: Path) -> bool:
    """Whether a Xing, Info or VBRI header is there (after the tag, which may hold a picture)."""
    with path.open("rb") as file:
        tag = file.read(10)
        if tag[:3] == b"ID3":  # its size is four bytes of seven bits (id3.org, ID3v2.3 §3.1)
            size = 0
            for byte in tag[6:10]:
                size = size << 7 | byte & 0x7F
            file.seek(10 + size)
        else:
            file.seek(0)
        head = file.read(4096)
    return any(mark in head for mark in (b"Xing", b"Info", b"VBRI"))
