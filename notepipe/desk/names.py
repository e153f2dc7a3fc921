"""Names of files that a browser sent: nothing in them is trusted."""

from __future__ import annotations

import re
import unicodedata

_LONGEST_BYTES = 150
"""With a hash and an ending in front and behind it still fits any disk."""
_TAKEN = re.compile(r"(?i)(con|prn|aux|nul|com\d|lpt\d)(\..*)?")


def safe_name(name: str) -> str:
    """The last step of *name* as a name any disk can have: no path, no control signs, no leading dot.

    Its ending stays; a name of which nothing is left is ``file``.
    """
    last = re.split(r"[/\\]", name)[-1]
    # Control signs and marks that turn the direction of writing ("gpj.exe") say nothing of the name itself.
    kept = "".join(c for c in last if unicodedata.category(c)[0] != "C" and c not in '<>:"|?*')
    kept = " ".join(kept.split()).strip(". ")
    stem, dot, ending = kept.rpartition(".")
    if not dot or len(ending) > 8:
        stem, dot, ending = kept, "", ""
    stem = _short(stem, _LONGEST_BYTES)
    whole = f"{stem or 'file'}{dot}{ending}"
    return f"file-{whole}" if _TAKEN.fullmatch(whole) else whole


def _short(text: str, most_bytes: int) -> str:
    return text.encode("utf-8")[:most_bytes].decode("utf-8", "ignore").rstrip()
