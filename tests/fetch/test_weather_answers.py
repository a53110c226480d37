"""What a service answers, read: values by hand, and each answer that is none as one line."""

import json
import math
from datetime import UTC, date, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st
from made_weather_service import NOW, Double, made_layers

from zoning.errors import InputError
from zoning.fetch.session import Answer
from zoning.fetch.weather import daily, forecast, services
from zoning.fetch.weather.daily import Span
from zoning.fetch.weather.place import Place

PLACE = Place(latitude_deg=44.3, longitude_deg=-95.4)
SPAN = Span(first=date(2026, 7, 1), last=date(2026, 7, 3))
POWER, NWS = (services.table()[key] for key in ("nasa_power", "us_nws"))
QUERY = {
    "parameters": "T2M_MIN,T2M_MAX,PRECTOTCORR",
    "longitude": "-95.4",
    "latitude": "44.3",
    "start": "20260701",
    "end": "20260703",
}


def answer(made, status=200, kind="application/json"):
    body = made if isinstance(made, bytes) else json.dumps(made).encode()
    return Answer(status=status, kind=kind, body=body)


def days():
    made = Double().daily(QUERY)
    made["properties"]["parameter"] = {
        "T2M_MIN": {"20260701": 12.5, "20260702": -999.0, "20260703": 14},
        "T2M_MAX": {"20260701": 25.25, "20260702": 27.0, "20260703": 28},
        "PRECTOTCORR": {"20260701": 0.0, "20260702": 3.4},
    }
    return made


def read(made, service=POWER, **more):
    return daily.read(answer(made, **more), service, PLACE, SPAN)


def told(call, *args, **more):
    with pytest.raises(InputError) as caught:
        call(*args, **more)
    fault = caught.value
    assert fault.code == 4
    assert len(fault.faults) == 1
    assert "\n" not in str(fault)
    return fault.what.removeprefix("the service answered with ")


# -- days ----------------------------------------------------------------------------------------------------


def test_by_hand_days_are_read():
    """-999 stands for what is not known, and a day that is not there is not known either."""
    found = read(days())
    assert found[date(2026, 7, 1)] == (12.5, 25.25, 0.0)
    assert math.isnan(found[date(2026, 7, 2)][0])
    assert found[date(2026, 7, 2)][1:] == (27.0, 3.4)
    assert found[date(2026, 7, 3)][:2] == (14.0, 28.0)
    assert math.isnan(found[date(2026, 7, 3)][2])


def test_another_service_is_one_entry():
    """Other names, other units, another way to write days: the same reader, and 50 F is 10 C."""
    other = POWER.model_copy(
        update={
            "key": "other",
            "day_form": "%d.%m.%Y",
            "fill": -1.0,
            "columns": {
                "tmin_c": services.Column(name="low", unit="F"),
                "tmax_c": services.Column(name="high", unit="F"),
                "rain_mm": services.Column(name="rain", unit="in"),
            },
        }
    )
    made = days()
    made["properties"]["parameter"] = {
        "low": {"01.07.2026": 50},
        "high": {"01.07.2026": 77},
        "rain": {"01.07.2026": 0.5, "02.07.2026": -1},
    }
    made["parameters"] = {"low": {"units": "F"}, "high": {"units": "F"}, "rain": {"units": "in"}}
    found = read(made, other)
    assert found[date(2026, 7, 1)] == pytest.approx((10.0, 25.0, 12.7))  # 0.5 in of 25.4 mm
    assert all(math.isnan(one) for one in found[date(2026, 7, 2)])


def test_a_service_without_rain_and_with_nulls_is_read():
    dry = POWER.model_copy(update={"columns": {key: POWER.columns[key] for key in ("tmin_c", "tmax_c")}})
    made = days()
    made["properties"]["parameter"]["T2M_MIN"]["20260701"] = None
    found = read(made, dry)
    assert math.isnan(found[date(2026, 7, 1)][0])
    assert all(math.isnan(one[2]) for one in found.values())


def test_what_the_answer_itself_calls_unknown_is_unknown():
    made = days()
    made["header"]["fill_value"] = -77
    made["properties"]["parameter"]["T2M_MAX"]["20260701"] = -77
    assert math.isnan(read(made)[date(2026, 7, 1)][1])


