"""Readings into evidence: bands of what was measured, and findings worked out from several readings."""
