"""With what: nozzle, speed and pressure, acres per hour, the smallest zone that a machine can follow."""