def test_by_hand_a_place_across_longitude_180_is_the_same():
    """-179.9 is 180.1, a fifth of a degree from 179.9 and within the half degree; -179.0 is 1.1 away."""
    place = Place(latitude_deg=44.3, longitude_deg=179.9)
    made = days()
    made["geometry"]["coordinates"] = [-179.9, 44.3, 400.0]
    assert daily.read(answer(made), POWER, place, SPAN)[date(2026, 7, 1)] == (12.5, 25.25, 0.0)
    made["geometry"]["coordinates"] = [-179.0, 44.3, 400.0]
    said = told(daily.read, answer(made), POWER, place, SPAN)
    assert said == "another place, 44.3, -179 and not 44.3, 179.9"


def changed(change):
    made = days()
    change(made)
    return made


def put(value, *steps):
    def change(made):
        for step in steps[:-1]:
            made = made[step]
        made[steps[-1]] = value

    return change


PARAMETER = ("properties", "parameter")


@pytest.mark.parametrize(
    ("change", "what"),
    [
        (put({}, "properties"), "no properties.parameter"),
        (put([], "parameters"), "no parameters"),
        (put({}, "parameters"), "T2M_MIN in nothing and not in C"),
        (put({"units": "K"}, "parameters", "T2M_MIN"), "T2M_MIN in K and not in C"),
        (lambda made: made["properties"]["parameter"].pop("T2M_MAX"), "no T2M_MAX"),
        (put([1, 2], *PARAMETER, "T2M_MAX"), "no T2M_MAX"),
        (put("12", *PARAMETER, "T2M_MIN", "20260701"), "12 for T2M_MIN on 2026-07-01, which is no number"),
        (put(True, *PARAMETER, "T2M_MIN", "20260701"), "True for T2M_MIN on 2026-07-01, which is no number"),
        (put(290, *PARAMETER, "T2M_MAX", "20260701"), "tmax_c 290 on 2026-07-01, which cannot be"),
        (put(-2, *PARAMETER, "PRECTOTCORR", "20260701"), "rain_mm -2 on 2026-07-01, which cannot be"),
        (put(30, *PARAMETER, "T2M_MIN", "20260701"), "tmin_c 30 above tmax_c 25.25 on 2026-07-01"),
        (put(1, *PARAMETER, "T2M_MIN", "20260704"), "2026-07-04, which nobody asked for"),
        (put(1, *PARAMETER, "T2M_MIN", "1 July"), "T2M_MIN on 1 July, which is no day"),
        (put({}, "geometry"), "no place"),
        (put(["a", 44.3], "geometry", "coordinates"), "no place"),
        (put([12.0, 44.3], "geometry", "coordinates"), "another place, 44.3, 12 and not 44.3, -95.4"),
    ],
)
def test_an_answer_to_another_question_is_one_line(change, what):
    assert told(read, changed(change)) == what


@pytest.mark.parametrize(
    ("body", "kind", "what"),
    [
        (b"<!doctype html><html>", "text/html", "a page in place of data (text/html)"),
        (b" <html>", "application/json", "a page in place of data (application/json)"),
        (b"down for maintenance", "text/plain", "what is no JSON object (text/plain)"),
        (b"", "", "what is no JSON object (nothing)"),
        (b"[1, 2]", "application/json", "what is no JSON object (application/json)"),
        (b'{"type": "Feature", "pro', "application/json", "an object that breaks off, or is no JSON"),
        (b'{"a": NaN}', "application/json", "an object that breaks off, or is no JSON"),
        (b"\xff\xfe", "application/json", "what is no JSON object (application/json)"),
        (b"[" * 100_000, "application/json", "what is no JSON object (application/json)"),
    ],
)
def test_what_is_no_data_is_one_line(body, kind, what):
    assert told(read, body, kind=kind) == what


@pytest.mark.parametrize(
    ("made", "said"),
    [
        ({"messages": ["Please do not ask so far back."]}, ", and says: Please do not ask so far back"),
        ({"detail": "No such place"}, ", and says: No such place"),
        ({"header": {"a": 1}}, ""),
        (b"<html>", ""),
        ({"title": "x" * 500}, f", and says: {'x' * 199}…"),
    ],
)
def test_what_a_service_says_where_it_refuses_is_passed_on(made, said):
    assert told(read, made, status=422) == f"the service refuses the request (422){said}"


def read_or_code(body):
    try:
        return read(body)
    except InputError as fault:
        return fault.code


@given(st.data())
def test_a_spoiled_answer_is_read_or_refused_and_nothing_else(data):
    body = bytearray(json.dumps(days()).encode())
    for _ in range(data.draw(st.integers(1, 4))):
        at = data.draw(st.integers(0, len(body) - 1))
        body[at] = data.draw(st.integers(0, 255))
    cut = data.draw(st.integers(0, len(body)))
    for spoiled in (bytes(body), bytes(body[:cut])):
        found = read_or_code(spoiled)
        assert found == 4 or list(found) == SPAN.days()


