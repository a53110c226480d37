"""From a field's folder to its settings: farm.toml and field.toml read, merged, checked, frozen.

Every fault is found before any is raised. The files that the settings name are not opened here.
"""

import os
from collections.abc import Iterable
from functools import partial
from pathlib import Path
from typing import Any, Literal

from pydantic import ValidationError

from zoning import once_read
from zoning.errors import SETTINGS, WORLD, InputError, raise_all
from zoning.settings import learned, machines, plain, rules
from zoning.settings.adjuvant import tank_share
from zoning.settings.given import Given, in_words, merged
from zoning.settings.keys import FILLED_IN
from zoning.settings.model import Settings, Sprayer
from zoning.settings.names import odd_letters

FARM_FILE = "farm.toml"
FIELD_FILE = "field.toml"
_OUR_FOLDERS = ("out", "out.new", "out.last", "out.kept")  # of a farm: what stands there is replaced


def load(folder: Path, *, is_over: bool = False) -> Settings:
    """Read the settings of one field.

    farm.toml is looked for in the field's folder, then in the folder above it; a field's own value wins.
    What the farm's strips taught (learned.toml) is read with it.

    Parameters
    ----------
    folder : Path
        The field's folder, with its field.toml.
    is_over : bool
        The season is over: own trials may be the source though there is none yet, for they are to be learned.

    Returns
    -------
    Settings
        With `level`, `missing`, `origin` and `given` filled in.

    Raises
    ------
    InputError
        Code 2, or 4 without permission to read; all faults together, in the order of the files, each as
        `file:line: key = value: what. mend`.
    """
    field_file = folder / FIELD_FILE
    try:
        is_there = field_file.is_file()
    except PermissionError as error:
        mend = "Get permission to read what is in it, and run again."
        raise InputError(
            "you are not allowed into this folder", where=folder, mend=mend, code=WORLD
        ) from error
    if not is_there:
        raise _no_field(folder)
    folder = Path(os.path.normpath(folder.absolute()))
    raise_all(odd_letters([folder]))
    for at in (folder, folder.parent):
        if (at / FARM_FILE).is_dir():
            raise _a_folder(FARM_FILE)
    farm_file = next((at / FARM_FILE for at in (folder, folder.parent) if (at / FARM_FILE).is_file()), None)
    farm_folder = None if farm_file is None else farm_file.parent
    given = merged(field_file, farm_file)
    trials, of_trials = _learned(learned.path_of(folder, farm_folder))
    counts = bool(is_over or of_trials or rules.counted(given, trials))
    sprayers = machines.of_farm(given, farm_file)
    of_rules = rules.faults(given, has_learned=counts, has_checked=sprayers is not None)
    found = [*plain.filled_in(given), *of_rules, *of_trials]
    settings = None
    try:
        settings = Settings.model_validate(
            {
                **_ready(given, sprayers),
                "folder": folder,
                "farm_folder": farm_folder,
                "origin": {in_words(steps): place for steps, place in given.places.items()},
                "given": given.texts(),
            }
        )
    except ValidationError as error:
        found += plain.faults(error, given)
    raise_all(sorted(found, key=_in_order))
    if settings is None:
        raise AssertionError("settings were refused without a fault")
    filled_in: dict[str, object] = {"level": _level(settings), "missing": rules.missing(settings)}
    if settings.response is not None:
        filled_in["response"] = settings.response.model_copy(update={"learned": trials})
    return settings.model_copy(update=filled_in)


def _learned(path: Path) -> tuple[tuple[learned.LearnedTrial, ...], tuple[InputError, ...]]:
    """Read what the strips taught; its faults are told together with those of the settings."""
    try:
        return once_read.of_file(path, "trials", partial(learned.read, path)), ()
    except InputError as fault:
        return (), fault.faults


def is_farm(path: Path) -> bool:
    """Whether a folder is a farm: it has a farm.toml and is not itself a field."""
    return (path / FARM_FILE).is_file() and not (path / FIELD_FILE).is_file()


def fields_of(farm: Path) -> tuple[Path, ...]:
    """List the fields of a farm: its sub-folders with a field.toml, by name.

    A folder that may not be looked into is listed too, and one whose field.toml is no file, so that `load`
    says so; a link to a field that is listed is not, as its acres are there already.

    Raises
    ------
    InputError
        Code 2, when there is no such folder, or a field has the name of a folder of results or is called in
        letters that are no UTF-8.
    """
    if not farm.is_dir():
        mend = "Give the folder that holds farm.toml."
        raise InputError("there is no such folder", where=farm, mend=mend, code=SETTINGS)
    found = sorted(folder for folder in farm.iterdir() if _may_be_field(folder))
    raise_all(odd_letters(farm.absolute() / folder.name for folder in found))
    # some disks do not tell capitals apart
    raise_all([_ours(folder) for folder in found if folder.name.casefold() in _OUR_FOLDERS])
    own = {folder.resolve() for folder in found if not folder.is_symlink()}
    links = {folder.resolve(): folder for folder in reversed(found) if folder.is_symlink()}
    return tuple(
        folder
        for folder in found
        if not folder.is_symlink() or (folder.resolve() not in own and links[folder.resolve()] == folder)
    )


