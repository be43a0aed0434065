"""What everything else stands on: texts by key, problems with a place, YAML read with its marks.

Nothing here knows pools.
`texts` is the one door for wording; `text_catalog` is what stands behind it.
"""
