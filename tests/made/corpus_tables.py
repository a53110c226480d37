"""Bad tables."""

from corpus_case import Case

CASES: tuple[Case, ...] = ()
