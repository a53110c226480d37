"""Answers as they came, kept beside the farm: a line that says what was asked and when, and then the answer.

A file of it that is not whole counts as none, and is asked for again. The folder may be removed at any time.
"""

import hashlib
import json
from dataclasses import dataclass
from datetime import date, timedelta
from pathlib import Path

from zoning.fetch.session import Answer
from zoning.fetch.weather.daily import Span
from zoning.fetch.weather.place import Place
from zoning.fetch.weather.services import Service
from zoning.inputs import store

FOLDER = ".fetched"


@dataclass(frozen=True, slots=True, kw_only=True)
class Kept:
    """An answer that came on some day to a question about some days."""

    span: Span
    got: date
    asked: str
    answer: Answer

    def holds(self, wanted: Span, clock: date, service: Service) -> bool:
        """Tell whether asking for some days again can bring nothing new: these came late enough, or today."""
        is_there = self.span.first == wanted.first and self.span.last >= wanted.last
        is_late = self.got > wanted.last + timedelta(days=service.lag_d)
        return is_there and (is_late or self.got >= clock)


def path_of(home: Path, service: Service, place: Place, first: date) -> Path:
    """Name the file of an answer: by service, place and first day."""
    at = f"{place.latitude_deg:.{service.decimals}f}_{place.longitude_deg:.{service.decimals}f}"
    return home / FOLDER / "weather" / service.key / at / f"{first}.answer"


def keep(path: Path, kept: Kept) -> None:
    """Write an answer down, in one step."""
    head = {
        "asked": kept.asked,
        "first": str(kept.span.first),
        "last": str(kept.span.last),
        "got": str(kept.got),
        "kind": kept.answer.kind,
        "sha256": hashlib.sha256(kept.answer.body).hexdigest(),
    }
    store.write_bytes(path, json.dumps(head).encode("ascii") + b"\n" + kept.answer.body)


def kept(path: Path) -> Kept | None:
    """Read an answer back; None where there is none, or not a whole one."""
    try:
        line, _, body = path.read_bytes().partition(b"\n")
        head = json.loads(line)
        if head["sha256"] != hashlib.sha256(body).hexdigest():
            return None
        return Kept(
            span=Span(first=date.fromisoformat(head["first"]), last=date.fromisoformat(head["last"])),
            got=date.fromisoformat(head["got"]),
            asked=str(head["asked"]),
            answer=Answer(status=200, kind=str(head["kind"]), body=body),
        )
    except (OSError, ValueError, TypeError, KeyError, RecursionError):
        return None
