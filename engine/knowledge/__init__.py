"""From YAML to the checked, frozen model, or every problem of every file at once.

`loader` is the one gate; `model` is what comes out of it; `rules/` holds one small function a rule.
`schema`, `files` and `build` are the way between.
"""
