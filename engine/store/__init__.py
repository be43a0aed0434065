"""The memory of the shop: every job's events in one SQLite file or on a PostgreSQL server, and what follows from them.

Events are the truth. All other tables are worked out from them and can be worked out again.
"""
