"""After harvest: did it pay, where, and what is believed now; behind `strips`."""
