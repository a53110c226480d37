"""Layers that zones are only judged on, through a run."""

from made_demo import TODAY, three_dates

from zoning import field


def test_a_layer_that_is_called_yield_stands_beside_the_yield(tmp_path):
    folder = three_dates(tmp_path)
    settings = folder / "field.toml"
    further = '\n[[layer]]\nname = "yield"\nfile = "layers/past_yield.tif"\nuse = "check"\n'
    settings.write_text(settings.read_text() + further)
    asked = []
    field.offer(
        folder, today=TODAY, seed=3, measured_by=lambda found, **_: asked.append(found) or (lambda: None)
    )
    assert sorted(asked[0].checked) == ["yield", "yield (2)"]
