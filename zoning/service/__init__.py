"""A field or a farm in three lines, for a notebook, a script or a service.

    from zoning.service import plan_field
    planned = plan_field("my_farm/north_forty", today="2026-07-08")
    planned.zones

What stands in `__all__` is documented in docs/reference/python.md and stays as it is described there. Of a
field nothing is written unless `write` is called; `plan_farm` writes, as `sprayworth farm` does. No clock is
read: a day that is neither given nor in the settings is a fault. Planning and drawing set things that hold
for the whole process, so calls from several threads wait for each other; for many fields at once use
processes.
"""

from zoning.errors import InputError
from zoning.service.planned_farm import PlannedFarm, plan_farm
from zoning.service.planned_field import PlannedField, plan_field

__all__ = ["InputError", "PlannedFarm", "PlannedField", "plan_farm", "plan_field"]
