"""The command `sprayworth`: one file for each command, which parses, calls and prints. No arithmetic."""
