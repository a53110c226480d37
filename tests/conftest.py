"""How properties are tried: the same examples in every run, new ones on request."""

from hypothesis import settings

# A run is judged by what was changed in it, so chance stays out. To hunt: pytest --hypothesis-profile=search
settings.register_profile("repeatable", derandomize=True)
settings.register_profile("search", derandomize=False)
settings.load_profile("repeatable")
