"""The plan of a field: the frozen result. Files and pictures are made from them and nothing else.

A plan neither prints nor draws; `prescription.as_json.plan_json.as_object` gives what plan.json holds.
"""

from zoning.inputs.given import Area as Area
from zoning.inputs.given import NoSprayKind as NoSprayKind
from zoning.passes.loads.sheet import LoadSheet as LoadSheet
from zoning.passes.pass_map import Fitted as Fitted
from zoning.passes.pass_map import MapPart as MapPart
from zoning.passes.pass_map import PassMap as PassMap
from zoning.passes.problem import VisitPart as VisitPart
from zoning.passes.what_if import Figures as Figures
from zoning.passes.what_if import WhatIf as WhatIf
from zoning.passes.what_if import WhatIfVisit as WhatIfVisit
from zoning.passes.what_if import WhatIfZone as WhatIfZone
from zoning.plan.farm import FarmPlan as FarmPlan
from zoning.plan.farm import HalfDayUse as HalfDayUse
from zoning.plan.farm import LeftOut as LeftOut
from zoning.plan.farm import WorthOf as WorthOf
from zoning.plan.field import Plan as Plan
from zoning.plan.field import PlanWalk as PlanWalk
from zoning.plan.field import Scouted as Scouted
from zoning.plan.field import ScoutedKind as ScoutedKind
from zoning.plan.field import Totals as Totals
from zoning.plan.ground import Picture as Picture
from zoning.plan.ground import Piece as Piece
from zoning.plan.ground import PlanNoSpray as PlanNoSpray
from zoning.plan.ground import PlanStrip as PlanStrip
from zoning.plan.ground import PlanStrips as PlanStrips
from zoning.plan.ground import PlanTreatment as PlanTreatment
from zoning.plan.passes import PlanPass as PlanPass
from zoning.plan.zones import SOURCES as SOURCES
from zoning.plan.zones import Action as Action
from zoning.plan.zones import BlockZones as BlockZones
from zoning.plan.zones import Override as Override
from zoning.plan.zones import PlanZone as PlanZone
from zoning.plan.zones import SourceReturn as SourceReturn
from zoning.plan.zones import ZoneMoney as ZoneMoney
from zoning.plan.zones import ZoneSince as ZoneSince
from zoning.returns.price import NO_PRICE_PAYS as NO_PRICE_PAYS

SCHEMA_VERSION = 1
