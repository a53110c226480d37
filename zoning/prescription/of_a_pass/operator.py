"""passes/P1/P1_0714.shp: what the operator loads for one pass, with one numeric column and nothing else.

The conservative profile: name of at most 8 ASCII letters, single polygons, one rate column with its unit in
the name, 0 where this pass does not spray, no missing value, the whole field covered. The rate is the total
volume of spray mix, not the dose of the product. Beside it README.txt, and a zip of all that for the stick.
"""

from pathlib import Path

from zoning.plan import Plan, PlanPass
from zoning.prescription.of_a_pass import bundle, readme
from zoning.prescription.of_a_pass.each_pass import stem, write_each
from zoning.prescription.rates import rate_column, rate_of
from zoning.prescription.shapefile import Row, set_of


def files_of(plan: Plan, one: PlanPass) -> dict[str, bytes]:
    """Give the set of a pass, README.txt, and the zip of both, by their names."""
    metric = plan.units == "metric"
    column = rate_column(metric)
    rows = [Row(part.outline, {column: rate_of(part.rate_gal_ac, metric=metric)}) for part in one.map.parts]
    files = set_of(stem(one), {column: "float:8.2"}, rows, plan.today)
    files[readme.NAME] = readme.text(plan, one, stem(one), column).encode("ascii")
    together = f"{bundle.field_in_name(plan.field)}_{stem(one)}.zip"
    return files | {together: bundle.zipped(files, plan.today)}


def write(plan: Plan, folder: Path) -> tuple[str, ...]:
    """Write the set, README and zip of each pass; names of the files, as `write_each` gives them."""
    return write_each(plan, folder, lambda one: files_of(plan, one))
