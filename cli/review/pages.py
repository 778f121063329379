"""The files of the page: a closed list, made once, so that no address leads out of it."""

from __future__ import annotations

from pathlib import Path

from starlette.exceptions import HTTPException
from starlette.responses import Response

_FOLDER = Path(__file__).parent / "static"
#: Stated here because a system's own list of types may be wrong, and browsers then refuse.
_TYPES = {
    ".html": "text/html; charset=utf-8",
    ".css": "text/css; charset=utf-8",
    ".js": "text/javascript; charset=utf-8",
    ".mjs": "text/javascript; charset=utf-8",
    ".json": "application/json",
    ".svg": "image/svg+xml",
    ".png": "image/png",
    ".woff2": "font/woff2",
}


class Pages:
    """The files below ``folder`` whose types are known."""

    def __init__(self, folder: Path = _FOLDER) -> None:
        self._files = {
            path.relative_to(folder).as_posix(): path
            for path in folder.rglob("*")
            if path.suffix in _TYPES and path.is_file() and not path.is_symlink()
        }

    def answer(self, name: str) -> Response:
        """The file of that name below the folder; 404 for every other name."""
        path = self._files.get(name)
        if path is None:
            raise HTTPException(404)
        return Response(path.read_bytes(), media_type=_TYPES[path.suffix])
