"""The people-facing side: commands and front ends."""
