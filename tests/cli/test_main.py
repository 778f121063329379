"""The program's edge: help, usage, exit codes, and what an unexpected error may say."""

from __future__ import annotations

import os
import re
import subprocess
import sys
import time
from importlib import metadata

import pytest
from plessor.cli import schema
from plessor.cli.main import EPILOG
from plessor.lexicon import DataError, InputError, InternalError, MissingError
from plessor.pipeline.formats import ALIASES, FORMATS


def test_help_imports_nothing_heavy() -> None:
    """Checked by what is imported, not by the clock, so that a busy machine does not matter."""
    heavy = "spacy faster_whisper ctranslate2 pydantic numpy av rapidfuzz onnxruntime asyncio"
    code = (
        "import sys; from plessor.cli.main import main; code = main(['--help'])\n"
        f"print(code, [m for m in {heavy.split()} if m in sys.modules], file=sys.stderr)"
    )
    ran = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert ran.stderr.split("\n")[0] == "0 []"
    assert "hear" in ran.stdout


def test_version_names_the_program_and_the_lexicon(plessor) -> None:
    ran = plessor("--version")
    assert ran.code == 0
    expected = rf"plessor {re.escape(metadata.version('plessor'))} \(lexicon [0-9a-f]{{12}}\)\n"
    assert re.fullmatch(expected, ran.out)


def test_help_lists_every_exit_code_of_the_error_classes(plessor) -> None:
    ran = plessor("--help")
    assert ran.code == 0
    assert "Exit codes" in ran.out
    for error in (InputError, MissingError, DataError, InternalError):
        assert re.search(rf"\b{error.exit_code} ", EPILOG), error


def test_every_output_of_the_program_says_what_it_is_not(plessor) -> None:
    said = " ".join(plessor("--help").out.split())
    assert "supports a licensed clinician; it is not a diagnosis" in said
    assert "local guidance comes first" in said


@pytest.mark.parametrize(
    ("arguments", "expected"),
    [
        (["reed"], "No such command 'reed'. Did you mean 'read'"),
        (["read", "--frmat", "json"], "No such option: --frmat"),
        (
            ["read", "--format", "rtf"],
            f"'rtf' is not one of {', '.join(map(repr, (*FORMATS, *ALIASES)))}.",
        ),
        (
            ["interpret", "x.json", "-f", "csv"],
            "'csv' is not one of 'text', 'html', 'pdf', 'docx', ",
        ),
        (["hear"], "Missing argument 'AUDIO'"),
        (["read", "--age", "7"], "“7” is not an age; write 6y, 6y3m or 18m."),
        (["read", "--age", "200y"], "more than 125 years"),
        (["read", "--age-months", "-1"], "greater than or equal to 0"),
        (["read", "--age", "6y", "--age-months", "80"], "disagree"),
        (["read", "--date", "1.2.2024"], "does not match the format"),
        (["schema", "findings"], "is not one of 'record', 'interpretation'."),
    ],
)
def test_a_wrong_command_line_is_told_in_one_sentence(plessor, arguments, expected) -> None:
    ran = plessor(*arguments)
    assert ran.code == 2
    assert ran.out == ""
    assert expected in ran.sentence
    assert "--help" in ran.sentence


def test_no_arguments_shows_the_help(plessor) -> None:
    ran = plessor()
    assert ran.code == 2
    assert "Usage: plessor" in ran.out + ran.err


def test_an_unexpected_error_tells_type_and_place_but_no_words(plessor, monkeypatch) -> None:
    def fails(*_: object, **__: object) -> None:
        raise ValueError("power of the left wrist is 3")

    monkeypatch.setattr(schema.json, "dumps", fails)
    ran = plessor("schema")
    assert ran.code == InternalError.exit_code == 70
    assert "this is a bug in Plessor (ValueError at plessor.cli.schema:" in ran.sentence
    assert "wrist" not in ran.err
    for shown in (
        plessor("--debug", "schema"),
        (monkeypatch.setenv("PLESSOR_DEBUG", "1"), plessor("schema"))[1],
    ):
        assert shown.code == 70
        assert "Traceback" in shown.err
        assert shown.out == ""


def test_debug_ends_with_the_run_that_asked_for_it(plessor, monkeypatch) -> None:
    plessor("--debug", "lexicon", "check")
    assert not os.environ.get("PLESSOR_DEBUG")


def test_stopped_from_the_keyboard(plessor, monkeypatch) -> None:
    def stopped(*_: object, **__: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(schema.json, "dumps", stopped)
    ran = plessor("schema")
    assert (ran.code, ran.out) == (130, "")


def test_ended_from_outside_leaves_no_part_of_a_file(tmp_path) -> None:
    code = "from plessor.cli.main import run; run()"
    command = [sys.executable, "-c", code, "read", "--quiet", "--out", str(tmp_path / "out.json")]
    with subprocess.Popen(command, stdin=subprocess.PIPE, stderr=subprocess.PIPE) as process:
        for _ in range(200):  # until the temporary file is there: it now waits for its input
            if list(tmp_path.iterdir()):
                break
            time.sleep(0.05)
        assert list(tmp_path.iterdir())
        process.terminate()
        _, err = process.communicate(timeout=20)
    assert process.returncode == 143
    assert b"Traceback" not in err
    assert list(tmp_path.iterdir()) == []


def test_a_reader_that_goes_away_is_no_bug() -> None:
    code = "from plessor.cli.main import run; run()"
    ran = subprocess.run(
        ["bash", "-c", f"{sys.executable} -c '{code}' schema | head -n 1"],
        capture_output=True,
        text=True,
    )
    assert (ran.stdout, ran.stderr) == ("{\n", "")


@pytest.mark.parametrize("shell", ["bash", "zsh", "fish"])
def test_shell_completion_offers_commands_and_formats(shell: str) -> None:
    """Asked for in typer's own protocol (``_PLESSOR_COMPLETE``), as the shells ask for it."""

    def completed(line: str) -> str:
        environment = {
            **os.environ,
            "_PLESSOR_COMPLETE": f"complete_{shell}",
            "COMP_WORDS": line,
            "COMP_CWORD": str(len(line.split(" ")) - 1),
            "_TYPER_COMPLETE_ARGS": line,
            "_TYPER_COMPLETE_FISH_ACTION": "get-args",
        }
        code = "from plessor.cli.main import run; run()"
        ran = subprocess.run(
            [sys.executable, "-c", code], env=environment, capture_output=True, text=True
        )
        assert "Traceback" not in ran.stderr
        return ran.stdout

    assert "interpret" in completed("plessor in")
    assert "jsonl" in completed("plessor read --format ")
