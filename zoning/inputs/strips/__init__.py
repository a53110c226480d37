"""Check strips that are laid already: their file, which is an input from the second run on."""
