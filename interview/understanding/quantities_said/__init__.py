"""The numbers of a free line; pure.

`figures`, `clock_spans` and `volumes` find them, `values` turns one into a check's unit, `weighing` tells how strongly
what is said beside it names a check, `differences` reads one number over another, `readings` gives each its check.
"""
