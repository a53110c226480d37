"""What `get imagery` leaves in a field's folder: GeoTIFFs, their sources, and [[imagery]] in field.toml."""

from collections.abc import Sequence
from datetime import date
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
from rasterio.io import MemoryFile

from zoning.evidence import number, numbers
from zoning.fetch.addresses import without_secrets
from zoning.fetch.imagery.catalogues import Catalogue
from zoning.fetch.imagery.day import Image
from zoning.fetch.imagery.sources import FOLDER, Kept, digest
from zoning.inputs import store
from zoning.inputs.images import masks
from zoning.inputs.images.reflectance import LANDSAT, SENTINEL_2, Conversion
from zoning.settings import edited
from zoning.settings.read import FIELD_FILE

if TYPE_CHECKING:
    from tomlkit import TOMLDocument

_TILE = 256
_ORDER = ("red", "rededge", "nir")


def file_of(day: date, catalogue: Catalogue) -> str:
    """Name the file of a day, its date first."""
    return f"{FOLDER}/{day}_{_plain(catalogue.collection)}.tif"


def _plain(name: str) -> str:
    return "".join(one if one.isascii() and (one.isalnum() or one in "-_") else "_" for one in name)


def names_of(image: Image) -> tuple[str, ...]:
    """List the bands of an image in the order in which they are written; the mask comes after them."""
    return tuple(name for name in _ORDER if name in image.bands)


def geotiff(image: Image) -> bytes:
    """Write an image: its counts as they came, then its mask; what its offset is stands in its tags."""
    names = names_of(image)
    kind = np.result_type(*(image.bands[name].dtype for name in names), image.mask.dtype)
    rows, columns = image.frame.shape
    with MemoryFile() as made:
        with made.open(
            driver="GTiff",
            height=rows,
            width=columns,
            count=len(names) + 1,
            dtype=kind.name,
            crs=image.frame.wkt,
            transform=image.frame.transform,
            nodata=0,
            tiled=True,
            blockxsize=_TILE,
            blockysize=_TILE,
            compress="deflate",
            predictor=2 if np.issubdtype(kind, np.integer) else 1,
        ) as file:
            for place, name in enumerate((*names, "mask"), 1):
                values = image.mask if name == "mask" else image.bands[name]
                file.write(values.astype(kind), place)
                file.set_band_description(place, name)
            if image.conversion.product == SENTINEL_2 and is_usual(image.conversion):
                counts = image.conversion.offset / image.conversion.scale
                file.update_tags(BOA_ADD_OFFSET=f"{counts:.0f}")
        return bytes(made.read())


def is_usual(conversion: Conversion) -> bool:
    """Tell whether counts are those of their product, whatever their offset; then it need not be typed."""
    if conversion.product == LANDSAT:
        same = (number("inputs.landsat_scale"), number("inputs.landsat_offset"))
        return bool(np.allclose((conversion.scale, conversion.offset), same, rtol=1e-6))  # method: as typed
    return bool(np.isclose(conversion.scale, number("inputs.sentinel2_scale")))


def passport(image: Image, content: bytes, catalogue: Catalogue, licence: str, today: date) -> Kept:
    """Say where an image came from."""
    names = names_of(image)
    hrefs = [one.bands[name].href for one in image.scenes for name in names]
    hrefs += [one.mask.href for one in image.scenes]
    own = sorted({one.licence for one in image.scenes} - {""})
    return Kept(
        file=file_of(image.day.day, catalogue),
        sha256=digest(content),
        day=image.day.day.isoformat(),
        scenes=image.day.names,
        files=tuple(without_secrets(href) for href in hrefs),
        bands=names,
        product=image.conversion.product,
        scale=image.conversion.scale,
        offset=image.conversion.offset,
        baseline=image.scenes[0].baseline,
        seen_frac=round(image.shares.seen, 4),
        cloud_frac=round(image.shares.cloud, 4),
        catalogue=without_secrets(catalogue.address),
        collection=catalogue.collection,
        licence=licence or "; ".join(own) or "not said by the catalogue",
        got_on=today.isoformat(),
        said=image.notes[0].code if image.notes else "",
    )


def named_in_field(folder: Path, images: Sequence[Kept]) -> tuple[str, ...]:
    """Add an [[imagery]] to field.toml for each image that none names yet; give the files that were added."""
    path = folder / FIELD_FILE
    before = path.read_bytes()
    typed: Any = edited.document(before).unwrap().get("imagery", [])
    there = {str(one.get("file", "")).replace("\\", "/") for one in typed}
    new = [one for one in images if one.file not in there]
    if new:
        store.write_bytes(path, edited.changed(before, partial(_added, new=new)))
    return tuple(one.file for one in new)


def _added(document: "TOMLDocument", new: Sequence[Kept]) -> None:
    import tomlkit

    if "imagery" not in document:
        document.add(tomlkit.nl())
        document["imagery"] = tomlkit.aot()
    for one in new:
        table = (
            tomlkit.table() if isinstance(document["imagery"], tomlkit.items.AoT) else tomlkit.inline_table()
        )
        for key, value in _keys(one).items():
            if isinstance(value, dict):
                bands = tomlkit.inline_table()
                bands.update(value)
                table[key] = bands
            else:
                table[key] = value
        document["imagery"].append(table)


def _keys(one: Kept) -> dict[str, Any]:
    """Give the keys of an [[imagery]]; scale and offset only where its counts are not its product's."""
    has_edge = "rededge" in one.bands
    keys: dict[str, Any] = {
        "file": one.file,
        "bands": {name: place for place, name in enumerate(one.bands, 1)},
        "mask_band": len(one.bands) + 1,
        "index": "NDRE" if has_edge else "NDVI",
    }
    if is_usual(Conversion(one.scale, one.offset, "product", one.product)):
        return {**keys, "product": one.product}
    mask: dict[str, Any] = {"mask_keep": list(masks.of_product(one.product).clear)}
    if one.product == LANDSAT:
        mask = {"mask_bits": [int(bit) for bit in numbers("inputs.landsat_unclear_bits")]}
    margin = f"{masks.of_product(one.product).margin_m:g} m"
    return {**keys, "scale": one.scale, "offset": one.offset, **mask, "mask_widen": margin}
