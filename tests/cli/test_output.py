"""Results appear whole or not at all."""

from __future__ import annotations

import os
import stat

import pytest
from plessor.cli.output import output
from plessor.lexicon import InputError


def test_output_appears_only_at_the_end_and_alone(tmp_path) -> None:
    target = tmp_path / "result.json"
    with output(target) as write:
        write("one\n")
        assert not target.exists()
        write("two\n")
    assert target.read_bytes() == b"one\ntwo\n"
    assert list(tmp_path.iterdir()) == [target]


@pytest.mark.parametrize("error", [InputError("x"), RuntimeError("x"), KeyboardInterrupt()])
def test_output_leaves_nothing_behind_and_the_old_file_alone(tmp_path, error) -> None:
    target = tmp_path / "result.json"
    target.write_text("old")
    with pytest.raises(type(error)), output(target) as write:
        write("half of a re")
        raise error
    assert target.read_text() == "old"
    assert list(tmp_path.iterdir()) == [target]


def test_output_without_anything_written_makes_no_file(tmp_path) -> None:
    with output(tmp_path / "result.json"):
        pass
    assert list(tmp_path.iterdir()) == []


def test_output_is_readable_by_its_owner_alone(tmp_path) -> None:
    with output(tmp_path / "result.json") as write:
        write("x")
    assert stat.S_IMODE((tmp_path / "result.json").stat().st_mode) == 0o600


def test_output_follows_a_link_and_keeps_it(tmp_path) -> None:
    (tmp_path / "real").mkdir()
    link = tmp_path / "link.json"
    link.symlink_to(tmp_path / "real" / "result.json")
    with output(link) as write:
        write("x")
    assert link.is_symlink()
    assert (tmp_path / "real" / "result.json").read_text() == "x"


def test_output_writes_into_a_pipe_without_replacing_it(tmp_path) -> None:
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)
    reader = os.open(pipe, os.O_RDONLY | os.O_NONBLOCK)
    try:
        with output(pipe) as write:
            write("x\n")
        assert os.read(reader, 10) == b"x\n"
        assert stat.S_ISFIFO(pipe.stat().st_mode)
    finally:
        os.close(reader)


@pytest.mark.parametrize("name", [".", "missing/result.json", "case.txt"])
def test_output_refuses_before_anything_is_worked_on(tmp_path, name) -> None:
    source = tmp_path / "case.txt"
    source.write_text("words")
    with (
        pytest.raises(InputError, match=r": (this )?(is|cannot) "),
        output(tmp_path / name, inputs=[source]),
    ):
        pytest.fail("the work must not begin")
    assert source.read_text() == "words"
    assert list(tmp_path.iterdir()) == [source]
