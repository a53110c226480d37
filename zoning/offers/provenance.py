"""Where a result comes from: hashes of what it was made of. Reads no files; their hashes are inputs."""

import hashlib
import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date

from shapely import normalize, set_precision, to_wkb

from zoning import __version__, evidence
from zoning.inputs.given import Area
from zoning.settings.model import Settings

_ID_LETTERS = 16
_ID_GRID_M = 0.01  # shapes that agree within a centimetre are the same zones


@dataclass(frozen=True, slots=True, kw_only=True)
class Provenance:
    """What a run was made of. `settings` is the merged settings as JSON values, in internal units."""

    version: str
    today: date
    seed: int
    settings: Mapping[str, object]
    inputs: Mapping[str, str]
    evidence: Mapping[str, str]

    @property
    def run_id(self) -> str:
        """Hash of inputs, settings, evidence, version, today and seed."""
        return _digest(
            [
                self.version,
                self.today.isoformat(),
                self.seed,
                self.settings,
                dict(sorted(self.inputs.items())),
                dict(sorted(self.evidence.items())),
            ]
        )

    def as_object(self) -> dict[str, object]:
        """Give what run.json holds."""
        return {
            "run_id": self.run_id,
            "version": self.version,
            "today": self.today.isoformat(),
            "seed": self.seed,
            "settings": self.settings,
            "inputs": dict(sorted(self.inputs.items())),
            "evidence": dict(sorted(self.evidence.items())),
        }


def provenance_of(settings: Settings, inputs: Mapping[str, str], *, today: date, seed: int) -> Provenance:
    """Collect what a run is made of."""
    return Provenance(
        version=__version__,
        today=today,
        seed=seed,
        settings=settings.model_dump(mode="json"),
        inputs=inputs,
        evidence=evidence.digest(),
    )


def with_inputs(made_of: Provenance, inputs: Mapping[str, str]) -> Provenance:
    """Add inputs that were not known before: by name, their SHA-256."""
    return replace(made_of, inputs={**made_of.inputs, **inputs})


def zones_id(outlines: Sequence[Area]) -> str:
    """Hash of zone shapes and numbers.

    Parameters
    ----------
    outlines : sequence of Polygon or MultiPolygon
        In the order of the zone numbers, in metres.

    Examples
    --------
    >>> from shapely import box
    >>> zones_id([box(0, 0, 9, 9)]) == zones_id([box(0, 0, 9, 9.001)])
    True
    >>> zones_id([box(0, 0, 9, 9)]) == zones_id([box(0, 0, 9, 9.1)])
    False
    """
    shapes = [to_wkb(normalize(set_precision(outline, _ID_GRID_M)), hex=True) for outline in outlines]
    return _digest(shapes)


def _digest(thing: object) -> str:
    text = json.dumps(thing, sort_keys=True, separators=(",", ":"))
    return hashlib.sha256(text.encode()).hexdigest()[:_ID_LETTERS]
