"""A farm with one field, from its folder to the set of each sprayer, with the grid asked for."""

from lxml import etree
from made_demo import TODAY, three_dates

from zoning import farm


def test_a_farm_writes_the_set_of_its_sprayer(tmp_path):
    folder = three_dates(tmp_path)
    settings = folder.parent / "farm.toml"
    text = settings.read_text(encoding="utf-8")
    settings.write_text(f"{text}\n[files]\niso_grid = 2\n", encoding="utf-8")
    result = farm.run(folder.parent, today=TODAY)
    [plan] = result.plans
    assert plan.passes, "the demo field is sprayed"
    of_field = folder / "out" / "passes" / "P1" / "TASKDATA"
    of_farm = folder.parent / "out" / "taskdata" / "ground_rig" / "TASKDATA"
    names = ["GRD00001.BIN", "TASKDATA.XML"]
    for place in (of_field, of_farm):
        assert sorted(path.name for path in place.iterdir()) == names
    # with one field and one pass both folders say the same
    assert all((of_field / name).read_bytes() == (of_farm / name).read_bytes() for name in names)
    [grid] = etree.fromstring((of_farm / names[1]).read_bytes()).iter("GRD")
    assert grid.get("I") == "2"
    # sections of 10 ft = 3.048 m: 3.048 / 111 110 m a degree of latitude at 44 N = 0.0000274
    assert 0.00002 < float(grid.get("C")) < 0.0000276
