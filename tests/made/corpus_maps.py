"""Bad maps."""

from corpus_case import Case

CASES: tuple[Case, ...] = ()
