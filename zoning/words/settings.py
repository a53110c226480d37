"""Sentences about what the settings leave open."""

SENTENCES: dict[str, str] = {
    "settings.no_returns": "no returns and no spray or skip: [money] and [response] are not given",
    "settings.no_tracks": "wheel tracks not counted: no sprayer given",
    "settings.no_label": (
        "no prescription: the label limits are missing; write [product] from the label in hand, with {limits}"
    ),
    "settings.no_sprayer": "no passes and no carrier rate: no [[sprayer]] is given",
    "settings.no_swath_cells": (
        'treatment = "swath cells" is not done, whole zones are planned: it needs returns, [product] and a '
        "[[sprayer]]"
    ),
    "settings.no_zone_file": "zones.zone_column is not used: [zones] has no file",
    "settings.no_farm": "there is no farm.toml in the field's folder or in the one above it",
}
