"""Exact belief over causes, their weights of evidence, and answers that hardly go together."""
