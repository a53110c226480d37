"""The stage of one plant: Fehr and Caviness 1977 as restated by extension (3/16, 3/4 and 1/8 in)."""

import pytest

from zoning.stage.staging import PlantSeen, plant_stage

MM_PER_IN = 25.4


def test_practice_pods_below_the_top_four_nodes_do_not_make_r3():
    # common practice, no source: flowers from top to bottom and no pod of 3/16 in at the top four nodes is
    # R2, even if lower nodes have such pods
    for below in (0.0, 5.0, 30.0):
        seen = PlantSeen(
            flower_anywhere=True, flower_at_top_two=True, pod_at_top_four_mm=4.0, pod_below_mm=below
        )
        assert plant_stage(seen) == "R2"


@pytest.mark.parametrize(
    ("pod_in", "stage"), [(2 / 16, "R2"), (3 / 16, "R3"), (11 / 16, "R3"), (3 / 4, "R4"), (1.5, "R4")]
)
def test_published_pod_lengths_at_the_top_four_nodes(pod_in, stage):
    seen = PlantSeen(
        flower_anywhere=True, flower_at_top_two=True, pod_at_top_four_mm=pod_in * MM_PER_IN + 1e-9
    )
    assert plant_stage(seen) == stage


def test_published_flowers_and_seeds():
    assert plant_stage(PlantSeen(flower_anywhere=False, flower_at_top_two=False)) == "before R1"
    assert plant_stage(PlantSeen(flower_anywhere=True, flower_at_top_two=False)) == "R1"
    seen = PlantSeen(
        flower_anywhere=True,
        flower_at_top_two=False,
        pod_at_top_four_mm=40,
        seed_at_top_four_mm=MM_PER_IN / 8 + 1e-9,
    )
    assert plant_stage(seen) == "R5"
