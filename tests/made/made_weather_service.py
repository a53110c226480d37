"""A weather service on this computer: answers laid out as those of the real ones, their values invented.

It answers on 127.0.0.1 only, notes every request, and has every trouble on request. The layouts are those of
the entries nasa_power and us_nws of zoning/fetch/weather/services.toml; no value is of a real place or day.
"""

import json
import math
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, timedelta
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from urllib.parse import parse_qs, urlsplit

LATITUDE_DEG, LONGITUDE_DEG = 44.3, -95.4  # of the made fields
FILL = -999.0
NOW = datetime(2026, 7, 8, 9, tzinfo=UTC)  # the first hour of the forecast

# Entries of a table of services for this one; `{at}` is its address.
TABLE = """
[made_daily]
gives = "daily"
shape = "name, day"
address = "{at}/daily"
query = {{ parameters = "{{names}}", longitude = "{{longitude}}", latitude = "{{latitude}}", \
start = "{{first}}", end = "{{last}}" }}
columns = {{ tmin_c = {{ name = "T2M_MIN", unit = "C" }}, tmax_c = {{ name = "T2M_MAX", unit = "C" }}, \
rain_mm = {{ name = "PRECTOTCORR", unit = "mm/day" }} }}
day_form = "%Y%m%d"
fill = -999.0
oldest = 1981-01-01
lag_d = 7
most_days = 366
most_requests = 60
decimals = 2
within_deg = 0.5
terms = "invented"
kind = "assumption"
source = ""
note = "a double"

[made_hourly]
gives = "hourly forecast"
shape = "layers, intervals"
address = "{at}/points/{{latitude}},{{longitude}}"
columns = {{ temp_c = {{ name = "temperature", unit = "wmoUnit:degC" }}, \
rh_pct = {{ name = "relativeHumidity", unit = "wmoUnit:percent" }}, \
wind_m_s = {{ name = "windSpeed", unit = "wmoUnit:km_h-1" }}, \
rain_mm = {{ name = "quantitativePrecipitation", unit = "wmoUnit:mm" }} }}
most_days = 12
most_requests = 15
decimals = 4
within_deg = 0.1
wind_height = "10 m"
terms = "invented"
kind = "assumption"
source = ""
note = "a double"
"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Reply:
    """What goes over the wire; `told` is the length that the header names, `drip_s` waits between bytes."""

    status: int = 200
    body: bytes = b""
    kind: str = "application/json"
    headers: dict[str, str] = field(default_factory=dict)
    told: int | None = None
    drip_s: float = 0.0
    silent: bool = False


Trouble = Callable[[str, dict[str, str]], Reply | None]


@dataclass(slots=True)
class Double:
    """A running service: its address, what was asked, and what stands in the way of the next requests."""

    at: str = ""
    asked: list[str] = field(default_factory=list)
    agents: list[dict[str, str]] = field(default_factory=list)
    troubles: list[Reply | None] = field(default_factory=list)
    always: Trouble | None = None
    known_until: date = date(2026, 7, 5)
    unknown: set[date] = field(default_factory=set)
    change: Callable[[dict], None] | None = None
    pieces: int = 0
    ended: threading.Event = field(default_factory=threading.Event)

    def reply(self, path: str, query: dict[str, str]) -> Reply:
        """Answer one request: with the next trouble, else as the service would."""
        if self.troubles:
            trouble = self.troubles.pop(0)
            if trouble is not None:
                return trouble
        if self.always is not None:
            trouble = self.always(path, query)
            if trouble is not None:
                return trouble
        made = self.daily(query) if path == "/daily" else self.hourly(path)
        if made is None:
            return Reply(status=404, body=b'{"title": "Data Unavailable For Requested Point", "status": 404}')
        if self.change is not None:
            self.change(made)
        return Reply(body=json.dumps(made).encode())

    def daily(self, query: dict[str, str]) -> dict:
        """Days as of a model's analysis: by variable and day, unknown ones as -999."""
        first, last = (datetime.strptime(query[key], "%Y%m%d").date() for key in ("start", "end"))
        days = [first + timedelta(days=at) for at in range((last - first).days + 1)]
        values = {name: {} for name in query["parameters"].split(",")}
        for day in days:
            is_known = day <= self.known_until and day not in self.unknown
            for name, value in zip(("T2M_MIN", "T2M_MAX", "PRECTOTCORR"), made_day(day), strict=True):
                if name in values:
                    values[name][f"{day:%Y%m%d}"] = value if is_known else FILL
        units = {"T2M_MIN": "C", "T2M_MAX": "C", "PRECTOTCORR": "mm/day"}
        return {
            "type": "Feature",
            "geometry": {
                "type": "Point",
                "coordinates": [float(query["longitude"]), float(query["latitude"]), 331.5],
            },
            "properties": {"parameter": values},
            "header": {"title": "invented", "fill_value": FILL, "time_standard": "LST"},
            "messages": [],
            "parameters": {name: {"units": units[name], "longname": name} for name in values},
            "times": {"data": 0.5, "process": 0.1},
        }

    def hourly(self, path: str) -> dict | None:
        """Hours to come: first where the layers are, then the layers."""
        if path.startswith("/points/"):
            latitude, longitude = (float(one) for one in path.rpartition("/")[2].split(","))
            if not 24 <= latitude <= 50:
                return None
            return {
                "type": "Feature",
                "geometry": {"type": "Point", "coordinates": [longitude, latitude]},
                "properties": {"gridId": "XYZ", "forecastGridData": f"{self.at}/gridpoints/XYZ/31,80"},
            }
        return {"type": "Feature", "properties": made_layers()} if path.startswith("/gridpoints/") else None

    def table(self, folder: Path) -> Path:
        """Write the table of services that names this one."""
        path = folder / "made_services.toml"
        path.write_text(TABLE.format(at=self.at), encoding="utf-8")
        return path


