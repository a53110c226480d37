"""Rules about what a task asks of the machine: zones, dictionary entries, values and how they are shown."""

from collections import Counter
from collections.abc import Iterator
from functools import partial

from zoning.evidence import number, numbers
from zoning.file_checks.finding import Rule, Seen
from zoning.file_checks.taskdata.parts import RAW_PER_L_HA, SETPOINT, Task, TaskData, dictionary_entry
from zoning.file_checks.taskdata.read import Node

_PLANNED = 1
_STATUS = {2: "running", 3: "paused", 4: "completed", 5: "a template", 6: "cancelled"}
_PLACES = {"H": "without a zone", "I": "where the position is lost", "J": "outside the field"}
_LINKS = {"C": "customer", "D": "farm", "E": "field"}
# Dictionary entries, by what they are of: everything but the setpoint of volume is wrong for a spray.
_ACTUAL = range(2, 3)
_BOUNDS = range(3, 6)
_MASS = range(6, 11)
_COUNT = range(11, 16)
_HUNDREDTHS = 100.0


def _no_task(data: TaskData) -> Iterator[Seen]:
    if not data.tasks:
        yield {}


def _no_link(data: TaskData) -> Iterator[Seen]:
    for task in data.tasks:
        for name, called in _LINKS.items():
            if name not in task.node.attributes:
                yield {"line": task.node.line, "task": task.told, "called": called}


def _not_planned(data: TaskData) -> Iterator[Seen]:
    for task in data.tasks:
        status = task.node.whole("G")
        if status in _STATUS and status != _PLANNED:
            yield {"line": task.node.line, "task": task.told, "status": _STATUS[status]}


def _no_zones(data: TaskData) -> Iterator[Seen]:
    for task in data.tasks:
        if not task.zones:
            yield {"line": task.node.line, "task": task.told}


def _code_twice(data: TaskData) -> Iterator[Seen]:
    for task in data.tasks:
        count = Counter(zone.code for zone in task.zones if zone.code is not None)
        for code, times in count.items():
            if times > 1:
                yield {"line": task.node.line, "task": task.told, "zone": code, "count": times}


def _no_default(data: TaskData) -> Iterator[Seen]:
    for task in data.tasks:
        for name, place in _PLACES.items():
            if name not in task.node.attributes:
                yield {"line": task.node.line, "task": task.told, "name": name, "place": place}


def _no_such_zone(data: TaskData) -> Iterator[Seen]:
    for task in data.tasks:
        for name, place in _PLACES.items():
            code = task.node.whole(name)
            if code is not None and code not in task.by_code:
                about = {"line": task.node.line, "task": task.told}
                yield {**about, "name": name, "place": place, "zone": code}


def _rate_outside(data: TaskData) -> Iterator[Seen]:
    for task in data.tasks:
        zone = task.by_code.get(task.node.whole("J") or 0) if "J" in task.node.attributes else None
        if zone is not None and any((rate.whole("B") or 0) > 0 for rate in zone.rates):
            yield {"line": task.node.line, "task": task.told, "zone": zone.code}


def _zone_without_rate(data: TaskData) -> Iterator[Seen]:
    for task in data.tasks:
        for zone in task.zones:
            if not zone.rates:
                yield {"line": zone.node.line, "zone": zone.node.text("A")}


def _rates(data: TaskData) -> Iterator[tuple[Task, Node]]:
    for task in data.tasks:
        for zone in task.zones:
            for rate in zone.rates:
                yield task, rate


def _entry_of(wrong: range, data: TaskData) -> Iterator[Seen]:
    for _, rate in _rates(data):
        if dictionary_entry(rate) in wrong:
            yield {"line": rate.line, "entry": rate.text("A").upper()}


def _other_entry(data: TaskData) -> Iterator[Seen]:
    known = (*range(SETPOINT, SETPOINT + 1), *_ACTUAL, *_BOUNDS, *_MASS, *_COUNT)
    for _, rate in _rates(data):
        entry = dictionary_entry(rate)
        if entry is not None and entry not in known:
            yield {"line": rate.line, "entry": rate.text("A").upper()}


def _raw(data: TaskData) -> Iterator[tuple[Node, int]]:
    """Give the rates in the right entry with the value as it stands."""
    for _, rate in _rates(data):
        value = rate.whole("B")
        if dictionary_entry(rate) == SETPOINT and value is not None:
            yield rate, value


def _negative(data: TaskData) -> Iterator[Seen]:
    for rate, value in _raw(data):
        if value < 0:
            yield {"line": rate.line, "value": value}


