"""The files of a trial: FIELD/strips/SEASON is replaced whole, then what the farm learned is written."""

from pathlib import Path

from zoning.harvest.trial import Trial
from zoning.inputs import season_book, store
from zoning.inputs.given import as_compared
from zoning.prescription import folder as out_folder
from zoning.prescription import of_a_trial
from zoning.prescription.as_json import plan_json
from zoning.prescription.as_json.twins import Json
from zoning.settings import learned
from zoning.settings.learned import in_order
from zoning.settings.read import load


def place_of(field: Path, season: int) -> Path:
    """Give the folder of the results of a field's trial."""
    return field / "strips" / str(season)


def as_object(found: Trial, files: tuple[str, ...] = ()) -> Json:
    """Give the object that trial.json holds."""
    return of_a_trial.as_object(found.result, files)


def write(found: Trial, field: Path, *, learns: bool = True) -> tuple[str, ...]:
    """Write the results of a trial, and what the farm learns of it.

    Parameters
    ----------
    found : Trial
    field : Path
        Its folder.
    learns : bool
        False: learned.toml and season.csv stay as they are.

    Returns
    -------
    tuple of str
        Names of the files in the folder of the trial.

    Raises
    ------
    InputError
        When the disk refuses; then all stands as it was.
    """
    # imported late: no step before needs to wait for the libraries that draw and set type
    from zoning.show.trial import page, pdf, picture

    result = found.result
    names: list[str] = []

    def fill(new: Path) -> None:
        for name, show in (("trial.html", page), ("trial.png", picture), ("trial.pdf", pdf)):
            show.write(result, new / name)
            names.append(name)
        (new / of_a_trial.POINTS).write_text(of_a_trial.points_text(result), encoding="utf-8", newline="\n")
        (new / of_a_trial.LAYERS).write_bytes(of_a_trial.layers_bytes(result))
        names.extend((of_a_trial.POINTS, of_a_trial.LAYERS, of_a_trial.OBJECT, "run.json"))
        whole = as_object(found, tuple(names))
        for name, thing in ((of_a_trial.OBJECT, whole), ("run.json", found.provenance.as_object())):
            (new / name).write_text(plan_json.as_text(thing), encoding="utf-8", newline="\n")

    out = place_of(field, result.season)
    try:
        out.parent.mkdir(exist_ok=True)
    except OSError as error:
        raise out_folder.refused(error, out) from error
    out_folder.replace(out, fill, (lambda: _learn(found, field)) if learns else (lambda: None))
    return tuple(names)


def _learn(found: Trial, field: Path) -> None:
    """Write what the farm learns.

    What the files hold of other fields and seasons is read again: another harvest may have been judged since.
    """
    settings = load(field, is_over=True)
    trials_file, book_file = (
        learned.path_of(settings.folder, settings.farm_folder),
        season_book.path_of(settings),
    )
    this = (found.result.season, found.result.folder)
    trials = [one for one in learned.read(trials_file) if (one.season, one.field) != this]
    trials += [one for one in found.trials if (one.season, one.field) == this]
    rows = [
        one for one in found.rows if (one.season, as_compared(one.field)) == (this[0], as_compared(this[1]))
    ]
    texts = {
        **({trials_file: learned.as_text(in_order(trials))} if trials or trials_file.is_file() else {}),
        book_file: season_book.as_text(season_book.with_rows(season_book.read(book_file), rows)),
    }
    contents = {path: text.encode("utf-8") for path, text in texts.items()}
    # the previous content stays as .bak: not of itself
    store.write_all({path: made for path, made in contents.items() if _stands(path) != made})


def _stands(path: Path) -> bytes | None:
    return path.read_bytes() if path.is_file() else None
