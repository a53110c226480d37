"""Which column of a planter's file is what, in which form its dates stand, and how its seeds are counted."""

from datetime import date, timedelta

import pytest
from made_inputs import SOUTH, TODAY, WEST
from made_planter import at, field_of

from zoning.errors import CONTENT, SETTINGS, InputError
from zoning.fetch import planting
from zoning.fetch.planting import Typed
from zoning.inputs.planted.brought import counts

PLACES = [at(WEST + 20 + 30 * (k % 12), SOUTH + 20 + 30 * (k // 12)) for k in range(108)]


@pytest.fixture
def place(tmp_path):
    return field_of(tmp_path / "farm")


def table(path, header, row):
    """Write a table; `row` gives the cells behind longitude and latitude of a row by its number."""
    lines = [f"Longitude,Latitude,{header}"]
    lines += [f"{lon},{lat},{row(k)}" for k, (lon, lat) in enumerate(PLACES)]
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return path


def shown(place, path, *columns, units=()):
    typed = Typed(columns=columns, units=units)
    return planting.preview(place.field, path, typed, today=TODAY, clock=TODAY)


def refused(place, path, *columns, units=()):
    with pytest.raises(InputError) as caught:
        shown(place, path, *columns, units=units)
    return caught.value


def taken(found):
    return {one.role: one.column for one in found.sowings.taken}


# -- names ---------------------------------------------------------------------------------------------------

HEADERS = {
    "Planting_Date,Hybrid,MG,Actual Population (seeds/ac)": {
        "date": "Planting_Date",
        "variety": "Hybrid",
        "group": "MG",
        "population": "Actual Population (seeds/ac)",
    },
    "PLANTED,VARIETY,MATURITY_G,PopPerAcre": {
        "date": "PLANTED",
        "variety": "VARIETY",
        "group": "MATURITY_G",
        "population": "PopPerAcre",
    },
    "DateTime,Product,RelMaturity,SeedRate": {
        "date": "DateTime",
        "variety": "Product",
        "group": "RelMaturity",
        "population": "SeedRate",
    },
    "SeedingDate,CultivarName,maturity_group,Seeds (ac)": {
        "date": "SeedingDate",
        "variety": "CultivarName",
        "group": "maturity_group",
        "population": "Seeds (ac)",
    },
}


@pytest.mark.parametrize("header", HEADERS)
def test_columns_are_found_by_words_in_their_names(header, place, tmp_path):
    found = shown(place, table(tmp_path / "p.csv", header, lambda k: "2026-05-06,P,2.1,140000"))
    assert taken(found) == HEADERS[header]
    (block,) = found.planted.blocks
    assert (block.planted, block.variety, block.maturity_group) == (date(2026, 5, 6), "P", 2.1)
    assert found.population_ac() == 140_000


@pytest.mark.parametrize(
    ("header", "row", "expected"),
    [
        ("Date,Target Population,Applied Population", "2026-05-06,150000,140000", "Applied Population"),
        ("Date,Target Population,Population", "2026-05-06,150000,140000", "Population"),
        ("Date,Target Population,Speed", "2026-05-06,150000,5", "Target Population"),
        ("Date,Population,Applied Population", "2026-05-06,150000,140000", "Applied Population"),
        ("Date,Population,Population SD", "2026-05-06,140000,5", "Population"),
    ],
)
def test_what_was_planted_goes_before_what_was_wanted(header, row, expected, place, tmp_path):
    found = shown(place, table(tmp_path / "p.csv", header, lambda k: row))
    assert taken(found)["population"] == expected


def test_of_several_columns_none_is_guessed(place, tmp_path):
    path = table(tmp_path / "p.csv", "Date,Hybrid,Variety Name,Rate", lambda k: "2026-05-06,P,Q,140000")
    fault = refused(place, path)
    assert fault.code == SETTINGS
    assert str(fault) == (
        "p.csv: several columns may be the variety: Hybrid, Variety Name. Say which with --column "
        "variety=NAME, or --column variety= for none."
    )
    assert shown(place, path, "variety=variety name").planted.blocks[0].variety == "Q"
    assert "variety" not in taken(shown(place, path, "variety=", "population="))


@pytest.mark.parametrize(
    ("header", "row"),
    [
        ("Time (UTC)", "2026-05-07 01:30:00"),
        ("UTC", "2026-05-07T01:30:00Z"),
        ("Date,UTC Time", "2026-05-07,01:30"),
        ("Date_GMT,Time_GMT", "5/7/2026,1:30:00.5 AM"),
    ],
)
def test_by_hand_a_column_of_utc_is_brought_to_the_farms_day(header, row, place, tmp_path):
    """Half past one in Greenwich is 19:30 of the day before at 95 degrees west."""
    path = table(tmp_path / "p.csv", header, lambda k: row)
    found = shown(place, path, units=("date=month first",))
    assert found.planted.blocks[0].planted == date(2026, 5, 6)


def test_a_population_in_which_nothing_was_counted_is_told_so(place, tmp_path):
    path = table(tmp_path / "p.csv", "planted,Population", lambda k: "2026-05-06,-9999")
    assert str(refused(place, path)) == (
        'p.csv: "Population" holds no number that counts seeds. '
        "Take the column out with --column population= ."
    )
    assert "population" not in taken(shown(place, path, "population="))


def test_exchanged_longitude_and_latitude_are_told_with_what_mends_it(place, tmp_path):
    path = tmp_path / "p.csv"
    table(path, "planted", lambda k: "2026-05-06")
    path.write_text(path.read_text().replace("Longitude,Latitude", "Latitude,Longitude"))
    fault = str(refused(place, path))
    assert 'They are exchanged: name them with --column "east=Latitude" --column "north=Longitude".' in fault
    assert shown(place, path, "east=Latitude", "north=Longitude").planted.blocks


def test_an_empty_column_is_nothing(place, tmp_path):
    found = shown(place, table(tmp_path / "p.csv", "Date,Hybrid,Variety", lambda k: "2026-05-06,P,"))
    assert taken(found)["variety"] == "Hybrid"


def test_emergence_and_expected_yield_are_read(place, tmp_path):
    path = table(
        tmp_path / "p.csv", "planted,Emerged On,expected_yield", lambda k: "2026-05-06,5/19/2026,58 bu/ac"
    )
    (block,) = shown(place, path).planted.blocks
    assert (block.emerged, block.expected_yield_bu_ac) == (date(2026, 5, 19), 58.0)


@pytest.mark.parametrize(
    ("order", "day"), [("month first", date(2026, 5, 12)), ("day first", date(2026, 12, 5))]
)
def test_the_order_of_each_column_of_dates_is_its_own(place, tmp_path, order, day):
    path = table(tmp_path / "p.csv", "planted,Emerged", lambda k: "5/6/2026,5/12/2026")
    units = ("date=month first", f"emerged={order}")
    if day < date(2026, 7, 1):
        assert shown(place, path, units=units).planted.blocks[0].emerged == day
    else:
        assert day.isoformat() in str(refused(place, path, units=units))


def test_words_for_a_maturity_group_are_read(place, tmp_path):
    found = shown(place, table(tmp_path / "p.csv", "planted,MG", lambda k: "2026-05-06,II"))
    assert found.planted.blocks[0].maturity_group == 2.0


@pytest.mark.parametrize(
    ("columns", "units", "phrase"),
    [
        (
            ("variety",),
            (),
            "--column variety: an equals sign is missing. Write it as --column variety=Hybrid.",
        ),
        (("varity=H",), (), '"varity" is nothing that a column can be. Did you mean variety?'),
        (("xyzzy=H",), (), "Known are date, emerged, variety"),
        (("variety=H", "variety=I"), (), "variety is given twice. Keep one of them."),
        (("variety=H", "group=h"), (), '"H" is named for variety and group'),
        (
            ("variety=Nothing",),
            (),
            'there is no column "Nothing" for variety. The file has Longitude, Latitude, D',
        ),
        (("date=Date + Hybrid + Rate",), (), 'there is no column "Date + Hybrid + Rate" for date'),
        ((), ("date=soon",), '"soon" is no order of a date. Use "month first" or "day first".'),
        ((), ("population=lb",), '"lb" is no unit of a population. Use seeds/ac, seeds/ha, seeds/m2'),
        ((), ("variety=m",), "variety has no unit. Take it out."),
        ((), ("population",), "Write it as --unit population=seeds/ac."),
    ],
)
def test_what_is_typed_wrong_is_told_with_code_2(columns, units, phrase, place, tmp_path):
    path = table(tmp_path / "p.csv", "Date,Hybrid,Rate", lambda k: "2026-05-06,P,140000")
    fault = refused(place, path, *columns, units=units)
    assert fault.code == SETTINGS
    assert phrase in str(fault)


# -- dates ---------------------------------------------------------------------------------------------------

FORMS = (
    "2026-05-26", "2026/05/26", "20260526", "5/26/2026", "26/5/2026", "26.05.2026", "26.5.26", "May 26, 2026",
    "26 May 2026", "2026-05-26 14:30", "5/26/2026 2:30:00 PM", "2026-05-26T19:30:00Z", "1779823800",
    "1779823800000", "46168", "46168.604167",
)  # fmt: skip


@pytest.mark.parametrize("text", FORMS)
def test_a_day_is_read_in_many_forms(text, place, tmp_path):
    path = table(tmp_path / "p.csv", "Date", lambda k: f'"{text}"')
    assert [one.planted for one in shown(place, path).planted.blocks] == [date(2026, 5, 26)]


def test_by_hand_numbers_of_spreadsheets_and_of_seconds(place, tmp_path):
    # a spreadsheet counts days from 1899-12-30; seconds count from 1970-01-01 in UTC
    assert date(1899, 12, 30) + timedelta(days=46168) == date(2026, 5, 26)
    assert 1779823800 // 86400 + date(1970, 1, 1).toordinal() == date(2026, 5, 26).toordinal()
    # 14:30:05 is second 52,205 of a day: 52205 / 86400 = 0.604224537037, a hair too little as it is kept
    path = table(tmp_path / "p.csv", "planted", lambda k: "46168.604224537037")
    assert shown(place, path).sowings.cells["date"][0] == "2026-05-26T14:30:05"


def test_a_time_in_utc_is_of_the_farms_day(place, tmp_path):
    path = table(tmp_path / "p.csv", "Time", lambda k: "2026-05-27T02:30:00Z")  # 20:30 six hours west
    found = shown(place, path)
    assert found.sowings.cells["date"][0] == "2026-05-26T20:30:00"


def test_an_order_that_nobody_knows_is_refused_unless_a_row_or_an_option_settles_it(place, tmp_path):
    path = table(tmp_path / "p.csv", "Date,Time", lambda k: "05/06/2026,08:00:00")
    fault = refused(place, path)
    assert fault.code == CONTENT
    assert str(fault) == (
        "p.csv: Date + Time: 05/06/2026 is one day for some readers and another for others. "
        'Say it with --unit "date=month first" or --unit "date=day first".'
    )
    for order, day in (("month first", date(2026, 5, 6)), ("day first", date(2026, 6, 5))):
        assert shown(place, path, units=(f"date={order}",)).planted.blocks[0].planted == day
    path = table(tmp_path / "q.csv", "Date", lambda k: "05/06/2026" if k else "05/16/2026")
    assert {one.planted for one in shown(place, path).planted.blocks} == {date(2026, 5, 6)}


def test_a_date_and_a_time_in_two_columns_are_one_moment(place, tmp_path):
    rows = [
        ("Date,Time", "2026-05-06,14:05:09", "Date + Time"),
        ("Date,Time", "20260506,50709", "Date + Time"),
        ("PlantDate,Clock", "2026-05-06,14:05:09", "PlantDate + Clock"),
        ("Date,Time", "2026-05-06 14:05:09,14:05:09", "Date + Time"),
        ("Date,Time", "2026-05-06,2026-05-06 14:05:09", "Date + Time"),
    ]
    for header, row, name in rows:
        found = shown(place, table(tmp_path / "p.csv", header, lambda k, row=row: row))
        assert taken(found)["date"] == name
        assert found.sowings.cells["date"][0] == "2026-05-06T14:05:09", row
    found = shown(place, table(tmp_path / "p.csv", "A,B", lambda k: "2026-05-06,14:05:09"), "date=A + B")
    assert found.sowings.cells["date"][0] == "2026-05-06T14:05:09"


def test_parts_of_seconds_stay(place, tmp_path):
    path = table(tmp_path / "p.csv", "Time", lambda k: f"2026-05-06 08:00:{k % 60:02}.250")
    found = shown(place, path)
    assert found.sowings.cells["date"][1] == "2026-05-06T08:00:01.250"


def test_numbers_of_spreadsheets_among_other_dates_are_no_dates(place, tmp_path):
    path = table(tmp_path / "p.csv", "Date", lambda k: "soon" if k == 7 else "46168")
    faults = refused(place, path).faults
    assert (faults[0].where, len(faults)) == ("p.csv:2", 21)  # twenty lines, and how many more there are


def test_dates_that_are_none_are_told_by_their_lines(place, tmp_path):
    path = table(tmp_path / "p.csv", "Date", lambda k: "soon" if k < 2 else "2026-05-06")
    told = [str(one) for one in refused(place, path).faults]
    assert told == [
        f'p.csv:{line}: Date "soon" is no date. Write it as "2026-05-06" or "2026-05-06 14:30", or leave it '
        "empty."
        for line in (2, 3)
    ]
    path = table(tmp_path / "p.csv", "Date", lambda k: "" if k < 1 else "2026-05-06")
    assert "p.csv: row 2: the date is empty" in str(refused(place, path))


# -- places --------------------------------------------------------------------------------------------------


def test_columns_that_a_table_must_have_are_asked_for_together(place, tmp_path):
    path = tmp_path / "p.csv"
    path.write_text("a,b\n1,2\n", encoding="utf-8")
    told = [str(one) for one in refused(place, path).faults]
    assert told == [
        "p.csv: no columns of longitude and latitude are found. Name them with --column east=NAME and "
        "--column north=NAME. The file has a, b.",
        "p.csv: no column of planting dates is found. Name it with --column date=NAME. The file has a, b.",
    ]


def test_places_of_a_plane_are_refused(place, tmp_path):
    path = tmp_path / "p.csv"
    path.write_text("Date,Easting,Northing\n2026-05-06,309100,4908100\n", encoding="utf-8")
    assert "its places lie in a plane that nobody names" in str(refused(place, path))
    fault = refused(place, path, "east=Easting", "north=Northing")
    assert "Easting and Northing hold no longitudes and latitudes in degrees" in str(fault)


def test_places_that_are_no_numbers_and_records_without_any_are_told(place, tmp_path):
    path = tmp_path / "p.csv"
    path.write_text("Date,Lon,Lat\n2026-05-06,west,44.3\n", encoding="utf-8")
    assert 'p.csv:2: Lon "west" is no number' in str(refused(place, path))
    path.write_text("Date,Lon,Lat\n2026-05-06,0,0\n2026-05-06,,\n", encoding="utf-8")
    assert "none of its records has a place" in str(refused(place, path))


# -- populations ---------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("typical", "unit", "source"),
    [
        (140_000, "seeds/ac", "farm"),
        (350_000, "seeds/ha", "size"),
        (35, "seeds/m2", "size"),
        (140, "thousand/ac", "farm"),
        (350, "thousand/ha", "size"),
    ],
)
def test_by_hand_a_population_is_understood_by_its_size(typical, unit, source, place, tmp_path):
    # per acre: 350,000 a hectare is 350,000 / 2.4710538 = 141,640; 35 a square metre is 35 x 4,046.856,
    # which is the same
    found = shown(place, table(tmp_path / "p.csv", "Date,Population", lambda k: f"2026-05-06,{typical}"))
    one = next(one for one in found.sowings.taken if one.role == "population")
    assert (one.unit, one.source) == (unit, source)
    assert found.population_ac() == pytest.approx(140_000 if source == "farm" else 141_640, rel=1e-5)


def test_a_metric_farm_counts_by_the_hectare(place, tmp_path):
    farm = place.path / "farm.toml"
    farm.write_text(farm.read_text(encoding="utf-8") + "units = 'metric'\n", encoding="utf-8")
    path = table(tmp_path / "p.csv", "Date,Population", lambda k: "2026-05-06,250000")
    found = shown(place, path)
    one = next(one for one in found.sowings.taken if one.role == "population")
    assert (one.unit, one.source) == ("seeds/ha", "farm")
    assert "seeds/m2" in planting.text(found, 100, again="")
    assert " ha\n" in planting.text(found, 100, again="")


def test_a_population_of_no_size_is_asked_for_and_one_that_is_told_is_doubted(place, tmp_path):
    path = table(tmp_path / "p.csv", "Date,Population", lambda k: "2026-05-06,5000000")
    fault = refused(place, path)
    assert 'the unit of "Population" is not known by its name or size (median 5,000,000)' in str(fault)
    assert "--unit population=UNIT, one of seeds/ac, seeds/ha" in str(fault)
    found = shown(place, path, units=("population=seeds per acre",))
    assert found.notes[0].code == "brought.population_odd"
    path = table(tmp_path / "p.csv", "Date,Population", lambda k: "2026-05-06,many")
    assert 'p.csv:2: Population "many" is no number' in str(refused(place, path))


@pytest.mark.parametrize("text", ["inf", "1e400", "-5", "nan"])
def test_a_population_that_cannot_be_is_none(text, place, tmp_path):
    path = table(
        tmp_path / "p.csv", "Date,Population (seeds/ac)", lambda k: f"2026-05-06,{text if k else 9e4}"
    )
    found = shown(place, path)
    assert found.population_ac() == 90_000
    assert found.rows[1]["population_ac"] is None
    path = table(
        tmp_path / "p.csv", "Date,Population (seeds/ac)", lambda k: f"2026-05-06,{text if k else '-1'}"
    )
    assert shown(place, path).population_ac() is None


def test_records_where_nothing_was_counted_keep_their_place(place, tmp_path):
    path = table(
        tmp_path / "p.csv", "Date,Population (seeds/ac)", lambda k: f"2026-05-06,{'' if k else 140000}"
    )
    found = shown(place, path)
    assert found.rows[1]["population_ac"] is None
    path = table(tmp_path / "p.csv", "Date,Population (seeds/ac)", lambda k: "2026-05-06,0")
    assert len(shown(place, path).rows) == len(PLACES)  # where all are 0 the column says nothing
    assert shown(place, path).population_ac() is None


@pytest.mark.parametrize("text", ["k/ac", "ksds/ac", "1000 seeds per acre", "thousand seeds/ac"])
def test_thousands_are_understood(text):
    assert counts.unit_in(text) == "thousand/ac"
