"""The fenced blocks of a page of the docs, with what is said before each: what a reader is told to do."""

import re
import shlex
from dataclasses import dataclass
from pathlib import Path

_FENCE = re.compile(r"^( *)```(\w*)\n(.*?)^\1```$", re.MULTILINE | re.DOTALL)


@dataclass(frozen=True, slots=True)
class Block:
    """A fenced block.

    `before` is the text between the block before and this one; `line` is where it begins in the page.
    """

    language: str
    text: str
    before: str
    line: int

    @property
    def paragraph(self) -> str:
        """The last paragraph before the block, on one line."""
        last = self.before.strip().rsplit("\n\n", 1)[-1]
        return " ".join(last.split())


def blocks(page: Path) -> list[Block]:
    """Read the blocks of a page, in order."""
    text = page.read_text(encoding="utf-8")
    found, end = [], 0
    for match in _FENCE.finditer(text):
        indent, language, inside = match.groups()
        if not inside.strip():  # it would match whatever is printed
            raise AssertionError(f"{page.name} has a block with nothing in it")
        plain = "".join(line.removeprefix(indent) for line in inside.splitlines(keepends=True))
        line = text.count("\n", 0, match.start()) + 1
        found.append(Block(language, plain, text[end : match.start()], line))
        end = match.end()
    return found


def command_lines(block: Block) -> list[list[str]]:
    """Give the words of each command of a block, one command after the other, comments off."""
    whole = block.text.replace("\\\n", " ")
    parts = [part for line in whole.splitlines() for part in line.split(" && ")]
    return [words for part in parts if (words := shlex.split(part, comments=True))]


def inline_commands(page: Path) -> list[list[str]]:
    """Give the words of each `sprayworth ...` in the running text of a page."""
    text = _FENCE.sub("", page.read_text(encoding="utf-8"))
    told = re.findall(r"`(sprayworth [^`]+)`", text)
    return [shlex.split(" ".join(one.split())) for one in told]


def matches(shown: str, printed: str) -> bool:
    """Tell whether what a page shows is what was printed; a line `...` stands for any lines."""
    have = printed.splitlines()
    have = [line.rstrip() for line in have]
    at, is_free = 0, False
    chunks: list[list[str]] = [[]]
    for line in shown.splitlines():
        if line.strip() == "...":
            chunks.append([])
        else:
            chunks[-1].append(line.rstrip())
    for place, chunk in enumerate(chunks):
        is_free = place > 0
        starts = range(at, len(have) - len(chunk) + 1) if is_free else [at]
        if place and place == len(chunks) - 1:  # what follows the last `...` ends the output
            starts = [len(have) - len(chunk)] if chunk else [at]
        start = next((one for one in starts if have[one : one + len(chunk)] == chunk), None)
        if start is None or start < at:
            return False
        at = start + len(chunk)
    return at == len(have) or not chunks[-1]
