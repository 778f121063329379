"""The documents hold: every command, option and exit code has its line, every example runs.

An example in README.md is a ``console`` block: lines that begin with ``$`` are run in the
folder of a fresh clone, and the lines below each must stand in what it prints, in this order.
``…`` in an example stands for anything, on a line of its own for any number of lines.
"""

from __future__ import annotations

import os
import re
import shlex
import shutil
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
import typer
from plessor.cli.main import app
from plessor.lexicon import DataError, InputError, InternalError, MissingError

ROOT = Path(__file__).parent.parent
README = (ROOT / "README.md").read_text(encoding="utf-8")
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
#: Examples that set up, measure, wait or need a model that a test machine may lack: not run.
NOT_RUN = (
    "make ",
    "git clone ",
    "pip install ",
    "plessor hear visit.m4a",
    "plessor --install",
    "plessor review",  # it serves until it is stopped; tests/cli/review starts it
)


def _commands() -> Iterator[tuple[str, list[str]]]:
    """Every command that does something, with its options, from the program itself."""

    def walk(command, name: str) -> Iterator[tuple[str, list[str]]]:
        inner = getattr(command, "commands", {})
        options = [o for p in command.params for o in p.opts if o.startswith("--")]
        if name == "plessor" or not inner:
            yield name, [o for o in options if o != "--help"]
        for word, below in inner.items():
            yield from walk(below, f"{name} {word}")

    yield from walk(typer.main.get_command(app), "plessor")


def _section(title: str) -> str:
    """The text below the heading that is exactly ``title``, up to the next heading."""
    match = re.search(rf"^#+ `{re.escape(title)}`$(.*?)(?=^#|\Z)", README, re.M | re.S)
    assert match, f"README.md has no section “{title}”"
    return match[1]


def _examples() -> Iterator[tuple[str, list[str]]]:
    for block in re.findall(r"^```console\n(.*?)^```$", README, re.M | re.S):
        command, expected = "", []
        for line in block.splitlines():
            if line.startswith("$ "):
                if command:
                    yield command, expected
                command, expected = line[2:], []
            else:
                expected.append(line)
        yield command, expected


EXAMPLES = list(_examples())
RUN = [e for e in EXAMPLES if not e[0].startswith(NOT_RUN)]


@pytest.mark.parametrize(("name", "options"), list(_commands()))
def test_readme_describes_every_command_and_option(name: str, options: list[str]) -> None:
    section = _section(name)
    missing = [o for o in options if not re.search(rf"`{o}[` ]", section)]
    assert not missing


def test_readme_describes_no_option_that_there_is_not() -> None:
    known = {o for _, options in _commands() for o in options} | {"--help"}
    for name, _ in _commands():
        assert set(re.findall(r"`(--[a-z-]+)", _section(name))) <= known


@pytest.mark.parametrize("error", [InputError, MissingError, DataError, InternalError])
def test_readme_lists_every_exit_code(error) -> None:
    assert re.search(rf"^\| {error.exit_code} \|", README, re.M)


def test_readme_begins_with_the_job_and_the_two_commands() -> None:
    assert re.search(r"\A# Plessor\n\n[^\n#`].+?\n\n```console\n\$ make demo\n", README, re.S)
    assert "$ make test" in README.split("\n## ")[0]


@pytest.mark.parametrize("document", ["README.md", "DEVELOPERS.md", "CHANGELOG.md"])
def test_documents_link_to_files_that_exist(document: str) -> None:
    text = (ROOT / document).read_text(encoding="utf-8")
    links = re.findall(r"\]\((?!https?://|#)([^)#]+)", text)
    assert not [link for link in links if not (ROOT / link).exists()]


def test_developers_names_files_that_exist_and_every_stage() -> None:
    named = set(
        re.findall(r"`((?:pipeline|lexicon|cli|tests|bench|samples)/[\w./-]*)`", DEVELOPERS)
    )
    assert named
    assert not [path for path in named if not (ROOT / path).exists()]
    stages = [p.name.removesuffix(".py") for p in (ROOT / "pipeline").iterdir()]
    for stage in stages:
        if not stage.startswith("_") and stage != "py.typed":
            assert re.search(rf"`pipeline/{stage}(\.py|/)", DEVELOPERS), stage


@pytest.mark.parametrize("example", re.findall(r"```python\n(.*?)```", DEVELOPERS, re.S))
def test_examples_for_developers_run(example: str, capsys: pytest.CaptureFixture[str]) -> None:
    exec(compile(example, "DEVELOPERS.md", "exec"), {})
    printed = capsys.readouterr().out
    for wanted in re.findall(r"^print\(.*\)  # (.+)$", example, re.M):
        assert wanted in printed.splitlines()


@pytest.fixture(scope="module")
def clone(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("clone")
    shutil.copytree(ROOT / "samples", folder / "samples")
    return folder


@pytest.mark.parametrize(
    ("command", "expected"),
    [pytest.param(*e, id=e[0], marks=[pytest.mark.slow] if " hear " in e[0] else []) for e in RUN],
)
def test_readme_example_prints_what_it_shows(
    clone: Path, command: str, expected: list[str]
) -> None:
    python = shlex.quote(sys.executable)
    program = f"plessor() {{ {python} -c 'from plessor.cli.main import run; run()' \"$@\"; }}; "
    ran = subprocess.run(
        ["bash", "-c", program + command],
        cwd=clone,
        capture_output=True,
        text=True,
        env={
            **os.environ,
            "PLESSOR_CONFIG": str(clone / "config"),
            "PLESSOR_DATA": str(clone / "data"),
        },
    )
    assert "Traceback" not in ran.stderr
    printed = _plain(ran.stdout + ran.stderr)
    place = 0
    for line in expected:
        if line.strip() in ("", "…"):
            continue
        pattern = ".*?".join(re.escape(part) for part in _plain(line).split("…"))
        match = re.compile(rf"^{pattern}$", re.M).search(printed, place)
        assert match, f"“{line}” is not printed by {command}:\n{printed}"
        place = match.end()


def _plain(text: str) -> str:
    """The text without its columns: what is held against the examples are the words."""
    return "\n".join(" ".join(line.split()) for line in text.splitlines())


def test_readme_has_an_example_of_every_command() -> None:
    shown = " ".join(command for command, _ in EXAMPLES)
    for name, _ in _commands():
        assert name in shown, name
