"""One failing input leaves the others alone; what concerns all of them ends the run."""

from __future__ import annotations

import pytest
import typer
from plessor.cli.faults import Faults, say
from plessor.lexicon import DataError, InputError, InternalError, MissingError


def _work(fails: dict[str, Exception]):
    def work(one: str) -> str:
        if one in fails:
            raise fails[one]
        return one.upper()

    return work


def test_faults_each_goes_on_and_keeps_the_first_code(capsys) -> None:
    faults = Faults()
    work = _work({"b": InputError("b is bad."), "c": KeyError("secret words")})
    assert list(faults.each("abcd", work, name=str)) == ["A", "D"]
    with pytest.raises(typer.Exit) as ended:
        faults.end()
    assert ended.value.exit_code == InputError.exit_code
    first, second = capsys.readouterr().err.splitlines()
    assert first == "plessor: b is bad."
    assert second.startswith("plessor: c: this is a bug in Plessor (KeyError")
    assert "secret" not in second


def test_faults_without_a_failure_end_quietly() -> None:
    faults = Faults()
    assert list(faults.each("ab", _work({}), name=str)) == ["A", "B"]
    faults.end()


@pytest.mark.parametrize("error", [MissingError("no model"), DataError("bad row")])
def test_faults_of_the_machine_or_the_lexicon_end_the_run(error) -> None:
    with pytest.raises(type(error)):
        list(Faults().each("ab", _work({"a": error}), name=str))


@pytest.mark.parametrize("error", [InputError, MissingError, DataError, InternalError])
def test_say_prints_a_sentence_and_returns_the_class_s_code(capsys, error) -> None:
    assert say(error("It is so.")) == error.exit_code
    assert capsys.readouterr().err == "plessor: It is so.\n"
