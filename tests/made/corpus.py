"""The corpus of bad inputs: small broken files, each with how the program must end and what it must say.

`python tests/made/corpus.py DIR` writes all of them, a farm folder a case, and prints what each is; the tests
in `tests/trust` make the same and run the program on them. A case spoils a copy of a farm of `corpus_bases`.
"""

import shutil
import sys
from pathlib import Path

import corpus_bases
import corpus_decisions
import corpus_ground
import corpus_images
import corpus_maps
import corpus_settings
import corpus_tables
import corpus_yield
from corpus_case import Case


def cases() -> tuple[Case, ...]:
    """Every case, in the order of the tables."""
    tables = (
        corpus_settings,
        corpus_maps,
        corpus_ground,
        corpus_decisions,
        corpus_images,
        corpus_tables,
        corpus_yield,
    )
    return tuple(case for table in tables for case in table.CASES)


def made(case: Case, folder: Path, base: Path) -> Path:
    """Copy a base to a folder and spoil it; the field."""
    shutil.copytree(base, folder, symlinks=True)
    field = folder / corpus_bases.FIELD[case.base]
    case.harm(field)
    return field


def arguments(case: Case, field: Path) -> list[str]:
    """What the program is called with."""
    where = {"field": str(field), "farm": str(field.parent)}
    day = corpus_bases.TODAY[case.base].isoformat()
    quiet = ["--quiet"] if case.command[0] in ("run", "farm") else []
    return [*(part.format(**where) for part in case.command), "--today", day, *quiet]


def main(folder: Path) -> None:
    """Write the whole corpus."""
    bases = {name: corpus_bases.BASES[name](folder / f"base {name}") for name in corpus_bases.BASES}
    for number, case in enumerate(cases()):
        made(case, folder / f"{number:03d} {case.name}", bases[case.base])
        print(f"{number:03d} {case.kind:9} exit {case.code}  {case.name}: {'; '.join(case.words)}")


if __name__ == "__main__":
    main(Path(sys.argv[1]))
