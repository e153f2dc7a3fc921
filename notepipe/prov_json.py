"""PROV-JSON (W3C Member Submission, 24 April 2013): the records of a document, put together and written.

Names are made here from numbers and tags alone, so that what somebody typed never becomes part of one.
"""

from __future__ import annotations

import json
from collections.abc import Mapping

Value = str | int | Mapping[str, str]
Attributes = Mapping[str, Value]

PROV = "http://www.w3.org/ns/prov#"
XSD = "http://www.w3.org/2001/XMLSchema#"

# The two ends of each relation, by the names the submission gives them.
_ENDS = {
    "wasGeneratedBy": ("prov:entity", "prov:activity"),
    "used": ("prov:activity", "prov:entity"),
    "wasInvalidatedBy": ("prov:entity", "prov:activity"),
    "wasDerivedFrom": ("prov:generatedEntity", "prov:usedEntity"),
    "wasAttributedTo": ("prov:entity", "prov:agent"),
    "wasAssociatedWith": ("prov:activity", "prov:agent"),
    "actedOnBehalfOf": ("prov:delegate", "prov:responsible"),
    "specializationOf": ("prov:specificEntity", "prov:generalEntity"),
    "hadMember": ("prov:collection", "prov:entity"),
}


def name(qualified: str) -> dict[str, str]:
    """A qualified name as a value: ``prov:Revision``."""
    return {"$": qualified, "type": "prov:QUALIFIED_NAME"}


def address(text: str) -> dict[str, str]:
    """An address as a value: ``walk.m4a#t=12.4,17.9``."""
    return {"$": text, "type": "xsd:anyURI"}


class ProvDocument:
    """A document while it is put together; relations are numbered in the order they are told."""

    def __init__(self, prefixes: Mapping[str, str]) -> None:
        self._prefixes = {"xsd": XSD, **prefixes}
        self._records: dict[str, dict[str, dict[str, Value]]] = {}
        self._relations = 0

    def entity(self, qualified: str, attributes: Attributes) -> str:
        """Something there is; told again it gets more attributes. Returns its name."""
        return self._element("entity", qualified, attributes)

    def activity(self, qualified: str, at: str, attributes: Attributes) -> str:
        """Something that was done at the time *at* (RFC 3339). Returns its name."""
        return self._element("activity", qualified, {"prov:startTime": at, "prov:endTime": at, **attributes})

    def agent(self, qualified: str, attributes: Attributes) -> str:
        """Somebody, or a program. Returns its name."""
        return self._element("agent", qualified, attributes)

    def relate(self, relation: str, one: str, other: str, attributes: Attributes | None = None) -> None:
        """*one* stands in *relation* to *other*. Raises KeyError for a relation that is not in PROV."""
        first, second = _ENDS[relation]
        self._relations += 1
        told = {first: one, second: other, **(attributes or {})}
        self._records.setdefault(relation, {})[f"_:r{self._relations}"] = told

    def text(self) -> str:
        """The document as JSON, the same whenever the same was told."""
        whole = {"prefix": self._prefixes, **self._records}
        return json.dumps(whole, ensure_ascii=False, indent=1, sort_keys=True) + "\n"

    def _element(self, kind: str, qualified: str, attributes: Attributes) -> str:
        self._records.setdefault(kind, {}).setdefault(qualified, {}).update(attributes)
        return qualified
