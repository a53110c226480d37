"""The corpus of bad inputs: small broken files, each with how the program must end and what it must say.

`python tests/made/corpus.py DIR` writes all of them, a farm folder a case, and prints what each is; the tests
in `tests/trust` make the same and run the program on them. A case spoils a copy of a farm of `corpus_bases`.
"""

import shutil
import sys
from collections import Counter
from pathlib import Path

import corpus_bases
import corpus_checked
import corpus_decisions
import corpus_edge_files
import corpus_ground
import corpus_images
import corpus_maps
import corpus_planter
import corpus_settings
import corpus_tables
import corpus_yield
from corpus_case import Case


def cases() -> tuple[Case, ...]:
    """Every case, in the order of the tables."""
    tables = (
        corpus_settings,
        corpus_maps,
        corpus_planter,
        corpus_edge_files,
        corpus_ground,
        corpus_decisions,
        corpus_images,
        corpus_tables,
        corpus_yield,
        corpus_checked,
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
    """Write the whole corpus, and say what each case is and how the program must end with it."""
    folder.mkdir(parents=True)
    bases = {name: corpus_bases.BASES[name](folder / f"base {name}") for name in corpus_bases.BASES}
    listed = cases()
    wide = max(len(case.name) for case in listed)
    print(f"{'':4}{'kind':11}{'case':{wide + 2}}exit  must be said")
    for number, case in enumerate(listed, 1):
        made(case, folder / f"{number:03d} {case.name}", bases[case.base])
        words = "; ".join(case.words)
        print(f"{number:03d} {case.kind:11}{case.name:{wide + 2}}{case.code:<6}{words}")
    kinds = Counter(case.kind for case in listed)
    print(f"{len(listed)} cases in {folder}: {', '.join(f'{many} {kind}' for kind, many in kinds.items())}")


if __name__ == "__main__":
    if len(sys.argv) != 2 or Path(sys.argv[1]).exists():
        sys.exit("give a folder that is not there yet: python tests/made/corpus.py DIR")
    main(Path(sys.argv[1]))
