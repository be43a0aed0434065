"""The trade's computations: water, disinfectant, cell, supply and pool; pure functions."""

__all__: list[str] = []
