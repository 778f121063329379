"""What every model of an interpretation is built on: frozen, with sources as rows of data."""

from __future__ import annotations

from pydantic import BaseModel, ConfigDict


class Model(BaseModel):
    """A part of an interpretation: frozen, unknown keys refused."""

    model_config = ConfigDict(frozen=True, extra="forbid")


class DataRow(Model):
    """One entry of the lexicon's data: its file, its name there, and its source."""

    table: str
    row: str
    source: str
    source_kind: str
