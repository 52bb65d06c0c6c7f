"""Readings without a visit: what instruments show, worked out and put into words.

sheet       what a sheet is: the entries of one instrument
sheets/     the sheets, one file each
bench       one working-out: entries with their accuracy, the bands of the knowledge
report      what comes out: verdicts, figures, sentences, what to measure next
pictures    what comes out to look at, as plain numbers
words       figures, limits and sources in words
answer      the use case: typed values in, a report out
typed       a sheet on one line, for the terminal
text        a report as plain text and as JSON
handing     which checks of a visit the values answer
"""
