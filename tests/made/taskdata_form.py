"""What ISO 11783-10 asks of each element that we write, and a check of it for tests."""

import re

ID = {tag: rf"{tag}-?[0-9]+" for tag in ("CTR", "FRM", "PFD", "PDT", "VPN", "TSK")}
TEXT, WHOLE, NUMBER = r".{1,32}", r"[0-9]+", r"-?[0-9]+"
DEGREES = r"-?[0-9]{1,3}\.[0-9]{1,9}"
# Typed from the attribute table of the handbook (formats 4.4), not from the writer: element -> attribute ->
# pattern, and whether the format requires it. What is not here may not be written.
FORM = {
    "ISO11783_TaskData": {
        "VersionMajor": ("4", True),
        "VersionMinor": ("[0-3]", True),
        "ManagementSoftwareManufacturer": (TEXT, True),
        "ManagementSoftwareVersion": (TEXT, True),
        "DataTransferOrigin": ("[12]", True),
    },
    "CTR": {"A": (ID["CTR"], True), "B": (TEXT, True)},
    "FRM": {"A": (ID["FRM"], True), "B": (TEXT, True), "I": (ID["CTR"], False)},
    "PFD": {
        "A": (ID["PFD"], True), "B": (TEXT, False), "C": (TEXT, True), "D": (WHOLE, True),
        "E": (ID["CTR"], False), "F": (ID["FRM"], False),
    },
    "PLN": {"A": ("[1-9]|1[0-2]", True), "B": (TEXT, False), "C": (WHOLE, False)},
    "LSG": {"A": ("[1-9]", True)},
    "PNT": {"A": ("[1-9]|1[01]", True), "C": (DEGREES, True), "D": (DEGREES, True)},
    "PDT": {"A": (ID["PDT"], True), "B": (TEXT, True)},
    "VPN": {
        "A": (ID["VPN"], True), "B": (NUMBER, True), "C": (r"[0-9]+\.[0-9]{1,9}", True), "D": ("[0-7]", True),
        "E": (TEXT, False),
    },
    "TSK": {
        "A": (ID["TSK"], True), "B": (TEXT, False), "C": (ID["CTR"], False), "D": (ID["FRM"], False),
        "E": (ID["PFD"], False), "G": ("[1-6]", True), "H": (WHOLE, False), "I": (WHOLE, False),
        "J": (WHOLE, False),
    },
    "TZN": {"A": (WHOLE, True), "B": (TEXT, False), "C": (WHOLE, False)},
    "PDV": {
        "A": ("[0-9A-F]{4}", True), "B": (NUMBER, True), "C": (ID["PDT"], False), "E": (ID["VPN"], False),
    },
    "GRD": {
        "A": (DEGREES, True), "B": (DEGREES, True), "C": (r"0\.[0-9]+", True), "D": (r"0\.[0-9]+", True),
        "E": (WHOLE, True), "F": (WHOLE, True), "G": ("GRD[0-9]{5}", True), "H": (WHOLE, False),
        "I": ("[12]", True), "J": (WHOLE, False),
    },
}  # fmt: skip
CHILDREN = {
    "ISO11783_TaskData": {"CTR", "FRM", "PFD", "PDT", "VPN", "TSK"},
    "PFD": {"PLN"},
    "PLN": {"LSG"},
    "LSG": {"PNT"},
    "TSK": {"TZN", "GRD"},
    "TZN": {"PLN", "PDV"},
}


def elements(root):
    return [one for one in root.iter() if isinstance(one.tag, str)]


def check_form(root):
    """Every element has what it must, nothing that the table does not know, and points at what is there."""
    ids = [one.get("A") for one in elements(root) if one.tag in ID]
    assert len(ids) == len(set(ids))
    for one in elements(root):
        form = FORM[one.tag]
        assert {name for name, (_, needed) in form.items() if needed} <= set(one.attrib)
        for name, value in one.attrib.items():
            assert re.fullmatch(form[name][0], value), (one.tag, name, value)
        assert {child.tag for child in one} <= CHILDREN.get(one.tag, set())
    for one in elements(root):
        for name, value in one.attrib.items():
            if any(form == FORM[one.tag][name][0] for form in ID.values()):
                assert value in ids
    check_values(root)


def check_values(root):
    for task in root.iter("TSK"):
        codes = [zone.get("A") for zone in task.findall("TZN")]
        assert len(codes) == len(set(codes))
        assert {task.get("H"), task.get("I"), task.get("J")} <= set(codes)
        assert all(0 <= int(code) <= 254 for code in codes)
        assert len(task.findall("GRD")) <= 1
        assert not (task.findall("GRD") and list(task.iter("PLN"))), "grid or polygons, never both"
    for value in root.iter("PDV"):
        assert 0 <= int(value.get("B")) <= 2147483647
    for scale in root.iter("VPN"):
        assert 1e-9 <= float(scale.get("C")) <= 1e8
    for outline in root.iter("PLN"):
        assert [line.get("A") for line in outline].count("1") == 1
    for line in root.iter("LSG"):
        assert line[0].attrib == line[-1].attrib
        assert len(line) >= 4
