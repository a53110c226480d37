"""A CRS that a GeoJSON names by an address: the library would fetch it, so the file is refused before."""

import json
import socket
import subprocess
import sys
from contextlib import suppress

import pytest

from zoning.errors import InputError
from zoning.inputs import vector
from zoning.inputs.harvest.points.rows import read as read_points

RING = [[-95.41, 44.30], [-95.40, 44.30], [-95.40, 44.31], [-95.41, 44.30]]


@pytest.fixture
def listening():
    """A server that answers nobody."""
    with socket.create_server(("127.0.0.1", 0)) as server:
        server.settimeout(0.05)
        yield server


def came(server):
    """Whether somebody came since it was asked last."""
    with suppress(TimeoutError):
        server.accept()[0].close()
        return True
    return False


def link(server, kind="link", key="href"):
    return {"type": kind, "properties": {key: f"http://127.0.0.1:{server.getsockname()[1]}/crs"}}


def text(head="", shape=""):
    ground = f'{{"type": "Polygon", "coordinates": {json.dumps([RING])}{shape}}}'
    row = f'{{"type": "Feature", "properties": {{}}, "geometry": {ground}}}'
    return f'{{"type": "FeatureCollection"{head}, "features": [{row}]}}'


WAYS = {
    "of the file": lambda told: text(head=f', "crs": {told}'),
    "of a shape": lambda told: text(shape=f', "crs": {told}'),
    "in capitals": lambda told: text(head=f', "CRS": {told}'),
    "with a letter by its number": lambda told: text(head=f', "\\u0063rs": {told}'),
    "twice": lambda told: text(head=f', "crs": {told}, "crs": null'),
}


@pytest.mark.parametrize("way", WAYS)
@pytest.mark.parametrize(("kind", "key"), [("link", "href"), ("URL", "url")])
def test_a_crs_at_an_address_is_refused_and_not_fetched(way, kind, key, listening, tmp_path):
    path = tmp_path / "b.geojson"
    path.write_text(WAYS[way](json.dumps(link(listening, kind, key))))
    for do in (
        lambda: vector.read(path, path.name, layer="boundary"),
        lambda: read_points(path, path.name, 32615),
    ):
        with pytest.raises(InputError, match=r'its "crs" is not known: .*Save it again'):
            do()
    assert not came(listening)


def test_the_library_by_itself_would_fetch_it(listening, tmp_path):
    path = tmp_path / "b.geojson"
    path.write_text(WAYS["in capitals"](json.dumps(link(listening))))
    listening.settimeout(60)
    # a process of its own: the library lets no other thread of Python go on while it waits for the answer
    opens = f"import fiona; fiona.open({str(path)!r}, driver='GeoJSON')"
    with subprocess.Popen([sys.executable, "-c", opens], stderr=subprocess.DEVNULL) as other:
        listening.accept()[0].close()
        other.kill()


@pytest.mark.parametrize(
    "name", ["+init=/etc/passwd:root", "+proj=longlat", "/etc/passwd", "file:x", "GEOGCS[]"]
)
def test_only_a_code_names_a_crs(name, tmp_path):
    path = tmp_path / "b.geojson"
    path.write_text(text(head=f', "crs": {json.dumps({"type": "name", "properties": {"name": name}})}'))
    with pytest.raises(InputError, match="is not known"):
        vector.read(path, path.name, layer="boundary")
