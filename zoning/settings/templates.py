"""The farm.toml and field.toml that `sprayworth new` writes: every key, commented. Writes nothing itself."""

from importlib import resources
from typing import Literal


def template(name: Literal["farm.toml", "field.toml"]) -> str:
    """Give the text of a settings file to fill in.

    Examples
    --------
    >>> template("field.toml").splitlines()[0]
    '# One field. What stands here wins over the farm.toml of the folder above.'
    """
    return resources.files(__package__).joinpath("templates", name).read_text(encoding="utf-8")
