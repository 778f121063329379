"""``plessor hear``: records from recordings."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from . import options
from .faults import Faults
from .progress import bar
from .writing import Made, record_document, write_documents

if TYPE_CHECKING:
    from ..pipeline.audio import Sound
    from ..pipeline.transcribe import Recogniser


def command(
    audio: Annotated[
        list[Path], typer.Argument(metavar="AUDIO", help="Recordings.", show_default=False)
    ],
    format: options.RecordFormat = "text",
    out: options.Out = None,
    age: options.Age = None,
    age_months: options.AgeMonths = None,
    examiner: options.Examiner = None,
    date: options.Date = None,
    model: Annotated[
        str,
        typer.Option(
            "--model",
            "-m",
            metavar="NAME|FOLDER",
            help="The recogniser: a name that “plessor models” lists, or a folder that holds one.",
        ),
    ] = "default",
    allow_download: Annotated[
        bool,
        typer.Option(
            "--allow-download", help="Let a model that is not on this machine be fetched."
        ),
    ] = False,
    personal: options.PersonalFile = None,
    quiet: options.Quiet = False,
) -> None:
    """Make a findings record from recordings of spoken examinations.

    Any audio or video that FFmpeg decodes is taken, and heard on this machine.
    """
    from ..pipeline.audio import load_audio
    from ..pipeline.exam import hear_sound
    from ..pipeline.transcribe import load_recogniser

    facts = options.exam_facts(age, age_months, examiner, date)
    exam_options = options.exam_options(personal)
    document = record_document(format)

    @cache
    def recogniser() -> Recogniser:
        return load_recogniser(model, allow_download=allow_download)

    def decoded() -> Iterator[tuple[Sound, Recogniser]]:
        # The model is loaded once a recording could be decoded, since a wrong file name needs
        # none to be told; and out of ``each``, since a wrong model concerns every recording.
        for sound in faults.each(audio, load_audio, name=str):
            yield sound, recogniser()

    def heard(pair: tuple[Sound, Recogniser]) -> Made:
        sound, recogniser = pair
        with bar(sound.file, duration_s=sound.duration_s, quiet=quiet) as progress:
            record = hear_sound(
                sound, recogniser=recogniser, facts=facts, options=exam_options, progress=progress
            )
        return record, document(record)

    faults = Faults()
    made = faults.each(decoded(), heard, name=lambda pair: pair[0].file)
    write_documents(made, format, out=out, inputs=audio, many=len(audio) > 1, quiet=quiet)
    faults.end()
