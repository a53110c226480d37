"""What we learned: the combine's points -> what treated strips yielded over untreated ones, and how surely.

cleaned  points -> which of them tell something, and their yield; blind to the treatment
paired   points on strips -> one difference a pair
answer   pairs -> response, zones, money, or that it cannot be told
learned  answer -> decisions judged, beliefs, lessons
terms    what these hand to each other

Pure: opens no file, prints nothing, draws nothing.
"""
