"""All seasons of a farm as rows and lines of text: how good chances were, how far off R3 was."""

from dataclasses import dataclass

from zoning.show.figures import chance, plain
from zoning.stage.past_seasons import StageBias
from zoning.strips.learned.learned_terms import SeasonBook
from zoning.words import Said


@dataclass(frozen=True, slots=True, kw_only=True)
class BinRow:
    """Zones whose chance was forecast alike: forecast against what came."""

    name: str
    forecast: str
    paid: str
    of: str
    shares: tuple[float, float]


def bin_rows(book: SeasonBook) -> list[BinRow]:
    """Give a row for each run of chances that were forecast."""
    return [
        BinRow(
            name=f"{100 * one.low:.0f}–{100 * one.high:.0f} %",
            forecast=chance(one.mean_forecast),
            paid=f"{100 * one.paid_frac:.0f} %",
            of=f"{counted('zones', one.zones)}, {counted('seasons', one.seasons)}",
            shares=(one.mean_forecast, one.paid_frac),
        )
        for one in book.reliability
    ]


def counted(what: str, count: int) -> str:
    """Write a number of zones, seasons, fields or pairs."""
    ending = "one" if count == 1 else "many"
    said = Said(f"trial_page.{what}_{ending}", **({} if count == 1 else {"count": count}))
    return said.text


def book_lines(book: SeasonBook) -> list[str]:
    """Say how chances and R3 did over the seasons of the farm, and what the book itself says."""
    lines = []
    if book.brier is not None and book.brier_of_mean is not None:
        lines.append(Said("trial_page.chances", ours=book.brier, mean=book.brier_of_mean).text)
    lines += [_r3_line(one) for one in book.biases]
    return [*lines, *(plain(note.text) for note in book.notes)]


def _r3_line(one: StageBias) -> str:
    """Say how far off R3 was, and what of it is expected again: that may point the other way."""
    return Said(
        "trial_page.r3",
        name=f"{one.kind} {plain(one.name, 40)}",
        kind=one.kind,
        seasons=counted("seasons", one.seasons),
        days=abs(one.seen_d),
        seen=Said(f"trial_page.{'later' if one.seen_d >= 0 else 'earlier'}").text,
        shrunk=abs(one.shrunk_d),
        lasts=Said(f"trial_page.{'later' if one.shrunk_d >= 0 else 'earlier'}").text,
    ).text
