"""Farms of several hubs, as the choices of their fields: small farms drawn at random, shuffled together."""

from dataclasses import replace

import numpy as np
from made_farms import made_farm
from made_whole import options_of, zone_of

from zoning.offers.offered import Choice
from zoning.returns.mixture import from_parts


def made_hubs(seed, farms):
    """Choices of every field of some random farms; each farm has sprayers of its own, one field none."""
    rng = np.random.default_rng(seed)
    zone = zone_of(1, from_parts([1.0], [[4.0, 0.0]]), 40.0)
    base = options_of((zone,))
    fields = []
    for farm in range(farms):
        made = made_farm(1000 * seed + farm)
        for of_field in made.fields:
            problem = replace(of_field.problems[0], field=f"{of_field.problems[0].field} of {farm}")
            fields.append(
                tuple(
                    Choice(
                        sprayer=None,
                        zones=(zone,),
                        options=replace(base, problem=problem, machine=replace(here, name=name)),
                        notes=(),
                    )
                    for here in of_field.machine_here
                    for name in [f"{here.name} of {farm}"]
                )
            )
    return [fields[at] for at in rng.permutation(len(fields))]


def without_sprayer(choices):
    """Give the first choice of a field as one of level 2: the sprayer is nobody's."""
    first = choices[0]
    nobody = replace(first.options.machine, name="")
    return (replace(first, options=replace(first.options, machine=nobody)),)
