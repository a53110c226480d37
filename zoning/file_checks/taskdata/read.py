"""TASKDATA.XML -> a tree that knows its lines; what could harm the reader is refused before it is read."""

from collections.abc import Iterator
from dataclasses import dataclass, field
from xml.parsers import expat

from zoning.file_checks.finding import UnreadableError
from zoning.file_checks.taskdata.kinds import decimal, whole
from zoning.file_checks.taskdata.table import ROOT

_MAX_ELEMENTS = 400_000  # some hundred megabytes in memory
_MAX_DEPTH = 32  # the standard needs six


@dataclass(slots=True, eq=False)
class Node:
    """One element: its tag, its line in the file, its attributes, its children and the tag around it."""

    tag: str
    line: int
    attributes: dict[str, str]
    inside: str
    children: list["Node"] = field(default_factory=list)

    def text(self, name: str) -> str:
        """Give an attribute, "" where it is missing."""
        return self.attributes.get(name, "")

    def whole(self, name: str) -> int | None:
        """Give an attribute as a whole number, None where it is none."""
        return whole(self.attributes.get(name))

    def decimal(self, name: str) -> float | None:
        """Give an attribute as a decimal number, None where it is none."""
        return decimal(self.attributes.get(name))

    def of(self, *tags: str) -> Iterator["Node"]:
        """Give the children with these tags."""
        return (child for child in self.children if child.tag in tags)

    def all(self) -> Iterator["Node"]:
        """Walk through the element and all below it, in the order of the file."""
        waiting = [self]
        while waiting:
            node = waiting.pop()
            yield node
            waiting.extend(reversed(node.children))


class _Builder:
    """Puts the tree together while expat reads."""

    def __init__(self) -> None:
        self.parser = expat.ParserCreate()
        self.parser.StartElementHandler = self.start
        self.parser.EndElementHandler = self.end
        self.parser.StartDoctypeDeclHandler = self.refuse
        self.parser.EntityDeclHandler = self.refuse
        self.open: list[Node] = []
        self.root: Node | None = None
        self.count = 0

    def start(self, tag: str, attributes: dict[str, str]) -> None:
        self.count += 1
        if self.count > _MAX_ELEMENTS or len(self.open) >= _MAX_DEPTH:
            raise UnreadableError("iso_too_much", elements=_MAX_ELEMENTS, depth=_MAX_DEPTH)
        around = self.open[-1] if self.open else None
        node = Node(tag, self.parser.CurrentLineNumber, attributes, around.tag if around else "")
        if around is None:
            self.root = node
        else:
            around.children.append(node)
        self.open.append(node)

    def end(self, _tag: str) -> None:
        self.open.pop()

    def refuse(self, *_: object) -> None:
        raise UnreadableError("iso_own_entities", line=self.parser.CurrentLineNumber)


def parse(content: bytes) -> Node:
    """Read the file.

    Raises
    ------
    UnreadableError
        When it is no XML, not this kind of XML, or larger or deeper than any prescription; or when it
        defines entities, by which a small file can fill the memory or read others.

    Examples
    --------
    >>> root = parse(b'<ISO11783_TaskData><TSK A="TSK1"/></ISO11783_TaskData>')
    >>> [(node.tag, node.line) for node in root.all()]
    [('ISO11783_TaskData', 1), ('TSK', 1)]
    """
    builder = _Builder()
    try:
        builder.parser.Parse(content, True)
    except expat.ExpatError as error:
        why = expat.ErrorString(error.code)
        raise UnreadableError("iso_not_xml", line=error.lineno, why=why) from error
    except (LookupError, ValueError) as error:  # an encoding that Python does not know, or not in one byte
        raise UnreadableError("iso_not_xml", line=1, why="unknown encoding") from error
    root = builder.root
    if root is None or root.tag != ROOT:
        raise UnreadableError("iso_other_root", tag="nothing" if root is None else root.tag, wanted=ROOT)
    return root
