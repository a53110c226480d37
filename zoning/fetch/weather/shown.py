"""What `get weather` brought, as people and programs read it. Gets nothing and prints nothing."""

import textwrap
from collections.abc import Mapping

from zoning.fetch.weather.got import Got
from zoning.plan import SCHEMA_VERSION
from zoning.show.figures import plain
from zoning.show.layout import WIDTH
from zoning.units import mi_from_m


def got_text(got: Got, width: int = WIDTH) -> str:
    """Write what was got for which place, from whom, and what to know."""
    daily, home = got.daily, got.home
    lines = [f"{daily.file}: {daily.days:,} days from {daily.first} to {daily.last}, from {daily.service}"]
    fields = "1 field" if home.fields == 1 else f"{home.fields:,} fields"
    at = f"{daily.place.latitude_deg:g}, {daily.place.longitude_deg:g}"
    far = f"; the farthest lies {_far(got)} away" if home.fields > 1 else ""
    lines.append(f"place: {at}, the middle of {fields}{far}")
    lines.append(
        f"requests: {got.requests}; answers that lay here from before: {daily.kept} of {daily.answers}"
    )
    if got.hourly is not None:
        hours = got.hourly
        lines.append(
            f"hourly forecast: {hours.hours} hours from {hours.first:%Y-%m-%d %H:%M} to "
            f"{hours.last:%Y-%m-%d %H:%M} UTC, from {hours.service}"
        )
    lines.append(f"written: {', '.join(got.files)}" if got.files else "nothing new to write")
    lines += [f"note: {plain(said.text)}" for said in got.notes]
    return "\n".join(textwrap.fill(line, width, subsequent_indent="    ") for line in lines)


def got_object(got: Got) -> Mapping[str, object]:
    """Give the same as an object for JSON."""
    daily, hours = got.daily, got.hourly
    return {
        "schema_version": SCHEMA_VERSION,
        "today": str(got.today),
        "latitude_deg": daily.place.latitude_deg,
        "longitude_deg": daily.place.longitude_deg,
        "fields": got.home.fields,
        "farthest_m": round(got.home.farthest_m),
        "daily": {
            "service": daily.service,
            "file": daily.file,
            "first": str(daily.first),
            "last": str(daily.last),
            "days": daily.days,
            "without_temperatures": [str(day) for day in daily.gaps],
            "filled": [str(day) for day in daily.filled],
            "own_days": daily.own_days,
            "answers": daily.answers,
            "kept": daily.kept,
        },
        "hourly": None
        if hours is None
        else {
            "service": hours.service,
            "first": f"{hours.first:%Y-%m-%dT%H:%MZ}",
            "last": f"{hours.last:%Y-%m-%dT%H:%MZ}",
            "hours": hours.hours,
        },
        "requests": got.requests,
        "files_written": list(got.files),
        "notes": [{"code": said.code, "text": said.text} for said in got.notes],
    }


def _far(got: Got) -> str:
    far_m = got.home.farthest_m
    return f"{far_m:,.0f} m" if got.home.settings.units == "metric" else f"{mi_from_m(far_m):,.1f} mi"
