"""What every row of every pack is, and where the packs lie."""

from __future__ import annotations

from pathlib import Path
from typing import Literal

from pydantic import BaseModel, ConfigDict

HERE = Path(__file__).parent

ActionName = Literal[
    "replate", "polish", "buff", "straighten", "repair", "clean", "coat",
    "make", "replace", "buy", "source", "leave", "scrap",
]  # fmt: skip


class Row(BaseModel):
    """A row of a pack; it knows no field but its own."""

    model_config = ConfigDict(frozen=True, extra="forbid")
