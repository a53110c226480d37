"""Where the field is: boundary, blocks, zones that are given, and what is never sprayed."""
