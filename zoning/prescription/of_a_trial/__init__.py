"""The trial of a field for other programs: trial.json, points.csv, trial.gpkg."""

from zoning.prescription.of_a_trial.layers import NAME as LAYERS
from zoning.prescription.of_a_trial.layers import as_bytes as layers_bytes
from zoning.prescription.of_a_trial.points_csv import NAME as POINTS
from zoning.prescription.of_a_trial.points_csv import as_text as points_text
from zoning.prescription.of_a_trial.trial_json import NAME as OBJECT
from zoning.prescription.of_a_trial.trial_json import as_object as as_object

__all__ = ["LAYERS", "OBJECT", "POINTS", "as_object", "layers_bytes", "points_text"]
