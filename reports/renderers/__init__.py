"""The forms of a sheet: each prints the blocks of documents, and knows nothing of a job."""
