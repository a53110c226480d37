"""An XML file of task data as elements, no more and no deeper ones than task data can have."""

from collections.abc import Iterator
from dataclasses import dataclass, field

from zoning.errors import InputError
from zoning.inputs import letters, strict_xml

_MOST_ELEMENTS = 400_000  # some hundred megabytes in memory
_DEEPEST = 32  # the standard needs six


@dataclass(slots=True, eq=False)
class Node:
    """One element: its tag, its attributes and its children."""

    tag: str
    attributes: dict[str, str]
    children: list["Node"] = field(default_factory=list)

    def text(self, name: str) -> str:
        """Give an attribute on one line, without letters that nobody sees; "" where it is missing."""
        return " ".join(letters.seen(self.attributes.get(name, "")).split())

    def of(self, tag: str) -> Iterator["Node"]:
        """Give the children with this tag."""
        return (child for child in self.children if child.tag == tag)


class _Builder:
    """Puts the tree together while the parser walks through the file."""

    def __init__(self, file: str) -> None:
        self.file = file
        self.root = Node("", {})
        self._open: list[Node] = []
        self._count = 0
        self.parser = strict_xml.parser(file, "task data")
        self.parser.StartElementHandler = self._start
        self.parser.EndElementHandler = self._end

    def _start(self, tag: str, attributes: dict[str, str]) -> None:
        self._count += 1
        if self._count > _MOST_ELEMENTS or len(self._open) >= _DEEPEST:
            what = (
                f"it has more than {_MOST_ELEMENTS:,} elements, or they are nested more than {_DEEPEST} deep"
            )
            raise InputError(what, where=self.file, mend="Export one field only.")
        node = Node(tag, attributes)
        if self._open:
            self._open[-1].children.append(node)
        else:
            self.root = node
        self._open.append(node)

    def _end(self, _: str) -> None:
        self._open.pop()


def parse(content: bytes, file: str) -> Node:
    """Read an XML file; its root.

    Raises
    ------
    InputError
        When it is no XML, has a document type, or is larger or deeper than any task data.

    Examples
    --------
    >>> [one.text("A") for one in parse(b'<TIM A=""><DLV A="000C"/></TIM>', "x").of("DLV")]
    ['000C']
    """
    builder = _Builder(file)
    strict_xml.walk(builder.parser, content, file, "XML")
    return builder.root  # without an element it is no XML
