"""What is kept on this machine: jobs, settings, and files written whole or not at all."""
