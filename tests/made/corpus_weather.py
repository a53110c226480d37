"""Bad tables of weather: days and hours that cannot be, and text that is no table."""

from collections.abc import Callable
from pathlib import Path

from corpus_case import Case

Harm = Callable[[Path], None]
Lines = Callable[[list[str]], list[str]]
DAILY, HOURLY = "weather.csv", "hourly.csv"
MANY = 1_000_000
FORMULA = "=cmd|' /C calc'!A0"


def lines(name: str, change: Lines) -> Harm:
    """Change the lines of a file of the farm; the first is its header."""

    def harm(field: Path) -> None:
        path = field.parent / name
        path.write_text("\n".join(change(path.read_text(encoding="utf-8").splitlines())), encoding="utf-8")

    return harm


def recoded(name: str, encoding: str) -> Harm:
    """Write a file of the farm in another encoding."""

    def harm(field: Path) -> None:
        path = field.parent / name
        path.write_bytes(path.read_text(encoding="utf-8").encode(encoding))

    return harm


def cell(place: int, text: str, line: int = -1) -> Lines:
    """Change one cell of one line."""

    def change(rows: list[str]) -> list[str]:
        cells = rows[line].split(",")
        cells[place] = text
        rows[line] = ",".join(cells)
        return rows

    return change


def each(change: Callable[[list[str]], list[str]]) -> Lines:
    """Change the cells of every row."""
    return lambda rows: [rows[0], *(",".join(change(row.split(","))) for row in rows[1:])]


def with_row(text: str) -> Lines:
    """Add a row at the end."""
    return lambda rows: [*rows, text]


def fahrenheit(cells: list[str]) -> list[str]:
    return [cells[0], *(f"{float(one) * 1.8 + 32:.1f}" for one in cells[1:3]), *cells[3:]]


def swapped(cells: list[str]) -> list[str]:
    return [cells[0], cells[2], cells[1], *cells[3:]]


def commas(cells: list[str]) -> list[str]:
    return [one.replace(".", ",") for one in cells]


def semicolons(rows: list[str]) -> list[str]:
    return [row.replace(",", ";").replace(".", ",") for row in rows]


def case(name: str, harm: Harm, code: int, *words: str, command: tuple[str, ...] = ()) -> Case:
    """A case of a plain farm: what is refused is refused by `run`, what is doubted is told by `check`."""
    command = command or ("run" if code else "check", "{field}")
    return Case(name, name.split()[0], harm, code, words, "plain", command)


def daily(name: str, change: Lines, code: int, *words: str) -> Case:
    return case(f"weather {name}", lines(DAILY, change), code, DAILY, *words)


def hourly(name: str, change: Lines, code: int, *words: str) -> Case:
    return case(f"hourly {name}", lines(HOURLY, change), code, HOURLY, *words)


HOURS = ("hours", "{farm}/hourly.csv", "--lat", "43.8", "--lon", "-95.4")
STAGE = (
    "stage",
    "--planted",
    "2026-05-06",
    "--mg",
    "2.4",
    "--lat",
    "44.3",
    "--weather",
    "{farm}/weather.csv",
)

