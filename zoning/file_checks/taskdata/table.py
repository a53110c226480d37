"""Elements and attributes of TASKDATA.XML: a table of our own, from notes on ISO 11783-10 version 4.3.

It has what a prescription needs. The text of the standard, its schema and its dictionary are not copied here.
"""

from dataclasses import dataclass

from zoning.file_checks.taskdata.kinds import INT32, Decimal, GridName, Hex4, Id, Kind, Text, Whole

ROOT = "ISO11783_TaskData"


@dataclass(frozen=True, slots=True)
class Attribute:
    """One attribute: its type, what it is called, and whether every element must have it."""

    kind: Kind
    called: str
    required: bool


@dataclass(frozen=True, slots=True)
class Element:
    """One element: what it is called, its attributes by name, and which elements may stand in it."""

    called: str
    attributes: dict[str, Attribute]
    children: tuple[str, ...] = ()


def _must(kind: Kind, called: str) -> Attribute:
    return Attribute(kind, called, required=True)


def _may(kind: Kind, called: str) -> Attribute:
    return Attribute(kind, called, required=False)


_TEXT = Text()
_WHOLE = Whole(-INT32 - 1, INT32)
_COUNT = Whole(1, INT32)
_AREA_M2 = Whole(0, INT32)
_COLOUR = Whole(0, 254)
_ZONE_CODE = Whole(0, 254)
_NORTH = Decimal(-90, 90, scaled="iso_scaled")
_EAST = Decimal(-180, 180, scaled="iso_scaled")
_STEP = Decimal(0, 1)

# Named in the standard, of no concern for a prescription: neither they nor what stands in them is judged.
NOT_JUDGED = frozenset({"GGP", "PAN", "DLT", "TIM", "OTP"})

ELEMENTS = {
    ROOT: Element(
        "root",
        {
            "VersionMajor": _must(Whole(3, 4), "version"),
            "VersionMinor": _must(Whole(0, 3), "version behind the point"),
            "ManagementSoftwareManufacturer": _must(_TEXT, "who made the farm software"),
            "ManagementSoftwareVersion": _must(_TEXT, "version of the farm software"),
            "DataTransferOrigin": _must(Whole(1, 2), "1 farm software, 2 machine"),
            "TaskControllerManufacturer": _may(_TEXT, "who made the terminal"),
            "TaskControllerVersion": _may(_TEXT, "version of the terminal"),
            "lang": _may(_TEXT, "language"),
        },
        ("CTR", "FRM", "PFD", "PDT", "VPN", "TSK"),
    ),
    "CTR": Element("customer", {"A": _must(Id("CTR"), "id"), "B": _may(_TEXT, "name")}),
    "FRM": Element(
        "farm",
        {
            "A": _must(Id("FRM"), "id"),
            "B": _may(_TEXT, "name"),
            "I": _may(Id("CTR", is_reference=True), "customer"),
        },
    ),
    "PFD": Element(
        "field",
        {
            "A": _must(Id("PFD"), "id"),
            "B": _may(_TEXT, "code"),
            "C": _must(_TEXT, "name"),
            "D": _must(_AREA_M2, "area in square metres"),
            "E": _may(Id("CTR", is_reference=True), "customer"),
            "F": _may(Id("FRM", is_reference=True), "farm"),
            "G": _may(Id("", is_reference=True), "crop"),
            "I": _may(Id("PFD", is_reference=True), "field around it"),
        },
        ("PLN", "LSG", "PNT", "GGP"),
    ),
    "PLN": Element(
        "polygon",
        {
            "A": _must(Whole(1, 12), "type"),
            "B": _may(_TEXT, "name"),
            "C": _may(_AREA_M2, "area in square metres"),
            "D": _may(_COLOUR, "colour"),
            "E": _may(Id("PLN"), "id"),
        },
        ("LSG",),
    ),
    "LSG": Element(
        "ring",
        {
            "A": _must(Whole(1, 9), "type"),
            "C": _may(_AREA_M2, "width"),
            "D": _may(_AREA_M2, "length"),
            "F": _may(Id("LSG"), "id"),
        },
        ("PNT",),
    ),
    "PNT": Element(
        "point",
        {
            "A": _must(Whole(1, 11), "type"),
            "C": _must(_NORTH, "north in degrees"),
            "D": _must(_EAST, "east in degrees"),
            "E": _may(_WHOLE, "up"),
        },
    ),
    "PDT": Element(
        "product",
        {
            "A": _must(Id("PDT"), "id"),
            "B": _must(_TEXT, "name"),
            "C": _may(Id("", is_reference=True), "group"),
            "D": _may(Id("VPN", is_reference=True), "presentation"),
            "E": _may(Hex4(), "dictionary entry of its quantity"),
            "F": _may(Whole(1, 3), "type"),
        },
    ),
    "VPN": Element(
        "presentation",
        {
            "A": _must(Id("VPN"), "id"),
            "B": _must(_WHOLE, "offset"),
            "C": _must(Decimal(1e-9, 1e8), "scale"),
            "D": _must(Whole(0, 7), "decimals"),
            "E": _may(_TEXT, "unit"),
        },
    ),
    "TSK": Element(
        "task",
        {
            "A": _must(Id("TSK"), "id"),
            "B": _may(_TEXT, "name"),
            "C": _may(Id("CTR", is_reference=True), "customer"),
            "D": _may(Id("FRM", is_reference=True), "farm"),
            "E": _may(Id("PFD", is_reference=True), "field"),
            "F": _may(Id("", is_reference=True), "worker"),
            "G": _must(Whole(1, 6), "status"),
            "H": _may(_ZONE_CODE, "zone by default"),
            "I": _may(_ZONE_CODE, "zone where the position is lost"),
            "J": _may(_ZONE_CODE, "zone outside the field"),
        },
        ("TZN", "GRD", "TLG", "PAN", "DLT", "TIM", "OTP"),
    ),
    "TZN": Element(
        "zone",
        {"A": _must(_ZONE_CODE, "code"), "B": _may(_TEXT, "name"), "C": _may(_COLOUR, "colour")},
        ("PLN", "PDV"),
    ),
    "PDV": Element(
        "rate",
        {
            "A": _must(Hex4(), "dictionary entry"),
            "B": _must(_WHOLE, "value"),
            "C": _may(Id("PDT", is_reference=True), "product"),
            "D": _may(Id("", is_reference=True), "device element"),
            "E": _may(Id("VPN", is_reference=True), "presentation"),
        },
    ),
    "GRD": Element(
        "grid",
        {
            "A": _must(_NORTH, "least north in degrees"),
            "B": _must(_EAST, "least east in degrees"),
            "C": _must(_STEP, "cell size to the north in degrees"),
            "D": _must(_STEP, "cell size to the east in degrees"),
            "E": _must(_COUNT, "columns"),
            "F": _must(_COUNT, "rows"),
            "G": _must(GridName("GRD"), "file"),
            "H": _may(_AREA_M2, "length of the file in bytes"),
            "I": _must(Whole(1, 2), "type"),
            "J": _may(_ZONE_CODE, "zone whose rates the cells hold"),
        },
    ),
    "TLG": Element(
        "log",
        {
            "A": _must(GridName("TLG"), "file"),
            "B": _may(_AREA_M2, "length of the file in bytes"),
            "C": _must(Whole(1, 1), "type"),
        },
    ),
}