# -- hours ---------------------------------------------------------------------------------------------------


def hours(layers):
    return forecast.read(answer({"properties": layers}), NWS)


def test_by_hand_hours_are_read():
    """A run of 36 h of 18 km/h is 5 m/s in each; 3 mm in six hours are 0.5 mm in each of them."""
    found = hours(made_layers())
    assert len(found) == 96
    assert next(iter(found)) == NOW
    at = [found[one] for one in sorted(found)]
    assert [one[2] for one in at[:37]] == pytest.approx([5.0] * 36 + [2.0])
    assert [one[3] for one in at[11:19]] == pytest.approx([0, *[0.5] * 6, 0])
    assert sum(one[3] for one in at) == pytest.approx(3.0)
    assert {one[1] for one in at} == {70.0}


def test_times_are_brought_to_utc_and_hours_without_humidity_at_the_ends_fall_away():
    layers = made_layers()
    layers["temperature"]["values"] = [{"validTime": "2026-07-08T04:00:00-05:00/PT3H", "value": 20.5}]
    layers["relativeHumidity"]["values"] = [{"validTime": "2026-07-08T10:00:00+00:00/PT1H", "value": 60}]
    assert hours(layers) == {datetime(2026, 7, 8, 10, tzinfo=UTC): (20.5, 60.0, 5.0, 0.0)}


def test_a_forecast_without_wind_or_rain_is_read():
    layers = made_layers()
    del layers["windSpeed"]
    layers["quantitativePrecipitation"]["values"] = []
    assert all(math.isnan(one[2]) and math.isnan(one[3]) for one in hours(layers).values())


def test_a_value_that_is_null_is_not_known():
    layers = made_layers()
    layers["windSpeed"]["values"][0]["value"] = None
    found = hours(layers)
    assert math.isnan(found[NOW][2])
    assert len(found) == 96


FIRST = ("values", 0)


@pytest.mark.parametrize(
    ("change", "what"),
    [
        (lambda made: made.pop("temperature"), "no temperature"),
        (put([], "temperature"), "no temperature"),
        (put("x", "windSpeed", "values"), "no windSpeed"),
        (put([], "relativeHumidity", "values"), "no hour of which temperature and humidity are known"),
        (put("wmoUnit:degF", "temperature", "uom"), "temperature in wmoUnit:degF and not in wmoUnit:degC"),
        (put("9", "temperature", *FIRST, "value"), "9 for temperature, which is no number"),
        (put(900, "temperature", *FIRST, "value"), "temp_c 900 at 2026-07-08T09:00Z, which cannot be"),
        (put(0, "relativeHumidity", *FIRST, "value"), "rh_pct 0 at 2026-07-08T09:00Z, which cannot be"),
        (put(None, "temperature", *FIRST), "temperature for nothing, which is no interval of whole hours"),
        *[
            (
                put(text, "temperature", *FIRST, "validTime"),
                f"temperature for {text}, which is no interval of whole hours",
            )
            for text in (
                "2026-07-08T09:00:00+00:00",
                "2026-07-08T09:00:00/PT1H",  # on whose clock?
                "2026-07-08T09:30:00+00:00/PT1H",
                "2026-07-08T09:00:00+00:00/PT30M",
                "2026-07-08T09:00:00+00:00/P",
                "2026-07-08T09:00:00+00:00/P99D",
                "tomorrow/PT1H",
                "0001-01-01T00:00:00+09:00/PT1H",
            )
        ],
    ],
)
def test_a_forecast_of_something_else_is_one_line(change, what):
    layers = made_layers()
    change(layers)
    assert told(hours, layers) == what


def test_hours_that_reach_too_far_are_one_line():
    layers = made_layers()
    for name in ("temperature", "relativeHumidity"):
        layers[name]["values"].append({"validTime": "2026-09-01T09:00:00+00:00/PT1H", "value": 20})
    assert told(hours, layers) == "hours over more than 12 days"


def test_the_way_to_the_layers_is_read_or_one_line():
    double = Double(at="https://data.example.org")
    made = double.hourly("/points/44.3,-95.4")
    assert forecast.next_address(answer(made), NWS, PLACE) == "https://data.example.org/gridpoints/XYZ/31,80"
    assert (
        told(forecast.next_address, answer({**made, "properties": {}}), NWS, PLACE)
        == "no address of its forecast"
    )
    elsewhere = double.hourly("/points/45.3,-95.4")
    what = told(forecast.next_address, answer(elsewhere), NWS, PLACE)
    assert what == "another place, 45.3, -95.4 and not 44.3, -95.4"
