"""One examination from its source to its record: the stages joined in the one order there is.

Text goes through correct and extract, sound through transcribe first. Everything that calls
itself Plessor (the command line, the page, other programs) makes records here, so that a
narration gives the same record whichever way it came.
"""

from __future__ import annotations

import datetime as dt
import hashlib
from dataclasses import asdict, dataclass, field
from importlib import metadata
from pathlib import Path

from ..lexicon import InputError, load
from .audio import AudioOptions, Sound, load_audio
from .correct import CorrectOptions, correct, doubts
from .extract import ExtractOptions, extract
from .files import read_narration
from .record import Audio, Dropped, Record
from .transcribe import Progress, Recogniser, TranscribeOptions, transcribe
from .transcript import Transcript, from_text


@dataclass(frozen=True)
class ExamFacts:
    """What a person knows about the examination and the narration may not say.

    ``age_months`` counts completed months; nothing here is guessed when it is None.
    """

    age_months: int | None = None
    examiner: str | None = None
    date: dt.date | None = None


@dataclass(frozen=True)
class ExamOptions:
    """The options of every stage; a text passes neither ``audio`` nor ``transcribe``."""

    audio: AudioOptions = field(default_factory=AudioOptions)
    transcribe: TranscribeOptions = field(default_factory=TranscribeOptions)
    correct: CorrectOptions = field(default_factory=CorrectOptions)
    extract: ExtractOptions = field(default_factory=ExtractOptions)


def read_text(
    text: str,
    *,
    narration: str,
    facts: ExamFacts = ExamFacts(),
    options: ExamOptions = ExamOptions(),
) -> Record:
    """The record of a written narration; ``narration`` is its name.

    Raises ``InputError`` when the text holds no words.
    """
    transcript = from_text(text)
    if not transcript.words:
        raise InputError(f"{narration}: holds no words.")
    return _record(transcript, narration=narration, facts=facts, options=options)


def read_file(
    path: Path, *, facts: ExamFacts = ExamFacts(), options: ExamOptions = ExamOptions()
) -> Record:
    """The record of a text file (UTF-8), named after the file.

    Raises ``InputError`` for a file that is missing, a folder, empty or not UTF-8.
    """
    return read_text(read_narration(path), narration=path.name, facts=facts, options=options)


def hear_sound(
    sound: Sound,
    *,
    recogniser: Recogniser,
    facts: ExamFacts = ExamFacts(),
    options: ExamOptions = ExamOptions(),
    progress: Progress | None = None,
) -> Record:
    """The record of a recording that is decoded already.

    Raises ``InputError`` when no speech is found in it: a record without words would look
    like an examination in which nothing was done.
    """
    transcript = transcribe(
        sound,
        recogniser,
        options=options.transcribe,
        progress=progress,
        doubts=doubts(options.correct),
    )
    if not transcript.words:
        raise InputError(
            f"{sound.file}: no speech was found in it; check the microphone and the recording."
        )
    audio = Audio(file=sound.file, sha256=sound.sha256, duration_s=sound.duration_s)
    return _record(transcript, narration=sound.file, facts=facts, options=options, audio=audio)


def hear_file(
    path: Path,
    *,
    recogniser: Recogniser,
    facts: ExamFacts = ExamFacts(),
    options: ExamOptions = ExamOptions(),
    progress: Progress | None = None,
) -> Record:
    """The record of an audio file, named after the file.

    Raises ``InputError`` for a file that cannot be decoded and for one without speech.
    """
    return hear_sound(
        load_audio(path, options=options.audio),
        recogniser=recogniser,
        facts=facts,
        options=options,
        progress=progress,
    )


def _record(
    heard: Transcript,
    *,
    narration: str,
    facts: ExamFacts,
    options: ExamOptions,
    audio: Audio | None = None,
) -> Record:
    corrected = correct(heard, options=options.correct)
    transcript = corrected.transcript
    extraction = extract(transcript, options=options.extract)
    return Record(
        narration=narration,
        age_months=facts.age_months,
        examiner=facts.examiner,
        date=facts.date,
        audio=audio,
        model=heard.model,
        lexicon_version=_lexicon_version(options.correct),
        program_version=metadata.version("plessor"),
        heard=transcript.heard,
        corrected=transcript.corrected,
        words=transcript.words,
        findings=tuple(extraction.findings),
        claims=tuple(extraction.claims),
        corrections=corrected.corrections,
        unresolved=tuple(extraction.unresolved),
        dropped=tuple(Dropped(**asdict(text)) for text in heard.dropped),
    )


def _lexicon_version(options: CorrectOptions) -> str:
    """The lexicon's version, with a fingerprint of the personal lexicon when one took part."""
    version = load().version
    if not options.variants and not options.words:
        return version
    own = repr((options.variants, options.words)).encode()
    return f"{version}+personal-{hashlib.sha256(own).hexdigest()[:8]}"
