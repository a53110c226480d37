"""Which trials of the farm's own strips a plan may know, and what is said of the others."""

from zoning.errors import SETTINGS, InputError
from zoning.inputs import files
from zoning.settings.learned import FILE, before, path_of
from zoning.settings.model import Response, Settings
from zoning.words import Said


def counted(settings: Settings, season: int) -> tuple[Settings, tuple[Said, ...]]:
    """Leave to a plan the trials of earlier seasons only: it may not know how its own season ended.

    Parameters
    ----------
    settings : Settings
        With all that learned.toml holds.
    season : int
        That the plan is for, by its year of harvest.

    Returns
    -------
    settings : Settings
    notes : tuple of Said
        That figures typed in farm.toml win, or that later trials were left out.

    Raises
    ------
    InputError
        Code 2, where own trials are the source and none is left.
    """
    response = settings.response
    if response is None or not response.learned:
        return settings, ()
    known = before(response.learned, season)
    notes = _notes(settings, response, season)
    if response.source == "own trials" and not response.is_typed and not known:
        what = f"no trial of strips before season {season} stands in {FILE}, and no mean is typed"
        mend = 'Add mean, se, trials and years, or choose source = "pooled trials".'
        raise InputError(what, where=settings.where("response.source"), mend=mend, code=SETTINGS)
    return settings.model_copy(update={"response": response.model_copy(update={"learned": known})}), notes


def typed_wins(settings: Settings) -> tuple[Said, ...]:
    """Say that figures of own trials that were typed win over what strips say, where some were."""
    if settings.response is None or not settings.response.is_typed:
        return ()
    return (Said("learned.typed_wins", file=settings.origin["response.mean"].partition(":")[0]),)


def _notes(settings: Settings, response: Response, season: int) -> tuple[Said, ...]:
    if response.is_typed:
        return typed_wins(settings)
    later = sorted({one.season for one in response.learned if one.season >= season})
    if not later:
        return ()
    return (Said("learned.later", seasons=", ".join(map(str, later)), season=season),)


def hashes(settings: Settings) -> dict[str, str]:
    """Hash learned.toml as an input, where it says anything about the returns of a plan."""
    if settings.response is None or not settings.response.learned:
        return {}
    return files.hashes(settings, [path_of(settings.folder, settings.farm_folder)])
