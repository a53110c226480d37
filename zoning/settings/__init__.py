"""What the user chose: farm.toml and field.toml, read into frozen settings in internal units."""

from zoning.settings.model import Settings as Settings
