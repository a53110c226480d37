"""GeoTIFFs whose bytes lie or end, or that lead to other files and addresses."""

import os
from collections.abc import Callable
from pathlib import Path

import made_tiff
import rasterio
from corpus_bases import IMAGE, LAYER, around
from corpus_case import Case

Harm = Callable[[Path], None]
NOWHERE = "http://127.0.0.1:9/x.tif"  # nobody listens there
NORTH_UP, SIDE = around(), made_tiff.SIDE
BOMB_SIDE = 1_000_000
L = made_tiff.LONG
READ = f"layer elevation: {LAYER}, 100% clear"
DAMAGED = "it is damaged: a part cannot be read. Export it again."
NO_TIFF = "it cannot be read as a GeoTIFF. Export it again."
VRT = f"""<VRTDataset rasterXSize="15" rasterYSize="15"><VRTRasterBand dataType="UInt16" band="1">
<SimpleSource><SourceFilename>/vsicurl/{NOWHERE}</SourceFilename></SimpleSource></VRTRasterBand></VRTDataset>"""
LEAD = f"""<PAMDataset><Metadata domain="OVERVIEWS"><MDI key="OVERVIEW_FILE">/vsicurl/{NOWHERE}</MDI>
</Metadata></PAMDataset>"""
LAUGHS = '<!DOCTYPE a [<!ENTITY a "ha"><!ENTITY b "{}">]>'.format("&a;" * 99)


def case(name: str, harm: Harm, code: int, *words: str) -> Case:
    """A case of a rich farm: what is refused is refused by `run`, what is doubted is told by `check`."""
    kind = "imagery" if name.startswith("image") else "layer"
    return Case(name, kind, harm, code, words, "rich", ("run" if code else "check", "{field}"))


def cut(name: str, keep: float) -> Harm:
    """Keep the first part of a file."""

    def harm(field: Path) -> None:
        raw = (field / name).read_bytes()
        (field / name).write_bytes(raw[: int(len(raw) * keep)])

    return harm


def beside(end: str, text: str) -> Harm:
    """Put a text beside the layer."""

    def harm(field: Path) -> None:
        (field / f"{LAYER}{end}").write_text(text, encoding="utf-8")

    return harm


def pipe(end: str) -> Harm:
    """Put a name beside the layer at which a program waits for another one."""
    return lambda field: os.mkfifo(field / f"{LAYER}{end}")


def tagged(next_at: int = 0, *, pixels: bool = True, **said: made_tiff.Tag) -> Harm:
    """Write the layer tag by tag, some of them otherwise."""

    def harm(field: Path) -> None:
        good = made_tiff.tags(NORTH_UP.c, NORTH_UP.f)
        changed = {getattr(made_tiff, name.upper()): tag for name, tag in said.items()}
        made_tiff.write(field / LAYER, good | changed, next_at=next_at, pixels=pixels)

    return harm


def tiled(width: int, height: int, offset: int) -> Harm:
    """Write the layer as one tile of a size, at a place in the file."""

    def harm(field: Path) -> None:
        said = made_tiff.tags(NORTH_UP.c, NORTH_UP.f)
        for code in (made_tiff.OFFSETS, made_tiff.COUNTS, made_tiff.ROWS_PER_STRIP):
            del said[code]
        said[made_tiff.TILE_WIDTH] = (made_tiff.LONG, (width,))
        said[made_tiff.TILE_HEIGHT] = (made_tiff.LONG, (height,))
        said[made_tiff.TILE_OFFSETS] = (made_tiff.LONG, (offset,))
        said[made_tiff.TILE_COUNTS] = (made_tiff.LONG, (SIDE * SIDE,))
        made_tiff.write(field / LAYER, said)

    return harm


def leading_tag(field: Path) -> None:
    """A tag in the image itself that says that its overviews lie at an address of the network."""
    with rasterio.open(field / LAYER, "r+") as file:
        file.update_tags(ns="OVERVIEWS", OVERVIEW_FILE=f"/vsicurl/{NOWHERE}")


def bomb(field: Path) -> None:
    """10^6 x 10^6 pixels that lie on the field, in strips that all are the same few bytes."""
    said = made_tiff.tags(NORTH_UP.c, NORTH_UP.f)
    strips = BOMB_SIDE // 100
    said[made_tiff.WIDTH] = said[made_tiff.HEIGHT] = (made_tiff.LONG, (BOMB_SIDE,))
    said[made_tiff.ROWS_PER_STRIP] = (made_tiff.LONG, (100,))
    said[made_tiff.OFFSETS] = said[made_tiff.COUNTS] = (made_tiff.LONG, (0,) * strips)
    said[made_tiff.SCALE] = (made_tiff.DOUBLE, (300 / BOMB_SIDE, 300 / BOMB_SIDE, 0.0))
    made_tiff.write(field / LAYER, said, pixels=False)


