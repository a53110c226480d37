"""What the page may reckon again for itself: what it is given, and what it answers."""

from zoning.passes.what_if.answer import Answer as Answer
from zoning.passes.what_if.answer import VisitAnswer as VisitAnswer
from zoning.passes.what_if.answer import ZoneAnswer as ZoneAnswer
from zoning.passes.what_if.asked import Action as Action
from zoning.passes.what_if.asked import Figures as Figures
from zoning.passes.what_if.asked import Rule as Rule
from zoning.passes.what_if.asked import Steps as Steps
from zoning.passes.what_if.asked import WhatIf as WhatIf
from zoning.passes.what_if.asked import WhatIfVisit as WhatIfVisit
from zoning.passes.what_if.asked import WhatIfVolume as WhatIfVolume
from zoning.passes.what_if.asked import WhatIfZone as WhatIfZone
from zoning.passes.what_if.judge import judge as judge
