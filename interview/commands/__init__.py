"""The command line: one module a command.

`app` is the group with its exit codes; `run` joins knowledge, kept job, front end and dialogue into one run.
"""
