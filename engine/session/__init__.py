"""One interview: its events, the job they amount to, the machine that is the tree, and what is next.

`journal` keeps the events; `job` replays them; `session` says the next `acts.Act`.
`availability` and `validation` say what may be asked and recorded.
"""
