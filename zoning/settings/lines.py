"""On which line each key of a TOML text stands, because the standard parser does not say.

Expects a text that the standard parser has accepted; decides nothing about what the keys mean.
"""

import re
import tomllib

Steps = tuple[str | int, ...]  # ("sprayer", 1, "boom"): items of a list counted from 0

_BLANK = re.compile(r"(?:[ \t\r\n]+|#[^\n]*)*")
_BARE_KEY = re.compile(r"[A-Za-z0-9_-]+")
_STRING = re.compile(
    r'"""(?:[^\\]|\\.)*?"""{1,3}'  # may end in one or two quotes of its own
    r"|'''.*?'''{1,3}"
    r'|"(?:[^"\\\n]|\\.)*"'
    r"|'[^'\n]*'",
    re.DOTALL,
)
_PLAIN = re.compile(r"[^,\]}\n#]+")


def lines_of(text: str) -> dict[Steps, int]:
    r"""Find the line of every key, table header and list item.

    Parameters
    ----------
    text : str
        TOML that `tomllib` has read without an error.

    Returns
    -------
    dict of (tuple of str or int) to int
        Where each key was first written; lines are counted from 1.

    Examples
    --------
    >>> found = lines_of('name = "a"\n[[sprayer]]\nboom = "90 ft"\n[[sprayer]]\nboom = "27"\n')
    >>> found["sprayer", 1, "boom"]
    5
    """
    return _Reader(text).read()


class _Reader:
    """Walks once through the text; `at` is the next character."""

    def __init__(self, text: str) -> None:
        self.text = text.replace("\r\n", "\n")
        self.at = 0
        self.counted, self.line = 0, 1  # the lines up to there
        self.found: dict[Steps, int] = {}
        self.counts: dict[Steps, int] = {}  # lists of tables, [[...]]

    def read(self) -> dict[Steps, int]:
        table: Steps = ()
        while self._skip_blank():
            if self.text.startswith("[", self.at):
                table = self._header()
            else:
                self._pair(table)
        return self.found

    def _skip_blank(self) -> bool:
        match = _BLANK.match(self.text, self.at)
        self.at = match.end() if match else self.at
        return self.at < len(self.text)

    def _note(self, steps: Steps) -> None:
        self.line += self.text.count("\n", self.counted, self.at)
        self.counted = self.at  # never goes back: a key is noted before what stands in it
        for depth in range(1, len(steps) + 1):
            self.found.setdefault(steps[:depth], self.line)

    def _header(self) -> Steps:
        is_list = self.text.startswith("[[", self.at)
        self.at += 2 if is_list else 1
        keys = self._dotted_key()
        steps: Steps = ()
        for key in keys[:-1]:
            steps = self._inside((*steps, key))
        steps = (*steps, keys[-1])
        if is_list:
            self.counts[steps] = self.counts.get(steps, 0) + 1
        steps = self._inside(steps)
        self._note(steps)
        self.at = self.text.index("]", self.at) + (2 if is_list else 1)
        return steps

    def _inside(self, steps: Steps) -> Steps:
        """Step into the newest item of a list of tables."""
        return (*steps, self.counts[steps] - 1) if steps in self.counts else steps

    def _dotted_key(self) -> list[str]:
        keys = [self._key()]
        while self._skip_blank() and self.text[self.at] == ".":
            self.at += 1
            keys.append(self._key())
        return keys

    def _key(self) -> str:
        self._skip_blank()
        quoted = _STRING.match(self.text, self.at)
        if quoted:
            self.at = quoted.end()
            return str(tomllib.loads(f"key = {quoted[0]}")["key"])
        bare = _BARE_KEY.match(self.text, self.at)
        if bare is None:
            raise ValueError(f"no key at character {self.at}: the text is not valid TOML")
        self.at = bare.end()
        return bare[0]

    def _pair(self, table: Steps) -> None:
        start = self.at
        steps = (*table, *self._dotted_key())
        self._skip_blank()
        end, self.at = self.at, start
        self._note(steps)
        self.at = end + 1  # the equals sign
        self._value(steps)

    def _value(self, steps: Steps) -> None:
        self._skip_blank()
        first = self.text[self.at]
        if first == "[":
            self._list(steps)
        elif first == "{":
            self._inline_table(steps)
        else:
            match = _STRING.match(self.text, self.at) or _PLAIN.match(self.text, self.at)
            self.at = match.end() if match else self.at + 1

    def _list(self, steps: Steps) -> None:
        self.at += 1
        number = 0
        while self._skip_blank() and self.text[self.at] != "]":
            if self.text[self.at] == ",":
                self.at += 1
                continue
            self._note((*steps, number))
            self._value((*steps, number))
            number += 1
        self.at += 1

    def _inline_table(self, steps: Steps) -> None:
        self.at += 1
        while self._skip_blank() and self.text[self.at] != "}":
            if self.text[self.at] == ",":
                self.at += 1
                continue
            self._pair(steps)
        self.at += 1