CASES: tuple[Case, ...] = (
    case("image cut after a third", cut(IMAGE, 0.3), 3, IMAGE, DAMAGED),
    case("layer cut in its head", cut(LAYER, 0.01), 3, LAYER, NO_TIFF),
    case("layer without its last bytes", cut(LAYER, 0.97), 3, LAYER, DAMAGED),
    case("image of no bytes", lambda f: (f / IMAGE).write_bytes(b""), 3, IMAGE, "empty"),
    case(
        "layer a bomb of 10^6 x 10^6",
        tagged(width=(L, (BOMB_SIDE,)), height=(L, (BOMB_SIDE,)), pixels=False),
        3,
        LAYER,
        DAMAGED,
    ),
    case(
        "layer a bomb in one strip",
        tagged(width=(L, (BOMB_SIDE,)), height=(L, (BOMB_SIDE,)), rows_per_strip=(L, (BOMB_SIDE,))),
        3,
        LAYER,
        DAMAGED,
    ),
    case("layer a bomb of empty strips", bomb, 3, LAYER, "722,231,577,808 pixels", "80,262 bytes"),
    case("layer in a tile of 2^31", tiled(2**31, 2**31, 4096), 3, LAYER, NO_TIFF),
    case(
        "layer in a tile of 10^5",
        tiled(100_000, 100_000, 4096),
        3,
        LAYER,
        "blocks of 100,000 x 100,000 pixels",
        "tiles",
    ),
    case("layer in a tile of nothing", tiled(0, 0, 4096), 3, LAYER, NO_TIFF),
    case("layer whose tile is beyond the end", tiled(32, 32, 4_000_000_000), 3, LAYER, DAMAGED),
    case("layer whose strip is beyond the end", tagged(offsets=(L, (4_000_000_000,))), 3, LAYER, DAMAGED),
    case("layer whose strip has 2^32 bytes", tagged(counts=(L, (2**32 - 1,))), 0, READ),
    case("layer with a loop of directories", tagged(next_at=8), 0, READ),
    case("layer whose next directory is nowhere", tagged(next_at=4_000_000_000), 0, READ),
    case("layer of 77 bits a sample", tagged(bits=(made_tiff.SHORT, (77,))), 3, LAYER, NO_TIFF),
    case("layer packed in nobody's way", tagged(compression=(made_tiff.SHORT, (31337,))), 3, LAYER, NO_TIFF),
    case("layer that says it is deflated", tagged(compression=(made_tiff.SHORT, (8,))), 3, LAYER, DAMAGED),
    case("layer of no width", tagged(width=(L, (0,))), 3, LAYER, NO_TIFF),
    case(
        "layer of 10^4 bands",
        tagged(
            samples=(made_tiff.SHORT, (10_000,)),
            bits=(made_tiff.SHORT, (8,) * 10_000),
            counts=(L, (SIDE * SIDE * 10_000,)),
        ),
        3,
        LAYER,
        DAMAGED,
    ),
    case("layer whose overviews are an address", beside(".ovr", VRT), 3, f"{LAYER}.ovr", "Remove it"),
    case("layer whose overviews are Another Name", beside(".Ovr", VRT), 3, f"{LAYER}.Ovr", "Remove it"),
    case("layer with a pipe beside it", pipe(".aux.xml"), 3, f"{LAYER}.aux.xml", "Remove it"),
    case(
        "layer with tags of an older program",
        beside(".aux", "EHFA_HEADER_TAG"),
        3,
        f"{LAYER}.aux",
        "Remove it",
    ),
    case("layer whose mask is an address", beside(".msk", VRT), 3, f"{LAYER}.msk", "Remove it"),
    case("layer whose tags are an address", leading_tag, 3, LAYER, "is not opened"),
    case(
        "layer with an address beside it",
        beside(
            ".aux.xml",
            LEAD,
        ),
        3,
        LAYER,
        "is not opened",
    ),
    case(
        "layer with entities beside it", beside(".aux.xml", f"{LAUGHS}<PAMDataset>&b;</PAMDataset>"), 0, READ
    ),
    case("image that is a list of others", lambda f: (f / IMAGE).write_text(VRT), 3, IMAGE, NO_TIFF),
)
