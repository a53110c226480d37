"""Sentences about what the settings leave open."""

SENTENCES: dict[str, str] = {
    "settings.no_returns": (
        "no returns and no spray or skip: no prices and no response are given (setting: [money] and "
        "[response])"
    ),
    "settings.no_tracks": "wheel tracks not counted: no sprayer given",
    "settings.no_label": (
        "no prescription: the label limits are missing; write them from the label in hand "
        "(setting: [product] with {limits})"
    ),
    "settings.no_sprayer": "no passes and no carrier rate: no sprayer is given (setting: [[sprayer]])",
    "settings.no_swath_cells": (
        'treatment = "swath cells" is not done, whole zones are planned: it needs returns, [product] and a '
        "[[sprayer]]"
    ),
    "settings.no_zone_file": (
        "a column of zones is named, but no file of zones: it is not used (setting: zones.zone_column)"
    ),
    "settings.no_farm": "there is no farm.toml in the field's folder or in the one above it",
}
