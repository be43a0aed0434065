"""The command line: one module a command, and what the commands share.

`app` is the group with its exit codes; `context` is what a command line settles for all of them.
"""
