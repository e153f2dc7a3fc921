"""The papers that leave the shop, written from the register and nothing else."""

from notepipe.papers.letter import Letter, left_out
from notepipe.papers.parts_csv import parts_csv
from notepipe.papers.parts_list import parts_list
from notepipe.papers.update import update

__all__ = ["Letter", "left_out", "parts_csv", "parts_list", "update"]
