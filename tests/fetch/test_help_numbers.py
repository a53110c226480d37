"""Numbers that the help of `sprayworth get` repeats are those of the evidence."""

import click
import pytest

from cli.get_imagery import command as imagery
from cli.get_weather import command as weather
from zoning.evidence import number


@pytest.mark.parametrize(
    ("command", "option", "name"),
    [(imagery, "keep", "fetch.images_kept"), (weather, "years", "stage.wanted_years")],
)
def test_a_default_in_the_help_is_that_of_the_evidence(
    command: click.Command, option: str, name: str
) -> None:
    (told,) = [one.help for one in command.params if isinstance(one, click.Option) and one.name == option]
    default = told.partition("default: ")[2].rstrip(".")
    assert default.rpartition(" ")[2] == f"{number(name):g}"