def faults_of_farm(fields: Iterable[Path]) -> tuple[InputError, ...]:
    """Find the faults of farm.toml and learned.toml that every field has: the farm's own, told once.

    What a single field mends with a value of its own, and what stands in a field.toml, is not among them.

    Parameters
    ----------
    fields : iterable of Path
        Folders of fields of one farm; one that may not be looked into tells nothing.

    Returns
    -------
    tuple of InputError
        In the order of the file.
    """
    found: dict[str, InputError] | None = None
    for folder in fields:
        try:
            load(folder)
        except InputError as fault:
            if fault.code == WORLD:
                continue
            here = {str(one): one for one in fault.faults if is_of_farm(one)}
            found = here if found is None else {told: one for told, one in found.items() if told in here}
        else:
            return ()
        if not found:
            return ()
    return tuple((found or {}).values())


def is_of_farm(fault: InputError) -> bool:
    """Whether a fault stands in a file that the fields of a farm share: farm.toml or learned.toml."""
    return fault.where.partition(":")[0] in (FARM_FILE, learned.FILE)


def name_of_farm(farm: Path, fields: Iterable[Path]) -> str:
    """Give the name that farm.toml has for a farm, as the first field whose settings can be read tells it.

    Parameters
    ----------
    farm : Path
        Its folder, whose name stands in where none is told.
    fields : iterable of Path
    """
    for folder in fields:
        try:
            told = load(folder).farm_name
        except InputError:
            continue
        return told or farm.resolve().name
    return farm.resolve().name


def _may_be_field(folder: Path) -> bool:
    """Whether something is called field.toml there, be it a folder or a link to nothing: `load` says."""
    try:
        (folder / FIELD_FILE).lstat()
    except PermissionError:
        return True
    except OSError:  # nothing there, a file beside the fields, a link to itself
        return False
    return True


def _ours(folder: Path) -> InputError:
    what, mend = "a field cannot be called so: the farm's results go there", "Give its folder another name."
    return InputError(what, where=folder, mend=mend, code=SETTINGS)


def _no_field(folder: Path) -> InputError:
    if (folder / FIELD_FILE).is_dir():
        return _a_folder(FIELD_FILE)
    if (folder / FIELD_FILE).is_symlink():
        return _not_a_file(FIELD_FILE, "this is a link that leads to no file")
    if (folder / FIELD_FILE).exists():
        return _not_a_file(FIELD_FILE, "this is no file with content")
    if not folder.is_dir():
        what, mend = "there is no such folder", "Give the folder that holds field.toml."
    elif is_farm(folder):
        what, mend = "this is a farm, not a field", "Give one of its fields, or use `sprayworth farm`."
    else:
        what = f"there is no {FIELD_FILE} in this folder"
        mend = "Write one with `sprayworth new DIR`, or give the folder that holds it."
    return InputError(what, where=folder, mend=mend, code=SETTINGS)


def _a_folder(name: str) -> InputError:
    return _not_a_file(name, "this is a folder, not a file")


def _not_a_file(name: str, what: str) -> InputError:
    mend = f"Put the file {name} in its place; `sprayworth new DIR` writes one."
    return InputError(what, where=name, mend=mend, code=SETTINGS)


def _ready(given: Given, sprayers: tuple[Sprayer, ...] | None) -> dict[str, Any]:
    """Hand over what was typed, less what nobody may type, and an adjuvant's share of the tank apart.

    `sprayers` are those that were checked before, if they were.
    """
    data = {name: value for name, value in given.data.items() if name not in FILLED_IN}
    if "farm_name" in given.data:
        data["farm_name"] = given.data["farm_name"]
    if sprayers is not None:
        data["sprayer"] = sprayers
    planting = data.get("planting", {})
    if isinstance(planting, dict) and not {"file", "date"} & set(planting):
        data["planting"] = {**planting, "file": "planting.geojson"}
    share = tank_share(given.get("money", "adjuvant"))
    if share is not None:  # a faulty one is told by its rule
        frac = share if share <= 1 else 0.0
        data["money"] = {**data["money"], "adjuvant": "0 USD/ac", "adjuvant_frac": frac}
    if given.get("response", "learned") is not None:  # told by `plain.filled_in`
        data["response"] = {name: value for name, value in data["response"].items() if name != "learned"}
    return data


def _level(settings: Settings) -> Literal[1, 2, 3]:
    if settings.money is None or settings.response is None:
        return 1
    return 3 if settings.product is not None and settings.sprayers else 2


def _in_order(fault: InputError) -> tuple[str, int, str]:
    name, _, rest = fault.where.partition(":")
    line = rest.partition(":")[0]
    return name, int(line) if line.isdigit() else 0, fault.where
