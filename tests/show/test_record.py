"""The application record: what the plan knows is on it, everything else is a line to write on."""

from datetime import date

from zoning.show.record import RecordKnown, record_object, record_text

BLANK = "____"
KNOWN = RecordKnown(
    farm="Heron Slough",
    field="Three Dates",
    pass_number=2,
    zones=(1, 3),
    planned=date(2026, 7, 14),
    half="AM",
    sprayer="ground rig",
    product="Invented Fungicide A",
    dose="8 fl oz/ac",
    rate_gal_ac=15.0,
    area_ac=92.4,
    loads=2,
    re_entry_h=12,
)
# What somebody who sprays has to write down; none may be left out.
ASKED = (
    *("day", "start, end", "wind and its direction", "temperature", "relative humidity", "product"),
    *("registration number", "product in all", "area treated", "applicator", "licence number"),
)


def lines(known: RecordKnown) -> dict[str, str]:
    return {str(one["line"]): str(one["text"]) for one in record_object(known)["lines"]}


def test_everything_that_is_asked_has_a_line_even_when_nothing_is_known() -> None:
    text = record_text(RecordKnown(field="North"))
    for name in ASKED:
        line = next(one for one in text.splitlines() if one.startswith(name))
        assert BLANK in line, name


def test_what_the_plan_knows_is_written_and_what_it_cannot_know_is_blank() -> None:
    text = record_text(KNOWN)
    assert text.splitlines()[0] == "APPLICATION RECORD: Heron Slough, Three Dates, pass 2"
    known = lines(KNOWN)
    assert known["zones"] == "1, 3"
    assert (known["product"], known["product on an area"]) == ("Invented Fungicide A", "8 fl oz/ac")
    assert (known["carrier volume"], known["area treated"], known["loads"]) == ("15 gal/ac", "92.4 ac", "2")
    assert known["day (planned Jul 14 AM)"] == ""  # the plan's day is not the day it was done
    for name in ("registration number", "applicator", "licence number", "relative humidity", "start, end"):
        assert known[name] == ""
    assert "nobody goes in before (end + 12 h)" in known


def test_by_hand_a_metric_farm_reads_metric_amounts() -> None:
    metric = lines(RecordKnown(field="Loma", rate_gal_ac=15.0, area_ac=100.0, is_metric=True))
    # 15 x 3.785411784 x 2.471053815 = 140.3 L/ha; 100 / 2.471053815 = 40.47 ha
    assert (metric["carrier volume"], metric["area treated"]) == ("140 L/ha", "40.5 ha")


def test_it_claims_to_meet_no_law() -> None:
    words = " ".join(record_text(KNOWN).split())
    assert "does not claim to meet the law of any country or state" in words
    assert "cross out what was done otherwise" in words


def test_it_fits_a_printed_page() -> None:
    assert max(map(len, record_text(KNOWN).splitlines())) <= 90
    long = RecordKnown(field="x" * 300, farm="y" * 300, product="z" * 300, dose="1 fl oz/ac")
    assert max(map(len, record_text(long).splitlines())) <= 160


def test_it_is_to_be_kept_with_the_machines_file_wherever_it_is_read() -> None:
    assert "as-applied file" in record_text(KNOWN)
    assert any("as-applied file" in str(note) for note in record_object(KNOWN)["notes"])
