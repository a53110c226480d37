"""Rules about the form of TASKDATA.XML: elements and attributes against the table, names, references."""

from collections import Counter
from collections.abc import Iterator
from functools import partial
from pathlib import PurePosixPath

from zoning.file_checks.finding import Rule, Seen
from zoning.file_checks.taskdata.kinds import Id
from zoning.file_checks.taskdata.parts import FILE_NAME, FOLDER_NAME, TaskData
from zoning.file_checks.taskdata.read import Node
from zoning.file_checks.taskdata.table import ELEMENTS, NOT_JUDGED

_WITH_A_NAME = {"CTR": "B", "FRM": "B", "PFD": "C", "PDT": "B", "TSK": "B"}
_MACHINE = 2  # DataTransferOrigin: the machine


def _elsewhere(data: TaskData) -> Iterator[Seen]:
    if PurePosixPath(data.name).name != FILE_NAME:
        yield {"name": PurePosixPath(data.name).name, "wanted": FILE_NAME}


def _other_folder(data: TaskData) -> Iterator[Seen]:
    if data.folder and data.folder != FOLDER_NAME:
        yield {"name": data.folder, "wanted": FOLDER_NAME}


def _unknown_elements(data: TaskData) -> Iterator[Seen]:
    for node in data.judged:
        for child in node.children:
            if child.tag not in ELEMENTS and child.tag not in NOT_JUDGED:
                yield {"line": child.line, "tag": child.tag}


def _misplaced(data: TaskData) -> Iterator[Seen]:
    for node in data.judged:
        for child in node.children:
            if child.tag in ELEMENTS and child.tag not in ELEMENTS[node.tag].children:
                yield {"line": child.line, "tag": child.tag, "inside": node.tag}


def _missing(data: TaskData) -> Iterator[Seen]:
    for node in data.judged:
        for name, attribute in ELEMENTS[node.tag].attributes.items():
            if attribute.required and name not in node.attributes:
                yield {"line": node.line, "tag": node.tag, "name": name, "called": attribute.called}


def _unknown_attributes(data: TaskData) -> Iterator[Seen]:
    for node in data.judged:
        for name in node.attributes:
            is_ours = name in ELEMENTS[node.tag].attributes
            if not is_ours and not name.startswith(("xmlns", "xsi:")):
                yield {"line": node.line, "tag": node.tag, "name": name}


def _bad(rule: str, data: TaskData) -> Iterator[Seen]:
    """Give the attributes whose text breaks one rule about types."""
    for node, name, broken in data.bad_texts:
        if broken[0] == rule:
            attribute = ELEMENTS[node.tag].attributes[name]
            about = {"line": node.line, "tag": node.tag, "name": name, "called": attribute.called}
            yield {**about, "text": node.text(name)[:40], **broken[1]}


def _ids(data: TaskData) -> Iterator[tuple[Node, str]]:
    for node in data.judged:
        for name, attribute in ELEMENTS[node.tag].attributes.items():
            if isinstance(attribute.kind, Id) and not attribute.kind.is_reference and node.text(name):
                yield node, node.text(name)


def _twice(data: TaskData) -> Iterator[Seen]:
    count = Counter(text for _, text in _ids(data))
    told = set()
    for node, text in _ids(data):
        if count[text] > 1 and text not in told:
            told.add(text)
            yield {"line": node.line, "id": text, "count": count[text]}


def _dangling(data: TaskData) -> Iterator[Seen]:
    # Elements that we do not judge may be pointed at: every A in the file counts.
    known = {node.text("A") for node in data.root.all()}
    for node in data.judged:
        for name, attribute in ELEMENTS[node.tag].attributes.items():
            if isinstance(attribute.kind, Id) and attribute.kind.is_reference:
                text = node.text(name)
                if name in node.attributes and text not in known:
                    about = {"line": node.line, "tag": node.tag, "name": name, "called": attribute.called}
                    yield {**about, "text": text[:40]}


def _of_terminal(data: TaskData) -> Iterator[Seen]:
    if data.root.whole("DataTransferOrigin") != _MACHINE:
        yield from ({"line": node.line, "id": text} for node, text in _ids(data) if "-" in text)


def _from_machine(data: TaskData) -> Iterator[Seen]:
    if data.root.whole("DataTransferOrigin") == _MACHINE:
        yield {}


def _version_three(data: TaskData) -> Iterator[Seen]:
    if data.root.whole("VersionMajor") == 3:
        yield {}


def _nameless(data: TaskData) -> Iterator[Seen]:
    for node in data.judged:
        name = _WITH_A_NAME.get(node.tag)
        if name is not None and not node.text(name).strip():
            yield {"line": node.line, "tag": node.tag, "called": ELEMENTS[node.tag].called}


RULES: tuple[Rule[TaskData], ...] = (
    Rule("iso_file_name", "refused", _elsewhere),
    Rule("iso_folder_name", "doubtful", _other_folder),
    Rule("iso_version_three", "doubtful", _version_three),
    Rule("iso_from_machine", "doubtful", _from_machine),
    Rule("iso_unknown_element", "doubtful", _unknown_elements),
    Rule("iso_misplaced", "refused", _misplaced),
    Rule("iso_missing", "refused", _missing),
    Rule("iso_unknown_attribute", "doubtful", _unknown_attributes),
    *(
        Rule(name, "refused", partial(_bad, name))
        for name in (
            *("iso_bad_id", "iso_long_text", "iso_bad_whole", "iso_bad_decimal", "iso_many_decimals"),
            *("iso_bad_hex", "iso_bad_file_name", "iso_scaled"),
        )
    ),
    Rule("iso_id_twice", "refused", _twice),
    Rule("iso_dangling", "refused", _dangling),
    Rule("iso_id_of_terminal", "doubtful", _of_terminal),
    Rule("iso_nameless", "doubtful", _nameless),
)