CASES: tuple[Case, ...] = (
    daily(
        "of a million columns",
        lambda rows: [rows[0] + ",x" * MANY, *rows[1:]],
        3,
        "weather.csv:1: its header has 1,000,004 columns",
        "fewer columns",
    ),
    daily(
        "with a million cells in a row",
        with_row("2026-07-08" + ",1" * MANY),
        3,
        "weather.csv:4938: the row has 1,000,001 cells, the header 4",
    ),
    daily("with a formula", cell(1, FORMULA), 0, FORMULA),
    daily("of infinite heat", cell(2, "inf"), 0, "inf on 2026-07-"),
    daily("of 29 February 2025", cell(0, "2025-02-29"), 3, "2025-02-29 is not a date"),
    daily("of the year 1", with_row("0001-01-01,1,2,0"), 3, "weather.csv:4938: 0001-01-01 is in no year"),
    daily("of the year 9999", with_row("9999-12-31,1,2,0"), 3, "weather.csv:4938: 9999-12-31 is in no year"),
    daily("of the year 10000", with_row("10000-01-01,1,2,0"), 3, "10000-01-01"),
    daily(
        "with columns twice",
        lambda rows: [rows[0] + ",tmin_c", *(row + ",99" for row in rows[1:])],
        0,
        "columns twice in weather.csv: tmin_c; the first counts",
    ),
    case("weather in UTF-16", recoded(DAILY, "utf-16"), 3, DAILY, "UTF-16", "Save it again as CSV in UTF-8"),
    case("weather with a mark of its bytes", recoded(DAILY, "utf-8-sig"), 0, "level 3"),
    daily(
        "with decimal commas",
        each(commas),
        3,
        "weather.csv:2: the row has 7 cells, the header 4",
        "semicolons",
    ),
    daily("with semicolons and decimal commas", semicolons, 0, "level 3"),
    daily("with a day twice", lambda rows: [*rows, rows[-1]], 0, "days twice"),
    daily("backwards", lambda rows: [rows[0], *rows[:0:-1]], 0, "level 3"),
    daily("in Fahrenheit", each(fahrenheit), 3, "impossible temperatures", "tmin_f"),
    daily("with the least above the most", each(swapped), 3, "above tmax_c"),
    daily("of less than no rain", cell(3, "-5"), 0, "rain_mm -5"),
    daily("with zero bytes", cell(1, "\0"), 3, "not a text table"),
    daily(
        "with one endless cell",
        cell(1, "9" * 200_000),
        3,
        "weather.csv:4937: a cell has more than 131,072 letters",
    ),
    daily(
        "with many quotes", with_row("2026-07-08," + '"' * 100_001), 3, "weather.csv:4938: a quoted cell runs"
    ),
    daily("with many quotes closed", with_row("2026-07-08," + '"' * 100_000), 0, 'the first tmin_c """'),
    daily("that is only a header", lambda rows: rows[:1], 3, "no rows"),
    daily("without a date", lambda rows: [rows[0].replace("date", "day"), *rows[1:]], 3, "no column date"),
    daily("by months first", each(lambda row: ["05/06/2026", *row[1:]]), 3, "05/06/2026"),
    hourly(
        "of a million columns",
        lambda rows: [rows[0] + ",x" * MANY, *rows[1:]],
        3,
        "hourly.csv:1: its header has",
    ),
    hourly("with a formula", cell(1, FORMULA), 0, FORMULA),
    hourly("of 29 February 2027", cell(0, "2027-02-29 05:00"), 3, "2027-02-29 05:00"),
    hourly(
        "of the year 1",
        with_row("0001-01-01 00:00,1,90,1,0"),
        3,
        "hourly.csv:722: 0001-01-01 00:00 is no day",
    ),
    hourly("of the year 9999 at midnight", with_row("9999-12-31 24:00,1,90,1,0"), 3, "9999-12-31 24:00"),
    hourly(
        "of the last hour of all",
        with_row("9999-12-31T23:00-12:00,1,90,1,0"),
        3,
        "hourly.csv:722: 9999-12-31T23:00-12:00",
    ),
    hourly(
        "of the first hour of all",
        with_row("0001-01-01T00:00+14:00,1,90,1,0"),
        3,
        "hourly.csv:722: 0001-01-01T00:00+14:00",
    ),
    hourly("of the hour that the clock skips", with_row("2026-03-08 02:30,1,90,1,0"), 0, "2026-03-08"),
    hourly("of an hour twice", lambda rows: [*rows, rows[-1]], 0, "twice"),
    hourly("with a wind of 999", cell(3, "999"), 0, "wind_m_s 999"),
    hourly("with rain below none", cell(4, "-1"), 0, "rain_mm -1"),
    hourly(
        "with humidity as a share", each(lambda row: [*row[:2], "0.5", *row[3:]]), 3, "as 95 and not 0.95"
    ),
    hourly("with humidity beyond all", each(lambda row: [*row[:2], "950", *row[3:]]), 3, "percent"),
    case("hourly in UTF-16", recoded(HOURLY, "utf-16"), 3, HOURLY, "Save it again as CSV in UTF-8"),
    hourly("with decimal commas", each(commas), 3, "hourly.csv:2: the row has", "semicolons"),
    hourly("in a zone of nowhere", cell(0, "2026-07-07T05:00+99:00"), 3, "+99:00"),
    case(
        "hourly asked for by itself", lines(HOURLY, cell(0, "soon")), 3, "hourly.csv:", "soon", command=HOURS
    ),
    case(
        "hourly that is a map",
        lambda f: (f.parent / HOURLY).write_bytes(b"II*\0\x08\0\0\0"),
        3,
        HOURLY,
        command=HOURS,
    ),
    case(
        "weather asked for by itself",
        lines(DAILY, cell(0, "0000-00-00")),
        3,
        "weather.csv:",
        "0000-00-00",
        command=STAGE,
    ),
    case(
        "weather that is none",
        lines(DAILY, lambda _: ["<html><script>alert(1)</script>", "<p>"]),
        3,
        DAILY,
        command=STAGE,
    ),
)
