"""Rules between the keys of [[imagery]]: bands, products, masks, and which images become one layer."""

import re
from collections.abc import Iterator

from zoning.errors import InputError
from zoning.settings.given import Given
from zoning.settings.plain import fault

_BASELINE = re.compile(r"(\d{1,2}\.\d{2})?")


def _bands(given: Given) -> Iterator[InputError]:
    for number, image in given.tables("imagery"):
        bands = image.get("bands")
        by_place: dict[object, str] = {}
        for name, place in bands.items() if isinstance(bands, dict) else ():
            other = by_place.setdefault(str(place), name)
            if other != name:
                mend = "Look up in the image's description which band is which."
                yield fault(given, ("imagery", number, "bands"), f"{other} and {name} are one band", mend)


def _products(given: Given) -> Iterator[InputError]:
    for number, image in given.tables("imagery"):
        product, named = image.get("product"), ("imagery", number)
        if product:
            for key, neutral in (("scale", 1), ("offset", 0)):
                if image.get(key, neutral) != neutral:
                    mend = f"Take {key} out, or the product."
                    yield fault(given, (*named, key), f"{product} brings its own {key}", mend)
        baseline = image.get("baseline")
        if isinstance(baseline, str) and not _BASELINE.fullmatch(baseline):
            yield fault(given, (*named, "baseline"), "not a baseline", 'Write it as "05.10".')
        elif baseline and product != "sentinel-2 l2a":
            mend = 'Add product = "sentinel-2 l2a", or take baseline out.'
            yield fault(given, (*named, "baseline"), "only a Sentinel-2 image has a baseline", mend)
        if image.get("mask_bits") and image.get("mask_keep", [0]) != [0]:
            what = "values and bits of the mask are both given"
            yield fault(given, (*named, "mask_bits"), what, "Keep mask_keep, or mask_bits.")


def _one_index(given: Given) -> Iterator[InputError]:
    first: dict[object, object] = {}
    for number, image in given.tables("imagery"):
        name, index = image.get("layer"), image.get("index")
        if not isinstance(name or index, str):  # told by the model
            continue
        other = first.setdefault(name or index, index)
        if isinstance(name, str) and isinstance(index, str) and other != index:
            mend = "Give each index a layer of its own."
            yield fault(given, ("imagery", number, "layer"), f"it holds {other} and {index}", mend)


def _masks(given: Given) -> Iterator[InputError]:
    """Refuse to say what a mask means where there is none, and one that lets nothing through."""
    for number, image in given.tables("imagery"):
        named = ("imagery", number)
        typed = [key for key in ("mask_keep", "mask_bits", "mask_widen") if key in image]
        if not any(image.get(key) for key in ("mask", "mask_band", "product")):
            for key in typed:
                mend = f"Name the mask with mask or mask_band, or take {key} out."
                yield fault(given, (*named, key), "no mask is named", mend)
        bands = image.get("bands")
        same = (
            [name for name, band in bands.items() if band == image.get("mask_band")]
            if isinstance(bands, dict)
            else []
        )
        if same and not image.get("mask"):
            mend = "Look up in the image's description which band is which."
            yield fault(given, (*named, "mask_band"), f"{same[0]} and the mask are one band", mend)
        if image.get("mask_keep") == []:
            mend = "List the values that mean clear ground, or take mask_keep out."
            yield fault(given, (*named, "mask_keep"), "the list is empty", mend)


RULES = (_bands, _products, _one_index, _masks)