def slip(raw: float) -> str | None:
    """Name the rule that a raw value breaks, None where it is a carrier volume that a sprayer may apply.

    Examples
    --------
    >>> slip(1_870_791), slip(18_708), slip(187), slip(0), slip(1e9)
    (None, 'iso_rate_times_100', 'iso_rate_not_scaled', None, 'iso_rate_unlikely')
    """
    low, high = numbers("file_checks.plausible_l_ha")
    if raw <= 0 or low <= raw / RAW_PER_L_HA <= high:
        return None
    if raw / RAW_PER_L_HA > high:
        return "iso_rate_unlikely"
    if low <= raw / _HUNDREDTHS <= high:
        return "iso_rate_times_100"
    return "iso_rate_not_scaled" if low <= raw <= high else "iso_rate_unlikely"


def _slipped(rule: str, data: TaskData) -> Iterator[Seen]:
    for rate, value in _raw(data):
        if slip(value) == rule:
            yield {
                "line": rate.line,
                "value": value,
                "l_ha": value / RAW_PER_L_HA,
                "meant_l_ha": value / _HUNDREDTHS,
            }


def _per_l_ha(unit: str) -> float | None:
    """How many of a unit one L/ha is; None where the unit is not known."""
    known = {"l/ha": 1.0, "gal/ac": 1 / number("file_checks.l_ha_per_gal_ac"), "mm3/m2": RAW_PER_L_HA / 100}
    spelled = {"gpa": "gal/ac", "gal/acre": "gal/ac", "us gal/ac": "gal/ac", "mm³/m²": "mm3/m2"}
    name = " ".join(unit.lower().split())
    return known.get(spelled.get(name, name))


def _shown(data: TaskData) -> Iterator[tuple[Node, Node]]:
    """Give the presentations in use, each with the highest rate that is shown so."""
    highest: dict[str, tuple[Node, Node, int]] = {}
    for rate, value in _raw(data):
        view = data.presentation(rate)
        if view is not None and value >= highest.get(view.text("A"), (view, rate, 0))[2]:
            highest[view.text("A")] = (view, rate, value)
    return ((view, rate) for view, rate, _ in highest.values())


def _unit_unknown(data: TaskData) -> Iterator[Seen]:
    for view, _ in _shown(data):
        if _per_l_ha(view.text("E")) is None:
            yield {"line": view.line, "id": view.text("A"), "unit": view.text("E")}


def _shown_otherwise(data: TaskData) -> Iterator[Seen]:
    for view, rate in _shown(data):
        per_l_ha = _per_l_ha(view.text("E"))
        offset, scale = view.whole("B"), view.decimal("C")
        raw = rate.whole("B") or 0
        if per_l_ha is None or offset is None or scale is None:
            continue
        true, shown = raw / RAW_PER_L_HA * per_l_ha, (raw + offset) * scale
        if abs(shown - true) > number("file_checks.shown_off_frac") * max(true, 1.0):
            about = {"line": view.line, "id": view.text("A"), "unit": view.text("E")}
            yield {**about, "shown": shown, "true": true}


RULES: tuple[Rule[TaskData], ...] = (
    Rule("iso_no_task", "refused", _no_task),
    Rule("iso_no_link", "doubtful", _no_link),
    Rule("iso_not_planned", "doubtful", _not_planned),
    Rule("iso_no_zones", "refused", _no_zones),
    Rule("iso_code_twice", "refused", _code_twice),
    Rule("iso_no_default", "doubtful", _no_default),
    Rule("iso_no_such_zone", "refused", _no_such_zone),
    Rule("iso_rate_outside", "doubtful", _rate_outside),
    Rule("iso_zone_without_rate", "refused", _zone_without_rate),
    Rule("iso_entry_actual", "refused", partial(_entry_of, _ACTUAL)),
    Rule("iso_entry_bounds", "refused", partial(_entry_of, _BOUNDS)),
    Rule("iso_entry_mass", "refused", partial(_entry_of, _MASS)),
    Rule("iso_entry_count", "refused", partial(_entry_of, _COUNT)),
    Rule("iso_entry_other", "doubtful", _other_entry),
    Rule("iso_negative", "refused", _negative),
    Rule("iso_rate_times_100", "refused", partial(_slipped, "iso_rate_times_100")),
    Rule("iso_rate_not_scaled", "refused", partial(_slipped, "iso_rate_not_scaled")),
    Rule("iso_rate_unlikely", "refused", partial(_slipped, "iso_rate_unlikely")),
    Rule("iso_unit_unknown", "doubtful", _unit_unknown),
    Rule("iso_shown_otherwise", "refused", _shown_otherwise),
)
