"""Several threads at once: each gets what it would get alone, and the process is left as it was."""

import shutil
import threading
import time
from concurrent.futures import ThreadPoolExecutor
from datetime import date

import pytest
from made_region import made_region

from zoning import field as one_field
from zoning.service import plan_field

DAYS = (date(2026, 7, 8), date(2026, 7, 9))


@pytest.fixture(scope="module")
def fields(tmp_path_factory):
    region = made_region(tmp_path_factory.mktemp("threads") / "region", 2, small=True)
    return [region.farm / one.name for one in region.fields]


def everything(folder, today, out):
    """All that a planned field gives, and the files that it writes."""
    planned = plan_field(folder, today=today)
    planned.write(out)
    files = {path.relative_to(out): path.read_bytes() for path in out.rglob("*") if path.is_file()}
    shutil.rmtree(out)
    return planned.map_png(), planned.page_html(), planned.sheet_pdf(), planned.as_dict(), files


def test_threads_give_what_one_alone_gives(fields, tmp_path):
    import matplotlib

    jobs = [(folder, day) for folder in fields for day in DAYS]
    outs = [tmp_path / f"out{number}" for number in range(len(jobs))]
    alone = [everything(*job, out) for job, out in zip(jobs, outs, strict=True)]
    before = dict(matplotlib.rcParams)
    with ThreadPoolExecutor(len(jobs)) as threads:
        together = list(threads.map(lambda at: everything(*jobs[at], outs[at]), range(len(jobs))))
    assert together == alone
    assert dict(matplotlib.rcParams) == before


def test_a_process_plans_one_field_at_a_time(planned, monkeypatch):
    busy, most = [], []

    def watched(_folder, **_how):
        busy.append(threading.get_ident())
        most.append(len(busy))
        time.sleep(0.01)
        busy.remove(threading.get_ident())
        return planned.run

    monkeypatch.setattr(one_field, "run", watched)
    with ThreadPoolExecutor(4) as threads:
        list(threads.map(lambda _: plan_field(planned.folder, today=DAYS[0]), range(12)))
    assert most == [1] * 12


def test_what_a_user_set_for_pictures_of_their_own_changes_no_map(planned):
    import matplotlib

    usual = planned.map_png()
    with matplotlib.rc_context({"text.color": "red", "font.size": 30, "savefig.facecolor": "black"}):
        mine = dict(matplotlib.rcParams)
        assert planned.map_png() == usual
        assert dict(matplotlib.rcParams) == mine


def test_two_fields_asked_in_turn_show_their_own_ground(planned, fields):
    other = plan_field(fields[0], today=DAYS[0])
    pages = [one.page_html() for one in (planned, other, planned)]
    assert pages[0] == pages[2] != pages[1]
