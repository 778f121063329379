"""The HTTP API of the review: addresses, what they take, and what they answer.

Every answer is JSON unless said otherwise, every error ``{"message": "one sentence"}``. The
functions are plain, so that FastAPI runs them in threads; the work is in ``desk``. The order
from outside in: ``security.Guard``, ``answers.Quiet``, this.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated, Any
from urllib.parse import quote

from fastapi import FastAPI, Query, Request
from fastapi.exceptions import RequestValidationError
from pydantic import BaseModel, ConfigDict, Field, StringConstraints
from pydantic_core import to_json
from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.responses import Response
from starlette.types import ASGIApp

from ...lexicon.errors import InputError, MissingError, PlessorError
from ...pipeline.review import Edit
from ...pipeline.store import NothingToUndoError, StoreError, UnknownRecordError
from .answers import Quiet, message_json, told
from .desk import Desk, Overtaken
from .pages import Pages
from .security import Guard, Keys

#: An exported page has its style inside; it is downloaded, and runs nothing if it is opened.
_EXPORT_POLICY = "default-src 'none'; style-src 'unsafe-inline'; img-src data:; sandbox"

#: On one line, as ``reviewer_name`` asks of the command line.
Who = Annotated[
    str,
    StringConstraints(
        strip_whitespace=True, min_length=1, max_length=200, pattern=r"^[^\p{C}\p{Zl}\p{Zp}]+$"
    ),
]
Second = Annotated[float, Query(ge=0.0, allow_inf_nan=False)]


class _Body(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid")

    version: Annotated[int, Field(ge=0)]
    who: Who


class _EditBody(_Body):
    edit: Edit
    teach: bool = False


def make_app(
    desk: Desk, *, keys: Keys, port: int, setup: Mapping[str, Any], pages: Pages | None = None
) -> ASGIApp:
    """The whole application, guarded.

    ``setup`` is what the page asks for first; ``setup["reviewer"]`` is who adds a record.
    """
    api = FastAPI(docs_url=None, redoc_url=None, openapi_url=None, redirect_slashes=False)
    _answer_errors(api)
    _serve_pages(api, pages or Pages())
    setup_json = to_json(dict(setup))

    @api.get("/api/setup")
    def get_setup() -> Response:
        return _json(setup_json)

    @api.get("/api/records")
    def get_records() -> Response:
        return _json(desk.records())

    @api.post("/api/records")
    async def add_record(request: Request) -> Response:
        content = await request.body()
        return _json(await run_in_threadpool(desk.add, content, who=setup["reviewer"]))

    @api.get("/api/records/{id}")
    def get_view(id: str) -> Response:
        return _json(desk.view(id))

    @api.post("/api/records/{id}/edits")
    def edit(id: str, body: _EditBody) -> Response:
        return _json(
            desk.edit(id, body.edit, version=body.version, who=body.who, teaches=body.teach)
        )

    @api.post("/api/records/{id}/undo")
    def undo(id: str, body: _Body) -> Response:
        return _json(desk.undo(id, version=body.version, who=body.who))

    @api.post("/api/records/{id}/sign")
    def sign(id: str, body: _Body) -> Response:
        return _json(desk.sign(id, version=body.version, who=body.who))

    @api.get("/api/records/{id}/suggestions")
    def get_suggestions(id: str) -> Response:
        return _json(desk.suggestions(id))

    @api.get("/api/records/{id}/history")
    def get_history(id: str) -> Response:
        return _json(desk.history(id))

    @api.get("/api/records/{id}/clip")
    def get_clip(id: str, start_s: Second, end_s: Second) -> Response:
        return Response(desk.clip(id, start_s=start_s, end_s=end_s), media_type="audio/wav")

    @api.get("/api/records/{id}/export/{format}")
    def export(id: str, format: str) -> Response:
        content, media_type, file = desk.export(id, format)
        return Response(
            content,
            media_type=media_type,
            headers={
                "content-disposition": _attachment(file),
                "content-security-policy": _EXPORT_POLICY,
            },
        )

    return Guard(Quiet(api), keys=keys, port=port)


def _serve_pages(api: FastAPI, pages: Pages) -> None:
    @api.get("/")
    def page() -> Response:
        return pages.answer("index.html")

    @api.get("/static/{name:path}")
    def static(name: str) -> Response:
        return pages.answer(name)


def _answer_errors(api: FastAPI) -> None:
    """One shape for every error that is meant; ``Quiet`` sees to the others."""

    @api.exception_handler(RequestValidationError)
    def _(_: Request, error: RequestValidationError) -> Response:
        first = error.errors()[0]
        place = ".".join(str(part) for part in first["loc"][1:]) or "the request"
        said = str(first["msg"]).removeprefix("Value error, ")
        return _error(422, f"{place[:100]}: {said[:1].lower()}{said[1:300]}.")

    @api.exception_handler(HTTPException)
    def _(_: Request, error: HTTPException) -> Response:
        said = {
            400: "What was sent is not JSON.",
            404: "There is nothing at this address.",
            405: "This address does not take this method.",
        }
        return _error(error.status_code, said.get(error.status_code, "This cannot be answered."))

    @api.exception_handler(Overtaken)
    def _(_: Request, overtaken: Overtaken) -> Response:
        message = to_json(
            "Somebody else has changed this record since; nothing of yours was saved, and the "
            "newest version is shown."
        )
        return _json(b'{"message":' + message + b',"view":' + overtaken.view + b"}", 409)

    @api.exception_handler(PlessorError)
    def _(_: Request, error: PlessorError) -> Response:
        return _error(_status(error), told(error))

    @api.exception_handler(Exception)  # Starlette answers with it, then hands it on to Quiet
    def _(_: Request, error: Exception) -> Response:
        return _error(500, told(error))


def _status(error: PlessorError) -> int:
    """404 for no such record, 503 when the store fails (nothing was saved: try again later)."""
    kinds = (
        (UnknownRecordError, 404),
        (NothingToUndoError, 422),
        (StoreError, 503),
        (InputError, 422),
        (MissingError, 501),
    )
    return next((status for kind, status in kinds if isinstance(error, kind)), 500)


def _error(status: int, message: str) -> Response:
    return Response(message_json(message), status, media_type="application/json")


def _json(content: bytes, status: int = 200) -> Response:
    return Response(content, status, media_type="application/json")


def _attachment(file: str) -> str:
    """The header that names a download (RFC 6266), safe for any name."""
    plain = "".join(c if c.isascii() and (c.isalnum() or c in "-_.") else "-" for c in file)
    return f"attachment; filename=\"{plain}\"; filename*=UTF-8''{quote(file, safe='')}"
