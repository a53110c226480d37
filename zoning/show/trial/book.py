"""What is printed of all seasons of a farm: its trials, what is believed, how well was forecast."""

from collections.abc import Sequence

from zoning.settings.learned import LearnedTrial
from zoning.show.figures import plain
from zoning.show.layout import WIDTH, Table, as_text, wrapped
from zoning.show.trial import rows, season_rows
from zoning.show.trial.trial_units import TrialUnits
from zoning.strips.learned.learned_terms import Belief, SeasonBook
from zoning.words import Said


def text(
    book: SeasonBook,
    trials: Sequence[LearnedTrial],
    beliefs: Sequence[Belief],
    farm: str,
    *,
    metric: bool = False,
    width: int = WIDTH,
) -> str:
    """Give everything that is printed of the seasons of a farm.

    Parameters
    ----------
    book : SeasonBook
    trials : sequence of LearnedTrial
        All that the farm's strips taught.
    beliefs : sequence of Belief
        By pressure class.
    farm : str
        Its name; may be empty.
    metric : bool, optional
    width : int, optional
        Of the terminal. [characters]

    Examples
    --------
    >>> print(text(SeasonBook(), (), (), "Slough Farm"))
    Slough Farm: no strip was harvested yet, and no season is in the book
    """
    says = TrialUnits(metric=metric)
    head = f"{plain(farm, 60)}: {_counted(book, trials)}" if farm else _counted(book, trials)
    bins = [
        Said("trial_page.book_bin", name=one.name, forecast=one.forecast, paid=one.paid, of=one.of).text
        for one in season_rows.bin_rows(book)
    ]
    parts = [
        wrapped([head], width, "  "),
        as_text(_trials(trials, says), width) if trials else "",
        wrapped([rows.belief_line(one, says) for one in beliefs], width, "  "),
        wrapped([*bins, *season_rows.book_lines(book)], width, "  "),
    ]
    return "\n\n".join(part for part in parts if part)


def _counted(book: SeasonBook, trials: Sequence[LearnedTrial]) -> str:
    seasons = {one.season for one in trials} | {one.season for one in book.rows}
    if not seasons:
        return Said("trial_page.no_season").text
    fields = {one.field for one in trials} | {one.field for one in book.rows}
    return Said(
        "trial_page.so_far",
        seasons=season_rows.counted("seasons", len(seasons)),
        fields=season_rows.counted("fields", len(fields)),
        trials=season_rows.counted("trials", len({(one.season, one.field) for one in trials})),
    ).text


def _trials(trials: Sequence[LearnedTrial], says: TrialUnits) -> Table:
    unit = says.response_unit
    head = ("season", "field", "pressure", "pairs", f"response {unit}", f"SE {unit}")
    ordered = sorted(trials, key=lambda one: (one.season, one.field, one.pressure))
    return Table(
        head,
        tuple(
            (
                str(one.season),
                plain(one.field, 30),
                one.pressure,
                str(one.pairs),
                says.more(one.mean_bu_ac),
                says.plain_response(one.se_bu_ac),
            )
            for one in ordered
        ),
    )
