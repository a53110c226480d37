"""Files with one fault each: the rule that is made for it must tell; and good files give no finding."""

from pathlib import Path

import pytest
from faults_of_geojson import COLLECTION as GEOJSON_FAULTS
from faults_of_sets import SETS
from faults_of_zips import ZIPS
from made_sets import read, write

from zoning.errors import InputError
from zoning.file_checks import check, checks
from zoning.file_checks.geojson import COLLECTION
from zoning.file_checks.of_polygons.geometry import COORDINATES, RINGS
from zoning.file_checks.of_polygons.ground import GROUND
from zoning.file_checks.of_polygons.rates import OF_A_PASS
from zoning.file_checks.shapefile import SET_OF_A_PASS
from zoning.file_checks.shapefile.dbf import TABLE_OF_A_PASS
from zoning.file_checks.shapefile.prj import CPG, PRJ
from zoning.file_checks.shapefile.shp import SHP, SHX
from zoning.file_checks.sums import SUMS
from zoning.file_checks.zipped import ZIP

OWN = Path("passes") / "P1"
FAULTS = [
    *(("P1_0706.shp", name, *fault) for name, fault in SETS.items()),
    *(("P1_0706.geojson", name, *fault) for name, fault in GEOJSON_FAULTS.items()),
    *(("P1_0706.zip", name, *fault) for name, fault in ZIPS.items()),
]
RULES = [
    *(*SET_OF_A_PASS, *SHP, *SHX, *TABLE_OF_A_PASS, *PRJ, *CPG),
    *(*COORDINATES, *RINGS, *GROUND, *OF_A_PASS),
    *(*COLLECTION, *ZIP, *SUMS),
]


def only(folder, name):
    """Leave nothing in the folder of a pass but one file, or the set that it belongs to."""
    kept = {".shp", ".shx", ".dbf", ".prj", ".cpg"} if name.endswith(".shp") else {Path(name).suffix}
    for path in folder.iterdir():
        if path.suffix not in kept:
            path.unlink()
    return folder / name


def codes(path):
    return {one.code.removeprefix("file_checks.") for one in checks(path)}


def test_good_files_give_no_finding(out):
    checked = check(out)
    assert checked.findings == ()
    # by hand: two sets of five files, a GeoJSON, a zip, and in the zip a set with README and checksums
    assert len(checked.files) == 2 * 5 + 1 + 1 + 5 + 1
    for path in out.rglob("*.*"):
        if path.suffix not in (".qml", ".sld"):
            assert checks(path) == ()


def test_a_good_set_written_by_the_test_itself_gives_no_finding(out):
    shp = only(out / OWN, "P1_0706.shp")
    write(shp, read(shp))
    assert checks(out) == ()


@pytest.mark.parametrize(("name", "fault", "code", "spoil"), FAULTS, ids=[f"{a} {b}" for a, b, *_ in FAULTS])
def test_a_fault_is_told(name, fault, code, spoil, out):
    spoil(only(out / OWN, name))
    assert code in codes(out / OWN)


def test_each_rule_has_a_fault():
    assert {rule.name for rule in RULES} <= {code for _, _, code, _ in FAULTS}


def test_a_fault_is_refused_or_doubted_as_its_rule_says(out):
    severity = {(rule.name): rule.severity for rule in RULES}
    shp = only(out / OWN, "P1_0706.shp")
    for fault in ("a blank rate", "no .cpg"):
        SETS[fault][1](shp)
    said = {one.code.removeprefix("file_checks."): one.severity for one in checks(out)}
    assert said == {"no_rate": "refused", "no_cpg": "doubtful"}
    assert all(severity[code] == one for code, one in said.items())


def test_a_finding_is_one_line_that_names_file_row_and_mend(out):
    shp = only(out / OWN, "P1_0706.shp")
    SETS["a blank rate"][1](shp)
    (one,) = checks(shp)
    assert str(one) == "refused: P1_0706.dbf: row 1: no rate. Write 0 for boom off."


def test_what_is_no_file_for_a_terminal_is_said(tmp_path):
    (tmp_path / "plan.json").write_text('{"zones": []}')
    for path in (tmp_path, tmp_path / "plan.json"):
        with pytest.raises(InputError, match="shapefile set") as fault:
            check(path)
        assert fault.value.code == 2
