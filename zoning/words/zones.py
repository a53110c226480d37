"""Sentences about why a block is one zone."""

SENTENCES: dict[str, str] = {
    "zones.one_response": "the zones of block {block} have one response",
    "zones.no_layer": "block {block} is one zone: no layer tells its parts apart",
    "zones.small": "block {block} is one zone: it does not hold two zones of the smallest size",
    "zones.few_cells": "block {block} is one zone: too few of its cells were seen in every layer",
    "zones.rise": "block {block} is one zone: its layers show nothing that is more than noise",
    "zones.size": "block {block} is one zone: what its layers show is smaller than the smallest zone",
}
