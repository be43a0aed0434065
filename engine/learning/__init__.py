"""What closed jobs teach: how good the first guesses were, and which numbers of the knowledge they speak against.

Nothing is changed here: all of it is a report, and proposals that a person takes over or not.
"""
