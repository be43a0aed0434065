"""Worked calls: read, run against the knowledge without a person, and scored."""
