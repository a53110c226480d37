"""Weather of a farm from open services of public agencies, into files that the program reads.

services   whom to ask: the entries of services.toml, the only place with addresses and names of variables
place      for which place: the middle of the fields, and how far they lie from it
daily      an answer about days -> values of each day, in our units; what it may not be is a fault
forecast   an answer about hours to come -> values of each hour
cache      answers as they came, kept beside the farm so that nothing is asked twice
asking     which years are asked for, one after the other; what is kept is not asked again
rows       days -> the rows of a file: gaps, what fills them, the rows of a file of the user's own
written    the files, who wrote them, and where they came from
got        all of it, in its order
shown      told for people and for programs
"""