def made_day(day: date) -> tuple[float, float, float]:
    """One invented day: minimum, maximum, rain."""
    turn = 2 * math.pi * (day.timetuple().tm_yday - 105) / 365
    mean = 8 + 16 * math.sin(turn) + 2.5 * math.sin(day.toordinal() * 0.61) + math.sin(day.year * 1.7)
    rain = 9.5 if day.toordinal() % 5 == 0 else 0.0
    return round(mean - 5.5, 2), round(mean + 6.0, 2), rain


def made_layers() -> dict:
    """Layers over four days: warm afternoons, equal hours as one interval, rain of six hours together."""

    def layer(unit: str, values: list[tuple[datetime, str, float | None]]) -> dict:
        return {
            "uom": unit,
            "values": [
                {"validTime": f"{when.isoformat()}/{length}", "value": value}
                for when, length, value in values
            ],
        }

    hours = [NOW + timedelta(hours=at) for at in range(96)]
    warm = [round(22 - 6 * math.cos(2 * math.pi * (one.hour - 10) / 24), 1) for one in hours]
    return {
        "updateTime": NOW.isoformat(),
        "temperature": layer(
            "wmoUnit:degC", [(one, "PT1H", value) for one, value in zip(hours, warm, strict=True)]
        ),
        "relativeHumidity": layer("wmoUnit:percent", [(one, "PT2H", 70) for one in hours[::2]]),
        "windSpeed": layer("wmoUnit:km_h-1", [(hours[0], "P1DT12H", 18), (hours[36], "P2DT12H", 7.2)]),
        "quantitativePrecipitation": layer(
            "wmoUnit:mm", [(one, "PT6H", 3.0 if at == 2 else 0) for at, one in enumerate(hours[::6])]
        ),
    }


class Handler(BaseHTTPRequestHandler):
    """Hands each request to the double of its server, and its reply back."""

    protocol_version = "HTTP/1.1"

    def do_GET(self) -> None:
        parts, double = urlsplit(self.path), self.server.double
        double.asked.append(self.path)
        double.agents.append(dict(self.headers))
        query = {key: values[0] for key, values in parse_qs(parts.query).items()}
        reply = double.reply(parts.path, query)
        if reply.silent:
            double.ended.wait(5)
            return
        self.send_response(reply.status)
        self.send_header("Content-Type", reply.kind)
        for name, value in reply.headers.items():
            self.send_header(name, value)
        told = len(reply.body) if reply.told is None else reply.told
        if told >= 0:
            self.send_header("Content-Length", str(told))
        self.send_header("Connection", "close")
        self.close_connection = True
        self.end_headers()
        pieces = [reply.body[at : at + 1] for at in range(len(reply.body))] if reply.drip_s else [reply.body]
        for piece in pieces:
            if reply.drip_s and double.ended.wait(reply.drip_s):
                return
            self.wfile.write(piece)
            double.pieces += 1
            self.wfile.flush()

    def handle(self) -> None:
        with suppress(ConnectionError, TimeoutError):  # who asked has gone
            super().handle()

    def log_message(self, *_: object) -> None:
        return


@contextmanager
def running() -> Iterator[Double]:
    """Run a double until the end of the context."""
    server = ThreadingHTTPServer(("127.0.0.1", 0), Handler)
    server.daemon_threads = True
    server.double = double = Double(at=f"http://127.0.0.1:{server.server_address[1]}")
    thread = threading.Thread(target=server.serve_forever, kwargs={"poll_interval": 0.01}, daemon=True)
    thread.start()
    try:
        yield double
    finally:
        double.ended.set()
        server.shutdown()
        server.server_close()
        thread.join(5)
