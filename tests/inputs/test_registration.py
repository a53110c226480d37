"""How far one image lies off another: known shifts are found again, and none where nothing tells."""

import numpy as np
import pytest
from scipy.ndimage import gaussian_filter

from zoning.inputs.images.registration import drawn_at, shift

SIDE = 60
FINE = 4  # parts of a cell in which the ground is made, so that a cell is an average like a pixel
KNOWN_TO = 0.1  # cells, as the reader of dates asks


def ground(seed: int, patch_cells: float) -> np.ndarray:
    """Make a random pattern whose patches are so large, wider than the field."""
    rng = np.random.default_rng(seed)
    found = gaussian_filter(rng.normal(size=((SIDE + 20) * FINE,) * 2), patch_cells * FINE, mode="wrap")
    return found / found.std()


def moved(fine: np.ndarray, rows: float, columns: float) -> np.ndarray:
    """Move a pattern exactly, by Fourier's theorem, and average it to cells."""
    down, right = np.fft.fftfreq(len(fine))[:, None], np.fft.fftfreq(len(fine))[None]
    turn = np.exp(-2j * np.pi * FINE * (down * rows + right * columns))
    there = np.fft.ifft2(np.fft.fft2(fine) * turn).real
    cells = there.reshape(SIDE + 20, FINE, SIDE + 20, FINE).mean(axis=(1, 3))
    return cells[10 : 10 + SIDE, 10 : 10 + SIDE]


def seen(values: np.ndarray, noise: float, rng: np.random.Generator) -> np.ndarray:
    """Lay noise on it, and cut a field that is no rectangle out of it."""
    found = values + noise * rng.normal(size=values.shape)
    found[:15, :20] = np.nan
    found[-6:, 30:] = np.nan
    return found


@pytest.mark.parametrize("patch_cells", [1.0, 2.0, 4.0])
def test_known_shifts_are_found_within_a_tenth_of_a_cell(patch_cells: float) -> None:
    # Noise a fifth of the pattern's own spread; level and spread of the second day differ.
    for seed in range(12):
        rng = np.random.default_rng([seed, 7])
        length, angle = rng.uniform(0, 3), rng.uniform(0, 2 * np.pi)
        rows, columns = length * np.sin(angle), length * np.cos(angle)
        fine = ground(seed, patch_cells)
        first = seen(moved(fine, 0, 0), 0.2, rng)
        second = 2 + 0.6 * seen(moved(fine, rows, columns), 0.2, rng)
        found = shift(first, second, most_cells=5)
        assert found is not None
        assert np.hypot(found.rows - rows, found.columns - columns) < 0.1, (seed, rows, columns)
        assert found.known_to < KNOWN_TO


def test_the_standard_error_is_as_large_as_the_errors_are() -> None:
    # Noise half as large as the pattern. Error / standard error is the length of two numbers whose variances
    # are at most 1 each: about 1.25 in the mean if the error is known right, and seldom above 3.
    ratios = []
    for seed in range(40):
        rng = np.random.default_rng([seed, 8])
        rows, columns = rng.uniform(-1.5, 1.5, 2)
        fine = ground(seed + 100, 3.0)
        found = shift(
            seen(moved(fine, 0, 0), 0.5, rng), seen(moved(fine, rows, columns), 0.5, rng), most_cells=5
        )
        assert found is not None
        ratios.append(np.hypot(found.rows - rows, found.columns - columns) / found.known_to)
    assert 0.8 < np.mean(ratios) < 1.7
    assert np.mean(np.array(ratios) > 3) <= 0.05


@pytest.mark.parametrize("patch_cells", [0.0, 2.0, 5.0, 10.0])
def test_patterns_that_have_nothing_in_common_tell_no_shift(patch_cells: float) -> None:
    for seed in range(60 if patch_cells < 3 else 20):
        rng = np.random.default_rng([seed, 9])
        if patch_cells:
            first, second = (moved(ground(2 * seed + one + 500, patch_cells), 0, 0) for one in (0, 1))
        else:
            first, second = rng.normal(size=(2, SIDE, SIDE))
        found = shift(first, second, most_cells=5)
        assert found is None or found.known_to > KNOWN_TO


def test_what_is_even_sloping_or_hidden_tells_no_shift() -> None:
    slope = np.add.outer(np.arange(40.0), 2 * np.arange(50.0))
    rng = np.random.default_rng(3)
    for first, second in (
        (np.zeros((40, 50)), np.ones((40, 50))),
        (slope, slope + 3),
        (slope * np.nan, slope),
        (rng.normal(size=(9, 9)), rng.normal(size=(9, 9))),
    ):
        assert shift(first, second, most_cells=5) is None


def test_stripes_tell_nothing_along_themselves() -> None:
    rng = np.random.default_rng(4)
    stripes = np.broadcast_to(gaussian_filter(rng.normal(size=70), 2)[None] * 4, (50, 70))
    first, second = (stripes[:, at : at + 60] + 0.1 * rng.normal(size=(50, 60)) for at in (4, 3))
    found = shift(first, second, most_cells=5)
    assert found is None or found.known_to > KNOWN_TO


def test_a_shift_beyond_the_reach_is_not_made_up() -> None:
    fine = ground(3, 2.0)
    for rows in (8.0, -9.0):
        assert shift(moved(fine, 0, 0), moved(fine, rows, 0), most_cells=4) is None


def test_by_hand_drawing_between_neighbours() -> None:
    values = np.array([[0.0, 10.0], [20.0, np.nan]])
    # (0.25, 0): 0.75 * 0 + 0.25 * 20 = 5; (0.25, 0.5) without the unknown corner: the weights 0.375, 0.375
    # and 0.125 give (0 + 3.75 + 2.5) / 0.875 = 7.142857.
    assert drawn_at(values, 0.25, 0.0)[0, 0] == pytest.approx(5)
    assert drawn_at(values, 0.25, 0.5)[0, 0] == pytest.approx(7.142857, abs=1e-6)
    assert np.isnan(drawn_at(values, 0.6, 0.6)[1, 1])
    assert drawn_at(values, -1.0, 0.0)[1].tolist() == [0.0, 10.0]
