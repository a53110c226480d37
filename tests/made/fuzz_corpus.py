"""The files of the corpus of bad inputs, for the fuzzer to begin with: what is bad may become worse."""

import shutil
from collections.abc import Mapping, Sequence
from pathlib import Path

import corpus
import corpus_bases
from fuzz_table import Reader

_LARGEST_BYTES = 300_000  # of a file that is worth beginning with


def starts(folder: Path, readers: Sequence[Reader]) -> Mapping[str, Sequence[bytes]]:
    """Make the corpus, and give its files to the files of the kit that end alike."""
    by_ending: dict[str, list[bytes]] = {}
    bases = {name: make(folder / name) for name, make in corpus_bases.BASES.items()}
    for case in corpus.cases():
        field = corpus.made(case, folder / "case", bases[case.base])
        for path in _changed(field.parent, bases[case.base]):
            by_ending.setdefault(path.suffix.lower(), []).append(path.read_bytes())
        shutil.rmtree(folder / "case", ignore_errors=True)
    names = {name for reader in readers for name in reader.files}
    return {name: by_ending[end] for name in names if (end := Path(name).suffix.lower()) in by_ending}


def _changed(farm: Path, base: Path) -> list[Path]:
    """List the files of a farm that are not those of its base."""
    found = []
    for path in sorted(farm.rglob("*")):
        try:
            if path.is_symlink() or not path.is_file() or path.stat().st_size > _LARGEST_BYTES:
                continue
            same = base / path.relative_to(farm)
            if not same.is_file() or same.read_bytes() != path.read_bytes():
                found.append(path)
        except OSError:  # a case of what may not be read
            continue
    return found
