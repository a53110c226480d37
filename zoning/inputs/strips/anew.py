"""Whether new check strips may take the place of those that are laid."""

from datetime import date

from zoning.errors import SETTINGS, InputError
from zoning.inputs.given import FieldInputs
from zoning.inputs.planted import sown
from zoning.inputs.strips import design
from zoning.settings.model import Settings

OPTION = "--new-strips"


def check(settings: Settings, given: FieldInputs, today: date) -> None:
    """Refuse to lay new check strips where there is nothing to lay, or where the old ones were driven.

    Parameters
    ----------
    settings : Settings
    given : FieldInputs
        With what was sprayed in this crop.
    today : date
        Of which season it is.

    Raises
    ------
    InputError
        With exit code 2: no passes are planned, `pairs` is 0, or the field was sprayed on or after the day on
        which its strips of this season were laid. Any product counts: who sprayed may have left the strips
        out. Where the file does not say its day, any pass in this crop counts.
    """
    if settings.level != 3:
        mend = "Complete [product] and [[sprayer]] first; `sprayworth check` says what is missing."
        what = "no passes are planned for this field, so no check strips are laid"
        raise InputError(what, where=OPTION, mend=mend, code=SETTINGS)
    if settings.check_strips.pairs == 0:
        mend = f"Give pairs in [check_strips], or delete {design.FILE} to have none."
        where = settings.where("check_strips.pairs")
        raise InputError("there are no new check strips to lay", where=where, mend=mend, code=SETTINGS)
    laid = design.laid(settings.folder)
    season = sown.season_of(settings, today, given.latitude_deg)
    if laid is None or (laid.season is not None and laid.season != season):
        return
    since = [one.on for one in given.sprayed if laid.on is None or one.on >= laid.on]
    if since:
        when = f", after its strips were laid on {laid.on}" if laid.on is not None else ""
        what = f"the field was sprayed on {min(since)}{when}: new strips would not be what was driven"
        mend = "Keep these strips to the harvest; correct done.csv where that pass is a mistake."
        raise InputError(what, where=OPTION, mend=mend, code=SETTINGS)
