"""The sheets of a job: each composes the document of one audience from a view."""
