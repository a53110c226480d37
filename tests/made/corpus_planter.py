"""Bad files of planters: none at all, of another place or season, or with harm in them."""

import shutil
import struct
import zipfile
from collections.abc import Callable
from pathlib import Path

from corpus_bases import middle
from corpus_case import Case

Harm = Callable[[Path], None]
TABLE, TASKS, ZIP = "planter.csv", "TASKDATA", "planter.zip"
LON, LAT = middle()
ROWS = [f"2026-05-{6 + k % 3:02} 08:{k:02}:00,{LON + k / 1e6:.7f},{LAT:.7f},P,140000" for k in range(20)]
HEADER = "Date,Longitude,Latitude,Variety,Population"
ROOT = '<ISO11783_TaskData VersionMajor="4" VersionMinor="3" DataTransferOrigin="2">'
TASK = f'{ROOT}<TSK A="TSK1" B="plant" G="4"><TLG A="TLG00001" C="1"/></TSK></ISO11783_TaskData>'
LOG = '<TIM A="" D="4"><PTN A="" B=""/><DLV A="000C" B="" C="DET-1"/></TIM>'
BOMB = bytes(101_000_000)  # a zip has it in 100 kB
DAY = 16927  # 2026-05-06, counted from 1980-01-01


def table(change: Callable[[list[str]], list[str]], header: str = HEADER) -> Harm:
    """Write a planter's table, spoiled."""
    return lambda field: (
        (field / TABLE).write_text("\n".join([header, *change(ROWS)]) + "\n", "utf-8") and None
    )


def content(data: bytes, name: str = TABLE) -> Harm:
    return lambda field: (field / name).write_bytes(data) and None


def zipped(**members: bytes) -> Harm:
    def harm(field: Path) -> None:
        with zipfile.ZipFile(field / ZIP, "w", zipfile.ZIP_DEFLATED) as file:
            for name, data in members.items():
                file.writestr(name, data)

    return harm


def tasks(xml: str = TASK, head: str = LOG, records: bytes | None = None) -> Harm:
    """Write task data with one log of ten records, spoiled."""

    def harm(field: Path) -> None:
        home = field / TASKS
        home.mkdir()
        (home / "TASKDATA.XML").write_text(xml, "utf-8")
        (home / "TLG00001.XML").write_text(head, "utf-8")
        (home / "TLG00001.BIN").write_bytes(log() if records is None else records)

    return harm


def log(lon: float = LON, lat: float = LAT, ms: int = 30_600_000) -> bytes:
    """Ten records of a planter that stands still."""
    place = (round(lat * 1e7), round(lon * 1e7))
    return b"".join(struct.pack("<IHiiBBi", ms + k, DAY, *place, 1, 0, 34_500) for k in range(10))


def without_boundary(field: Path) -> None:
    table(list)(field)
    shutil.move(next(field.glob("boundary.*")), field / "fence.geojson")


def case(name: str, harm: Harm, code: int, *words: str, file: str = TABLE) -> Case:
    command = ("get", "planting", "{field}", f"{{field}}/{file}", "--quiet")
    return Case(f"planter {name}", "planter", harm, code, words, command=command)


CASES: tuple[Case, ...] = (
    case("that is good", table(list), 0, "20 records of this field", "median population: 140,000 seeds/ac"),
    case("of another place", table(lambda rows: [f"{row[:20]}{LON + 3},{LAT},P,140000" for row in rows]),
         3, TABLE, "none of its records lies in the field"),
    case("of another season", table(lambda rows: [row.replace("2026", "2019") for row in rows]),
         3, "row 2", "another season"),
    case("with days that mean two", table(lambda rows: [f"05/06/2026{row[10:]}" for row in rows]),
         3, TABLE, '--unit "date=month first"'),
    case("without days", table(list, HEADER.replace("Date", "Note")), 3, TABLE, "--column date=NAME"),
    case("without places", table(list, HEADER.replace("Longitude", "A").replace("Latitude", "B")),
         3, TABLE, "--column east=NAME"),
    case("of a receiver without a place", table(lambda rows: [f"{row[:19]},0,0,P,140000" for row in rows]),
         3, TABLE, "none of its records has a place"),
    case("with words for places", table(lambda rows: [f"{row[:19]},west,44,P,1" for row in rows]),
         3, f"{TABLE}:2", "is no number"),
    case("of another unit", table(lambda rows: [row.replace("140000", "7000000") for row in rows]),
         3, TABLE, "--unit population=UNIT"),
    case("of two varieties", table(list, "Date,Longitude,Latitude,Cultivar,Hybrid"),
         2, TABLE, "several columns may be the variety: Cultivar, Hybrid"),
    case("that is a picture", content(b"\x89PNG\r\n\x1a\n\0\0"), 3, TABLE, "not a text table"),
    case("that is no zip", content(b"PK\3\4", ZIP), 3, ZIP, "cannot be read as a zip", file=ZIP),
    case("that leads upwards", zipped(**{"../../p.csv": b"x"}), 3, ZIP, "outside of its folder", file=ZIP),
    case("that is a bomb", zipped(**{f"{k}.csv": BOMB for k in range(5)}), 3, ZIP, "505 MB", file=ZIP),
    case("in task data", tasks(), 0, "10 records of this field", "seeds/ac", file=TASKS),
    case("in task data that is cut", tasks(records=log()[:-4]), 0, "9 whole records were read", file=TASKS),
    case("in task data with another header", tasks(head='<TIM A=""><PTN A="" B=""/></TIM>'),
         3, TASKS, "TLG00001.BIN", "belong together", file=TASKS),
    case("in task data without places", tasks(head='<TIM A=""><PTN A="44.3" B="-95.4"/></TIM>'),
         3, TASKS, "have no positions", file=TASKS),
    case("in task data at sea", tasks(records=log(0.0, 0.0)), 3, TASKS, "has a place", file=TASKS),
    case("in task data at no time", tasks(records=log(ms=90_000_000)), 3, TASKS, "no day has", file=TASKS),
    case("in task data of nothing done", tasks(xml=TASK.replace("TLG", "TLX")),
         3, TASKS, "time log", file=TASKS),
    case("in task data that unfolds", tasks(xml='<!DOCTYPE a [<!ENTITY b "ccc">]><a>&b;</a>'),
         3, TASKS, "document type", file=TASKS),
    case("in a folder without task data", lambda field: (field / TASKS).mkdir(),
         2, TASKS, "there is no TASKDATA.XML in this folder", file=TASKS),
    case("of a field whose boundary has another name", without_boundary,
         2, "Name fence.geojson, which lies there", "[boundary]"),
)  # fmt: skip
